"""R, asked live: tests that use it compare with metafor or lme4 on data that no file holds."""

import json
import shutil
import subprocess
from functools import cache

import numpy as np
import pytest


@cache
def missing(package: str) -> str:
    """Return why R cannot be asked with that package, "" where it can."""
    if shutil.which("Rscript") is None:
        return "there is no Rscript here"
    probe = f'cat(nzchar(system.file(package="{package}")) && nzchar(system.file(package="jsonlite")))'
    found = subprocess.run(["Rscript", "-e", probe], capture_output=True, text=True, check=True).stdout
    return "" if found == "TRUE" else f"R has no {package} or no jsonlite here"


def ask(package: str, program: str, **given: object) -> dict:
    """Return what the R program puts into the list `out`; arrays and numbers are `given` under their names.

    Skips the test, saying why, where R or the package is missing.
    """
    if why := missing(package):
        pytest.skip(why)
    lines = [f"suppressPackageStartupMessages(library({package}))", "out <- list()"]
    for name, value in given.items():
        numbers = ",".join(repr(float(number)) for number in np.atleast_1d(value))
        lines.append(f"{name} <- c({numbers})")
    lines += [program, 'cat(jsonlite::toJSON(out, digits=I(16), auto_unbox=TRUE, na="null"))']
    done = subprocess.run(
        ["Rscript", "-"], input="\n".join(lines), capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)
