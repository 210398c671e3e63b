"""Many rooms and scans at once, here one by one or on any Dask cluster: the same results."""

from kit.many.rooms import Room, RoomAnswer, room_of, solve_many, solve_room
from kit.many.scans import ScanTask, reduce_many
from kit.many.spread import cluster, spread

__all__ = [
    "Room",
    "RoomAnswer",
    "ScanTask",
    "cluster",
    "reduce_many",
    "room_of",
    "solve_many",
    "solve_room",
    "spread",
]
