# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import struct

import pytest

from riser.network.model import Model
from riser.records.state import State
from riser.reports import layout_check
from riser.reports.edition import Edition
from riser.reports.floor_sheet import floor_sheet
from riser.reports.floor_sheet_pdf import floor_sheet_pdf
from riser.reports.layout_check import (
    Page,
    PopplerMissingError,
    Text,
    layout_faults,
    pdf_pages,
    picture,
    svg_page,
)

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50" width="100mm" height="50mm">'


def page(*texts: Text) -> Page:
    return Page(210.0, 297.0, texts)


SMALLER = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100" width="100mm">{}</svg>'


def text(words: str, left: float, top: float, size: float = 3.1, width: float = 20.0) -> Text:
    return Text(words, left, top, left + width, top + size, size)


def test_a_page_in_order_has_no_faults() -> None:
    assert layout_faults(page(text("a", 10, 10), text("b", 10, 13.1), text("c", 31, 10))) == []


def test_text_on_text_is_found_wherever_it_lies() -> None:
    faults = layout_faults(page(text("a", 10, 10), text("c", 100, 10), text("b", 25, 11)))
    assert faults == ["'a' and 'b' lie on each other."]


def test_lines_that_only_touch_are_no_fault() -> None:
    assert layout_faults(page(text("a", 10, 10), text("b", 10, 12.8))) == []


@pytest.mark.parametrize(("left", "top"), [(-1.0, 10.0), (195.0, 10.0), (10.0, -1.0), (10.0, 296.0)])
def test_text_off_any_side_of_the_page_is_found(left: float, top: float) -> None:
    assert layout_faults(page(text("a", left, top))) == ["'a' is off the page."]


def test_text_where_printers_do_not_reach_is_found() -> None:
    assert layout_faults(page(text("a", 1.0, 10.0))) == ["'a' is too near the edge of the page."]


def test_capital_letters_below_two_millimetres_are_found() -> None:
    # Capitals of the sheets' font are 0.66 of its size: see the test below.
    assert layout_faults(page(text("a", 10, 10, size=2.0 / 0.66 - 0.1))) != []
    assert layout_faults(page(text("a", 10, 10, size=2.0 / 0.66))) == []


def test_the_height_of_a_capital_is_that_of_the_font() -> None:
    from riser.reports.printed_page import font_home

    font = (font_home() / "SourceSansPro-Regular.ttf").read_bytes()
    tables = {}
    for n in range(struct.unpack(">H", font[4:6])[0]):
        tag, _, offset, _ = struct.unpack(">4sLLL", font[12 + 16 * n : 28 + 16 * n])
        tables[tag] = offset
    units = struct.unpack(">H", font[tables[b"head"] + 18 : tables[b"head"] + 20])[0]
    # sCapHeight of the OS/2 table (version 2 and later): OpenType specification 1.9, "OS/2".
    at = tables[b"OS/2"]
    version, capital = (struct.unpack(">H", font[at + n : at + n + 2])[0] for n in (0, 88))
    assert version >= 2
    assert capital / units == pytest.approx(layout_check.CAPITAL, abs=0.001)


def test_texts_of_a_picture_are_found_where_groups_move_them() -> None:
    svg = (
        f'{HEAD}<g transform="translate(10 5)"><g transform="translate(1 1)">'
        '<text x="2" y="3" font-size="3">A</text></g></g>'
        '<text x="50" y="20" font-size="4" text-anchor="middle">B</text>'
        '<text x="90" y="20" font-size="4" text-anchor="end">C</text></svg>'
    )
    a, b, c = svg_page(svg).texts
    assert (a.left_mm, a.bottom_mm, a.size_mm) == (13.0, 9.0, 3.0)
    assert (b.left_mm + b.right_mm) / 2 == pytest.approx(50.0)
    assert c.right_mm == pytest.approx(90.0)


def test_a_picture_drawn_at_another_scale_is_judged_in_millimetres() -> None:
    assert layout_faults(svg_page(SMALLER.format('<text x="50" y="50" font-size="4">A</text>'))) != []
    assert layout_faults(svg_page(SMALLER.format('<text x="50" y="50" font-size="6.2">A</text>'))) == []


@pytest.mark.usefixtures("poppler")
def test_a_page_becomes_a_picture_no_larger_than_asked(tower: Model) -> None:
    pdf = floor_sheet_pdf(floor_sheet(tower, State(), [], (), "A", "03"), Edition("1", "2031-03-02"))
    png = picture(pdf, 1, 150_000)
    assert png.startswith(b"\x89PNG")
    assert 10_000 < len(png) <= 150_000
    assert len(pdf_pages(pdf)[0].texts) > 50


def test_where_poppler_is_missing_the_error_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    with pytest.raises(PopplerMissingError, match="poppler-utils"):
        pdf_pages(b"%PDF")
