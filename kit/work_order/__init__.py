"""The order of the work: packing lists by zone, crates, the walk, stacks an hour."""

from kit.work_order.crates import fill_crates
from kit.work_order.order import WorkOrder, order_of_work
from kit.work_order.walk import Walk, walk_through

__all__ = ["Walk", "WorkOrder", "fill_crates", "order_of_work", "walk_through"]
