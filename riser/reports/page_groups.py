# SPDX-License-Identifier: Apache-2.0
"""Which rows of a sheet stand on which page: all on one where they fit, else pages for each shaft."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from riser.reports.printed_page import row_pages

Row = TypeVar("Row")


@dataclass(frozen=True)
class PageGroup(Generic[Row]):
    """The rows of one page. `shaft` is None where the page holds the whole floor or building."""

    rows: tuple[Row, ...]
    shaft: str | None = None
    number: int = 1
    count: int = 1

    @property
    def is_first(self) -> bool:
        """Whether it is the first page of its shaft, or of all."""
        return self.number == 1

    @property
    def is_last(self) -> bool:
        """Whether it is the last page of its shaft, or of all."""
        return self.number == self.count

    @property
    def words(self) -> str:
        """`shaft S1, 2 of 4`."""
        named = "" if self.shaft is None else f"shaft {self.shaft}" if self.shaft else "far from any shaft"
        counted = f"{self.number} of {self.count}" if self.count > 1 else ""
        return ", ".join(part for part in (named, counted) if part)


def page_groups(
    template: str,
    day: str,
    rows: Sequence[Row],
    shaft_of: Callable[[Row], str],
    values: Callable[[list[PageGroup[Row]]], Mapping[str, Any]],
    number_of: Callable[[Row], int],
) -> list[PageGroup[Row]]:
    """The rows page by page. They are laid out by the template itself, so that no height is guessed here."""
    whole = [PageGroup(tuple(rows))]
    if len(set(row_pages(template, values(whole), day).values())) <= 1:
        return whole
    shafts = sorted({shaft_of(row) for row in rows}, key=lambda name: (name == "", name))
    by_shaft = [PageGroup(tuple(r for r in rows if shaft_of(r) == name), name) for name in shafts]
    page_of = row_pages(template, values(by_shaft), day)
    return [page for group in by_shaft for page in _pages(group, page_of, number_of)]


def _pages(
    group: PageGroup[Row], page_of: Mapping[int, int], number_of: Callable[[Row], int]
) -> list[PageGroup[Row]]:
    pages: dict[int, list[Row]] = {}
    for row in group.rows:
        pages.setdefault(page_of[number_of(row)], []).append(row)
    return [
        PageGroup(tuple(rows), group.shaft, n, len(pages)) for n, rows in enumerate(pages.values(), start=1)
    ]
