# SPDX-License-Identifier: Apache-2.0
"""The command line: parse, call, show. Heavy libraries are imported inside the commands that need them."""

from __future__ import annotations

from typing import Annotated

import typer

from riser import __version__
from riser.cli import (
    check,
    demo,
    diagram,
    files,
    floor,
    pressures,
    records,
    rules,
    sections,
    size,
)

app = typer.Typer(
    name="riser",
    help="Pipe risers of buildings made of modules: joints, sizes, tests and records.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"riser {__version__}")
        raise typer.Exit


@app.callback()
def _program(
    version: Annotated[
        bool, typer.Option("--version", help="Show the version and stop.", callback=_show_version)
    ] = False,
) -> None:
    """Pipe risers of buildings made of modules: joints, sizes, tests and records."""


for module in (demo, check, floor, size, pressures, sections, diagram, records, files, rules):
    module.add_to(app)


def main() -> None:
    """Run the command line."""
    app()
