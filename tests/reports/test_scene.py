# SPDX-License-Identifier: Apache-2.0
"""Drawings as values, and their SVG and PDF."""

import xml.etree.ElementTree as ET

from riser.reports.scene import Circle, Group, Line, Page, Polygon, Text, groups, overlapping_texts, texts
from riser.reports.scene_pdf import pages_pdf
from riser.reports.scene_svg import svg

SVG = "{http://www.w3.org/2000/svg}"


def page(*items):
    return Page(100, 50, "A page", items)


def test_text_stays_text_and_what_people_wrote_is_no_markup():
    drawn = svg(page(Text(1, 5, "DN100 <b> & 'x'")))
    root = ET.fromstring(drawn)
    assert [t.text for t in root.iter(f"{SVG}text")] == ["DN100 <b> & 'x'"]


def test_a_group_with_a_link_is_a_target_with_its_id_and_says_what_it_is():
    root = ET.fromstring(svg(page(Group('J"1', (Circle(1, 1, 1),), "J1: made", "#J1"))))
    link = next(root.iter(f"{SVG}a"))
    assert link.get("href") == "#J1"
    group = next(link.iter(f"{SVG}g"))
    assert group.get("id") == 'J"1'
    assert [title.text for title in group.iter(f"{SVG}title")] == ["J1: made"]


def test_page_size_is_in_millimetres():
    root = ET.fromstring(svg(page(Line(((0, 0), (5, 5)), dash=(1, 2)), Polygon(((0, 0), (1, 0), (0, 1))))))
    assert root.get("width") == "100mm"
    assert root.get("viewBox") == "0 0 100 50"
    assert next(root.iter(f"{SVG}polyline")).get("stroke-dasharray") == "1 2"


def test_texts_over_each_other_and_off_the_page_are_found():
    clear = page(Text(1, 10, "one"), Text(1, 20, "two"), Text(30, 10, "three"))
    assert overlapping_texts(clear) == []
    assert overlapping_texts(page(Text(1, 10, "one"), Text(2, 11, "two"))) == [("one", "two")]
    assert overlapping_texts(page(Text(95, 10, "a long text"))) == [("a long text", "page")]
    assert overlapping_texts(page(Text(10, 10, "up", turned=True), Text(9.5, 9, "x"))) != []


def test_groups_are_opened_for_texts_and_listed_with_the_outer_first():
    nested = page(Group("a", (Group("b", (Text(1, 5, "in"),)),)))
    assert [g.id for g in groups(nested.items)] == ["a", "b"]
    assert [t.words for t in texts(nested.items)] == ["in"]


def test_the_same_pages_give_the_same_pdf():
    pages = [page(Text(1, 5, "x", turned=True), Circle(5, 5, 2), Group("g", (Line(((0, 0), (9, 9))),)))]
    first = pages_pdf(pages, "Title", "2031-03-02")
    assert first.startswith(b"%PDF")
    assert first == pages_pdf(pages, "Title", "2031-03-02")
    assert first != pages_pdf(pages, "Title", "2031-03-03")
