"""Levels and zones: a long base on a floor that falls, parted where its level steps."""

from __future__ import annotations

from kit.levels.asked import Asked
from kit.levels.zones import Zone, Zones, ZoneStep, part_into_zones

__all__ = ["Asked", "Zone", "ZoneStep", "Zones", "part_into_zones"]
