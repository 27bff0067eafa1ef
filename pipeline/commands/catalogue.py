"""`longrow checks`: the catalogue of checks, for people, documents and programs."""

from typing import Annotated

import typer

from pipeline.checks.listing import as_document, as_markdown, listed_checks
from pipeline.commands.options import JsonOption
from pipeline.commands.printing import print_json, say
from sites.crops import read_crops


def checks(
    as_json: JsonOption = False,
    markdown: Annotated[bool, typer.Option("--markdown", help="Print it as a document.")] = False,
) -> None:
    """List every check: what it looks at, how serious it is, when it asks."""
    listed = listed_checks()
    if as_json:
        print_json(as_document(listed, read_crops()))
    elif markdown:
        typer.echo(as_markdown(listed, read_crops()), nl=False)
    else:
        theme = ""
        for one in listed:
            if one.theme != theme:
                theme = one.theme
                say(f"\n{theme}")
            say(f"  {one.level:9} {one.name:32} {one.sheets}: {one.looks_at}")
        say(f"\n{len(listed)} checks. Their words and limits: longrow checks --markdown")


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(checks)
