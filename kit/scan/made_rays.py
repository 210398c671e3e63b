"""Scanning a made hall: rays from the set-ups to what they meet first."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from kit.job import refuse
from kit.scan.made import MadeHall, SetUp, Thing
from kit.scan.made_draws import shares

Array = NDArray[np.float64]
Pieces = Iterator[tuple[Array, Array, Array]]

#: Rays of one turn of the instrument; turns go from set-up to set-up.
TURN = 100_000
#: Share of the rays that look at the floor, evenly by distance to ``FAR_MM``; the others look
#: between ``LOW`` and ``HIGH`` [rad] to the level.
_DOWN, _NEAREST_MM, FAR_MM = 0.75, 500.0, 14_000.0
_LOW, _HIGH = -0.15, 0.7
#: Places are given to a hundredth of a millimetre.
_DECIMALS = 2
#: Rounds in which a ray's run to the floor is found.
_SETTLED = 5
#: Share of the rays on wet floor that come mirrored.
_MIRRORED = 1 / 3


def points(hall: MadeHall, count: int, seed: int = 0, at_once: int = 1_000_000) -> Pieces:
    """Yield the points of a scan: x, y, z [mm], arrays of ``at_once`` and a last one of the rest.

    Same hall, count and seed: same points in the same order, however many at once. Density falls
    with the distance from the set-ups, behind what stands there is shadow.

    Raises
    ------
    Refusal
        Where fewer than one point is asked for, all told or at once.
    """
    if count < 1 or at_once < 1:
        raise refuse("points of a made scan", f"{count} points, {at_once} at once", "1 or more")
    held: list[Array] = []
    size = 0
    for turn in range(-(-count // TURN)):
        held.append(_turn(hall, seed, turn, min(TURN, count - turn * TURN)))
        size += held[-1].shape[1]
        if size >= at_once:
            whole = np.concatenate(held, axis=1)
            cut = size // at_once * at_once
            for first in range(0, cut, at_once):
                x, y, z = whole[:, first : first + at_once]
                yield x, y, z
            held, size = [whole[:, cut:]], size - cut
    if size:
        x, y, z = np.concatenate(held, axis=1)
        yield x, y, z


def _turn(hall: MadeHall, seed: int, turn: int, count: int) -> Array:
    """Return the points of one turn, shape (3, count)."""
    name = f"made scan 1, hall {hall.seed}, seed {seed}, turn {turn}"
    drawn = shares(name, 9 * count).reshape(9, count)
    set_up = hall.set_ups[turn % len(hall.set_ups)]
    eye = np.array([set_up.x_mm, set_up.y_mm, _eye_mm(hall, set_up)])
    # The instrument turns: bearings ascend, so that a thing concerns one range of rays only.
    bearing = 2 * np.pi * (np.arange(count) + drawn[0]) / count
    along = np.stack([np.cos(bearing), np.sin(bearing), _rise(set_up, drawn[1], drawn[2])])
    shell = _to_shell(hall, eye, along)
    to_floor = _to_floor(hall, eye, along, shell)
    away = np.minimum(shell, to_floor)
    for thing, floor in zip(hall.things, _floors(hall), strict=True):
        _to_thing(thing, floor, eye, (bearing, along), away)
    places = eye[:, None] + along * away
    on_floor = np.flatnonzero((away == to_floor) & (np.abs(places[0] - hall.bay.x_mm) > 1e-6))
    places[2, on_floor] = hall.height_mm(places[0, on_floor], places[1, on_floor])
    noisy = places + hall.noise_mm * ndtri(drawn[3:6])
    _stray(hall, eye, along * away, noisy, drawn[6:9])
    return np.asarray(np.round(noisy, _DECIMALS), dtype=float)


def _eye_mm(hall: MadeHall, set_up: SetUp) -> float:
    floor = hall.height_mm(np.array([set_up.x_mm]), np.array([set_up.y_mm]))
    return float(floor[0]) + set_up.height_mm


def _rise(set_up: SetUp, which: Array, share: Array) -> Array:
    """Return what each ray rises over its run."""
    down = -set_up.height_mm / (_NEAREST_MM + (FAR_MM - _NEAREST_MM) * share)
    return np.where(which < _DOWN, down, np.tan(_LOW + (_HIGH - _LOW) * share))


def _to_shell(hall: MadeHall, eye: Array, along: Array) -> Array:
    """Return the run to walls or roof [mm]."""
    far = np.full(along.shape[1], np.inf)
    for axis, end in ((0, hall.length_mm), (1, hall.width_mm)):
        with np.errstate(divide="ignore"):
            run = np.where(along[axis] > 0, end - eye[axis], -eye[axis]) / along[axis]
        far = np.minimum(far, np.where(along[axis] == 0, np.inf, run))
    up = along[2] > 0
    far[up] = np.minimum(far[up], (hall.roof_mm - eye[2]) / along[2, up])
    return far


def _to_floor(hall: MadeHall, eye: Array, along: Array, shell: Array) -> Array:
    """Return the run to the floor [mm], infinite where a ray rises.

    The floor's height under the place is put in again and again, which settles to a few mm along
    the floor; the floor's own height is put in at the end. Where it does not settle the ray meets
    the face of the step, and the step's x tells the run.
    """
    run = np.full(along.shape[1], np.inf)
    down = np.flatnonzero(along[2] < -1e-4)
    dx, dy, dz = along[:, down]
    walls = shell[down]
    at = np.minimum(-eye[2] / dz, walls)
    for _ in range(_SETTLED):
        last = at
        # Beyond the walls the floor has no height that would mean anything.
        here = np.minimum(at, walls)
        at = (hall.height_mm(eye[0] + dx * here, eye[1] + dy * here) - eye[2]) / dz
    open_ = np.abs(at - last) > 50.0
    with np.errstate(divide="ignore", invalid="ignore"):
        face = (hall.bay.x_mm - eye[0]) / dx
    between = (face >= np.minimum(at, last)) & (face <= np.maximum(at, last))
    run[down] = np.where(open_ & between, face, np.where(open_, np.minimum(at, last), at))
    return run


def _floors(hall: MadeHall) -> Array:
    """Return the height of the floor under the middle of each thing [mm]."""
    x = [(thing.left_mm + thing.right_mm) / 2 for thing in hall.things]
    y = [(thing.back_mm + thing.front_mm) / 2 for thing in hall.things]
    return hall.height_mm(np.array(x, dtype=float), np.array(y, dtype=float))


def _to_thing(
    thing: Thing, floor: float, eye: Array, rays: tuple[Array, Array], away: Array
) -> None:
    """Shorten the runs of rays that meet a block first."""
    bearing, along = rays
    sides = (
        (thing.left_mm, thing.right_mm),
        (thing.back_mm, thing.front_mm),
        (floor + thing.low_mm, floor + thing.high_mm),
    )
    for first, last in _ranges(thing, eye, bearing):
        into, out = np.zeros(last - first), away[first:last].copy()
        for axis, (low, high) in enumerate(sides):
            with np.errstate(divide="ignore", invalid="ignore"):
                one = (low - eye[axis]) / along[axis, first:last]
                other = (high - eye[axis]) / along[axis, first:last]
            into = np.maximum(into, np.fmin(one, other))
            out = np.minimum(out, np.fmax(one, other))
        met = (into < out) & (into > 0)
        away[first:last][met] = into[met]


def _ranges(thing: Thing, eye: Array, bearing: Array) -> list[tuple[int, int]]:
    """Return the ranges of ascending bearings in which a block is seen."""
    corners = np.arctan2(
        np.array([thing.back_mm, thing.back_mm, thing.front_mm, thing.front_mm]) - eye[1],
        np.array([thing.left_mm, thing.right_mm, thing.left_mm, thing.right_mm]) - eye[0],
    )
    inside = thing.left_mm <= eye[0] <= thing.right_mm and thing.back_mm <= eye[1] <= thing.front_mm
    if inside:
        return [(0, len(bearing))]
    turned = (corners - corners[0] + np.pi) % (2 * np.pi) - np.pi
    low, high = corners[0] + turned.min(), corners[0] + turned.max()
    ends = [(low, high), (low + 2 * np.pi, high + 2 * np.pi)]
    return [(int(a), int(b)) for a, b in (np.searchsorted(bearing, pair) for pair in ends) if b > a]


def _stray(hall: MadeHall, eye: Array, run: Array, places: Array, drawn: Array) -> None:
    """Move some points to where nothing is."""
    which, share, wet = drawn
    stray = which < hall.stray_share
    low = stray & (which < hall.stray_share / 2)
    places[2, low] = hall.height_mm(places[0, low], places[1, low]) - 20.0 - 600.0 * share[low]
    air = stray & ~low
    places[:, air] = eye[:, None] + run[:, air] * (0.1 + 0.85 * share[air])
    pool = hall.pool
    floor = hall.height_mm(places[0], places[1])
    mirrored = (
        (np.abs(places[2] - floor) < 20.0)
        & (places[0] >= pool.left_mm)
        & (places[0] <= pool.right_mm)
        & (places[1] >= pool.back_mm)
        & (places[1] <= pool.front_mm)
        & (wet < _MIRRORED)
    )
    places[2, mirrored] += pool.low_mm
