"""What a parted base is made of: zones, steps between them, the menu they were chosen from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from kit.job import Base, Job
from kit.levels.menu import Choice
from kit.levels.ramps import Ramp
from kit.levels.zone_tables import menu_table, ramp_table, step_table, zone_table
from kit.parts import Answer


@dataclass(frozen=True, eq=False)
class Zone:
    """One level zone, solved as a base of its own.

    Parameters
    ----------
    name : str
        Its name, which is its run's name in its own job.
    run : str
        The run that it is part of.
    first, last : int
        Its units, by their number in that run from 0.
    from_unit, to_unit : str
        Their names.
    from_mm, to_mm : float
        Where it begins and ends along that run [mm].
    answer : Answer
        The exact answer; ``answer.job`` is the derived job.
    joints : tuple of str
        Movement joints under it, in words.
    """

    name: str
    run: str
    first: int
    last: int
    from_unit: str
    to_unit: str
    from_mm: float
    to_mm: float
    answer: Answer = field(repr=False)
    joints: tuple[str, ...] = ()

    @property
    def job(self) -> Job:
        """The zone as a job: its units as a run, its height set, the packers left for it."""
        return self.answer.job

    @property
    def datum_mm(self) -> float:
        """Its level: the underside of its bearers [mm]."""
        return self.answer.datum.datum_mm

    @property
    def base_top_mm(self) -> float:
        """Its base top, in the survey's datum [mm]."""
        return self.answer.datum.base_top_mm

    @property
    def stacks_mm(self) -> pd.Series[float]:
        """Height of each stack, by support [mm]."""
        return self.answer.stacks.groupby("support", sort=False)["thickness_mm"].sum()

    @property
    def packing_mm(self) -> float:
        """Height of all stacks together [mm]."""
        return float(self.answer.stacks["thickness_mm"].sum())


@dataclass(frozen=True, eq=False)
class ZoneStep:
    """Where two zones meet.

    Parameters
    ----------
    one, other : Zone
        The zones; in a run the left and the right one.
    in_run : bool
        Whether they are neighbours in one run; otherwise their runs meet there.
    units : tuple of str
        The units on either side.
    at_mm : float
        Where in the run, in the middle of the gap [mm]; nan where runs meet.
    place_mm : tuple of float
        The same in the plan, at the units' fronts [mm].
    ramps : tuple of Ramp
        The ramp beside it, where one is asked for and the floor steps there.
    no_ramp : str
        Why there is none, in words, where one is asked for.
    """

    one: Zone
    other: Zone
    in_run: bool
    units: tuple[str, str]
    at_mm: float = np.nan
    place_mm: tuple[float, float] = (np.nan, np.nan)
    ramps: tuple[Ramp, ...] = ()
    no_ramp: str = ""

    @property
    def step_mm(self) -> float:
        """How much higher the other zone's base top is [mm]."""
        return self.other.base_top_mm - self.one.base_top_mm


@dataclass(frozen=True, eq=False)
class Zones:
    """A base parted into level zones.

    Parameters
    ----------
    job, base : Job, Base
        What was parted.
    zones : tuple of Zone
        Run by run from left to right.
    steps : tuple of ZoneStep
        Where they meet.
    menu : tuple of Choice
        Each number of zones of each run, as if it stood alone.
    meets : tuple of (str, str)
        Runs whose levels were chosen together.
    cautions : tuple of str
        One sentence each.
    """

    job: Job
    base: Base
    zones: tuple[Zone, ...]
    steps: tuple[ZoneStep, ...]
    menu: tuple[Choice, ...] = field(repr=False)
    meets: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def packing_mm(self) -> float:
        """Height of all stacks of all zones together [mm]."""
        return sum(zone.packing_mm for zone in self.zones)

    @property
    def pieces(self) -> int:
        """Packers in all stacks of all zones."""
        return sum(zone.answer.pieces for zone in self.zones)

    @property
    def answers(self) -> Mapping[str, Answer]:
        """The answer of each zone, by its name."""
        return {zone.name: zone.answer for zone in self.zones}

    def zone(self, name: str) -> Zone:
        """Return the zone of that name."""
        return next(zone for zone in self.zones if zone.name == name)

    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Return every table by the name of its file.

        zones.csv, zone-steps.csv, zone-menu.csv, and zone-ramps.csv where there are ramps.
        """
        tables = {
            "zones.csv": zone_table(self.zones),
            "zone-steps.csv": step_table(self.steps),
            "zone-menu.csv": menu_table(self.job, self.menu, self.zones),
        }
        ramps = ramp_table(self.steps)
        return {**tables, "zone-ramps.csv": ramps} if len(ramps) else tables
