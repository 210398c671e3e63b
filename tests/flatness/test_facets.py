"""Facets against their own integrals, done by other means."""

import numpy as np
import pytest
from scipy.integrate import dblquad

from kit.flatness.facets import NOTHING_MM, Facets, above_nothing


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")  # of the kink
@pytest.mark.parametrize(
    "corners", [(2.0, -1.0, -3.0), (-2.0, 0.7, 3.0), (1.0, 2.0, 4.0), (0.0, 2.0, -1.0)]
)
def test_a_triangle_above_nothing_against_a_numerical_integral(corners):
    a, b, c = corners

    def depth(v, u):
        return max(a + (b - a) * u + (c - a) * v, 0.0)

    # Twice the integral over the triangle of u, v: its area is a half. Kinks cost the quadrature
    # its accuracy: 1e-5 asked, 1e-4 allowed.
    found, _ = dblquad(depth, 0, 1, 0, lambda u: 1 - u, epsabs=1e-5, epsrel=1e-5)
    part = above_nothing(np.array(corners)[:, None])
    assert part.above_mm[0] == pytest.approx(2 * found, abs=1e-4)


def test_a_triangles_share_by_counting_places():
    corners = np.array([[2.0], [-1.0], [-3.0]])
    u, v = np.random.default_rng(4).random((2, 200_000))
    u, v = np.where(u + v > 1, (1 - u, 1 - v), (u, v))
    above = (corners[0] * (1 - u - v) + corners[1] * u + corners[2] * v > 0).mean()
    # 4 standard errors of a share of 0.27 among 200,000 places: 0.004.
    assert above_nothing(corners).share[0] == pytest.approx(above, abs=0.004)
    assert above_nothing(corners).share[0] == pytest.approx(2 / 3 * 2 / 5, abs=1e-15)


def floor_with_holes():
    depth = np.random.default_rng(0).normal(0, 2, (7, 9))
    depth[2, 3] = depth[0, 0] = depth[6, 4] = depth[5, 4] = np.nan
    return depth


def test_the_integral_is_the_sum_over_the_cells_whatever_the_holes():
    depth = floor_with_holes()
    facets = Facets(depth)
    # Sums of 59 numbers of about 2: round-off is 1e-14.
    assert facets.mean_mm.sum() == pytest.approx(np.nansum(depth), abs=1e-12)
    net = facets.above_mm.sum() - facets.below_mm.sum()
    assert net == pytest.approx(np.nansum(depth), abs=1e-12)
    assert (facets.share_above + facets.share_below)[facets.known] == pytest.approx(1.0)
    assert facets.share_above[~facets.known].tolist() == [0.0] * 4


def test_volume_and_area_of_cells_by_a_fine_grid_of_places():
    """The surface as its docstring says it, sampled place by place with no use of triangles."""
    depth = np.array([[1.0, -2.0], [-3.0, 4.0]])
    count, above = 400, np.zeros((2, 2))
    offsets = (np.arange(count) + 0.5) / count - 0.5
    for row in range(2):
        for column in range(2):
            v, u = np.meshgrid(offsets, offsets, indexing="ij")
            inner_u, inner_v = (u > 0) == (column == 0), (v > 0) == (row == 0)
            along, down = np.where(inner_u, abs(u), 0.0), np.where(inner_v, abs(v), 0.0)
            own, across = depth[row, column], depth[row, 1 - column]
            below, corner = depth[1 - row, column], depth.mean()
            # In the inner quarter two triangles about the shared corner; outside it level across.
            side_u, side_v = (own + across) / 2, (own + below) / 2
            first = own + 2 * along * (side_u - own) + 2 * down * (corner - side_u)
            second = own + 2 * down * (side_v - own) + 2 * along * (corner - side_v)
            inner = np.where(along >= down, first, second)
            only_u = own + 2 * abs(u) * (side_u - own)
            only_v = own + 2 * abs(v) * (side_v - own)
            value = np.where(
                inner_u & inner_v,
                inner,
                np.where(inner_u, only_u, np.where(inner_v, only_v, own)),
            )
            above[row, column] = np.maximum(value, 0).mean()
    # Midpoints of 160,000 places on kinked planes: 1e-5 of 4 mm; 2e-4 is generous.
    assert Facets(depth).above_mm == pytest.approx(above, abs=2e-4)


def test_slopes_are_the_differences_of_the_sums():
    depth, step = floor_with_holes(), 1e-6
    some = np.random.default_rng(5).random(depth.shape) < 0.6
    slopes = Facets(depth).slopes(some & np.isfinite(depth))
    for row, column in [(3, 3), (0, 1), (6, 8), (4, 4), (2, 2)]:
        moved = np.zeros(depth.shape)
        moved[row, column] = step
        high, low = Facets(depth + moved), Facets(depth - moved)

        def change(name, high=high, low=low):
            return (getattr(high, name)[some].sum() - getattr(low, name)[some].sum()) / 2 / step

        at = (row, column)
        # Central differences of 1e-6: truncation 1e-8 and round-off 1e-8.
        assert slopes.above[at] == pytest.approx(change("above_mm"), abs=1e-6)
        assert -slopes.below[at] == pytest.approx(change("below_mm"), abs=1e-6)
        assert slopes.area_above[at] == pytest.approx(change("share_above"), abs=1e-6)


def test_a_floor_that_lies_in_its_datum_to_round_off_has_neither_hollow_nor_hump():
    facets = Facets(np.array([[0.5, -0.4, 0.2], [-0.3, 0.1, 0.0]]) * NOTHING_MM)
    assert facets.share_above.sum() == facets.share_below.sum() == 0.0
    assert facets.above_mm.sum() == 0.0
