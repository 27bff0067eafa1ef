"""Make the sample network's registry and uploads again, from their seed; one of them a picture of paper.

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
from sample_data.paper import photographed

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
#: Of which garden and day there is a picture of a paper sheet, and what stands on it.
PAPER_GARDEN, PAPER_DAY = "G10", "2025-08-19"
PAPER_ROWS = [
    (plot, "Aug 19", fruits, weight, "IN", note)
    for plot, fruits, weight, note in (
        ("1", "2", "1.6 lb", ""),
        ("2", "3", "2.4 lb", ""),
        ("3", "1", "0.7 lb", ""),
        ("4", "1", "12 oz", "small"),
        ("5", "4", "3.1 lb", ""),
        ("6", "3", "2.2 lb", ""),
        ("7", "0", "0", "none ripe"),
        ("8", "3", "2.3 lb", ""),
        ("9", "2", "1.5 lb", "one split"),
    )
]


def main() -> None:
    """Write network.toml, registry/, inbox/, truth.json and faults.csv anew."""
    with tempfile.TemporaryDirectory() as folder:
        made = simulate(Path(folder) / "network", NETWORK).root
        shutil.rmtree(HERE / "inbox", ignore_errors=True)
        for name in ("inbox", "registry"):
            shutil.copytree(made / name, HERE / name, dirs_exist_ok=True)
        paper = HERE / "inbox" / PAPER_GARDEN / f"{PAPER_GARDEN}_paper_{PAPER_DAY}.jpg"
        paper.write_bytes(photographed(PAPER_GARDEN, PAPER_DAY, PAPER_ROWS, NETWORK.seed))
        for name in ("network.toml", "truth.json", "faults.csv"):
            shutil.copy(made / name, HERE / name)


if __name__ == "__main__":
    main()
