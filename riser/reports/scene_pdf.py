# SPDX-License-Identifier: Apache-2.0
"""Pages of a drawing as one PDF: every line, circle and text drawn as such, text stays text."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from riser.reports.scene import Group, Item, Page


def _values(item: Item) -> list[dict[str, Any]]:
    """An item as values for the template, its kind beside them; groups are opened."""
    if isinstance(item, Group):
        return [value for inner in item.items for value in _values(inner)]
    return [{"kind": type(item).__name__.lower(), **asdict(item)}]


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
