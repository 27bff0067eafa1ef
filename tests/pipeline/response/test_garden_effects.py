import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.response import garden_effects as module
from pipeline.response.garden_effects import garden_effects
from pipeline.response.intervals import estimates
from sites.errors import InputError
from tests.reference import values
from tests.reference.groups import HELD


def plots(*rows, columns=("site", "block", "treatment", "kg")):
    return pd.DataFrame(rows, columns=columns)


def blocks(site, control, *treated, names=("T", "U")):
    """Return complete blocks: one list of yields per treatment, the control's first."""
    arms = dict(zip(("C", *names), (control, *treated), strict=False))
    return [(site, str(b), name, kg) for name, arm in arms.items() for b, kg in enumerate(arm)]


TWO_GARDENS = plots(
    *blocks("Elm", [4.0, 3.6, 4.4, 3.2], [5.1, 4.2, 5.0, 4.5]),
    *blocks("Oak", [8.0, 9.0, 7.5], [9.0, 9.5, 9.0]),
)


def squared_cv(arms):
    """Return the squared coefficient of variation of complete blocks, by hand: RSS / df / mean^2."""
    table = np.array(arms)
    residual = table - table.mean(axis=0) - table.mean(axis=1, keepdims=True) + table.mean()
    return np.sum(residual**2), (table.shape[0] - 1) * (table.shape[1] - 1), table.mean() ** 2


ELM = squared_cv([[4.0, 3.6, 4.4, 3.2], [5.1, 4.2, 5.0, 4.5]])
OAK = squared_cv([[8.0, 9.0, 7.5], [9.0, 9.5, 9.0]])


def test_one_row_per_garden_and_treatment_with_the_names_of_the_output():
    effects = garden_effects(TWO_GARDENS, "C", "kg").effects
    assert effects.columns.tolist() == [
        "site",
        "season",
        "treatment",
        "n_control",
        "n_treatment",
        "blocks",
        "mean_control",
        "mean_treatment",
        "difference",
        "difference_se",
        "df",
        "log_ratio",
        "log_ratio_variance",
        "variance_from",
        "effect",
        "variance",
    ]
    assert effects[["site", "treatment", "n_control", "n_treatment", "blocks"]].to_numpy().tolist() == [
        ["Elm", "T", 4, 4, 4],
        ["Oak", "T", 3, 3, 3],
    ]


def test_the_ratio_comes_from_the_means_and_the_gardens_own_variance_from_its_residual():
    first = garden_effects(TWO_GARDENS, "C", "kg", "ratio", "garden").effects.iloc[0]
    assert first["log_ratio"] == pytest.approx(np.log(4.7 / 3.8))
    assert first["log_ratio_variance"] == pytest.approx(0.0633333 / 4 * (1 / 4.7**2 + 1 / 3.8**2), rel=1e-5)
    assert first["difference_se"] == pytest.approx(np.sqrt(0.0633333 / 2), rel=1e-5)
    assert (first["df"], first["variance_from"]) == (3, "garden")


def test_the_pooled_variance_of_a_ratio_is_one_squared_cv_times_two_over_the_blocks():
    effects = garden_effects(TWO_GARDENS, "C", "kg", "ratio", "pooled").effects
    one = (ELM[0] / ELM[2] + OAK[0] / OAK[2]) / (ELM[1] + OAK[1])
    assert effects["log_ratio_variance"].to_numpy() == pytest.approx([one * 2 / 4, one * 2 / 3])


def test_the_pooled_variance_of_a_difference_is_one_mean_square():
    effects = garden_effects(TWO_GARDENS, "C", "kg", "difference", "pooled").effects
    one = (ELM[0] + OAK[0]) / (ELM[1] + OAK[1])
    assert effects["variance"].to_numpy() == pytest.approx([one * 2 / 4, one * 2 / 3])
    assert effects["difference_se"].to_numpy() ** 2 == pytest.approx(effects["variance"].to_numpy())
    assert set(effects["df"]) == {5}


@pytest.mark.parametrize(
    ("dataset", "control"), [("antigua_maize", "t000"), ("synthetic_gradient_demo", "control")]
)
def test_without_blocks_the_ratio_is_that_of_two_independent_arms(dataset, control):
    """Hedges, Gurevitch & Curtis 1999, equation 1, on every garden with two plots of both arms."""
    effects = garden_effects(values.data(dataset), control, "yield", "ratio", "garden", blocked=False).effects
    reference = values.expected(dataset)
    found = {}
    for row in effects.itertuples():
        name = f"arm.{row.site}.{row.treatment}"
        found |= {f"{name}.lnrr": row.log_ratio, f"{name}.md": row.difference, f"{name}.n_c": row.n_control}
        if f"{name}.lnrr_var" in reference:
            found[f"{name}.lnrr_var"] = row.log_ratio_variance
            found[f"{name}.md_var_welch"] = row.difference_se**2
    found = {name: value for name, value in found.items() if name in reference}
    assert values.compare(dataset, found, r"arm\..*\.(lnrr|lnrr_var|md|md_var_welch|n_c)") == []
    assert effects["blocks"].isna().all()


def test_without_blocks_the_difference_is_tested_as_welch_does():
    """Dunnett 1955, blood counts; values by R's t.test."""
    ((dataset, pattern),) = HELD["welch"]
    table = values.data(dataset).assign(site="one")
    effects = garden_effects(table, "control", "count", "difference", "garden", blocked=False).effects
    row = effects.set_index("treatment").loc["drugB"]
    test = estimates(row["difference"], row["difference_se"], row["df"], 0.95)
    found = {"t": test.value / test.se, "df": test.df, "p": test.p, "ci_lb": test.low, "ci_ub": test.high}
    assert (
        values.compare(dataset, {f"welch.drugB.{key}": float(v) for key, v in found.items()}, pattern) == []
    )


def test_without_blocks_two_treatments_covary_by_the_controls_squared_cv():
    """Lajeunesse 2011, Ecology 92:2049-2055."""
    table = values.data("antigua_maize")
    covariances = garden_effects(table, "t000", "yield", "ratio", "garden", blocked=False).covariances
    row = covariances[
        (covariances["site"] == "DBAN")
        & (covariances["treatment"] == "t111")
        & (covariances["other"] == "t311")
    ].iloc[0]
    reference = values.expected("antigua_maize")
    mean, sd = reference["arm.DBAN.t111.mean_c"], reference["arm.DBAN.t111.sd_c"]
    assert row["covariance"] == pytest.approx(sd**2 / (2 * mean**2))


def test_with_blocks_two_treatments_covary_as_in_the_linear_model():
    table = values.data("antigua_maize")
    covariances = garden_effects(table, "t000", "yield", "difference", "garden").covariances
    pair = covariances[(covariances["treatment"] == "t111") & (covariances["other"] == "t311")]
    found = dict(zip("blocked." + pair["site"] + ".cov_t111_t311", pair["covariance"], strict=True))
    assert values.compare("antigua_maize", found, r"blocked\..*\.cov_t111_t311") == []


def test_a_garden_of_one_block_borrows_the_variance_and_says_so():
    table = pd.concat([TWO_GARDENS, plots(*blocks("Ash", [2.0], [3.0]))])
    for kind in ("garden", "pooled", "moderated"):
        ash = garden_effects(table, "C", "kg", "ratio", kind).effects.set_index("site").loc["Ash"]
        assert ash["variance_from"] == "pooled"
        one = (ELM[0] / ELM[2] + OAK[0] / OAK[2]) / (ELM[1] + OAK[1])
        assert ash["log_ratio_variance"] == pytest.approx(2 * one)


def test_one_block_everywhere_gives_effects_and_no_variance():
    table = plots(*blocks("Ash", [2.0], [3.0]), *blocks("Elm", [4.0], [5.0]))
    effects = garden_effects(table, "C", "kg").effects
    assert effects["effect"].to_numpy() == pytest.approx(np.log([1.5, 1.25]))
    assert effects["variance"].isna().all()
    assert set(effects["variance_from"]) == {"none"}


def test_moderated_variances_lie_between_the_gardens_own_and_the_rest():
    random = np.random.default_rng(3)
    rows = []
    for g in range(30):
        cv = [0.05, 0.4][g % 2]
        rows += blocks(f"G{g:02d}", *(10 * (1 + cv * random.standard_normal(4)) for _ in range(2)))
    own, moderated = (
        garden_effects(plots(*rows), "C", "kg", "difference", kind).effects
        for kind in ("garden", "moderated")
    )
    assert set(moderated["variance_from"]) == {"moderated"}
    assert np.ptp(np.log(moderated["variance"])) < np.ptp(np.log(own["variance"]))
    assert np.corrcoef(np.log(moderated["variance"]), np.log(own["variance"]))[0, 1] > 0.9


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        (blocks("Ash", [np.nan], [np.nan]), module.NO_VALUE),
        (blocks("Ash", [2.0], [np.nan]), module.SINGLE_PLOT),
        (blocks("Ash", [np.nan, np.nan], [2.0, 3.0]), module.NO_CONTROL),
        (blocks("Ash", [2.0, 3.0], [np.nan, np.nan]), module.ONLY_CONTROL),
        (blocks("Ash", [0.0, 0.0], [2.0, 3.0]), module.NO_CONTROL_FOR_RATIO),
        (blocks("Ash", [0.0, 0.0], [0.0, 0.0]), module.NO_MEAN_FOR_RATIO),
    ],
)
def test_a_garden_that_cannot_enter_is_left_out_with_the_reason(rows, why):
    found = garden_effects(pd.concat([TWO_GARDENS, plots(*rows)]), "C", "kg")
    assert found.left_out[["site", "why"]].to_numpy().tolist() == [["Ash", why]]
    assert found.left_out["treatment"].isna().all()
    assert set(found.effects["site"]) == {"Elm", "Oak"}


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        (blocks("Ash", [2.0, 3.0], [0.0, 0.0], [3.0, 4.0]), module.NO_TREATMENT_FOR_RATIO),
        (
            [("Ash", "0", "C", 2.0), ("Ash", "0", "U", 3.0), ("Ash", "1", "T", 4.0), ("Ash", "1", "T", 4.5)],
            module.NOT_CONNECTED,
        ),
    ],
)
def test_a_treatment_that_cannot_enter_is_left_out_alone(rows, why):
    found = garden_effects(pd.concat([TWO_GARDENS, plots(*rows)]), "C", "kg")
    assert found.left_out[["site", "treatment", "why"]].to_numpy().tolist() == [["Ash", "T", why]]
    assert found.effects.query("site == 'Ash'")["treatment"].tolist() == ["U"]


def test_a_control_that_gave_nothing_still_has_a_difference():
    table = pd.concat([TWO_GARDENS, plots(*blocks("Ash", [0.0, 0.0], [2.0, 3.0]))])
    ash = garden_effects(table, "C", "kg", "difference").effects.set_index("site").loc["Ash"]
    assert ash["difference"] == pytest.approx(2.5)
    assert np.isnan(ash["log_ratio"])


def test_a_garden_left_out_lends_no_variance_to_the_others():
    noisy = plots(*blocks("Ash", [np.nan, np.nan], [2.0, 90.0], [50.0, 1.0]))
    with_it, without = (
        garden_effects(table, "C", "kg").effects for table in (pd.concat([TWO_GARDENS, noisy]), TWO_GARDENS)
    )
    assert with_it["variance"].to_numpy() == pytest.approx(without["variance"].to_numpy())


def test_plots_without_a_single_value_leave_every_garden_out():
    found = garden_effects(TWO_GARDENS.assign(kg=np.nan), "C", "kg")
    assert found.effects.empty
    assert found.left_out["why"].tolist() == [module.NO_VALUE] * 2


def test_every_season_of_a_garden_stands_for_itself():
    table = pd.concat(
        [TWO_GARDENS.assign(season="2025"), TWO_GARDENS.assign(season="2026", kg=TWO_GARDENS["kg"] + 1)]
    )
    effects = garden_effects(table, "C", "kg", season="season").effects
    assert effects[["site", "season"]].to_numpy().tolist() == [
        ["Elm", "2025"],
        ["Elm", "2026"],
        ["Oak", "2025"],
        ["Oak", "2026"],
    ]
    assert effects["mean_control"].to_numpy() == pytest.approx([3.8, 4.8, 24.5 / 3, 24.5 / 3 + 1])


def test_blank_blocks_are_one_block():
    blank = TWO_GARDENS.assign(block=np.nan)
    assert garden_effects(blank, "C", "kg").effects["df"].iloc[0] == 6 + 4


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"site": None}, "blank 'site'"),
        ({"treatment": None}, "blank 'treatment'"),
        ({"kg": np.inf}, "infinite 'kg'"),
        ({"block": None}, "some plots only"),
    ],
)
def test_plots_that_cannot_be_read_are_refused_with_the_place(change, said):
    table = TWO_GARDENS.copy()
    for column, value in change.items():
        table.loc[2, column] = value
    with pytest.raises(InputError, match=said):
        garden_effects(table, "C", "kg")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("Z", "kg"), "no plot has the control"),
        (("C", "lb"), "no column 'lb'"),
        (("C", "treatment"), "does not hold numbers"),
        (("C", "kg", "odds"), "There is no odds"),
        (("C", "kg", "ratio", "own"), "There is no own"),
    ],
)
def test_a_wrong_name_is_answered_with_the_right_ones(arguments, said):
    with pytest.raises(InputError, match=f"(?i){said}"):
        garden_effects(TWO_GARDENS, *arguments)


networks = st.lists(
    st.tuples(
        st.sampled_from(["Ash", "Elm", "Oak"]),
        st.sampled_from(["1", "2", "3"]),
        st.sampled_from(["C", "T", "U"]),
        st.floats(0.5, 20) | st.just(np.nan),
    ),
    min_size=1,
    max_size=40,
).filter(lambda rows: any(row[2] == "C" for row in rows))


@given(networks, st.randoms(use_true_random=False))
@settings(max_examples=50)
def test_neither_the_order_of_plots_nor_the_unit_changes_a_ratio(rows, random):
    shuffled = plots(*random.sample(rows, len(rows)))
    shuffled["kg"] = shuffled["kg"] * 2.2046
    plain, other = (garden_effects(table, "C", "kg") for table in (plots(*rows), shuffled))
    columns = ["log_ratio", "log_ratio_variance"]
    assert other.effects[columns].to_numpy() == pytest.approx(
        plain.effects[columns].to_numpy(), abs=1e-9, nan_ok=True
    )
    assert other.left_out.equals(plain.left_out)


@given(networks)
@settings(max_examples=50)
def test_every_garden_and_treatment_with_a_plot_is_either_used_or_left_out(rows):
    found = garden_effects(plots(*rows), "C", "kg")
    whole = set(found.left_out.loc[found.left_out["treatment"].isna(), "site"])
    part = found.left_out.dropna(subset="treatment")
    used = set(zip(found.effects["site"], found.effects["treatment"], strict=True))
    told = set(zip(part["site"], part["treatment"], strict=True))
    given_plots = {(site, name) for site, _, name, kg in rows if name != "C" and np.isfinite(kg)}
    assert used.isdisjoint(told)
    assert {pair for pair in given_plots if pair[0] not in whole} == used | told
