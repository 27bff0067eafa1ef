from pathlib import Path

import pytest

from dashboard.sending.gate import Gate
from pipeline.settings import Settings
from pipeline.workspace import Workspace, make_workspace

#: Two invented gardens of two blocks; the crop and its fruit masses are those of the crop table.
REGISTRY = {
    "gardens.csv": "site,name,lon,lat,language\n"
    "K01,Windmill Lot,-99.5,38.5,en\n"
    "K02,Huerto del Cerro,-97.5,38.5,es\n",
    "trials.csv": "trial,season,crop,control,start,close,blocks,plants_per_plot\n"
    "eggplant-graft,2025,eggplant,own-root,2025-05-10,2025-10-05,2,2\n",
    "treatments.csv": "trial,treatment,code,label\n"
    "eggplant-graft,own-root,A,own-root plants\n"
    "eggplant-graft,grafted,B,grafted plants\n",
    "plots.csv": "season,site,trial,block,plot,treatment\n"
    + "".join(
        f"2025,{site},eggplant-graft,{block},{plot},{treatment}\n"
        for site in ("K01", "K02")
        for block, plot, treatment in (
            (1, 1, "own-root"),
            (1, 2, "grafted"),
            (2, 10, "own-root"),
            (2, 9, "grafted"),
        )
    ),
    "absences.csv": "site,from,to,stand_in\n",
}


@pytest.fixture
def network(tmp_path: Path) -> Workspace:
    """Return a network that no night has run in yet, on a day of its season."""
    settings = Settings(name="Invented network", today="2025-08-20")
    return make_workspace(tmp_path / "network", settings, REGISTRY)


@pytest.fixture
def gate(network: Workspace) -> Gate:
    """Return the gate of a network without a store: nothing was ever kept."""
    return Gate(network)
