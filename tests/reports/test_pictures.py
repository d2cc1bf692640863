# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from riser.network.model import Model
from riser.records.state import State
from riser.reports.edition import Edition
from riser.reports.floor_sheet import floor_sheet
from riser.reports.floor_sheet_pdf import floor_sheet_pdf
from riser.reports.layout_check import Page, Text, pdf_pages

# A folder of the same name lies beside the module: only an import at run time tells them apart.
pictures: Any = import_module("docs.pictures")
pytestmark = pytest.mark.usefixtures("poppler")


def test_a_page_with_a_fault_and_a_missing_word_are_both_told(tower: Model) -> None:
    pdf = floor_sheet_pdf(floor_sheet(tower, State(), [], (), "A", "03"), Edition("1", "2031-03-14"))
    pages = pdf_pages(pdf)
    printed = pictures.Printed("floor", pdf, frozenset({"FLOOR 03", "J99 error"}))
    assert pictures.faults_of(printed, pages) == ["floor: 'J99 error' is missing"]
    spoilt = Page(210, 297, (Text("a", 10, 10, 30, 13, 3.1), Text("b", 20, 11, 40, 14, 3.1)))
    whole = pictures.Printed("floor", pdf, frozenset({"FLOOR 03"}))
    assert pictures.faults_of(whole, [*pages, spoilt]) == [
        f"floor, page {len(pages) + 1}: 'a' and 'b' lie on each other."
    ]


def test_pictures_are_kept_small_and_one_too_large_is_told(
    tower: Model, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pictures, "HOME", tmp_path)
    pdf = floor_sheet_pdf(floor_sheet(tower, State(), [], (), "A", "03"), Edition("1", "2031-03-14"))
    assert pictures.keep_pictures(pictures.Printed("floor", pdf, frozenset(), (1, 7)), 1) == []
    assert [path.name for path in tmp_path.iterdir()] == ["floor-1.png"]
    monkeypatch.setattr(pictures, "MOST_BYTES", 1000)
    faults = pictures.keep_pictures(pictures.Printed("floor", pdf, frozenset()), 1)
    assert len(faults) == 1
    assert faults[0].startswith("floor.png has ")
