"""Small networks by hand, and sheets written as text, to be judged by all checks."""

import itertools

import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import make_context
from pipeline.checks.judge import judge
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings
from pipeline.workspace import make_workspace
from sites.crops import read_crops
from sites.registry import read_registry
from tests.pipeline.conftest import REGISTRY, TODAY


@pytest.fixture
def network(tmp_path):
    """Make the context of a network: of a crop, with more lines in the registry's files, on a day."""
    number = itertools.count()

    def network(crop="eggplant", more=None, today=TODAY, **known):
        files = {name: text + (more or {}).get(name, "") for name, text in REGISTRY.items()}
        files["trials.csv"] = files["trials.csv"].replace("eggplant", crop)
        if more and "absences.csv" in more:
            files["absences.csv"] = "site,from,to,stand_in\n" + more["absences.csv"]
        workspace = make_workspace(tmp_path / f"network{next(number)}", Settings(today=today), files)
        return make_context(read_registry(workspace.registry), read_crops(), today, **known)

    return network


@pytest.fixture
def judged():
    """Judge sheets written as text."""

    def judged(context, *texts):
        batch = [SentFile(f"sheet{at}.csv", text.encode()) for at, text in enumerate(texts)]
        return judge(batch, context, Settings(), CATALOGUE)

    return judged


@pytest.fixture
def asked(judged):
    """Return what is asked about the last of some sheets: line, check, and level; notes only if wanted."""

    def asked(context, *texts, notes=False):
        findings = judged(context, *texts).findings.to_dicts()
        return [
            (row["line"], row["check"], row["level"])
            for row in findings
            if row["file"] == len(texts) - 1 and (notes or row["level"] != "note")
        ]

    return asked
