"""The crop table. Values with their sources stand in the table itself; here are those that two published
charts confirm: UMaine Cooperative Extension, Planting Chart for the Home Vegetable Garden, and Perry & Wehner
1996."""

import pandas as pd
import pytest

from sites.crops import match_crop, read_crops
from sites.errors import InputError


def test_the_table_has_the_crops_of_a_community_garden():
    crops = read_crops()
    assert crops.index.tolist() == [
        *(
            "tomato-slicing",
            "tomato-cherry",
            "pepper-bell",
            "pepper-jalapeno",
            "eggplant",
            "okra",
            "cucumber",
        ),
        *("summer-squash", "snap-bean", "sweet-corn", "lettuce", "broccoli", "cabbage"),
    ]


def test_values_of_the_published_charts_are_in_the_table():
    crops = read_crops()
    assert crops.loc["tomato-slicing", ["spacing_low_cm", "spacing_high_cm"]].tolist() == [45, 90]
    assert crops.loc["cucumber", ["degree_day_base_c", "degree_day_upper_c"]].tolist() == [15.5, 32]
    assert crops.loc["cucumber", "degree_day_method"] == "max-only"


def test_every_number_has_a_source_in_its_group():
    crops = read_crops()
    groups = {
        "days_source": "days_",
        "fruit_mass_source": "fruit_mass_low_g",
        "fruits_source": "fruits_per_plant_low",
        "yield_source": "yield_per_plant_low_kg",
        "spacing_source": "spacing_low_cm",
        "degree_day_source": "degree_day_base_c",
        "fruit_set_source": "night_cold_c",
        "stage_source": "tender",
    }
    for source, first in groups.items():
        numbers = crops[
            [name for name in crops.columns if name.startswith(first) and not name.endswith("source")]
        ]
        assert (crops[source] != "")[numbers.notna().any(axis=1)].all(), source


def test_counted_nouns_are_there_in_both_languages():
    crops = read_crops()
    columns = [f"counted_{number}_{language}" for number in ("one", "many") for language in ("en", "es")]
    assert crops.loc["sweet-corn", columns].tolist() == ["ear", "elote", "ears", "elotes"]
    assert crops.loc["okra", columns].tolist() == ["pod", "vaina", "pods", "vainas"]
    assert (crops[columns] != "").all(axis=None)


def test_hard_limits_lie_three_times_outside_the_soft_band():
    tomato = read_crops().loc["tomato-slicing"]
    assert tomato["fruit_mass_hard_high_g"] == 3 * tomato["fruit_mass_high_g"] == 1350
    assert tomato["fruit_mass_hard_low_g"] == pytest.approx(70 / 3)
    assert tomato["yield_per_plant_hard_high_kg"] == 36


def test_tender_crops_are_those_that_a_freeze_kills():
    crops = read_crops()
    assert crops.loc[~crops["tender"]].index.tolist() == ["lettuce", "broccoli", "cabbage"]


def test_a_network_overrides_values_and_adds_crops():
    row = {"crop": "tomato-slicing", "fruit_mass_high_g": "600", "degree_day_base_c": ""}
    new = {"crop": "tomatillo", "name_en": "tomatillo", "name_es": "tomatillo", "degree_day_base_c": "10"}
    new |= {"degree_day_method": "average", "harvest_stage": "mature", "tender": "yes"}
    new |= {"counted_one_en": "fruit", "counted_many_en": "fruits"}
    crops = read_crops(pd.DataFrame([row, new]))
    assert crops.loc["tomato-slicing", ["fruit_mass_high_g", "degree_day_base_c"]].tolist() == [600, 10]
    assert crops.loc["tomato-slicing", "fruit_mass_hard_high_g"] == 1800
    assert crops.index[-1] == "tomatillo"


def test_overrides_may_be_a_file_and_numbers(tmp_path):
    path = tmp_path / "crops.csv"
    path.write_text("crop,fruit_mass_high_g\nokra,40\n")
    assert read_crops(path).loc["okra", "fruit_mass_high_g"] == 40
    assert (
        read_crops(pd.DataFrame({"crop": ["okra"], "fruit_mass_high_g": [40.0]})).loc[
            "okra", "fruit_mass_high_g"
        ]
        == 40
    )


@pytest.mark.parametrize(
    ("row", "complaint"),
    [
        ({"crop": "okra", "colour": "green"}, "no column colour"),
        ({"crop": "okra", "fruit_mass_high_g": "heavy"}, "Crop okra, fruit_mass_high_g: 'heavy'"),
        (
            {"crop": "okra", "fruit_mass_high_g": "1"},
            "Crop okra: fruit_mass_low_g is above fruit_mass_high_g",
        ),
        ({"crop": "okra", "tender": "maybe"}, "Crop okra, tender: 'maybe'"),
        ({"crop": "okra", "degree_day_method": "guess"}, "Crop okra, degree_day_method: 'guess'"),
        ({"crop": "okra", "harvest_stage": "raw"}, "Crop okra, harvest_stage: 'raw'"),
        (
            {"crop": "kale", "tender": "no", "harvest_stage": "mature", "degree_day_method": "average"},
            "kale has no name_en",
        ),
        ({"fruit": "okra"}, "no column crop"),
    ],
)
def test_a_table_that_cannot_be_used_names_crop_and_column(row, complaint):
    with pytest.raises(InputError, match=complaint):
        read_crops(pd.DataFrame([row]))


def test_a_crop_that_is_there_twice_is_refused():
    with pytest.raises(InputError, match="okra is there twice"):
        read_crops(pd.DataFrame({"crop": ["okra", "okra"]}))


def test_a_table_that_is_not_there_is_named(tmp_path):
    with pytest.raises(InputError, match="Check the name"):
        read_crops(tmp_path / "none.csv")


@pytest.mark.parametrize(
    ("name", "crop"),
    [
        ("Tomato", "tomato-slicing"),
        ("tomato_slicing", "tomato-slicing"),
        ("JITOMATE", "tomato-slicing"),
        ("Pepper Bell", "pepper-bell"),
        ("chile jalapeño", "pepper-jalapeno"),
        ("brocoli", "broccoli"),
    ],
)
def test_a_crop_is_known_by_its_names_in_both_languages(name, crop):
    assert match_crop(pd.Series([name]), read_crops()).tolist() == [crop]


def test_an_unknown_crop_is_missing():
    assert match_crop(pd.Series(["moon melon", None, ""], dtype="str"), read_crops()).isna().all()
