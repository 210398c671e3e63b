import numpy as np
import pytest
import statsmodels.api as sm

from kit.floor.few import PlaneOnly, roughness_variance
from kit.floor.plane import Frame

X = np.array([0.0, 2100.0, 150.0, 1900.0, 1000.0])
Y = np.array([0.0, 130.0, 1500.0, 1600.0, 400.0])
Z = np.array([0.0, -3.5, 2.0, -1.0, -2.5])
AT_X, AT_Y = np.array([400.0, 1700.0]), np.array([900.0, 300.0])


def test_without_reading_noise_it_is_the_prediction_interval_of_statsmodels():
    design = Frame.of(X, Y).design(X, Y)
    variance = roughness_variance(design, Z, np.zeros((5, 5)))
    height, sd = PlaneOnly(X, Y, Z, np.zeros((5, 5)), variance).predict(AT_X, AT_Y)
    fit = sm.OLS(Z, sm.add_constant(np.column_stack([X, Y]))).fit()
    reference = fit.get_prediction(np.column_stack([np.ones(2), AT_X, AT_Y]))
    assert height == pytest.approx(reference.predicted_mean, abs=1e-10)
    # var_pred_mean of the mean plus the residual variance: a new observation's sd.
    assert sd == pytest.approx(reference.se_obs, rel=1e-9)


def test_joint_and_single_doubts_agree_and_the_roughness_is_alike_nowhere():
    surface = PlaneOnly(X, Y, Z, 0.04 * np.eye(5) + 0.02, 0.6)
    height, covariance = surface.joint(AT_X, AT_Y)
    again, sd = surface.predict(AT_X, AT_Y)
    assert height == pytest.approx(again)
    assert np.diag(covariance) == pytest.approx(sd**2)
    without = PlaneOnly(X, Y, Z, 0.04 * np.eye(5) + 0.02, 0.0).joint(AT_X, AT_Y)[1]
    noise_only = PlaneOnly(X, Y, Z, np.zeros((5, 5)), 0.6).joint(AT_X, AT_Y)[1]
    assert covariance == pytest.approx(without + noise_only)


def test_noise_that_explains_the_residuals_leaves_no_roughness():
    design = Frame.of(X, Y).design(X, Y)
    assert roughness_variance(design, Z, 100.0 * np.eye(5)) == 0.0
    assert roughness_variance(design[:3], Z[:3], np.zeros((3, 3))) == 0.0


def test_a_reading_left_out_is_predicted_by_the_plane_of_the_others():
    surface = PlaneOnly(X, Y, Z, np.zeros((5, 5)), 0.6)
    error = surface.left_out()
    rest = np.array([0, 1, 3, 4])
    height, sd = PlaneOnly(X[rest], Y[rest], Z[rest], np.zeros((4, 4)), 0.6).predict(X[[2]], Y[[2]])
    assert error[2] == pytest.approx((Z[2] - height[0]) / sd[0])
    three = PlaneOnly(X[:3], Y[:3], Z[:3], np.zeros((3, 3)), 0.0)
    assert np.isnan(three.left_out()).all()
