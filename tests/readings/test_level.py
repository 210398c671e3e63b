"""Spirit-level tables, and what the level's own error does in the adjustment."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.regression.linear_model import WLS

from kit.job.refusal import Refusal
from kit.readings import adjust, read_readings

POINTS = "point,x_mm,y_mm\nP1,0,0\nP2,1000,0\nP3,1000,1500\nP4,2500,1500\n"
HEADER = "from,to,packer_mm,under,reversed\n"


@pytest.fixture
def level(make_job, tmp_path):
    def make(text: str, **keys: object):
        (tmp_path / "places.csv").write_text(POINTS)
        table = {"kind": "level", "text": text, "points_file": "places.csv", **keys}
        return read_readings(make_job(levels=table))

    return make


def test_the_lifted_end_is_the_lower_one(level):
    readings = level("from,to,packer_mm,under\nP1,P2,3,from\nP2,P3,2.5,to\nP3,P4,0,\n")
    assert readings.rows["observed_mm"].tolist() == [3.0, -2.5, 0.0]
    heights = adjust(readings, "P1", 100.0).points.set_index("point")["height_mm"]
    assert heights.to_dict() == pytest.approx({"P1": 100, "P2": 103, "P3": 100.5, "P4": 100.5})


def test_places_come_from_the_points_file_and_only_points_that_are_read_count(level):
    readings = level("from,to,packer_mm,under\nP4,P2,3,from\nP2,P3,2,to\n")
    assert readings.places["point"].tolist() == ["P4", "P2", "P3"]
    assert readings.places["x_mm"].tolist() == [2500, 1000, 1000]
    assert readings.rows["span_m"].tolist() == pytest.approx([np.hypot(1.5, 1.5), 1.5])


def test_places_may_come_from_another_survey(make_job):
    staff = (
        "setup,point,x_mm,y_mm,reading_mm\nS1,P1,0,0,1400\nS1,P2,1000,0,1401\nS1,P3,0,900,1399\n"
    )
    text = "from,to,packer_mm,under\nP1,P2,1.2,to\n"
    readings = read_readings(
        make_job(staff={"kind": "staff", "text": staff}, level={"kind": "level", "text": text})
    )
    heights = adjust(readings, "P1", 0.0)
    # Staff says -1 with variance 0.5, the level -1.2 with variance 0.25: weights 1 to 2.
    assert heights.points["height_mm"][1] == pytest.approx(-(1 + 2 * 1.2) / 3)


def test_reversal_gives_the_levels_own_error(level):
    """Common practice, no source: half the difference is the error, the mean is the truth."""
    text = HEADER + "P1,P2,3.4,from,false\nP1,P2,2.6,from,true\nP2,P3,1,to,\nP3,P4,2,from,no\n"
    heights = adjust(level(text), "P1", 0.0)
    at = heights.points.set_index("point")["height_mm"]
    # 3.4 and 2.6 over 1 m: e = 0.4 mm/m, P2 is 3.0 up; over 1.5 m it is 0.6 mm.
    assert at["P2"] == pytest.approx(3.0)
    assert at["P3"] == pytest.approx(3.0 - 1.0 - 0.6)
    assert at["P4"] == pytest.approx(1.4 + 2.0 - 0.6)
    (note,) = [n for n in heights.notes if "own error" in n]
    # sd of half a difference of two readings of 0.5 mm over 1 m.
    assert f"0.40 mm/m (sd {0.5 / np.sqrt(2):.2f})" in note
    assert not any("own error" in caution for caution in heights.cautions)


def test_a_known_own_error_is_taken_off(level):
    text = "from,to,packer_mm,under\nP1,P2,3.4,from\nP2,P3,1,to\n"
    heights = adjust(level(text, own_error_mm_per_m=0.4), "P1", 0.0)
    assert heights.points["height_mm"].tolist() == pytest.approx([0, 3.0, 3.0 - 1.6])
    assert any("0.4 mm/m, as the job says" in note for note in heights.notes)
    assert heights.residuals["observed_mm"].tolist() == [3.4, -1.0]


def test_an_unknown_own_error_is_a_caution_with_its_effect(level):
    heights = adjust(
        level("from,to,packer_mm,under\nP1,P2,3,from\nP2,P3,1,to\nP3,P4,2,to\n"), "P1", 0
    )
    (caution,) = [c for c in heights.cautions if "own error" in c]
    assert "no reading with the level turned end for end" in caution
    # 1 + 1.5 + 1.5 m in one direction, 0.1 mm/m each.
    assert "sets P1 and P4 wrong to each other by 0.40 mm" in caution


def test_turned_readings_that_do_not_tell_the_error(level):
    heights = adjust(level(HEADER + "P1,P2,3,from,no\nP2,P3,1,to,yes\nP3,P4,2,to,no\n"), "P1", 0.0)
    (caution,) = [c for c in heights.cautions if "own error" in c]
    assert "but none that tells well what the error is" in caution
    assert heights.points["height_mm"].tolist() == pytest.approx([0, 3, 2, 0])


def test_one_level_that_does_not_tell_its_error_leaves_the_others_theirs(make_job, tmp_path):
    (tmp_path / "places.csv").write_text(POINTS + "P5,3200,700\n")
    told = HEADER + "P1,P2,4,from,no\nP1,P2,2,from,yes\nP2,P3,2.5,from,no\nP2,P3,0.5,to,yes\n"
    loose = HEADER + "P3,P4,2,from,no\nP4,P5,1,from,yes\n"
    keys = {"kind": "level", "points_file": "places.csv", "sd_mm": 0.1}
    heights = adjust(
        read_readings(make_job(told={**keys, "text": told}, loose={**keys, "text": loose})),
        "P1",
        0.0,
    )
    # 4 and 2 over 1 m, 2.5 and -0.5 over 1.5 m: e = 1.0 mm/m both times.
    assert any("told.csv" in n and "own error, 1.00 mm/m" in n for n in heights.notes)
    (caution,) = [c for c in heights.cautions if "own error is not known" in c]
    assert caution.startswith("loose.csv")
    at = heights.points.set_index("point")["height_mm"]
    assert at["P2"] == pytest.approx(3.0, abs=0.05)
    assert not any("told.csv" in sentence for sentence in heights.suspects)


def test_an_own_error_told_only_by_a_short_span_is_not_taken_out(make_job, tmp_path):
    (tmp_path / "places.csv").write_text("point,x_mm,y_mm\nA,0,0\nB,1.5,0\nC,1600,0\n")
    text = HEADER + "A,B,0.1,from,no\nA,B,0,,yes\nB,C,1,from,no\n"
    table = {"kind": "level", "text": text, "points_file": "places.csv"}
    heights = adjust(read_readings(make_job(levels=table)), "A", 0.0)
    assert heights.points["height_mm"].tolist() == pytest.approx([0, 0.05, 1.05])
    assert any("none that tells well what the error is" in c for c in heights.cautions)


def test_an_own_error_that_no_sound_level_has_is_a_caution(level):
    text = HEADER + "P1,P2,3.4,from,no\nP1,P2,2.6,to,yes\nP2,P3,1,to,\nP3,P4,0,,\n"
    heights = adjust(level(text), "P1", 0.0)
    (caution,) = [c for c in heights.cautions if "own error" in c]
    assert "3.00 mm/m" in caution
    assert "look whether the right end stands under 'under'" in caution


def test_the_length_of_the_level_is_kept_for_the_record(level):
    readings = level("from,to,packer_mm,under,level_mm\nP1,P2,3,from,1200\nP2,P3,1,to,600\n")
    assert readings.tables[0].extra["level_mm"].tolist() == ["1200", "600"]


def test_a_mixed_network_equals_statsmodels(mixed):
    for seed in range(5):
        made = mixed(seed)
        rows = made.readings.rows
        heights = adjust(made.readings, "B3", 517.25)  # far from what the heights table books
        names: dict[tuple[str, str], int] = {}
        design = np.zeros((len(rows), 200))
        for i, row in enumerate(rows.to_dict("records")):
            sign = {"heights": 1, "level": 1}.get(row["kind"], -1)
            terms = [("h", row["point"], sign)]
            if row["kind"] == "level":
                step = made.readings.places.set_index("point")[["x_mm", "y_mm"]]
                span = np.hypot(*(step.loc[row["point"]] - step.loc[row["start"]])) / 1000
                terms += [("h", row["start"], -1), ("own", "", span * row["turned"])]
            else:
                terms += [("line", row["station"], 1)]
            if row["kind"] == "straightedge":
                terms += [("slope", row["station"], row["x_mm"] / 1000)]
            for kind, name, factor in terms:
                design[i, names.setdefault((kind, name), len(names))] += factor
        design = design[:, : len(names)]
        fixed = names["h", "B3"]
        kept = [c for c in range(len(names)) if c != fixed]
        observed = rows["observed_mm"].to_numpy() - 517.25 * design[:, fixed]
        fit = WLS(observed, design[:, kept], weights=rows["sd_mm"].to_numpy() ** -2.0).fit()
        value = dict(zip(kept, fit.params, strict=True))
        sd = dict(zip(kept, np.sqrt(np.diag(fit.normalized_cov_params)), strict=True))
        for point, height, doubt in heights.points[["point", "height_mm", "sd_mm"]].to_numpy():
            if point == "B3":
                continue
            # Both solve to rounding; statsmodels by the pseudo-inverse of a longer matrix.
            assert height == pytest.approx(value[names["h", point]], abs=1e-7)
            assert doubt == pytest.approx(sd[names["h", point]], abs=1e-7)
        assert heights.residuals["residual_mm"].to_numpy() == pytest.approx(-fit.resid, abs=1e-7)
        assert heights.sigma0 == pytest.approx(np.sqrt(fit.scale), rel=1e-7)
        own = value[names["own", ""]]
        assert any(
            f"own error, {own:.2f} mm/m (sd {sd[names['own', '']]:.2f})" in n for n in heights.notes
        )


def test_a_staff_alone_or_all_kinds_give_one_height_a_point(mixed):
    heights = adjust(mixed(3).readings, None, 0.0)
    assert len(heights.points) == 15
    assert heights.points["point"].is_unique
    alone = adjust(type(mixed(3).readings)((mixed(3).readings.tables[0],)), None, 0.0)
    both = heights.points.set_index("point")["sd_mm"]
    # More readings, less doubt, although both are relative to a mean (of nearly the same points).
    assert both["B3"] < alone.points.set_index("point")["sd_mm"]["B3"]


BAD = [
    ("P1,P2,3,fore,\n", "levels.csv, row 2, under: found 'fore'; allowed: from or to, the end that"
     " was lifted; empty only without packers"),
    ("P1,P2,3,,\n", "levels.csv, row 2, under: found an empty cell; allowed: from or to, the end"
     " that was lifted; empty only without packers"),
    ("P1,P2,3,to,maybe\n", "levels.csv, row 2, reversed: found 'maybe'; allowed: true, false or"
     " empty"),
    ("P1,P1,3,to,\n", "levels.csv, row 2, from and to: found P1 twice; allowed: the level's two"
     " ends"),
    ("P1,P2,-3,to,\n", "levels.csv, row 2, packer_mm: found -3 mm; allowed: packers under the lower"
     " end: a number, from 0 to 500 mm"),
    ("P1,P9,3,to,\nP1,P2,1,to,\n", "levels.csv, row 2, point P9: found no place for it in any"
     " table; allowed: a row with its x_mm and y_mm in the table named by points_file, or in"
     " another survey"),
    ("P1,P2,0.003,to,\nP2,P3,0.0045,to,\n", "levels.csv, column packer_mm: found packers from 0.003"
     " to 0.0045 mm, which look like metres; allowed: packers in millimetres (metres times 1000)"),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "message"), BAD, ids=range(len(BAD)))
def test_bad_tables(level, rows, message):
    with pytest.raises(Refusal) as caught:
        level(HEADER + rows)
    assert str(caught.value) == message


def test_parts_that_no_line_ties_are_named(level):
    with pytest.raises(Refusal, match=r"levels.csv, row 3.*points P3, P4, tied to"):
        adjust(level("from,to,packer_mm,under\nP1,P2,3,from\nP3,P4,2,to\n"), "P1", 0.0)


@pytest.mark.parametrize(("known", "contradicted"), [(0.4, False), (0.6, False), (-0.9, True)])
def test_a_known_own_error_is_held_against_lines_read_both_ways(level, known, contradicted):
    """Half the difference is the error: +0.4 on both lines, sd 0.5/sqrt(2)/sqrt(1 + 2.25)."""
    text = HEADER + "P1,P2,3.4,from,no\nP1,P2,2.6,from,yes\nP3,P2,2.2,from,no\nP2,P3,1,to,no\n"
    text += "P3,P4,1,from,no\n"
    heights = adjust(level(text, own_error_mm_per_m=known), "P1", 0.0)
    said = [c for c in heights.cautions if "where the job says" in c]
    assert bool(said) is contradicted
    if contradicted:
        assert "an own error of" in said[0]
        assert "the job says -0.9" in said[0]
