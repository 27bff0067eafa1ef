"""Options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

WorkspaceOption = Annotated[
    Path | None,
    typer.Option(
        "--workspace",
        help="Folder of the network. Else LONGROW_WORKSPACE, else this folder.",
        show_default=False,
    ),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print one JSON document for programs, and nothing else.")
]
