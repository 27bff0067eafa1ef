"""A small network by hand: two gardens, two blocks, a control and a treatment."""

from datetime import date

import pytest

from pipeline.checks.context import make_context
from pipeline.settings import Settings
from pipeline.workspace import make_workspace
from sites.crops import read_crops
from sites.registry import read_registry

REGISTRY = {
    "gardens.csv": "site,name,lon,lat,elevation_m\n"
    "G01,First Row,-101.7,39.3,1100\nG02,Second Row,-97.6,38.8,380\n",
    "trials.csv": "trial,season,crop,control,start,close,blocks,plants_per_plot\n"
    "graft,2024,eggplant,own-root,2024-05-10,2024-10-05,2,2\n",
    "treatments.csv": "trial,treatment,code,rootstock,label\n"
    "graft,own-root,A,,Own-root\ngraft,grafted,B,Corvane,Grafted\n",
    "plots.csv": "site,trial,block,plot,treatment\n"
    + "".join(
        f"{site},graft,{block},{plot},{treatment}\n"
        for site in ("G01", "G02")
        for plot, block, treatment in (
            (1, 1, "own-root"),
            (2, 1, "grafted"),
            (3, 2, "grafted"),
            (4, 2, "own-root"),
        )
    ),
}
TODAY = date(2024, 9, 1)


@pytest.fixture
def workspace(tmp_path):
    return make_workspace(tmp_path / "network", Settings(today=TODAY), REGISTRY)


@pytest.fixture
def registry(workspace):
    return read_registry(workspace.registry)


@pytest.fixture
def context(registry):
    return make_context(registry, read_crops(), TODAY)
