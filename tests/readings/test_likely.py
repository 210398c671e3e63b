"""Which slip an error looks like. Common practice, no source."""

from __future__ import annotations

import pytest

from kit.readings.likely import likeliest, slips_of


def named(kind, booked, error, sd=0.6, lines=None):
    return likeliest(slips_of(kind, booked, lines or {}), error, sd)


@pytest.mark.parametrize(
    ("kind", "booked", "error", "words"),
    [
        ("staff", 1442.0, 10.4, "misread by 10 mm"),
        ("staff", 1342.0, -99.1, "misread by 100 mm"),
        ("staff", 442.0, -999.4, "misread by 1000 mm"),
        ("staff", 1.4325, -1431.1, "booked in metres"),
        ("staff", 143.2, -1288.5, "booked in centimetres"),
        ("straightedge", 0.5, -12.1, "booked in inches"),
        ("staff", 1423.0, -9.2, "misread by 10 mm"),
        ("staff", 1342.0, -89.6, "two figures changed over (1342 for 1432)"),
        ("staff", 14325.0, 12892.0, "a figure too many"),
        ("staff", 1472.0, 40.3, "one figure misread, by 40 mm"),
        ("heights", -8.3, -16.4, "wrong sign"),
        ("grid", 14.2, 28.9, "wrong sign"),
        ("level", -6.0, -12.3, "the other end was lifted"),
    ],
)
def test_each_slip_is_named_first(kind, booked, error, words):
    assert named(kind, booked, error)[0] == words


def test_the_set_up_a_reading_was_taken_from():
    words = named("staff", 1412.0, 37.2, lines={"S2": 37.6, "S3": -210.0})
    assert words[0] == "taken from set-up S2"


def test_two_slips_that_fit_alike_are_both_named():
    assert named("level", 5.2, 10.2) == ("misread by 10 mm", "the other end was lifted")


@pytest.mark.parametrize(("error", "sd"), [(4.0, 0.5), (14.5, 0.6), (37.0, 0.4), (0.0, 1.0)])
def test_an_odd_error_is_no_slip(error, sd):
    assert named("staff", 1456.0, error, sd) == ()


def test_a_staff_reading_has_no_sign_and_a_gap_no_set_up():
    words = [slip.words for slip in slips_of("staff", 1400.0, {})]
    assert "wrong sign" not in words
    assert not any("set-up" in w for w in words)
