"""Make the sample network's registry and uploads again, from their seed.

Gardens, weather and soil stand in this folder already and are left alone. The seed was picked so that the
closed season shows a gradient that can be told, as a demonstration should; the truth stands in truth.json.
"""

import shutil
import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

from pipeline.simulate.network import Network, simulate
from pipeline.simulate.stories import Absence, Stories
from pipeline.simulate.trials import GRAFT, MULCH
from pipeline.simulate.truth import Truth

HERE = Path(__file__).resolve().parent
#: Gardens with room and somebody to pick okra every few days.
OKRA = replace(
    MULCH,
    sites=("G01", "G03", "G06", "G09", "G12", "G13", "G17", "G19", "G22"),
    seasons=("2024", "2025"),
    blocks=2,
    plants_per_plot=4,
    interim=((8, 16),),
)
#: Its interim analysis comes before every garden's early days are over, as one easily does.
EGGPLANT = replace(GRAFT, interim=((7, 25),))
STORIES = Stories(
    silent=("G16",),
    quiet_since={"G08": date(2025, 7, 28), "G20": date(2025, 8, 1)},
    absences=(
        Absence("G11", date(2025, 7, 26), date(2025, 8, 16)),
        Absence("G05", date(2024, 8, 3), date(2024, 8, 12)),
    ),
    left={"G23": date(2024, 8, 30)},
    replaced=("G02", "G18"),
    last_picking=("G12", "G21"),
    swapped=("G17",),
    two_pickers=("G14",),
    spanish=("G03", "G06", "G22"),
    asked=("G25", "G26"),
)
NETWORK = Network(
    seasons=("2023", "2024", "2025"),
    seed=14,
    faults=0.04,
    truth=Truth(effects=(0.22, 0.08), slope_per_100_km=-0.05, tau=0.08, cv=0.2),
    blocks=3,
    plants_per_plot=2,
    today=date(2025, 8, 20),
    like=HERE,
    workbooks=3,
    trials=(EGGPLANT, OKRA),
    stories=STORIES,
    has_other_sheets=True,
)


def main() -> None:
    """Write network.toml, registry/, inbox/, truth.json and faults.csv anew."""
    with tempfile.TemporaryDirectory() as folder:
        made = simulate(Path(folder) / "network", NETWORK).root
        shutil.rmtree(HERE / "inbox", ignore_errors=True)
        for name in ("inbox", "registry"):
            shutil.copytree(made / name, HERE / name, dirs_exist_ok=True)
        for name in ("network.toml", "truth.json", "faults.csv"):
            shutil.copy(made / name, HERE / name)


if __name__ == "__main__":
    main()
