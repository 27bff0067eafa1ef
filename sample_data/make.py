"""Make the sample network's registry and uploads again, from their seed.

Gardens, weather and soil stand in this folder already and are left alone. The seed was picked so that the
closed season shows a gradient that can be told, as a demonstration should; the truth stands in truth.json.
"""

import shutil
import tempfile
from datetime import date
from pathlib import Path

from pipeline.simulate.network import Network, simulate
from pipeline.simulate.truth import Truth

HERE = Path(__file__).resolve().parent
NETWORK = Network(
    seasons=("2024", "2025"),
    seed=14,
    faults=0.04,
    truth=Truth(effects=(0.22, 0.08), slope_per_100_km=-0.05, tau=0.08, cv=0.2),
    blocks=3,
    plants_per_plot=2,
    today=date(2025, 8, 20),
    like=HERE,
    workbooks=3,
    outreach=True,
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
