"""R, where it is installed, as a second opinion on data that no file holds."""

import shutil
import subprocess
from pathlib import Path

import pandas as pd
import pytest


def r_answers(folder: Path, script: str, table: pd.DataFrame, *packages: str) -> pd.DataFrame:
    """Return the frame that `script` leaves in `out`, having read `table` as `data`; skip without R."""
    rscript = shutil.which("Rscript")
    if rscript is None:
        pytest.skip("R is not installed")
    loaded = " && ".join(f'requireNamespace("{package}", quietly=TRUE)' for package in packages) or "TRUE"
    table.to_csv(folder / "table.csv", index=False)
    (folder / "script.R").write_text(
        f"if (!({loaded})) quit(status=77)\n"
        'data <- read.csv("table.csv")\n'
        f"{script}\n"
        'write.csv(format(out, digits=17), "out.csv", row.names=FALSE, quote=FALSE)\n',
        encoding="utf-8",
    )
    done = subprocess.run([rscript, "--vanilla", "script.R"], cwd=folder, capture_output=True, text=True)
    if done.returncode == 77:
        pytest.skip(f"R lacks one of {', '.join(packages)}")
    assert done.returncode == 0, done.stderr
    return pd.read_csv(folder / "out.csv", skipinitialspace=True)
