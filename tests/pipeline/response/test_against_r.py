"""Pooling, regression and shrunken estimates against metafor, live, on random networks."""

import numpy as np
import pytest

from pipeline.response.gradient import gradient
from pipeline.response.influence import coefficients_without
from pipeline.response.network import pool
from pipeline.response.prediction import ConfidenceDistribution
from pipeline.response.random_effects import random_effects
from pipeline.response.shrinkage import garden_estimates
from pipeline.response.spline import bends, knots
from pipeline.response.weighted_regression import fit, intercept_only
from tests.pipeline.response.r_session import ask

pytestmark = pytest.mark.r

METAFOR = "ctl <- list(threshold=1e-13, maxiter=100000);"


def network(seed, gardens=14, tau=0.25):
    random = np.random.default_rng(seed)
    variance = random.gamma(2, 0.02, gardens) + 0.003
    east = random.uniform(-100, -94, gardens)
    effect = 0.3 + 0.05 * (east + 97) + random.standard_normal(gardens) * np.sqrt(variance + tau**2)
    return effect, variance, east


def test_a_random_network_pools_as_metafor_does():
    effect, variance, _ = network(1)
    program = METAFOR + 'm <- rma(y, v, test="knha", control=ctl);'
    program += "out <- list(b=m$beta[1], se=m$se, tau2=m$tau2, lo=m$ci.lb, hi=m$ci.ub, p=m$pval, i2=m$I2)"
    theirs = ask("metafor", program, y=effect, v=variance)
    ours = pool(effect, variance)
    found = [ours.estimate, ours.se, ours.tau2, ours.ci_low, ours.ci_high, ours.p, 100 * ours.i2]
    assert found == pytest.approx(
        [theirs[key] for key in ("b", "se", "tau2", "lo", "hi", "p", "i2")], rel=1e-7
    )


def test_a_random_gradient_regresses_as_metafor_does():
    effect, variance, east = network(2)
    program = METAFOR + 'm <- rma(y, v, mods=x, test="knha", control=ctl);'
    program += "out <- list(b=m$beta[,1], se=m$se, tau2=m$tau2, p=m$pval, f=m$QM)"
    theirs = ask("metafor", program, y=effect, v=variance, x=east)
    ours = pool(effect, variance, {"east": east}).gradient
    assert [term.coefficient for term in ours.terms] == pytest.approx(theirs["b"], rel=1e-6)
    assert [term.se for term in ours.terms] == pytest.approx(theirs["se"], rel=1e-6)
    assert [term.p for term in ours.terms] == pytest.approx(theirs["p"], rel=1e-6)
    assert [ours.tau2, ours.f] == pytest.approx([theirs["tau2"], theirs["f"]], rel=1e-6)


def test_with_one_variance_between_gardens_the_shrunken_estimates_are_metafors_predictors():
    effect, variance, east = network(4)
    program = METAFOR + "m <- rma(y, v, mods=x, control=ctl); b <- blup(m);"
    program += "out <- list(mean=b$pred, lo=b$pi.lb, hi=b$pi.ub)"
    theirs = ask("metafor", program, y=effect, v=variance, x=east)
    model = random_effects(effect, variance, np.vstack([np.ones(14), east]), "reml")
    at = random_effects(effect[None], variance[None], model.design, "reml").fit
    weighed = at.coefficient, at.covariance, at.q
    one = ConfidenceDistribution(np.ones(1), np.atleast_1d(model.tau2), *weighed, np.ones(1))
    mean, low, high = garden_estimates(model, one, 0.95)
    assert mean == pytest.approx(np.array(theirs["mean"]), rel=1e-6)
    assert low == pytest.approx(np.array(theirs["lo"]), rel=1e-6)
    assert high == pytest.approx(np.array(theirs["hi"]), rel=1e-6)


def test_leaving_out_each_garden_refits_as_metafor_does():
    effect, variance, _ = network(5, gardens=8)
    program = METAFOR + "m <- rma(y, v, control=ctl); out <- list(b=leave1out(m)$estimate)"
    theirs = ask("metafor", program, y=effect, v=variance)
    model = random_effects(effect, variance, intercept_only(8), "reml")
    ours = coefficients_without(effect, variance, model.design, "reml", model.fit)
    assert ours[:, 0] == pytest.approx(np.array(theirs["b"]), rel=1e-6)


def test_the_spline_spans_the_same_curves_as_the_natural_splines_of_r():
    east = np.sort(np.random.default_rng(6).uniform(0, 600, 40))
    effect = np.sin(east / 100)
    theirs = ask("splines", "out <- list(fit=unname(fitted(lm(y ~ ns(x, df=3)))))", x=east, y=effect)
    design = np.vstack([np.ones(40), east, bends(east, knots(east))])
    ours = effect - fit(effect, design, np.ones(40)).residual
    assert ours == pytest.approx(np.array(theirs["fit"]), rel=1e-8, abs=1e-10)


def test_the_band_of_the_mean_is_metafors_prediction_along_the_gradient():
    effect, variance, east = network(7)
    band = gradient(effect, variance, {"east": east}).band.iloc[[0, 50, 100]]
    program = METAFOR + 'm <- rma(y, v, mods=x, test="knha", control=ctl); q <- predict(m, newmods=at);'
    program += "out <- list(mean=q$pred, lo=q$ci.lb, hi=q$ci.ub)"
    theirs = ask("metafor", program, y=effect, v=variance, x=east, at=band["axis"].to_numpy())
    for ours, name in (("mean", "mean"), ("low", "lo"), ("high", "hi")):
        assert band[ours].to_numpy() == pytest.approx(np.array(theirs[name]), rel=1e-6)
