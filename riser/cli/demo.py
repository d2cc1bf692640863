# SPDX-License-Identifier: Apache-2.0
"""`riser demo`: the demo project written out, and the main job run on it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from riser.cli.shell import answering, opened, working, write_file

SHEET_FLOOR = "A/07"


def _run(folder: Path) -> None:
    """Check the design and the site, print one floor's sheet and the setting-out list."""
    from riser.cli.check import result_text
    from riser.cli.floor import floor_sheet_of, printed_floor, printed_set_out
    from riser.reports.set_out import set_out
    from riser.work.check import check

    job = opened(folder)
    with working("checking"):
        design, site = check(job), check(job, site=True)
    typer.echo(f"\n== riser check {folder}")
    typer.echo(result_text(design))
    typer.echo(f"\n== riser check {folder} --site")
    typer.echo(result_text(site))
    sheets = folder / "sheets"
    typer.echo("\n== sheets")
    sheet = floor_sheet_of(job, SHEET_FLOOR)
    write_file(sheets / "floor-A-07.pdf", printed_floor(job, sheet, ""), quiet=False)
    for name, content in printed_set_out(job, set_out(job.design), sheets / "set-out.pdf", ""):
        write_file(name, content, quiet=False)
    typer.echo(f"\nNext: riser floor {folder} {SHEET_FLOOR}; riser status {folder}; riser verify {folder}")


def add_to(app: typer.Typer) -> None:
    """Register the command."""

    @app.command("demo")
    def demo_command(
        folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where to write it; made if missing.")],
        state: Annotated[
            str, typer.Option("--state", help="Which stored state of the records to begin with.")
        ] = "floor_7_placed",
        again: Annotated[bool, typer.Option("--again", help="Write over an earlier demo in DIR.")] = False,
    ) -> None:
        """Write the demo project to DIR, with its records, and run the main job on it."""
        with answering(as_json=False):
            with working("writing the demo"):
                from riser.work.demo import write_demo

                files, lines = write_demo(folder, state, again=again)
            typer.echo(f"{folder}: {files} files, {lines} record lines ({state.replace('_', ' ')}).")
            _run(folder)
