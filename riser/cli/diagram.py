# SPDX-License-Identifier: Apache-2.0
"""`riser diagram`: the riser diagram of one system, as SVG pages or one PDF."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from riser.cli.shell import AsJson, JobPath, Records, answering, opened, print_json, working, write_file

if TYPE_CHECKING:
    from riser.reports.scene import Page
    from riser.work.job import Job


def _pages(job: Job, system: str) -> list[Page]:
    from riser.network.systems import System
    from riser.reports.pipe_styles import pipe_styles
    from riser.reports.riser_diagram import DiagramHead, riser_diagram
    from riser.reports.stage import Standing
    from riser.work.check import check
    from riser.work.edition_facts import mark_words, revision_words
    from riser.work.ids import system_said

    code = System(system_said(system))
    mark = mark_words(job)
    head = DiagramHead(
        job.name, "", f"Revision {revision_words(job)}.", f"records up to {mark}" if mark else "no records"
    )
    return riser_diagram(
        job.design, code, Standing(job.state), check(job).findings, pipe_styles(job.rules), head
    )


def _write(pages: list[Page], out: Path, day: str, quiet: bool) -> list[Path]:
    """A PDF takes all pages; SVG files are numbered where there are several."""
    if out.suffix.lower() == ".pdf":
        from riser.reports.scene_pdf import pages_pdf

        write_file(out, pages_pdf(pages, pages[0].title, day), quiet)
        return [out]
    from riser.reports.scene_svg import svg

    names = [out if len(pages) == 1 else out.with_stem(f"{out.stem}-{n}") for n in range(1, len(pages) + 1)]
    for name, page in zip(names, pages, strict=True):
        write_file(name, svg(page).encode(), quiet)
    return names


def add_to(app: typer.Typer) -> None:
    """Register the command."""

    @app.command("diagram")
    def diagram_command(
        job: JobPath,
        system: Annotated[str, typer.Argument(metavar="SYSTEM", help="soil, vent, cold, fire ...")],
        out: Annotated[Path, typer.Option("--out", "-o", help="The file to write: .svg or .pdf.")],
        day: Annotated[str, typer.Option("--day", help="The day the PDF carries; today if left out.")] = "",
        as_json: AsJson = False,
        records: Records = "",
    ) -> None:
        """Riser diagram of a system: floors, levels, risers in shaft order, joints by how far they are."""
        with answering(as_json):
            if out.suffix.lower() not in (".svg", ".pdf"):
                raise typer.BadParameter(f"{out.name} ends in neither .svg nor .pdf")
            opened_job = opened(job, records)
            with working("drawing"):
                pages = _pages(opened_job, system)
                from riser.work.edition_facts import day_on_site

                files = _write(pages, out, day or day_on_site(opened_job), as_json)
            if as_json:
                print_json(opened_job, {"files": [str(file) for file in files]})
