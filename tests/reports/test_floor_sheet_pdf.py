# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from importlib import import_module
from typing import Any

import pytest

from riser.joints.findings import findings
from riser.network.model import Model
from riser.network.tables import JobTables
from riser.records.state import State
from riser.reports.cautions import ABOVE_ALL
from riser.reports.edition import Edition
from riser.reports.floor_sheet import FloorSheet, floor_sheet
from riser.reports.floor_sheet_pdf import floor_sheet_pdf
from riser.reports.layout_check import Page, layout_faults, pdf_pages
from tests.building import model_of, two_storeys, with_cells

pytestmark = pytest.mark.usefixtures("poppler")
floor_sheet_pdf_module = import_module("riser.reports.floor_sheet_pdf")
EDITION = Edition("4", "2031-03-02", "12 7c31f9")


def sheet_of(job: JobTables, floor: str = "01") -> FloorSheet:
    model = model_of(job)
    return floor_sheet(model, State(), findings(model), (), "A", floor)


def text_of(page: Page) -> str:
    return " ".join(text.words for text in page.texts)


def test_a_floor_that_fits_is_one_page_with_everything_the_foreman_asks_for() -> None:
    pages = pdf_pages(floor_sheet_pdf(sheet_of(two_storeys()), EDITION))
    assert len(pages) == 1
    assert (round(pages[0].width_mm), round(pages[0].height_mm)) == (210, 297)
    text = text_of(pages[0])
    for expected in (
        "Two storeys", "FLOOR 01", "Revision 4, printed for 2031-03-02, records up to mark 12 7c31f9",
        "Building A", "2 × NH, 497 mm DN100 cast iron", "Fit: fits as drawn.",
        "NOTHING ON THIS PAGE MAY BE COVERED: not yet placed, made, inspected, proven, released.",
        "not seen", "Next G2: self by foreman, lacks both parts set in place.", "9 to cap",
        "cap this stub when you leave it open", ABOVE_ALL, "drop zone",
        "made seen", "page 1 of 1",
    ):  # fmt: skip
        assert expected in text, expected
    assert re.search(r"FLOOR-[0-9a-f]{10}", text)


@pytest.mark.parametrize("floor", ["01", "02", "03"])
def test_no_text_lies_on_another_or_off_the_page_or_is_too_small_to_read(
    tower_job: Callable[..., JobTables], floor: str
) -> None:
    for page in pdf_pages(floor_sheet_pdf(sheet_of(tower_job(S1SOIL=0.012), floor), EDITION)):
        assert layout_faults(page) == []


def test_a_floor_too_long_for_one_page_is_split_by_shaft_and_every_page_is_complete(tower: Model) -> None:
    sheet = floor_sheet(tower, State(), [], (), "A", "01")
    pages = pdf_pages(floor_sheet_pdf(sheet, EDITION))
    texts = [text_of(page) for page in pages]
    assert len(pages) == 4
    assert len(sheet.joints) / len(pages) > 10
    for n, text in enumerate(texts, start=1):
        assert ABOVE_ALL in text
        assert f"page {n} of {len(pages)}" in text
        assert "FLOOR 01, shaft S" in text
        assert "to cap" in text
        assert "NOTHING ON THIS PAGE MAY BE COVERED" in text
    for shaft in ("S1", "S2", "S3"):
        mine = [text for text in texts if f"FLOOR 01, shaft {shaft}" in text]
        ids = {line.id for line in sheet.joints if line.shaft == shaft}
        found = {joint for joint in ids for text in mine if all(piece in text for piece in joint.split("-"))}
        assert found == ids
        assert f"Floor sheet, shaft {shaft}" in mine[0]


def groups_of(sheet: FloorSheet, monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What the template is given, page by page."""
    given: list[dict[str, Any]] = []

    def kept(_template: str, values: dict[str, Any], _day: str) -> bytes:
        given.extend(values["groups"])
        return b""

    monkeypatch.setattr(floor_sheet_pdf_module, "printed", kept)
    floor_sheet_pdf(sheet, EDITION)
    return given


def test_every_stub_to_cap_has_its_box_on_paper(tower: Model, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = floor_sheet(tower, State(), [], (), "A", "01")
    assert len(sheet.open_ends) > 10
    groups = groups_of(sheet, monkeypatch)
    in_rows = [stub for group in groups for row in group["rows"] for stub in row["stubs"] if stub["is_open"]]
    boxes = [stub["id"] for stub in in_rows] + [end["stub"] for group in groups for end in group["ends"]]
    assert sorted(box.replace("\u200b", "") for box in boxes) == sorted(end.stub for end in sheet.open_ends)


def test_a_row_says_only_what_the_head_of_its_page_does_not(
    tower: Model, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = floor_sheet(tower, State(), [], (), "A", "01")
    joints = list(sheet.joints)
    joints[0] = replace(joints[0], why_not_covered=("a thing of its own",))
    joints[1] = replace(joints[1], why_not_covered=())
    groups = groups_of(replace(sheet, joints=tuple(joints)), monkeypatch)
    lines = {row["number"]: row["lines"] for group in groups for row in group["rows"]}
    assert lines[1] == [[{"head": "DO NOT COVER:", "text": "not yet a thing of its own."}]]
    assert lines[2] == [[{"head": "MAY BE COVERED.", "text": ""}]]
    first = groups[0]["covering"][0]
    assert first.startswith("DO NOT COVER, unless the row allows it: not yet ")
    assert any(group["covering"][0].startswith("NOTHING ON THIS PAGE MAY BE COVERED") for group in groups)


def test_findings_stand_with_their_remedy(tower_job: Callable[..., JobTables]) -> None:
    pages = pdf_pages(floor_sheet_pdf(sheet_of(tower_job(S1SOIL=0.012)), EDITION))
    text = " ".join(text_of(page) for page in pages)
    assert "DOES NOT FIT as drawn: 10 mm too far across." in text
    assert "J12 error: Joint J01-S1-SOIL" in text
    assert "Remedy: " in text


def test_what_people_wrote_is_printed_and_not_typeset() -> None:
    job = with_cells(two_storeys(), "pipes", {"pipe": "CI100"}, material="#pagebreak() *x* $y$ [z] <w>")
    pages = pdf_pages(floor_sheet_pdf(sheet_of(job), EDITION))
    assert len(pages) == 1
    assert "#pagebreak()" in text_of(pages[0])
    assert "*x*" in text_of(pages[0])
    assert "$y$ [z] <w>" in text_of(pages[0])


def test_the_same_sheet_gives_the_same_bytes_and_another_day_another_number() -> None:
    sheet = sheet_of(two_storeys())
    assert floor_sheet_pdf(sheet, EDITION) == floor_sheet_pdf(sheet, EDITION)
    numbers = [
        re.findall(r"FLOOR-[0-9a-f]{10}", text_of(pdf_pages(floor_sheet_pdf(sheet, edition))[0]))
        for edition in (EDITION, Edition("4", "2031-03-03", "12 7c31f9"))
    ]
    assert numbers[0] != numbers[1]


def test_a_floor_without_joints_is_still_a_sheet() -> None:
    pages = pdf_pages(floor_sheet_pdf(sheet_of(two_storeys(), "RF"), EDITION))
    assert "No joint is made from this floor." in text_of(pages[0])
