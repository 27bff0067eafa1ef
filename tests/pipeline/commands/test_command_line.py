"""The command line: exit codes, sentences instead of tracebacks, one JSON document where it is asked for."""

import json
import pkgutil
import subprocess
import sys
from importlib import import_module
from importlib.metadata import EntryPoint

import pytest
import typer
from typer.testing import CliRunner

import pipeline.cli
import pipeline.commands
from pipeline.cli import app
from pipeline.settings import read_settings
from sites.registry import read_registry


def longrow(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "pipeline", *map(str, arguments)], capture_output=True, text=True, check=False
    )


def test_every_command_explains_itself():
    help_text = CliRunner().invoke(app, ["--help"]).stdout
    for command in ("init", "simulate", "check", "nightly", "pool"):
        assert command in help_text
        assert CliRunner().invoke(app, [command, "--help"]).exit_code == 0


def offered(module):
    """Return the names of the commands that a module of commands adds."""
    one = typer.Typer()
    one.callback()(lambda: None)
    module.add_to(one)
    return set(typer.main.get_command(one).commands)


def test_every_command_of_every_module_is_in_the_help():
    names = [
        f"pipeline.commands.{module.name}" for module in pkgutil.iter_modules(pipeline.commands.__path__)
    ]
    modules = [module for name in names if hasattr(module := import_module(name), "add_to")]
    help_text = CliRunner().invoke(app, ["--help"]).stdout
    listed = {line.split()[0] for line in help_text.split("Commands:")[1].splitlines() if line.strip()}
    assert set().union(*map(offered, modules)) <= listed


@pytest.mark.parametrize(
    ("name", "place"),
    [("serve", "dashboard.serve:serve"), ("account", "dashboard.access.command:account")],
)
def test_a_command_that_the_dashboard_offers_is_listed_and_explains_itself(monkeypatch, name, place):
    entry = EntryPoint(name, place, "longrow.commands")
    monkeypatch.setattr(pipeline.cli, "entry_points", lambda group: [entry])
    assert f"  {name} " in CliRunner().invoke(app, ["--help"]).stdout
    assert CliRunner().invoke(app, [name, "--help"]).exit_code == 0


def test_checking_a_sheet_loads_no_other_command():
    asked = "from pipeline.cli import app; import sys; app(['check', '--help'], standalone_mode=False)"
    told = f"{asked}; print([name for name in sys.modules if name.startswith('pipeline.commands.')])"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert "pipeline.commands.checking" in done.stdout
    assert "pipeline.commands.night" not in done.stdout


def test_init_makes_a_workspace_that_reads_back(tmp_path):
    assert CliRunner().invoke(app, ["init", str(tmp_path / "net")]).exit_code == 0
    assert read_settings(tmp_path / "net" / "network.toml")
    assert len(read_registry(tmp_path / "net" / "registry").gardens) == 2


def test_wrong_use_exits_with_two():
    assert CliRunner().invoke(app, ["simulate"]).exit_code == 2
    assert CliRunner().invoke(app, ["no-such-command"]).exit_code == 2


def test_a_missing_workspace_is_one_sentence_and_exit_code_one(tmp_path):
    done = longrow("nightly", "--workspace", tmp_path / "nowhere")
    assert done.returncode == 1
    assert done.stderr.startswith("There is no folder")
    assert "Traceback" not in done.stderr


def test_a_broken_setting_and_a_broken_registry_exit_with_one(workspace):
    settings = workspace.root / "network.toml"
    sound = settings.read_text()
    settings.write_text(sound + "\n[weather]\nneighbors = 3\n")
    done = longrow("nightly", "--workspace", workspace.root)
    assert done.returncode == 1
    assert "cannot be read" in done.stderr or "no such setting" in done.stderr
    settings.write_text(sound)
    (workspace.registry / "trials.csv").write_text("trial\n")
    done = longrow("nightly", "--workspace", workspace.root)
    assert done.returncode == 1
    assert "trials.csv, line 1, season: the column is missing." in done.stderr


def test_a_second_run_at_the_same_time_exits_with_three(workspace):
    with workspace.held():
        done = longrow("nightly", "--workspace", workspace.root)
    assert done.returncode == 3
    assert "Another run is working" in done.stderr


def test_a_night_prints_one_json_document_and_nothing_else(workspace):
    (workspace.inbox / "sheet.csv").write_text("site,plot,date,weight (lb)\nG01,1,2024-07-01,3\n")
    done = longrow("nightly", "--workspace", workspace.root, "--json")
    report = json.loads(done.stdout)
    assert done.returncode == 0
    assert list(report) == ["run", "status", "files", "rows", "steps", "seconds"]
    assert report["files"] == {"new": 1, "taken": 1, "taken_in_part": 0, "refused": 0}
    assert report["rows"] == {"read": 1, "new": 1, "revised": 0, "unchanged": 0, "held": 0}
    assert all(set(step) == {"step", "seconds", "rows"} for step in report["steps"])
    again = json.loads(longrow("nightly", "--workspace", workspace.root, "--json").stdout)
    assert again["status"] == "nothing new"


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "effects.csv"
    path.write_text(
        "garden,yi,vi,km\na,0.1,0.02,10\nb,0.3,0.03,200\nc,0.25,0.02,350\nd,0.4,0.04,500\ne,0.2,0.02,640\n"
    )
    return path


def test_pool_prints_the_keys_that_programs_read(table):
    result = CliRunner().invoke(
        app, ["pool", str(table), "--effect", "yi", "--variance", "vi", "--gradient", "km", "--json"]
    )
    answer = json.loads(result.stdout)
    keys = "k estimate se df ci_low ci_high p pi_low pi_high tau2 q q_df q_p i2 h2 method interval gradient"
    assert set(keys.split()) <= set(answer)
    assert [term["name"] for term in answer["gradient"]["terms"]] == ["intercept", "km"]
    assert {"tau2", "r2", "f", "f_df1", "f_df2", "f_p", "qe", "qe_df", "qe_p"} <= set(answer["gradient"])


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--effect", "zi", "--variance", "vi"], "has no column zi. Its columns are garden, yi, vi, km."),
        (["--effect", "garden", "--variance", "vi"], "line 2, garden: “a” is not a number."),
    ],
)
def test_a_table_that_does_not_fit_is_explained(table, options, words):
    done = longrow("pool", table, *options)
    assert done.returncode == 1
    assert words in done.stderr


def test_a_fault_of_the_program_itself_exits_with_four_and_says_that_nothing_is_lost(workspace, monkeypatch):
    def broken(*_arguments, **_options):
        raise ZeroDivisionError

    monkeypatch.setattr("pipeline.nightly.run_night", broken)
    done = CliRunner().invoke(app, ["nightly", "--workspace", str(workspace.root)])
    assert done.exit_code == 4
    assert "ZeroDivisionError" in done.stderr
    assert "The snapshot of the night before is still shown" in done.stderr


def test_answer_says_what_a_new_garden_should_expect_and_which_gardens_have_no_ratio(tmp_path):
    lines = ["site,block,treatment,kg"]
    for garden, level in enumerate((0.0, 1.0, 1.5, 2.0, 2.5)):
        for block in (1, 2):
            lines.append(f"G{garden},{block},plain,{level * (1 + 0.05 * block):.3f}")
            lines.append(f"G{garden},{block},straw,{(level or 1.0) * (1.3 + 0.08 * block * garden):.3f}")
    path = tmp_path / "plots.csv"
    path.write_text("\n".join(lines))
    columns = ["--site", "site", "--treatment", "treatment", "--response", "kg", "--block", "block"]
    said = CliRunner().invoke(app, ["answer", str(path), *columns, "--control", "plain"]).stdout
    assert "A new garden like these could see from" in said
    assert "In 1 garden the control gave nothing, so there is no ratio and it is left out." in said
    assert "Left out: G0: the mean of its control is not above zero, so no ratio exists." in said
