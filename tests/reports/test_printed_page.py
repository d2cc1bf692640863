# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import riser.reports
from riser.reports.printed_page import FONTS, TEMPLATES, Picture, PrintError, breakable, printed, qr_svg

NEVER_LOADED_ALONE = ("typst", "segno", "rich", "sqlalchemy", "cryptography")


def test_a_sheet_is_made_without_loading_what_only_its_printing_needs() -> None:
    modules = (
        "floor_sheet",
        "set_out",
        "status_table",
        "floor_sheet_pdf",
        "set_out_pdf",
        "floor_sheet_terminal",
    )
    code = "import sys, importlib\n"
    code += f"for name in {modules}: importlib.import_module('riser.reports.' + name)\n"
    code += f"print([name for name in {NEVER_LOADED_ALONE} if name in sys.modules])"
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"


def test_letters_that_no_font_has_are_an_error_that_names_them() -> None:
    with pytest.raises(PrintError, match="\U00012000"):
        printed("floor_sheet", values("Tell \U00012000"), "2031-03-02")


VIEW = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 2">'
EMPTY = Picture(f'{VIEW}<rect width="2" height="2"/></svg>')


def values(job: str) -> dict[str, object]:
    """The least a floor sheet needs."""
    lists: dict[str, object] = {"notes": [], "rows": [], "ends": [], "others": []}
    words = {"title": "t", "kind": "k", "plan": EMPTY, "ends_count": "", "ends_words": "", "before": ""}
    group = {**lists, **words}
    return {
        "title": "t", "job": job, "subtitle": "s", "origin": "o", "sheet_id": "x", "qr": EMPTY,
        "cautions": [["a"], ["b"]], "above_all": "c", "plan_width": 20, "groups": [group],
    }  # fmt: skip


def test_the_same_values_give_the_same_bytes_and_other_values_others() -> None:
    one, again, other = (
        printed("floor_sheet", values(job), "2031-03-02") for job in ("Alder", "Alder", "Elder")
    )
    assert one == again
    assert one != other
    assert one.startswith(b"%PDF-1.7")
    assert b"pdfaid" in one


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("A04-02-SO", "A04-02-SO"),
        ("A05-07/CWL+A05-09/CW", "A05-07/|CWL+|A05-09/|CW"),
        ("ABCDEFGHIJKLMNOPQRST UV", "ABCDEFGHIJ|KLMNOPQRST| UV"),
    ],
)
def test_a_long_id_may_end_a_line_and_a_short_one_stays_as_it_is(text: str, shown: str) -> None:
    assert breakable(text, 10).replace("\u200b", "|") == shown


def test_no_template_is_filled_by_joining_text() -> None:
    for path in TEMPLATES.glob("*.typ"):
        text = path.read_text(encoding="utf-8")
        assert "eval(" not in text
    for path in Path(riser.reports.__file__).parent.glob("*.py"):
        assert "input=b" not in path.read_text(encoding="utf-8")


def test_the_fonts_of_the_sheets_travel_with_their_licence() -> None:
    names = {path.name for path in FONTS.iterdir()}
    assert {"DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf", "LICENSE.txt"} <= names
    assert "Permission is hereby granted" in (FONTS / "LICENSE.txt").read_text(encoding="utf-8")


def test_the_code_of_a_sheet_is_a_picture_of_its_own() -> None:
    svg = qr_svg("FLOOR-0123456789")
    assert svg.startswith("<svg")
    assert 'xmlns="http://www.w3.org/2000/svg"' in svg
    assert svg != qr_svg("FLOOR-0123456788")
