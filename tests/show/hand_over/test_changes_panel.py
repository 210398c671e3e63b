"""The panel without a browser: another tolerance, another bag, nonsense, inches."""

from __future__ import annotations

import re

import kit
from kit.as_built import Checked
from kit.show.hand_over.changes_panel import ChangesPanel


def words(html: str) -> str:
    return " ".join(re.sub("<[^>]*>", " ", re.sub("<style>.*?</style>", " ", html)).split())


def test_it_begins_with_what_the_check_says(checked: Checked) -> None:
    panel = ChangesPanel(checked)
    assert panel.tolerance.value == "1"
    assert [box.description for box in panel.left] == [
        "1 mm left", "3 mm left", "6 mm left", "18 mm left",
    ]  # fmt: skip
    assert [box.value for box in panel.left] == ["19", "32", "46", "13"]
    assert words(panel.message.value).startswith("Base: ✗ outside (2 outside, ")
    assert words(panel.message.value).endswith("of 24). To change: open 2 stacks; B5, F8.")
    assert "take out 6, put in 3" in words(panel.page.value)


def test_another_tolerance_finds_other_changes_and_saves_nothing(checked: Checked) -> None:
    panel = ChangesPanel(checked)
    kept = (checked.answer.job.folder / "job.toml").read_bytes()
    panel.tolerance.value = "5"
    assert panel.checked.tolerance_mm == 5.0
    assert "To change: nothing; no stack has to be opened." in words(panel.message.value)
    assert "What to change" not in panel.page.value
    assert all(not trace.x for trace in panel.figure.widget.data if trace.meta == "after")
    panel.tolerance.value = "1"
    assert panel.checked.changes.changed["support"].tolist() == ["B5", "F8"]
    assert (checked.answer.job.folder / "job.toml").read_bytes() == kept


def test_an_emptier_bag_finds_other_changes(checked: Checked) -> None:
    panel = ChangesPanel(checked)
    panel.left[1].value = "0"  # no packer of 3 mm
    bag = panel.checked.changes.bag.set_index("nominal_mm")
    assert bag.loc[3.0, "left_before"] == 0
    assert bag.loc[3.0, "left_after"] >= 0
    assert panel.checked.changes.possible
    assert panel.checked.changes.handled > checked.changes.handled
    panel.left[1].value = "as wanted"
    assert panel.checked.changes.handled == checked.changes.handled


def test_nonsense_is_refused_and_the_last_answer_stays(checked: Checked) -> None:
    panel = ChangesPanel(checked)
    panel.tolerance.value = "0.9"
    last, page = panel.checked, panel.page.value
    for typed in ("", "wide", "0", "-1", "nan", "inf", "50.1", "1_0", "<b>1</b>", "9" * 6000):
        panel.tolerance.value = typed
        assert 'role="alert"' in panel.message.value
        assert "tolerance: found" in words(panel.message.value)
        assert "<b>" not in panel.message.value
        assert len(panel.message.value) < 600
        assert (panel.checked, panel.page.value) == (last, page)
    panel.tolerance.value = "0.9"
    for typed in ("", "many", "-1", "2.5", "1000001", "٣", "9" * 6000):
        panel.left[0].value = typed
        assert "packers of 1 mm left: found" in words(panel.message.value)
        assert panel.page.value == page
    panel.left[0].value = "19"
    assert 'role="status"' in panel.message.value


def test_inches_are_typed_as_inches(inch_checked: Checked) -> None:
    panel = ChangesPanel(inch_checked)
    assert panel.tolerance.description == "tolerance [in]"
    assert panel.tolerance.value == "0.0393701"  # 1 mm
    panel.left[0].value = "18"
    assert panel.checked.tolerance_mm == 1.0  # the box rounds, the job does not
    panel.tolerance.value = "1/4"
    assert panel.checked.tolerance_mm == 6.35
    panel.tolerance.value = "one"
    assert "a length in inches, more than 0" in words(panel.message.value)


def test_a_base_on_feet_has_a_tolerance_and_no_bag(checked: Checked) -> None:
    answer = checked.answer
    feet = kit.solve(answer.job, "screw feet", before=answer)
    named = answer.job.as_built.model_copy(update={"base": "screw feet", "stacks_file": None})
    job = answer.job.model_copy(update={"as_built": named})
    panel = ChangesPanel(kit.check_base(job, answer=feet))
    assert panel.left == []
    turned = panel.checked.changes.turns.turned["support"].tolist()
    assert turned
    assert words(panel.message.value).endswith(f"feet; {', '.join(turned)}.")
    assert "<caption>What to turn</caption>" in panel.page.value
    panel.tolerance.value = "6"
    assert panel.checked.tolerance_mm == 6.0
    assert words(panel.message.value).endswith("To change: nothing; no foot has to be turned.")
    assert "<caption>What to turn</caption>" not in panel.page.value
