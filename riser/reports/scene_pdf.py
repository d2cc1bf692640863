# SPDX-License-Identifier: Apache-2.0
"""Pages of a drawing as one PDF: every line, circle and text drawn as such, text stays text."""

from __future__ import annotations

from typing import Any

from riser.reports.scene import Circle, Group, Item, Line, Page, Polygon, Text


def _values(item: Item) -> list[dict[str, Any]]:
    """An item as values for the template; groups are opened, their link goes to every text in them."""
    match item:
        case Line():
            return [
                {
                    "kind": "line",
                    "points": [list(p) for p in item.points],
                    "width": item.width_mm,
                    "colour": item.colour,
                    "dash": list(item.dash),
                }
            ]
        case Circle():
            return [
                {
                    "kind": "circle",
                    "x": item.x,
                    "y": item.y,
                    "r": item.radius_mm,
                    "fill": item.fill,
                    "colour": item.colour,
                    "width": item.width_mm,
                }
            ]
        case Polygon():
            return [
                {
                    "kind": "polygon",
                    "points": [list(p) for p in item.points],
                    "fill": item.fill,
                    "colour": item.colour,
                    "width": item.width_mm,
                }
            ]
        case Text():
            return [
                {
                    "kind": "text",
                    "x": item.x,
                    "y": item.y,
                    "words": item.words,
                    "size": item.size_mm,
                    "anchor": item.anchor,
                    "bold": item.bold,
                    "turned": item.turned,
                    "colour": item.colour,
                }
            ]
        case Group():
            return [value for inner in item.items for value in _values(inner)]


def pages_pdf(pages: list[Page], title: str, day: str) -> bytes:
    """The pages as one PDF/A; `day` is the date it carries. The same pages give the same bytes."""
    from riser.reports.printed_page import printed

    values = {
        "title": title,
        "pages": [
            {
                "width": page.width_mm,
                "height": page.height_mm,
                "items": [value for item in page.items for value in _values(item)],
            }
            for page in pages
        ],
    }
    return printed("scene", values, day)
