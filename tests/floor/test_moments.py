import numpy as np
import pytest

from kit.floor import Moments, fit_plane, fit_plane_of_many
from kit.job.refusal import Refusal


def cloud(count=40_000, offset_mm=0.0, fall=0.002, noise_mm=0.8, seed=1):
    generator = np.random.default_rng(seed)
    x = generator.uniform(0, 24_000, count) + offset_mm
    y = generator.uniform(0, 16_000, count) - 2 * offset_mm
    z = 12.0 + fall * (x - offset_mm) - fall / 3 * y + generator.normal(0, noise_mm, count)
    return x, y, z


def in_long_double(x, y, z):
    """Coefficients about the middle, cofactors and sum of squares with 19 figures throughout."""
    x, y, z = (np.asarray(column, np.longdouble) for column in (x, y, z))
    middle = x.mean(), y.mean()
    columns = (np.ones_like(x), x - middle[0], y - middle[1])
    normal = np.array([[np.sum(a * b) for b in columns] for a in columns])
    right = np.array([np.sum(a * z) for a in columns])
    # Cramer's rule: numpy solves no equations of long doubles.
    whole = determinant(normal)
    solution = np.empty(3, np.longdouble)
    for k in range(3):
        swapped = normal.copy()
        swapped[:, k] = right
        solution[k] = determinant(swapped) / whole
    left = z - sum(c * column for c, column in zip(solution, columns, strict=True))
    return solution, np.sum(left**2)


def determinant(m):
    return (
        m[0, 0] * (m[1, 1] * m[2, 2] - m[1, 2] * m[2, 1])
        - m[0, 1] * (m[1, 0] * m[2, 2] - m[1, 2] * m[2, 0])
        + m[0, 2] * (m[1, 0] * m[2, 1] - m[1, 1] * m[2, 0])
    )


@pytest.mark.parametrize("offset_mm", [0.0, 1e6, -3e7])
@pytest.mark.parametrize(("fall", "noise_mm"), [(0.002, 0.8), (0.3, 0.001), (0.0, 0.8)])
def test_figures_are_those_of_long_doubles(offset_mm, fall, noise_mm):
    x, y, z = cloud(offset_mm=offset_mm, fall=fall, noise_mm=noise_mm)
    plane = fit_plane_of_many(x, y, z)
    solution, squares = in_long_double(x, y, z)
    # A place 3e7 mm away is itself rounded to 4e-9 mm, 5e-13 of the room.
    tiny = 1e-9 * noise_mm
    assert plane.centre_height_mm == pytest.approx(float(solution[0]), abs=1e-8)
    assert plane.rise_x_mm_per_m == pytest.approx(float(solution[1]) * 1000, abs=tiny + 1e-11)
    assert plane.rise_y_mm_per_m == pytest.approx(float(solution[2]) * 1000, abs=tiny + 1e-11)
    assert plane.rms_mm == pytest.approx(float(np.sqrt(squares / len(x))), rel=1e-6)


def test_what_it_tells_is_what_the_plane_with_residuals_tells():
    x, y, z = cloud(900)
    many, plane = fit_plane_of_many(x, y, z), fit_plane(x, y, z)
    for name in ("c_mm", "c_sd_mm", "rise_x_sd_mm_per_m", "fall_mm_per_m", "fall_towards_deg"):
        assert getattr(many, name) == pytest.approx(getattr(plane, name), rel=1e-9)
    for name in ("fall_sd_mm_per_m", "fall_towards_sd_deg", "rms_mm", "scale_mm", "r2"):
        assert getattr(many, name) == pytest.approx(getattr(plane, name), rel=1e-9)
    assert many.covariance == pytest.approx(plane.covariance, rel=1e-9, abs=1e-18)
    assert many.height_mm(700, 4100) == pytest.approx(plane.height_mm(700, 4100), rel=1e-11)
    assert many.count == 900


def test_pieces_add_up_in_any_order():
    x, y, z = cloud(5000, offset_mm=1e6, fall=0.05)
    order = np.argsort(x)
    parts = [
        Moments.of(x[rows], y[rows], z[rows]) for rows in np.array_split(order, [7, 900, 4000])
    ]
    whole = fit_plane_of_many(x, y, z)
    for a, b, c, d in (parts, parts[::-1]):
        plane = (a + b + (c + d)).plane()
        assert plane.rise_x_mm_per_m == pytest.approx(whole.rise_x_mm_per_m, abs=1e-9)
        assert plane.c_mm == pytest.approx(whole.c_mm, abs=1e-5)
        assert plane.rms_mm == pytest.approx(whole.rms_mm, rel=1e-8)
        assert plane.count == 5000


def test_a_single_scan_line_is_a_piece_though_no_plane():
    x = np.arange(40) * 25.0
    near = Moments.of(x, np.zeros(40), 0.001 * x)
    with pytest.raises(Refusal, match="on one line"):
        near.plane()
    far = Moments.of(x, np.full(40, 900.0), 0.001 * x + 1.8)
    plane = (near + far).plane()
    assert plane.rise_y_mm_per_m == pytest.approx(2.0, abs=1e-9)
    # The first line alone says nothing of the rise across: rounding of 1.8 mm, squared and summed.
    assert plane.rms_mm == pytest.approx(0.0, abs=1e-7)


def test_single_precision_and_whole_numbers_are_taken_as_they_are():
    x, y, z = (np.round(column).astype(np.int32) for column in cloud(500))
    whole = fit_plane_of_many(x, y, z)
    assert whole.rise_x_mm_per_m == pytest.approx(
        fit_plane_of_many(*(c.astype(np.float32) for c in (x, y, z))).rise_x_mm_per_m, abs=1e-9
    )


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([0, 1], [0, 1], [1, 2]), "2 point"),
        (([0, 1, 2], [0, 1, 2], [1, 2, 4]), "on one line"),
        (([0, 1, 2, 3], [0, 1, 5, 1], [1, 2, np.nan, 4]), "height_mm, row 3"),
        (([0, 1, 2, 3], [0, 1, 5], [1, 2, 2, 4]), "shapes"),
        (([], [], []), "shapes"),
    ],
)
def test_what_is_no_plane_is_refused(columns, message):
    with pytest.raises(Refusal, match=message):
        fit_plane_of_many(*columns)


def test_a_bad_number_between_the_guessed_from_is_named():
    x, y, z = cloud(5000)
    y[4321] = np.inf
    with pytest.raises(Refusal, match="y_mm, row 4322"):
        fit_plane_of_many(x, y, z)


def test_a_hundred_thousand_points_have_residuals_from_their_moments():
    x, y, z = cloud(120_000)
    plane = fit_plane(x, y, z)
    design = np.column_stack([np.ones_like(x), x, y])
    residual = z - design @ np.linalg.lstsq(design, z, rcond=None)[0]
    assert plane.residual_mm == pytest.approx(residual, abs=1e-8)
    assert plane.rms_mm == pytest.approx(float(np.sqrt(np.mean(residual**2))), rel=1e-10)
