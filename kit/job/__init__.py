"""The job: what the person says, read from job.toml, in millimetres, or refused in plain words."""

from kit.job.model import (
    Base,
    Bearer,
    Floor,
    Job,
    Joists,
    Moved,
    NoGo,
    Packer,
    Plinth,
    Room,
    Run,
    Service,
    Stock,
    Survey,
    Unit,
)
from kit.job.read import read_job
from kit.job.refusal import PlacedProblem, Problem, Refusal, refuse
from kit.job.save import save_job
from kit.job.units import parse_inches, show_length

__all__ = [
    "Base",
    "Bearer",
    "Floor",
    "Job",
    "Joists",
    "Moved",
    "NoGo",
    "Packer",
    "PlacedProblem",
    "Plinth",
    "Problem",
    "Refusal",
    "Room",
    "Run",
    "Service",
    "Stock",
    "Survey",
    "Unit",
    "parse_inches",
    "read_job",
    "refuse",
    "save_job",
    "show_length",
]
