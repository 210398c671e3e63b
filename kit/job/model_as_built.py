"""``[as_built]``: what was read on the finished base."""

from __future__ import annotations

import datetime
from typing import Annotated

from pydantic import BeforeValidator, Field

from kit.job.model_parts import Name, Part
from kit.job.model_survey import Survey


def _a_day(value: object) -> object:
    """Return the day that a text names; whatever else it is, as it is."""
    if not isinstance(value, str):
        return value
    return datetime.date.fromisoformat(value)


class Check(Survey):
    """``[[as_built.survey]]``: one table of readings on the finished base."""


class Left(Part):
    """So many packers of one size that are left in the bag; no count means as many as wanted."""

    mm: Annotated[float, Field(gt=0, le=500)]
    count: Annotated[int, Field(ge=0, le=1_000_000)] | None = None


class AsBuilt(Part):
    """``[as_built]``: what was read on the finished base, when, with what, by whom."""

    date: Annotated[datetime.date, BeforeValidator(_a_day)]
    by: Name
    instrument: Name
    #: Which base stands there; the first of the job unless given.
    base: Name | None = None
    #: How far off one level any of its supports may be; the base's tolerance unless given.
    tolerance_mm: Annotated[float, Field(gt=0, le=50)] | None = None
    #: A table of the stacks as they stand (support, packers_mm); as planned unless given.
    stacks_file: Name | None = None
    #: Packers left, each size that there is any of; where nothing is given, what the stock holds
    #: beyond the stacks that stand.
    left: tuple[Left, ...] = ()
    surveys: Annotated[tuple[Check, ...], Field(alias="survey", min_length=1)]
