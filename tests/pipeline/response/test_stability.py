"""Stability over environments, against R on a barley trial and against what must hold for any table."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pipeline.response.stability import MEASURES, measures, stability
from sites.errors import InputError
from tests.reference import values
from tests.reference.groups import HELD


def barley() -> pd.DataFrame:
    table = values.data("barley_minnesota")
    return table.assign(
        variety=table["variety"].str.replace("[ .]", "", regex=True),
        place=table["site"].str.replace(" ", ""),
    )


def reference_names(found, prefix: str) -> dict[str, float]:
    """Return every quantity of the reference's block, those that it adds derived from ours."""
    table, index, joint = found.treatments, found.index.to_numpy(), found.joint_regression
    environments, spread = len(index), index @ index
    named = {
        f"{prefix}.n_genotypes": len(table),
        f"{prefix}.n_env": environments,
        f"{prefix}.grand_mean": table["mean"].mean(),
        f"{prefix}.anova.ss_geno": joint.ss_treatments,
        f"{prefix}.anova.ss_env": joint.ss_environments,
        f"{prefix}.anova.ss_ge": joint.ss_interaction,
        f"{prefix}.anova.df_ge": joint.df_interaction,
        f"{prefix}.anova.ms_ge": joint.ss_interaction / found.joint_regression.df_interaction,
        f"{prefix}.anova.ss_het_reg": joint.ss_slopes,
        f"{prefix}.anova.df_het_reg": joint.df_slopes,
        f"{prefix}.anova.ss_dev": joint.ss_deviations,
        f"{prefix}.anova.df_dev": joint.df_deviations,
        f"{prefix}.anova.F_het_reg": joint.f,
        f"{prefix}.anova.p_het_reg": joint.p,
    }
    named |= {f"{prefix}.env_index.{name}": value for name, value in found.index.items()}
    for row in table.itertuples():
        explained, deviations = row.slope**2 * spread, row.deviation_ms * (environments - 2)
        variance = (explained + deviations) / (environments - 1)
        steeper = (row.slope - 1) / row.slope_se
        named |= {
            f"{prefix}.{row.treatment}.{name}": value
            for name, value in {
                "mean": row.mean,
                "fw_slope": row.slope,
                "fw_slope_se": row.slope_se,
                "fw_intercept": row.mean,
                "fw_r2": explained / (explained + deviations),
                "fw_t_slope1": steeper,
                "fw_p_slope1": 2 * stats.t.sf(abs(steeper), environments - 2),
                "dev_ms": row.deviation_ms,
                "ecovalence": row.ecovalence,
                "env_var": variance,
                "cv_percent": 100 * np.sqrt(variance) / row.mean,
                "lin_binns": row.superiority,
                "shukla": row.shukla_variance,
            }.items()
        }
    return named


# Source: tests/reference, R on Immer, Hayes & Powers 1934; ten varieties in twelve or six environments.
@pytest.mark.parametrize(
    ("prefix", "site", "held"),
    list(zip(("stab12", "stab6"), ("env", "place"), HELD["stability"], strict=True)),
    ids=["years", "sites"],
)
def test_measures_meet_the_reference_values(prefix, site, held):
    dataset, pattern = held
    table = barley().assign(env=lambda rows: rows["env"].str.replace(" ", ""))
    found = stability(table, site=site, treatment="variety", response="yield")
    known = values.expected(dataset)
    named = reference_names(found, prefix)
    named = {name: value for name, value in named.items() if name in known or "env_index" not in name}
    assert values.compare(dataset, named, pattern) == []


def test_garden_and_season_together_name_an_environment():
    two_keys = stability(barley(), site=["site", "year"], treatment="variety", response="yield")
    one_key = stability(barley(), site="env", treatment="variety", response="yield")
    assert set(two_keys.index.index) == set(barley()["site"] + " " + barley()["year"].astype(str))
    pd.testing.assert_frame_equal(two_keys.treatments, one_key.treatments)


tables = st.tuples(st.integers(3, 6), st.integers(3, 9), st.integers(0, 10_000)).map(
    lambda size: pd.DataFrame(np.random.default_rng(size[2]).normal(20, 4, size[:2]))
)


@given(table=tables, unit=st.floats(0.01, 100), shift=st.floats(-50, 50))
@settings(deadline=None)
def test_a_unit_changes_numbers_as_it_must_and_a_shift_only_the_mean(table, unit, shift):
    plain = measures(table).treatments
    other = measures(table * unit + shift).treatments
    assert other["mean"].to_numpy() == pytest.approx(plain["mean"].to_numpy() * unit + shift)
    for measure in ("slope", "slope_se"):
        assert other[measure].to_numpy() == pytest.approx(plain[measure].to_numpy(), rel=1e-6, abs=1e-9)
    for measure in ("deviation_ms", "shukla_variance", "superiority", "ecovalence"):
        wanted = plain[measure].to_numpy() * unit**2
        assert other[measure].to_numpy() == pytest.approx(wanted, rel=1e-6, abs=1e-9 * unit**2)


@given(table=tables)
@settings(deadline=None)
def test_slopes_average_one_and_shukla_variances_the_interaction_mean_square(table):
    found = measures(table)
    assert found.treatments["slope"].mean() == pytest.approx(1.0)
    joint = found.joint_regression
    interaction_ms = joint.ss_interaction / joint.df_interaction
    assert found.treatments["shukla_variance"].mean() == pytest.approx(interaction_ms)
    assert found.treatments["ecovalence"].sum() == pytest.approx(joint.ss_interaction)


@given(table=tables)
@settings(deadline=None)
def test_only_a_treatment_that_is_best_everywhere_has_superiority_zero(table):
    best = table.copy()
    best.loc[0] = table.max() + 1.0
    superiority = measures(best).treatments["superiority"]
    assert superiority[0] == 0.0
    assert (superiority[1:] > 0).all()


@given(table=tables, data=st.data())
@settings(max_examples=25, deadline=None)
def test_neither_the_order_of_plots_nor_that_of_environments_matters(table, data):
    plots = (
        table.rename_axis("treatment").reset_index().melt("treatment", var_name="site", value_name="yield")
    )
    shuffled = plots.iloc[data.draw(st.permutations(range(len(plots))))]
    columns = {"site": "site", "treatment": "treatment", "response": "yield"}
    found = stability(shuffled, **columns).treatments
    pd.testing.assert_frame_equal(found, stability(plots, **columns).treatments)


# Source: by hand; the first treatment keeps its mean, the second follows twice the environment.
def test_a_level_and_a_steep_treatment_have_slopes_zero_and_two():
    found = measures(pd.DataFrame([[10.0, 10, 10], [4, 8, 12], [7, 9, 11]]))
    assert found.treatments["slope"].tolist() == pytest.approx([0.0, 2.0, 1.0])
    assert found.treatments["deviation_ms"].tolist() == pytest.approx([0.0, 0.0, 0.0], abs=1e-20)
    assert found.treatments["superiority"].tolist() == pytest.approx([4 / 6, 40 / 6, 11 / 6])


def small(*rows):
    return pd.DataFrame(rows, columns=["site", "treatment", "yield"])


def test_plots_of_a_treatment_in_an_environment_are_averaged_first():
    plots = small(
        *[(site, name, value) for site in "abc" for name in ("x", "y") for value in (ord(site), ord(name))]
    )
    means = plots.groupby(["site", "treatment"], as_index=False)["yield"].mean()
    columns = {"site": "site", "treatment": "treatment", "response": "yield"}
    pd.testing.assert_frame_equal(
        stability(plots, **columns).treatments, stability(means, **columns).treatments
    )


def test_an_environment_that_lacks_a_treatment_is_left_out_and_named():
    full = barley()
    variety, environment = full["variety"].iloc[0], full["env"].iloc[0]
    lost = (full["env"] == environment) & (full["variety"] == variety)
    table = full.assign(**{"yield": full["yield"].mask(lost)})
    columns = {"site": "env", "treatment": "variety", "response": "yield"}
    found = stability(table, **columns).to_json()
    assert found["left_out"] == [
        {"environment": environment, "why": f"no plot with a response of {variety}"},
    ]
    assert found["environments"] == 11
    without = stability(full[full["env"] != environment], **columns)
    assert found["treatments"] == without.to_json()["treatments"]


def test_an_incomplete_table_is_refused_where_that_is_asked_for():
    plots = small(("a", "x", 1), ("a", "y", 2), ("b", "x", 1))
    with pytest.raises(InputError) as refusal:
        stability(plots, site="site", treatment="treatment", response="yield", incomplete="refuse")
    assert str(refusal.value) == "b: no plot with a response of y. Leave it out, or reduce."


@pytest.mark.parametrize(
    ("plots", "sentence"),
    [
        (
            small(("a", "x", 1), ("b", "x", 2)),
            "Stability compares treatments; at least two with a response are needed.",
        ),
        (
            small(("a", "x", 1), ("b", "y", 2), ("c", "x", 2)),
            "No environment grew every treatment, y least of all (1 of 3). "
            "Leave out the treatments grown in few.",
        ),
        (
            small(("a", "x", 1), (None, "y", 2)),
            "A plot with a response has no environment or no treatment; fill it in or blank it.",
        ),
    ],
)
def test_a_table_without_an_answer_is_refused(plots, sentence):
    with pytest.raises(InputError) as refusal:
        stability(plots, site="site", treatment="treatment", response="yield")
    assert str(refusal.value) == sentence


def test_two_treatments_have_no_shukla_variance_and_mirrored_slopes():
    found = measures(pd.DataFrame(np.random.default_rng(1).normal(20, 4, (2, 6))))
    assert found.unknown == {"shukla_variance": "Shukla's variance needs at least 3 treatments"}
    entries = found.to_json()["treatments"]
    assert [entry["shukla_variance"] for entry in entries] == [None, None]
    assert entries[0]["slope"] + entries[1]["slope"] == pytest.approx(2.0)


def test_two_environments_tell_the_mean_and_nothing_else():
    found = measures(pd.DataFrame([[1.0, 2.0], [2.0, 4.0], [2.0, 5.0]]))
    assert found.unknown == dict.fromkeys(MEASURES, "stability needs at least 3 environments")
    assert found.joint_regression is None
    for entry in found.to_json()["treatments"]:
        assert entry["mean"] is not None
        assert [entry[measure] for measure in MEASURES] == [None] * len(MEASURES)


def test_environments_with_equal_means_give_no_slope():
    found = measures(pd.DataFrame([[1.0, 2.0, 3.0], [3.0, 2.0, 1.0], [2.0, 2.0, 2.0]]))
    assert set(found.unknown) == {"slope", "slope_se", "deviation_ms"}
    assert found.unknown["slope"] == "the environments have equal means, so nothing has a slope"
    assert found.treatments["shukla_variance"].notna().all()


@pytest.mark.parametrize(("environments", "strength"), [(3, "weak"), (4, "weak"), (5, None)])
def test_fewer_than_five_environments_are_called_weak(environments, strength):
    table = pd.DataFrame(np.random.default_rng(2).normal(20, 4, (3, environments)))
    assert measures(table).to_json()["strength"] == strength


def test_the_json_has_the_agreed_names():
    found = measures(pd.DataFrame(np.random.default_rng(3).normal(20, 4, (3, 6)))).to_json()
    assert {"treatments", "environments"} <= found.keys()
    assert found["environments"] == 6
    names = {"treatment", "mean", "slope", "slope_se", "deviation_ms", "shukla_variance", "superiority"}
    assert all(names <= entry.keys() for entry in found["treatments"])
