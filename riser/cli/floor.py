# SPDX-License-Identifier: Apache-2.0
"""`riser floor`, `riser set-out`, `riser status`: what people on site look at, on the screen and on paper."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from riser.cli.shell import (
    AsJson,
    JobPath,
    Records,
    answering,
    opened,
    print_json,
    print_rich,
    working,
    write_file,
)

if TYPE_CHECKING:
    from riser.reports.edition import Edition
    from riser.reports.floor_sheet import FloorSheet
    from riser.reports.set_out import SetOut
    from riser.work.job import Job

Print = Annotated[
    Path | None, typer.Option("--print", metavar="FILE.pdf", help="Write the printed sheet to this file.")
]
Day = Annotated[
    str, typer.Option("--day", help="The day on the sheet, as 2031-03-02; today on site if left out.")
]


def _edition(job: Job, day: str) -> Edition:
    from riser.reports.edition import Edition
    from riser.work.edition_facts import day_on_site, mark_words, revision_words

    return Edition(revision_words(job), day or day_on_site(job), mark_words(job))


def _floor_command(app: typer.Typer) -> None:
    @app.command("floor")
    def floor_command(
        job: JobPath,
        floor: Annotated[str, typer.Argument(metavar="FLOOR", help="7, or A/7 where two buildings have it.")],
        pdf: Print = None,
        day: Day = "",
        as_json: AsJson = False,
        records: Records = "",
    ) -> None:
        """The foreman's sheet: joints in working order, state, next gate and what it lacks, fit."""
        with answering(as_json):
            opened_job = opened(job, records)
            with working("checking"):
                sheet = floor_sheet_of(opened_job, floor)
            if pdf is not None:
                write_file(pdf, printed_floor(opened_job, sheet, day), as_json)
            if as_json:
                print_json(opened_job, sheet.as_json())
            elif pdf is None:
                from riser.reports.floor_sheet_terminal import floor_sheet_terminal

                print_rich(floor_sheet_terminal(sheet))


def floor_sheet_of(job: Job, floor: str) -> FloorSheet:
    """The sheet of a floor as people name it, with the findings of the design check."""
    from riser.reports.floor_sheet import floor_sheet
    from riser.work.check import check
    from riser.work.ids import floor_said

    building, name = floor_said(job.tables.floors, floor)
    findings = check(job).findings
    return floor_sheet(job.design, job.state, findings, job.tables.gates, building, name)


def _set_out_command(app: typer.Typer) -> None:
    @app.command("set-out")
    def set_out_command(
        job: JobPath,
        building: Annotated[str, typer.Option("--building", help="Only this building.")] = "",
        grid: Annotated[
            str, typer.Option("--grid", help="X,Y in metres, added to every position: the site grid.")
        ] = "0,0",
        pdf: Print = None,
        csv: Annotated[Path | None, typer.Option("--csv", help="Write the list as CSV to this file.")] = None,
        day: Day = "",
        as_json: AsJson = False,
        records: Records = "",
    ) -> None:
        """Setting-out list of the stubs cast into the foundation: needed, drawn and measured places."""
        with answering(as_json):
            opened_job = opened(job, records)
            from riser.reports.set_out import set_out

            lists = set_out(opened_job.design, building, grid_m=_grid(grid))
            if csv is not None:
                from riser.reports.set_out_csv import set_out_csv

                write_file(csv, set_out_csv(lists).encode(), as_json)
            if pdf is not None:
                for name, content in printed_set_out(opened_job, lists, pdf, day):
                    write_file(name, content, as_json)
            if as_json:
                print_json(opened_job, set_out_json(lists))
            elif pdf is None and csv is None:
                from riser.reports.set_out_terminal import set_out_terminal

                for found in lists:
                    print_rich(set_out_terminal(found))


def set_out_json(lists: list[SetOut]) -> dict[str, Any]:
    """Every stub in one list `points`, each with its building; tolerances and grid once."""
    points = [{"building": found.building, **point} for found in lists for point in found.as_json()["points"]]
    first = lists[0].as_json() if lists else {}
    return {**{k: v for k, v in first.items() if k not in ("building", "points")}, "points": points}


def _grid(text: str) -> tuple[float, float]:
    try:
        x, y = (float(piece) for piece in text.split(","))
    except ValueError:
        raise typer.BadParameter(f"{text!r} is not X,Y in metres") from None
    return (x, y)


def printed_floor(job: Job, sheet: FloorSheet, day: str) -> bytes:
    """The floor sheet as PDF, as of `day` or today on site."""
    from riser.reports.floor_sheet_pdf import floor_sheet_pdf

    return floor_sheet_pdf(sheet, _edition(job, day))


def printed_set_out(job: Job, lists: list[SetOut], pdf: Path, day: str) -> Iterator[tuple[Path, bytes]]:
    """One file a building; with several buildings each gets its name in front of the ending."""
    from riser.reports.set_out_pdf import set_out_pdf

    edition = _edition(job, day)
    for found in lists:
        name = pdf if len(lists) == 1 else pdf.with_stem(f"{pdf.stem}-{found.building}")
        yield name, set_out_pdf(found, edition)


def _status_command(app: typer.Typer) -> None:
    @app.command("status")
    def status_command(job: JobPath, records: Records = "", as_json: AsJson = False) -> None:
        """Building, floor, shaft, system: not yet seen, made, inspected, proven, stale, covered."""
        with answering(as_json):
            opened_job = opened(job, records)
            from riser.reports.status_table import status_table

            table = status_table(opened_job.design, opened_job.state)
            if as_json:
                print_json(opened_job, table.as_json())
            else:
                from riser.reports.status_terminal import status_terminal

                print_rich(status_terminal(table))


def add_to(app: typer.Typer) -> None:
    """Register the commands."""
    _floor_command(app)
    _set_out_command(app)
    _status_command(app)
