# SPDX-License-Identifier: Apache-2.0
"""Pictures of everything the demo prints: `make pictures`.

Every sheet and diagram of the demo is made as PDF, each page is checked by machine, and one or two pages of
each are kept in docs/pictures/ as grey PNG of at most 200 kB. A fault in a page ends the command with 1; what
people saw and changed is written by hand into docs/pictures/notes.md.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from riser.reports.edition import Edition
from riser.reports.layout_check import Page, layout_faults, pdf_pages, picture
from riser.work.job import Job, open_job

HOME = Path(__file__).parent / "pictures"
# The last day of the demo's story, so that every run gives the same pages.
DAY = "2031-03-14"
STATE = "floor_7_placed"
MOST_BYTES = 200_000
# All floors are checked; the pictures of these are kept.
KEPT_FLOORS = {
    ("P", "01"): (1,),
    ("A", "06"): (1,),
    ("A", "07"): (1, 2),
    ("A", "RF"): (1,),
    ("B", "03"): (1,),
}
DIAGRAM_SYSTEMS = ("soil", "vent", "cold", "fire")


@dataclass(frozen=True)
class Printed:
    """One printed thing: the name of its picture, its PDF, words that must stand in it, pages to keep."""

    name: str
    pdf: bytes
    must_say: frozenset[str]
    keep: tuple[int, ...] = (1,)


def demo_job(folder: Path) -> Job:
    """The demo with its records, written into a folder and opened."""
    from demo_project.build import demo_files
    from demo_project.records_replay import replay
    from demo_project.writing import write_files

    write_files(demo_files(), folder)
    replay(folder, STATE, folder)
    return open_job(folder)


def floor_sheets(job: Job) -> Iterator[Printed]:
    """The foreman's sheet of every floor, with the codes of its findings and the ids of its joints."""
    from riser.reports.floor_sheet import floor_sheet
    from riser.reports.floor_sheet_pdf import floor_sheet_pdf
    from riser.work.check import check

    floors, findings = job.design.placed.floors, check(job).findings
    for building, floor in zip(floors.building.tolist(), floors.name.tolist(), strict=True):
        sheet = floor_sheet(job.design, job.state, findings, job.tables.gates, building, floor)
        found = [f for line in sheet.joints for f in line.findings] + list(sheet.others)
        says = {f"{f.code} {f.severity}" for f in found} | {str(line.number) for line in sheet.joints}
        keep = KEPT_FLOORS.get((building, floor), ())
        yield Printed(
            f"floor-{building}-{floor}", floor_sheet_pdf(sheet, _edition(job)), frozenset(says), keep
        )


def set_out_lists(job: Job) -> Iterator[Printed]:
    """The setting-out list of every building with stubs in its ground."""
    from riser.reports.set_out import set_out
    from riser.reports.set_out_pdf import set_out_pdf

    for found in set_out(job.design):
        says = frozenset(f"joint {line.joint}" for line in found.lines if line.joint)
        yield Printed(f"set-out-{found.building}", set_out_pdf(found, _edition(job)), says)


def diagrams(job: Job) -> Iterator[Printed]:
    """Riser diagrams of some systems."""
    from riser.network.systems import System
    from riser.reports.pipe_styles import pipe_styles
    from riser.reports.riser_diagram import DiagramHead, riser_diagram
    from riser.reports.scene_pdf import pages_pdf
    from riser.reports.stage import Standing
    from riser.work.check import check

    findings, styles = check(job).findings, pipe_styles(job.rules)
    head = DiagramHead(job.name, "", f"Revision {_edition(job).revision}.", "records of the demo")
    for word in DIAGRAM_SYSTEMS:
        system = System[word.upper()]
        pages = riser_diagram(job.design, system, Standing(job.state), findings, styles, head)
        yield Printed(f"diagram-{word}", pages_pdf(pages, pages[0].title, DAY), frozenset())


def _edition(job: Job) -> Edition:
    from riser.work.edition_facts import mark_words, revision_words

    return Edition(revision_words(job), DAY, mark_words(job))


MAKERS: tuple[Callable[[Job], Iterator[Printed]], ...] = (floor_sheets, set_out_lists, diagrams)


def faults_of(printed: Printed, pages: list[Page]) -> list[str]:
    """What the machine finds wrong: layout page by page, and words that should stand somewhere and do not."""
    found = [
        f"{printed.name}, page {n}: {fault}" for n, p in enumerate(pages, 1) for fault in layout_faults(p)
    ]
    text = " ".join(word.words for page in pages for word in page.texts)
    return found + [
        f"{printed.name}: '{words}' is missing" for words in sorted(printed.must_say) if words not in text
    ]


def keep_pictures(printed: Printed, pages: int) -> list[str]:
    """Write the pictures to keep; a picture that cannot be made small enough is a fault."""
    faults = []
    for page in printed.keep:
        if page > pages:
            continue
        png = picture(printed.pdf, page, MOST_BYTES)
        name = f"{printed.name}.png" if len(printed.keep) == 1 else f"{printed.name}-{page}.png"
        (HOME / name).write_bytes(png)
        if len(png) > MOST_BYTES:
            faults.append(f"{name} has {len(png)} bytes, more than {MOST_BYTES}")
    return faults


def main() -> int:
    """Make, check and keep every picture; 1 where something is wrong."""
    HOME.mkdir(exist_ok=True)
    faults: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        job = demo_job(Path(folder))
        for maker in MAKERS:
            for printed in maker(job):
                pages = pdf_pages(printed.pdf)
                faults += faults_of(printed, pages) + keep_pictures(printed, len(pages))
                print(f"docs/pictures/{printed.name}: {len(pages)} page{'s' if len(pages) > 1 else ''}")
    for fault in faults:
        print(fault, file=sys.stderr)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
