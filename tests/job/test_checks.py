"""Keys of a survey that its kind has no use for."""

from __future__ import annotations

import pytest

from kit.job.read import read_text
from kit.job.refusal import Refusal


@pytest.mark.parametrize("kind", ["heights", "grid", "staff"])
@pytest.mark.parametrize(
    ("line", "key", "home"),
    [
        ("cell_mm = 50", "cell_mm", "scan"),
        ('cell_in = "2 1/2"', "cell_in", "scan"),
        ('points_file = "places.csv"', "points_file", "level"),
    ],
)
def test_keys_of_other_kinds_are_refused(boot_room, tmp_path, kind, line, key, home):
    text = boot_room.replace('kind = "heights"', f'kind = "{kind}"\n{line}')
    with pytest.raises(Refusal) as caught:
        read_text(text, tmp_path)
    assert str(caught.value) == (
        f'job.toml, survey "heights.csv", {key}: found a key of readings of kind "{home}";'
        f' allowed: no {key.replace("_in", "_mm")} with kind "{kind}"'
    )


def test_of_a_kind_that_is_not_read_yet_only_the_kind_is_refused(boot_room, tmp_path):
    text = boot_room.replace('kind = "heights"', 'kind = "scan"\ncell_mm = 50')
    with pytest.raises(Refusal) as caught:
        read_text(text, tmp_path)
    assert len(caught.value.problems) == 1
    assert "kind" in caught.value.problems[0].where
