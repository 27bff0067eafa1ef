"""Pooling and meta-regression against metafor on published data; sources in tests/reference/README.md."""

import numpy as np
import pytest
from scipy import optimize

from pipeline.response.between_gardens import fit_at
from pipeline.response.effects import log_response_ratio
from pipeline.response.garden_effects import garden_effects
from pipeline.response.intervals import coefficient_estimates
from pipeline.response.network import pool
from pipeline.response.prediction import t_prediction
from pipeline.response.random_effects import random_effects
from pipeline.response.weighted_regression import intercept_only
from tests.reference import values
from tests.reference.groups import HELD, POOLED, REGRESSED

METHODS = {"reml": "reml", "dl": "dersimonian-laird", "pm": "paule-mandel", "ml": None}


def bcg(measure):
    table = values.data("bcg_latitude")
    a, b, c, d = (table[column].to_numpy(float) for column in ("tpos", "tneg", "cpos", "cneg"))
    if measure == "risk ratio":
        return np.log(a / (a + b) / (c / (c + d))), 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)
    return np.log(a * d / (b * c)), 1 / a + 1 / b + 1 / c + 1 / d


def co2(form):
    table = values.data("co2_biomass_rr")
    elevated, ambient = (
        tuple(table[f"{part}_{arm}"] for part in ("mean", "sd", "n")) for arm in ("elev", "amb")
    )
    if form != "average CV":
        return log_response_ratio(*elevated, *ambient, bias_corrected=form == "corrected")
    (elevated_cv, n_e), (ambient_cv, n_a) = (
        (np.sum(n * (sd / mean) ** 2) / np.sum(n), n) for mean, sd, n in (elevated, ambient)
    )
    ratio = np.log(elevated[0] / ambient[0]) + (elevated_cv / n_e - ambient_cv / n_a) / 2
    second_order = elevated_cv**2 / (2 * n_e**2) + ambient_cv**2 / (2 * n_a**2)
    return ratio.to_numpy(), (elevated_cv / n_e + ambient_cv / n_a + second_order).to_numpy()


def effects_of(plots, name, control, response="yield", /, **options):
    frame = garden_effects(plots, control, response, **options).effects
    frame = frame[(frame["treatment"] == name) & with_variance(frame, options)]
    return frame["effect"].to_numpy(), frame["variance"].to_numpy()


def with_variance(frame, options):
    """Return the gardens of the reference: without blocks it leaves those out with an arm of one plot."""
    return (frame[["n_control", "n_treatment"]].min(axis=1) > 1) | options.get("blocked", True)


def antigua(treatment, **options):
    return effects_of(values.data("antigua_maize"), treatment, "t000", **options)


def barley(variance):
    """Return differences between two varieties: a site's years are its blocks."""
    table = values.data("barley_minnesota")
    table = table[table["variety"].isin(["Trebi", "Manchuria"])]
    options = {"treatment": "variety", "block": "year"}
    return effects_of(table, "Trebi", "Manchuria", effect="difference", variance=variance, **options)


def darwin(variance):
    """Return differences between crossed and selfed plants: a pot's pairs are its blocks."""
    plots = values.data("darwin_maize_pairs").melt(["pot", "pair"], var_name="mating", value_name="height")
    options = {"site": "pot", "treatment": "mating", "block": "pair"}
    return effects_of(plots, "cross", "self", "height", effect="difference", variance=variance, **options)


def soybean_areas():
    table = values.data("soybean_growth").sort_values(["plot", "day"])
    areas = table.groupby(["plot", "variety", "year"]).apply(
        lambda plot: np.trapezoid(plot["weight"], plot["day"])
    )
    plots = areas.rename("area").reset_index()
    options = {"variance": "garden", "blocked": False, "site": "year", "treatment": "variety"}
    return effects_of(plots, "P", "F", "area", **options)


def synthetic(treatment, **options):
    return effects_of(values.data("synthetic_gradient_demo"), treatment, "control", **options)


OWN_ARMS = {"effect": "ratio", "variance": "garden", "blocked": False}
OWN = {"effect": "difference", "variance": "garden"}
ONE = {"effect": "difference", "variance": "pooled"}
EFFECTS = {
    ("bcg_latitude", "re"): lambda: bcg("risk ratio"),
    ("bcg_latitude_or", "re"): lambda: bcg("odds ratio"),
    ("co2_biomass_rr", "re"): lambda: co2("plain"),
    ("co2_biomass_rr", "re_bc"): lambda: co2("corrected"),
    ("co2_biomass_rr", "re_avgcv"): lambda: co2("average CV"),
    ("antigua_maize", "re_lnrr_t111"): lambda: antigua("t111", **OWN_ARMS),
    ("antigua_maize", "re_lnrr_t311"): lambda: antigua("t311", **OWN_ARMS),
    ("antigua_maize", "re_blocked_md_t111"): lambda: antigua("t111", **OWN),
    ("antigua_maize", "re_blocked_md_t311"): lambda: antigua("t311", **OWN),
    ("antigua_maize", "re_blocked_md_pooledvar_t111"): lambda: antigua("t111", **ONE),
    ("antigua_maize", "re_blocked_md_pooledvar_t311"): lambda: antigua("t311", **ONE),
    ("barley_minnesota", "re_pooledvar"): lambda: barley("pooled"),
    ("barley_minnesota", "re_ownvar"): lambda: barley("garden"),
    ("darwin_maize_pairs", "re_pooledvar"): lambda: darwin("pooled"),
    ("darwin_maize_pairs", "re_ownvar"): lambda: darwin("garden"),
    ("soybean_growth", "re_lnrr_auc_k3"): soybean_areas,
    ("synthetic_gradient_demo", "re_pooledvar_grafted"): lambda: synthetic("grafted", **ONE),
    ("synthetic_gradient_demo", "re_pooledvar_mulched"): lambda: synthetic("mulched", **ONE),
    ("synthetic_gradient_demo", "re_ownvar_grafted"): lambda: synthetic("grafted", **OWN),
    ("synthetic_gradient_demo", "re_ownvar_mulched"): lambda: synthetic("mulched", **OWN),
    ("synthetic_gradient_demo", "re_lnrr_grafted"): lambda: synthetic("grafted", **OWN_ARMS),
    ("synthetic_gradient_demo", "re_lnrr_mulched"): lambda: synthetic("mulched", **OWN_ARMS),
}


def bcg_covariates(*names):
    return values.data("bcg_latitude")[list(names)]


def co2_covariates(*names):
    table = values.data("co2_biomass_rr")
    return table.assign(gymno=(table["fungrp"] == "GYMNO").astype(float))[list(names)]


def along_longitude(name, options):
    """Return the effects that `synthetic` gives, with the longitudes of their gardens."""
    table = values.data("synthetic_gradient_demo")
    effects = garden_effects(table, "control", "yield", **options).effects
    used = (effects["treatment"] == name) & with_variance(effects, options)
    longitude = table.groupby("site")[["longitude"]].mean().loc[effects.loc[used, "site"]]
    return *synthetic(name, **options), longitude


REGRESSIONS = {
    ("bcg_latitude", "mr"): lambda: (*bcg("risk ratio"), bcg_covariates("ablat")),
    ("bcg_latitude", "mr2"): lambda: (*bcg("risk ratio"), bcg_covariates("ablat", "year")),
    ("bcg_latitude_or", "mr"): lambda: (*bcg("odds ratio"), bcg_covariates("ablat")),
    ("co2_biomass_rr", "mr_time"): lambda: (*co2("plain"), co2_covariates("time")),
    ("co2_biomass_rr", "mr_gymno_time"): lambda: (*co2("plain"), co2_covariates("gymno", "time")),
    ("barley_minnesota", "mr_pooledvar"): lambda: (
        *barley("pooled"),
        values.data("barley_minnesota_sites").sort_values("site")[["longitude"]],
    ),
    ("synthetic_gradient_demo", "mr_pooledvar_grafted"): lambda: along_longitude("grafted", ONE),
    ("synthetic_gradient_demo", "mr_pooledvar_mulched"): lambda: along_longitude("mulched", ONE),
    ("synthetic_gradient_demo", "mr_lnrr_grafted"): lambda: along_longitude("grafted", OWN_ARMS),
    ("synthetic_gradient_demo", "mr_lnrr_mulched"): lambda: along_longitude("mulched", OWN_ARMS),
}


def named(blocks, group):
    """Return dataset, block and pattern of every case of a group, with its name as pytest prints it."""
    return [
        pytest.param(dataset, block, pattern, id=f"{dataset}-{block}")
        for (dataset, block), (_, pattern) in zip(blocks, group, strict=True)
    ]


def solved_by_likelihood(effect, variance, design, _method):
    """Return the variance between gardens by plain maximum likelihood, which Longrow does not offer.

    The reference has it, and all that follows from it is the same arithmetic as for the others: its score
    y'PPy - sum of weights (Viechtbauer 2005, Journal of Educational and Behavioral Statistics 30:261-293) is
    solved here by SciPy.
    """

    def score(tau2):
        now = fit_at(effect, variance, design, tau2)
        return float(now.y_pp_y() - np.sum(now.weight))

    return np.asarray(optimize.brentq(score, 0, 100, xtol=1e-15, rtol=1e-14))


@pytest.fixture
def by_any_method(monkeypatch):
    """Let a call with no method of Longrow's be answered by maximum likelihood."""

    def run(method, work):
        with monkeypatch.context() as patched:
            if method is None:
                patched.setattr("pipeline.response.random_effects.estimate_tau2", solved_by_likelihood)
            return work(method or "reml")

    return run


@pytest.mark.parametrize(("dataset", "block", "pattern"), named(POOLED, HELD["pooled"]))
def test_the_pooled_effect_agrees_with_metafor(dataset, block, pattern, by_any_method):
    effect, variance = EFFECTS[dataset, block]()
    found = pooled_quantities(effect, variance)
    for short in shorts(dataset, block) - {"common"}:
        quantities = by_any_method(METHODS[short], lambda method: by_method(effect, variance, method))
        found |= {f"{short}.{name}": value for name, value in quantities.items()}
    found = {f"{block}.{name}": value for name, value in found.items()}
    if f"{block}.reml.tau2_qprofile.ci_lb" not in values.expected(dataset):
        found = {name: value for name, value in found.items() if "qprofile" not in name}
    assert values.compare(dataset, found, pattern) == []


def shorts(dataset, block):
    """Return the short names of the methods that a block has quantities of."""
    parts = [name.split(".") for name in values.expected(dataset) if name.startswith(f"{block}.")]
    return {part[1] for part in parts if len(part) > 2}


def pooled_quantities(effect, variance):
    """Return everything that a block of pooled reference values holds, under its names."""
    model = random_effects(effect, variance, intercept_only(len(effect)), "reml")
    common = coefficient_estimates(model.common, "normal", 0.95)
    answer = pool(effect, variance)
    return {
        "k": answer.k,
        "Q": answer.q,
        "Q_df": answer.q_df,
        "Q_p": answer.q_p,
        "I2_from_Q": max(0.0, 100 * (answer.q - answer.q_df) / answer.q),
        "H2_from_Q": answer.q / answer.q_df,
        "reml.tau2_qprofile.ci_lb": answer.tau2_low,
        "reml.tau2_qprofile.ci_ub": answer.tau2_high,
        "common.estimate": common.value[0],
        "common.se": common.se[0],
        "common.ci_lb": common.low[0],
        "common.ci_ub": common.high[0],
    }


def by_method(effect, variance, method):
    normal, hk, floor = (
        pool(effect, variance, method=method, interval=interval)
        for interval in ("normal", "knapp-hartung", "knapp-hartung-floor")
    )
    found = {
        "estimate": normal.estimate,
        "se": normal.se,
        "tau2": normal.tau2,
        "tau": np.sqrt(normal.tau2),
        "I2": 100 * normal.i2,
        "H2": normal.h2,
        "z": normal.estimate / normal.se,
        "p": normal.p,
        "ci_lb": normal.ci_low,
        "ci_ub": normal.ci_high,
        "hk.q": (hk.se / normal.se) ** 2,
        "hk.se": hk.se,
        "hk.t": hk.estimate / hk.se,
        "hk.df": hk.df,
        "hk.p": hk.p,
        "hk.ci_lb": hk.ci_low,
        "hk.ci_ub": hk.ci_high,
        "hk_mod.se": floor.se,
        "hk_mod.p": floor.p,
        "hk_mod.ci_lb": floor.ci_low,
        "hk_mod.ci_ub": floor.ci_high,
    }
    for form, se, df in (
        ("pi_higgins", normal.se, hk.k - 2),
        ("pi_hk_km2", hk.se, hk.k - 2),
        ("pi_hk_km1", hk.se, hk.k - 1),
    ):
        low, high = t_prediction(normal.estimate, se, normal.tau2, df, 0.95)
        found |= {f"{form}.lb": low, f"{form}.ub": high}
        found |= {f"{form}.df": df}
    return found


@pytest.mark.parametrize("interval", ["normal", "knapp-hartung"])
def test_the_t_interval_for_a_new_garden_takes_the_intervals_own_standard_error(interval):
    answer = pool(*bcg("risk ratio"), interval=interval, prediction="t")
    form = {"normal": "pi_higgins", "knapp-hartung": "pi_hk_km2"}[interval]
    found = {f"re.reml.{form}.lb": answer.pi_low, f"re.reml.{form}.ub": answer.pi_high}
    assert values.compare("bcg_latitude", found) == []


@pytest.mark.parametrize(("dataset", "block", "pattern"), named(REGRESSED, HELD["regressed"]))
def test_the_meta_regression_agrees_with_metafor(dataset, block, pattern, by_any_method):
    effect, variance, table = REGRESSIONS[dataset, block]()
    found = {}
    for short in shorts(dataset, block):
        quantities = by_any_method(
            METHODS[short], lambda method: regression_quantities(effect, variance, table, method)
        )
        found |= {f"{block}.{short}.{name}": value for name, value in quantities.items()}
    reference = values.expected(dataset)
    found = {name: value for name, value in found.items() if not name.endswith("R2") or name in reference}
    assert values.compare(dataset, found, pattern) == []


def regression_quantities(effect, variance, table, method):
    normal, hk = (
        pool(effect, variance, table, method=method, interval=interval).gradient
        for interval in ("normal", "knapp-hartung")
    )
    design = np.vstack([np.ones(len(effect)), table.to_numpy(float).T])
    model = random_effects(effect, variance, design, method)
    found = {
        "tau2": normal.tau2,
        "I2_resid": 100 * model.i2,
        "H2_resid": model.h2,
        "QE": normal.qe,
        "QE_df": normal.qe_df,
        "QE_p": normal.qe_p,
        "QM": normal.f * normal.f_df1,
        "QM_df": normal.f_df1,
        "QM_p": normal.f_p,
        "F_hk": hk.f,
        "F_hk_df1": hk.f_df1,
        "F_hk_df2": hk.f_df2,
        "F_hk_p": hk.f_p,
        "R2": None if normal.r2 is None else 100 * normal.r2,
    }
    for plain, stretched in zip(normal.terms, hk.terms, strict=True):
        name = plain.name
        found |= {
            f"{name}.coef": plain.coefficient,
            f"{name}.se": plain.se,
            f"{name}.z": plain.coefficient / plain.se,
            f"{name}.p": plain.p,
            f"{name}.ci_lb": plain.ci_low,
            f"{name}.ci_ub": plain.ci_high,
            f"{name}.hk.se": stretched.se,
            f"{name}.hk.t": stretched.coefficient / stretched.se,
            f"{name}.hk.p": stretched.p,
            f"{name}.hk.ci_lb": stretched.ci_low,
            f"{name}.hk.ci_ub": stretched.ci_high,
        }
    return found
