"""Settings are typed; what is wrong is said with the meaning of the setting."""

from datetime import date

import pytest

from pipeline.settings import Settings, commented_file, read_settings
from sites.errors import SettingsError


@pytest.fixture
def file(tmp_path):
    return tmp_path / "network.toml"


def trouble(file, text):
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SettingsError) as caught:
        read_settings(file)
    return str(caught.value)


def test_the_commented_file_reads_back_as_the_same_settings(file):
    settings = Settings(name='Say "hello"\\', today=date(2025, 8, 20))
    file.write_text(commented_file(settings), encoding="utf-8")
    assert read_settings(file) == settings


def test_every_setting_has_its_sentence():
    def sections(model):
        for name, setting in model.model_fields.items():
            yield name, setting
            if hasattr(setting.annotation, "model_fields"):
                yield from sections(setting.annotation)

    assert [
        name for name, setting in sections(Settings) if not (setting.description or "").endswith(".")
    ] == []


def test_what_is_left_out_keeps_its_default(file):
    file.write_text('name = "West row"\n', encoding="utf-8")
    assert read_settings(file) == Settings(name="West row")


def test_an_unknown_setting_is_named_with_those_that_exist(file):
    text = trouble(file, "[axis]\norigins = [1, 2]\n")
    assert (
        "axis.origins: there is no such setting. Known here: origin, centre, azimuth_deg, length_km." in text
    )


def test_a_wrong_setting_is_explained(file):
    text = trouble(file, 'units = "stone"\n')
    assert "units = 'stone': input should be 'us' or 'si'. Units that people see" in text


def test_all_wrong_settings_are_said_at_once(file):
    text = trouble(file, 'units = "stone"\ntime_zone = "Mars/North"\n[answer]\ncompleteness = 80\n')
    assert [line.split()[0] for line in text.splitlines()[1:]] == [
        "units",
        "time_zone",
        "answer.completeness",
    ]


def test_a_file_that_is_no_toml_says_where(file):
    assert "line 1" in trouble(file, "name = My garden\n")


def test_a_missing_file_says_how_to_make_one(file):
    with pytest.raises(SettingsError, match="longrow init"):
        read_settings(file)


def test_a_setting_that_is_left_out_is_shown_by_an_example_that_could_stand_there(tmp_path):
    file = tmp_path / "network.toml"
    text = commented_file(Settings())
    file.write_text(text.replace("# margin_pct", "margin_pct").replace("# today", "today"), encoding="utf-8")
    found = read_settings(file)
    assert (found.answer.margin_pct, found.today) == (5.0, date(2025, 8, 20))
