# SPDX-License-Identifier: Apache-2.0
"""A drawing as values: lines, circles, polygons, text and groups with ids, in millimetres on a page.

The origin is the page's upper left corner, y grows downwards. Writers turn a page into SVG or PDF; nothing
here knows about either.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

LEAST_TEXT_MM = 2.0
# A capital letter is 0.66 of the type size; 3.05 mm of type gives letters of 2 mm.
TYPE_MM = 3.05


@dataclass(frozen=True, slots=True)
class Line:
    """A path of straight pieces. `dash` is on and off lengths in mm, () for a full line."""

    points: tuple[tuple[float, float], ...]
    width_mm: float = 0.25
    colour: str = "#000000"
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, filled or not."""

    x: float
    y: float
    radius_mm: float
    fill: str = "#ffffff"
    colour: str = "#000000"
    width_mm: float = 0.25


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed shape."""

    points: tuple[tuple[float, float], ...]
    fill: str = "#ffffff"
    colour: str = "#000000"
    width_mm: float = 0.25


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; y is its base line, `anchor` says which end is at x. Turned text reads upwards."""

    x: float
    y: float
    words: str
    size_mm: float = TYPE_MM
    anchor: str = "start"
    bold: bool = False
    turned: bool = False
    colour: str = "#000000"

    @property
    def width_mm(self) -> float:
        """About how wide the text runs; used to keep texts apart, generously."""
        return 0.56 * self.size_mm * len(self.words)


@dataclass(frozen=True, slots=True)
class Group:
    """Things that belong together under an id; a `link` leads somewhere, the `title` says what it is."""

    id: str
    items: tuple[Item, ...]
    title: str = ""
    link: str = ""


Item = Line | Circle | Polygon | Text | Group


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet of a drawing."""

    width_mm: float
    height_mm: float
    title: str
    items: tuple[Item, ...] = field(default=())


def texts(items: tuple[Item, ...]) -> Iterator[Text]:
    """Every text among the items, groups opened."""
    for item in items:
        if isinstance(item, Text):
            yield item
        elif isinstance(item, Group):
            yield from texts(item.items)


def groups(items: tuple[Item, ...]) -> Iterator[Group]:
    """Every group, outer ones first."""
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from groups(item.items)


def box_of(text: Text) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a text."""
    height = 0.75 * text.size_mm
    shift = {"start": 0.0, "middle": -0.5, "end": -1.0}[text.anchor] * text.width_mm
    if text.turned:
        low = text.y - shift
        return (text.x - height, low - text.width_mm, text.x, low)
    left = text.x + shift
    return (left, text.y - height, left + text.width_mm, text.y)


def overlapping_texts(page: Page) -> list[tuple[str, str]]:
    """Pairs of texts that lie over each other, and texts that leave the page (paired with "page")."""
    boxes = [(text.words, box_of(text)) for text in texts(page.items)]
    found = [
        (words, "page")
        for words, (left, top, right, bottom) in boxes
        if left < 0 or top < 0 or right > page.width_mm or bottom > page.height_mm
    ]
    boxes.sort(key=lambda entry: entry[1][1])
    for n, (words, a) in enumerate(boxes):
        for other, b in boxes[n + 1 :]:
            if b[1] >= a[3]:
                break
            if a[0] < b[2] and b[0] < a[2]:
                found.append((words, other))
    return found
