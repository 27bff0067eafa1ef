"""The registry is read as a whole, and everything that needs mending is said at once."""

import pandas as pd
import pytest

from sites.errors import RegistryError
from sites.registry import read_registry

GARDENS = "site,name,lon,lat\nG01,First Row,-101.7,39.3\nG02,Second Row,-97.6,38.8\n"
TRIALS = (
    "trial,season,crop,control,start,close,blocks,plants_per_plot\n"
    "graft,2024,eggplant,own-root,2024-05-10,2024-10-05,1,2\n"
)
TREATMENTS = "trial,treatment,code\ngraft,own-root,A\ngraft,grafted,B\n"
PLOTS = "site,trial,block,plot,treatment\n" + "".join(
    f"{site},graft,1,{plot},{treatment}\n"
    for site in ("G01", "G02")
    for plot, treatment in ((1, "own-root"), (2, "grafted"))
)


@pytest.fixture
def folder(tmp_path):
    files = {"gardens": GARDENS, "trials": TRIALS, "treatments": TREATMENTS, "plots": PLOTS}
    for name, text in files.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    return tmp_path


def write(folder, name, text):
    (folder / f"{name}.csv").write_text(text, encoding="utf-8")


def problems_of(folder):
    with pytest.raises(RegistryError) as caught:
        read_registry(folder)
    return [(problem.file, problem.line, problem.column) for problem in caught.value.problems]


def test_a_sound_registry_is_read(folder):
    registry = read_registry(folder)
    assert registry.gardens["site"].tolist() == ["G01", "G02"]
    assert registry.plots["season"].unique().tolist() == ["2024"]
    assert registry.absences.empty


def test_what_stands_in_the_ground_is_what_was_assigned_unless_said_otherwise(folder):
    write(
        folder,
        "plots",
        PLOTS.replace("treatment\n", "treatment,planted_as\n", 1).replace(
            "2,grafted\nG02", "2,grafted,own-root\nG02"
        ),
    )
    assert read_registry(folder).plots["in_ground"].tolist() == [
        "own-root",
        "own-root",
        "own-root",
        "grafted",
    ]


def test_columns_that_nobody_knows_are_kept(folder):
    write(
        folder,
        "gardens",
        GARDENS.replace("lat\n", "lat,key_box\n", 1)
        .replace("39.3\n", "39.3,7731\n")
        .replace("38.8\n", "38.8,\n"),
    )
    assert read_registry(folder).gardens["key_box"].tolist() == ["7731", ""]


def test_county_codes_keep_their_leading_zero(folder):
    write(folder, "gardens", "site,name,lon,lat,county_fips\nG01,A,1,2,08001\nG02,B,1,2,08003\n")
    assert read_registry(folder).gardens["county_fips"].tolist() == ["08001", "08003"]


def test_every_problem_is_reported_at_once(folder):
    write(folder, "gardens", GARDENS.replace("39.3", "north") + "G01,Third Row,-97,38\n")
    write(folder, "plots", PLOTS + "G09,graft,1,1,own-root\nG01,graft,1,2,grafted\nG01,graft,1,7,mulch\n")
    assert problems_of(folder) == [
        ("gardens.csv", 2, "lat"),
        ("gardens.csv", 4, "site"),
        ("plots.csv", 6, "site"),
        ("plots.csv", 7, "plot"),
        ("plots.csv", 8, "treatment"),
    ]


def test_a_missing_file_is_named_with_its_columns(folder):
    (folder / "treatments.csv").unlink()
    with pytest.raises(
        RegistryError,
        match=r"treatments.csv: the file is missing. Make it with the columns trial, treatment, code.",
    ):
        read_registry(folder)


def test_absences_may_be_left_out(folder):
    assert list(read_registry(folder).absences.columns[:4]) == ["line", "site", "from", "to"]


@pytest.mark.parametrize(
    ("name", "text", "place"),
    [
        ("trials", TRIALS.replace("own-root", "bare"), ("trials.csv", 2, "control")),
        ("trials", TRIALS.replace("2024-10-05", "2024-04-05"), ("trials.csv", 2, "close")),
        ("trials", TRIALS.replace("2024-05-10", "5/10/2024"), ("trials.csv", 2, "start")),
        ("trials", TRIALS.replace(",1,2\n", ",1.5,2\n"), ("trials.csv", 2, "blocks")),
        ("trials", TRIALS.replace(",1,2\n", ",,2\n"), ("trials.csv", 2, "blocks")),
        (
            "trials",
            TRIALS.replace("close,", "close,primary_outcome,").replace("10-05,", "10-05,yield,"),
            ("trials.csv", 2, "primary_outcome"),
        ),
        ("treatments", TREATMENTS + "graft,grafted,C\n", ("treatments.csv", 4, "trial, treatment")),
        ("plots", PLOTS.replace("G02,graft,1,1,own-root\n", ""), ("plots.csv", 4, "treatment")),
        ("gardens", GARDENS.replace("lon,lat", "lon,lon"), ("gardens.csv", 1, "lon")),
        ("gardens", GARDENS.replace("First Row", "First, Row"), ("gardens.csv", 2, None)),
        ("absences", "site,from,to\nG01,2024-07-09,2024-07-01\n", ("absences.csv", 2, "to")),
    ],
)
def test_a_problem_is_placed_in_file_line_and_column(folder, name, text, place):
    write(folder, name, text)
    assert place in problems_of(folder)


def with_interim(dates):
    head, row = TRIALS.splitlines()
    return f"{head},interim_dates\n{row},{dates}\n"


@pytest.mark.parametrize(
    ("dates", "said"),
    [
        (
            "2024-07-01 2024-07-15 2024-08-01 2024-09-01",
            "4 interim analyses are named; a trial may name 3.",
        ),
        ("2024-07-01 2024-11-01", "2024-11-01 is not between the start and the close."),
        ("2024-05-10", "2024-05-10 is not between the start and the close."),
        ("2024-10-05", "2024-10-05 is not between the start and the close."),
        ("2024-07-01 2024-07-01", "a date is named twice."),
    ],
)
def test_interim_analyses_that_may_not_be_named_are_refused(folder, dates, said):
    write(folder, "trials", with_interim(dates))
    with pytest.raises(RegistryError) as caught:
        read_registry(folder)
    (problem,) = caught.value.problems
    assert (problem.file, problem.line, problem.column) == ("trials.csv", 2, "interim_dates")
    assert problem.what == said
    assert problem.mend


def test_three_interim_analyses_within_the_season_may_be_named(folder):
    write(folder, "trials", with_interim("2024-07-01 2024-08-01 2024-09-01"))
    assert read_registry(folder).trials["interim_dates"].tolist() == ["2024-07-01 2024-08-01 2024-09-01"]


def test_a_plot_without_a_season_is_only_clear_where_its_trial_has_one(folder):
    write(folder, "trials", TRIALS + "graft,2025,eggplant,own-root,2025-05-10,2025-10-05,1,2\n")
    assert set(problems_of(folder)) == {("plots.csv", line, "season") for line in range(2, 6)}


def test_a_file_that_is_not_utf8_is_named_with_the_line(folder):
    (folder / "gardens.csv").write_bytes(GARDENS.encode().replace(b"Second", b"Se\xf1ora"))
    assert problems_of(folder)[0] == ("gardens.csv", 3, None)


def test_a_byte_order_mark_is_no_part_of_the_first_column(folder):
    (folder / "gardens.csv").write_bytes(b"\xef\xbb\xbf" + GARDENS.encode())
    assert read_registry(folder).gardens["site"].tolist() == ["G01", "G02"]


def test_lines_are_counted_as_an_editor_counts_them(folder):
    write(folder, "gardens", 'site,name,lon,lat\nG01,"First\nRow",-101.7,39.3\n\nG02,Second Row,west,38.8\n')
    assert ("gardens.csv", 5, "lon") in problems_of(folder)


def test_dates_are_read_as_days(folder):
    assert read_registry(folder).trials["start"].tolist() == [pd.Timestamp("2024-05-10")]
