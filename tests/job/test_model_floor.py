"""Lines and areas of the floor that a job may name, and those that are none."""

import pytest
from pydantic import ValidationError

from kit.job import FloorStep, MovementJoint


@pytest.mark.parametrize("kind", [MovementJoint, FloorStep])
def test_a_line_that_ends_where_it_begins_is_refused(kind):
    line = kind(name="bay", from_mm=(1200.0, -40.0), to_mm=(1200.0, 900.0))
    assert line.to_mm == (1200.0, 900.0)
    with pytest.raises(ValidationError, match="to_mm: another place than from_mm"):
        kind(name="bay", from_mm=(1200.0, -40.0), to_mm=(1200.0, -40.0))
