"""Levels and zones: a long base on a floor that falls, parted where its level steps."""

from __future__ import annotations

from kit.levels.zones import Zone, Zones, ZoneStep, part_into_zones

__all__ = ["Zone", "ZoneStep", "Zones", "part_into_zones"]
