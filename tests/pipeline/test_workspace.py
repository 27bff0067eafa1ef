"""A workspace is made once, never written over, and held by one run at a time."""

import subprocess
import sys
from datetime import date

import pytest

from pipeline.settings import Settings
from pipeline.workspace import make_workspace, open_workspace
from sites.errors import WorkspaceBusyError, WorkspaceError


def test_a_made_workspace_opens_with_its_settings(tmp_path):
    make_workspace(tmp_path / "net", Settings(name="Row"), {"gardens.csv": "site\n"})
    opened = open_workspace(tmp_path / "net")
    assert opened.settings.name == "Row"
    assert (opened.registry / "gardens.csv").read_text() == "site\n"


def test_files_in_the_way_are_never_written_over(tmp_path):
    (tmp_path / "mine.txt").write_text("keep")
    with pytest.raises(WorkspaceError, match="is not empty"):
        make_workspace(tmp_path, Settings(), {})
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize(
    ("folder", "words"), [("nowhere", "There is no folder"), (".", "is not a workspace")]
)
def test_a_folder_that_is_no_workspace_says_what_to_do(tmp_path, folder, words):
    with pytest.raises(WorkspaceError, match=words) as caught:
        open_workspace(tmp_path / folder)
    assert "longrow init" in str(caught.value)


def test_the_environment_names_a_workspace(tmp_path, monkeypatch):
    make_workspace(tmp_path / "net", Settings(name="Named"), {})
    monkeypatch.setenv("LONGROW_WORKSPACE", str(tmp_path / "net"))
    assert open_workspace(None).settings.name == "Named"


def test_a_second_run_is_told_to_wait(tmp_path):
    workspace = make_workspace(tmp_path / "net", Settings(), {})
    with workspace.held(), pytest.raises(WorkspaceBusyError, match="Another run"), workspace.held():
        pass


def test_a_run_that_was_killed_leaves_the_workspace_free(tmp_path):
    workspace = make_workspace(tmp_path / "net", Settings(), {})
    script = f"""
import os, pathlib
from pipeline.workspace import open_workspace
with open_workspace(pathlib.Path({str(workspace.root)!r})).held():
    os.kill(os.getpid(), 9)
"""
    killed = subprocess.run([sys.executable, "-c", script], check=False)
    assert killed.returncode == -9
    with workspace.held():
        pass


def test_a_replayed_day_is_today(tmp_path):
    workspace = make_workspace(tmp_path / "net", Settings(today=date(2025, 8, 20)), {})
    assert workspace.today() == date(2025, 8, 20)
    assert workspace.now().date() == date(2025, 8, 20)
