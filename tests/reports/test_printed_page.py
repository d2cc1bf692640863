# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import subprocess
import sys
from importlib.metadata import metadata
from pathlib import Path

import pytest

import riser.reports
from riser.reports.layout_check import pdf_pages
from riser.reports.printed_page import (
    FONT_FILES,
    TEMPLATES,
    Picture,
    PrintError,
    breakable,
    font_home,
    printed,
    qr_svg,
)

NEVER_LOADED_ALONE = ("typst", "segno", "rich", "sqlalchemy", "cryptography", "font_source_sans_pro")


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
    lists: dict[str, object] = {key: [] for key in ("notes", "covering", "rules", "rows", "ends", "others")}
    words = {"title": "t", "kind": "k", "plan": EMPTY, "ends_count": "", "ends_words": "", "before": ""}
    group = {**lists, **words}
    return {
        "title": "t", "job": job, "building": "b", "subtitle": "s", "origin": "o", "sheet_id": "x",
        "qr": EMPTY,
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


def test_the_font_is_the_installed_packages_and_no_font_lies_in_riser() -> None:
    assert all((font_home() / name).is_file() for name in FONT_FILES)
    assert {Path(name).suffix for name in FONT_FILES} == {".ttf"}
    ours = Path(riser.reports.__file__).parents[1]
    assert [path for path in ours.rglob("*") if path.suffix in (".ttf", ".otf")] == []
    assert "OFL 1.1" in metadata("font-source-sans-pro")["License"]


@pytest.mark.usefixtures("poppler")
@pytest.mark.parametrize(
    "letters",
    ["\u2192 \u2264 \u00d7 \u00b0 \u00b1 \u2013", "\u03a9 \u03bb", "\u0416 \u0449", "\u0159 \u0141"],
)
def test_trade_signs_greek_and_cyrillic_are_in_the_sheets_own_font(letters: str) -> None:
    pdf = printed("floor_sheet", values(letters), "2031-03-02")
    listed = subprocess.run(["pdffonts", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    fonts = {row.split("+")[1].split("-")[0] for row in listed.splitlines()[2:]}
    assert fonts == {"SourceSansPro"}
    assert letters[0] in " ".join(text.words for page in pdf_pages(pdf) for text in page.texts)


def test_the_code_of_a_sheet_is_a_picture_of_its_own() -> None:
    svg = qr_svg("FLOOR-0123456789")
    assert svg.startswith("<svg")
    assert 'xmlns="http://www.w3.org/2000/svg"' in svg
    assert svg != qr_svg("FLOOR-0123456788")
