import pytest

from kit.job import Refusal
from kit.scan.las_unit import unit_from_keys, unit_from_text

#: Shape of a compound system in the second edition of well-known text (OGC 18-010r7, section 16).
COMPOUND = (
    'COMPOUNDCRS["hall",PROJCRS["plan",BASEGEOGCRS["g",DATUM["d",ELLIPSOID["e",6378137,298.2,'
    'LENGTHUNIT["metre",1]]]],CONVERSION["c",METHOD["m"],PARAMETER["p",5,LENGTHUNIT["metre",1]]],'
    'CS[Cartesian,2],AXIS["x",east],LENGTHUNIT["foot",0.3048]],VERTCRS["v",VDATUM["w"],'
    'CS[vertical,1],AXIS["h",up],LENGTHUNIT["metre",1]]]'
)


def test_plan_in_feet_and_heights_in_metres():
    assert unit_from_text(COMPOUND, "hall.las") == (304.8, 1000.0)


def test_degrees_are_refused():
    text = 'GEOGCS["g",DATUM["d",SPHEROID["s",6378137,298.2]],UNIT["degree",0.01745]]'
    with pytest.raises(Refusal, match="degrees"):
        unit_from_text(text, "hall.las")
    with pytest.raises(Refusal, match="degrees"):
        unit_from_keys([(1024, 2)], "hall.las")


def test_text_without_a_unit_says_nothing():
    assert unit_from_text('LOCAL_CS["hall"]', "hall.las") is None


@pytest.mark.parametrize(
    ("keys", "units"),
    [
        ([(1024, 1), (3076, 9001)], (1000.0, 1000.0)),
        ([(3076, 9002), (4099, 9001)], (304.8, 1000.0)),
        # 1200/3937 m: NIST SP 811, appendix B.6.
        ([(3076, 9003)], (304.80060960121924, 304.80060960121924)),
        ([(1024, 1)], None),
    ],
)
def test_keys(keys, units):
    # A quotient rounds in its last bit.
    found = unit_from_keys(keys, "hall.las")
    assert found == (units and pytest.approx(units, rel=1e-15))


def test_unknown_code():
    with pytest.raises(Refusal, match="code 9096"):
        unit_from_keys([(3076, 9096)], "hall.las")
