"""The job: what the person says, read from job.toml, in millimetres, or refused in plain words."""

from kit.job.amend import amend
from kit.job.differ import Difference, differences
from kit.job.draft import Draft
from kit.job.model import (
    Base,
    Bearer,
    Compound,
    Excluded,
    Floor,
    FloorStep,
    Foot,
    Job,
    Joists,
    Ladder,
    LadderBoard,
    Levels,
    Moved,
    MovementJoint,
    NoGo,
    Packer,
    Plinth,
    Rates,
    Room,
    Run,
    ScanFrame,
    Service,
    Stock,
    Survey,
    Unit,
)
from kit.job.read import read_job
from kit.job.refusal import PlacedProblem, Problem, Refusal, refuse
from kit.job.save import save_differences, save_job
from kit.job.save_as import save_job_as
from kit.job.units import parse_inches, show_length

__all__ = [
    "Base",
    "Bearer",
    "Compound",
    "Difference",
    "Draft",
    "Excluded",
    "Floor",
    "FloorStep",
    "Foot",
    "Job",
    "Joists",
    "Ladder",
    "LadderBoard",
    "Levels",
    "Moved",
    "MovementJoint",
    "NoGo",
    "Packer",
    "PlacedProblem",
    "Plinth",
    "Problem",
    "Rates",
    "Refusal",
    "Room",
    "Run",
    "ScanFrame",
    "Service",
    "Stock",
    "Survey",
    "Unit",
    "amend",
    "differences",
    "parse_inches",
    "read_job",
    "refuse",
    "save_differences",
    "save_job",
    "save_job_as",
    "show_length",
]
