"""Beams held both ways, against a general finite-element library for frames (PyNiteFEA).

Its members are Bernoulli's, so the shear term is left out here; that has closed forms of its own.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from Pynite import FEModel3D

from kit.strength.beam import Beam, Loads
from kit.strength.line import held

CASES = 200


def case(seed: int) -> tuple[Beam, Loads, np.ndarray]:
    """Unequal spans, overhangs, point loads, patches over several spans, settlements."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 8))
    places = np.cumsum([0, *rng.uniform(60, 900, count - 1)])
    left, right = rng.uniform(10, 250, 2) * (rng.random(2) < 0.6)
    beam = Beam(
        tuple(places.tolist()),
        -float(left),
        float(places[-1] + right),
        float(10 ** rng.uniform(8, 11)),
    )
    where = rng.uniform(beam.start_mm, beam.end_mm, int(rng.integers(1, 4)))
    points = [(float(at), float(rng.uniform(5, 2000))) for at in where]
    points.append((float(rng.choice(places)), 150.0))  # right over a support
    if right:
        points.append((beam.end_mm, 40.0))
    edges = np.sort(rng.uniform(beam.start_mm, beam.end_mm, (2, 2)), axis=1).tolist()
    patches = tuple((a, b, float(rng.uniform(0.01, 2))) for a, b in edges)
    return beam, Loads(tuple(points), patches), rng.uniform(-2, 2, count)


def model_of(beam: Beam, loads: Loads, heights: np.ndarray) -> tuple[FEModel3D, list[float]]:
    """One member between each two nodes (supports and ends); 1 N/mm2 times ``ei`` mm4."""
    model = FEModel3D()
    nodes = sorted({beam.start_mm, *beam.supports_mm, beam.end_mm})
    model.add_material("timber", E=1.0, G=1.0, nu=0.3, rho=0.0)
    model.add_section("bearer", A=1e6, Iy=beam.ei_n_mm2, Iz=beam.ei_n_mm2, J=1e6)
    height = dict(zip(beam.supports_mm, heights.tolist(), strict=True))
    for number, x in enumerate(nodes):
        name = f"N{number}"
        model.add_node(name, x, 0, 0)
        model.def_support(name, number == 0, x in height, True, True, True, False)
        if x in height:
            model.def_node_disp(name, "DY", height[x])
    for number, (a, b) in enumerate(pairwise(nodes)):
        model.add_member(f"M{number}", f"N{number}", f"N{number + 1}", "timber", "bearer")
        for start, end, each in loads.patches:
            if max(start, a) < min(end, b):
                inside = (max(start, a) - a, min(end, b) - a)
                model.add_member_dist_load(f"M{number}", "FY", -each, -each, *inside)
    for place, force in loads.points:
        number = min(int(np.searchsorted(nodes, place, side="right")) - 1, len(nodes) - 2)
        model.add_member_pt_load(f"M{number}", "FY", -force, place - nodes[number])
    model.analyze_linear(check_stability=False, check_statics=False, sparse=False)
    return model, nodes


@pytest.mark.parametrize("seed", range(CASES))
def test_against_frames(seed: int) -> None:
    beam, loads, heights = case(seed)
    line = held(beam, loads, heights)
    model, nodes = model_of(beam, loads, heights)
    held_at = [nodes.index(x) for x in beam.supports_mm]
    reactions = np.array([model.nodes[f"N{n}"].RxnFY["Combo 1"] for n in held_at])
    # Both solve the same equations exactly but for round-off, which an element of 10 mm beside one
    # of 900 mm makes some thousand times larger: 1e-10 of the greatest force at work.
    greatest = float(np.abs(reactions).max())
    assert line.reactions_n == pytest.approx(reactions, abs=1e-10 * greatest)
    for number, (a, b) in enumerate(pairwise(nodes)):
        member = model.members[f"M{number}"]
        # Its moments are positive where the member hogs.
        ends = [-member.moment("Mz", 0.0), -member.moment("Mz", b - a)]
        lever = greatest * (beam.end_mm - beam.start_mm)
        assert line.moment_n_mm([a, b]) == pytest.approx(ends, abs=1e-10 * lever)
        inner = a + (b - a) * np.array([0.13, 0.5, 0.81])
        down = [member.deflection("dy", float(x - a)) for x in inner]
        # The same of heights of some mm.
        assert line.height_mm(inner) == pytest.approx(down, rel=1e-9, abs=1e-8)
