# SPDX-License-Identifier: Apache-2.0
"""Looking at pictures and pages by machine: no text over text, none off the page, none too small to read.

A PDF is read by poppler's `pdftotext`, so that a page is judged by what another program finds on it. An SVG
is read as riser writes them: text elements in groups that are only moved. Widths of SVG text are estimated
from wide letters of the sheets' font.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from html import unescape
from xml.etree import ElementTree

from riser.errors import RiserError

POINT_MM = 25.4 / 72
LEAST_LETTER_MM = 2.0
LEAST_EDGE_MM = 3.0
# Height of a capital letter of the sheets' font as a share of its size, and its widest digit or letter but M.
CAPITAL = 0.66
WIDEST = 0.70
# Boxes of neighbouring lines may touch by this share of the smaller one.
TOUCH = 0.10

_PAGE = re.compile(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', re.DOTALL)
_WORD = re.compile(r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>')
_MOVE = re.compile(r"translate\(\s*(-?[\d.]+)[ ,]+(-?[\d.]+)\s*\)")


class PopplerMissingError(RiserError):
    """The programs that look at a PDF are not installed."""


@dataclass(frozen=True, slots=True)
class Text:
    """A piece of text on a page: its box and its letters' size, in millimetres from the upper left corner."""

    words: str
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    size_mm: float


@dataclass(frozen=True)
class Page:
    """A page or picture with its texts."""

    width_mm: float
    height_mm: float
    texts: tuple[Text, ...]


def pdf_pages(pdf: bytes) -> list[Page]:
    """The pages of a PDF, word by word."""
    html = _ran("pdftotext", ["-bbox", "-", "-"], pdf).decode("utf-8", "replace")
    pages = []
    for width, height, body in _PAGE.findall(html):
        texts = tuple(_word(*match) for match in _WORD.findall(body))
        pages.append(Page(float(width) * POINT_MM, float(height) * POINT_MM, texts))
    return pages


def _word(left: str, top: str, right: str, bottom: str, words: str) -> Text:
    x1, y1, x2, y2 = (float(v) * POINT_MM for v in (left, top, right, bottom))
    return Text(unescape(words), x1, y1, x2, y2, y2 - y1)


def svg_page(svg: str) -> Page:
    """An SVG as a page; its width has to be given in millimetres."""
    # riser wrote the picture itself: no foreign XML is read here.
    root = ElementTree.fromstring(svg)
    left, top, width, height = (float(v) for v in root.attrib["viewBox"].split())
    scale = float(root.attrib["width"].removesuffix("mm")) / width
    texts: list[Text] = []
    _collect(root, -left, -top, scale, texts)
    return Page(width * scale, height * scale, tuple(texts))


def _collect(element: ElementTree.Element, x: float, y: float, scale: float, texts: list[Text]) -> None:
    for move in _MOVE.findall(element.attrib.get("transform", "")):
        x, y = x + float(move[0]), y + float(move[1])
    if element.tag.endswith("text"):
        texts.append(_svg_text(element, x, y, scale))
    for child in element:
        _collect(child, x, y, scale, texts)


def _svg_text(element: ElementTree.Element, x: float, y: float, scale: float) -> Text:
    words, size = element.text or "", float(element.attrib["font-size"])
    width = len(words) * size * WIDEST
    shift = {"middle": 0.5, "end": 1.0}.get(element.attrib.get("text-anchor", "start"), 0.0)
    left = x + float(element.attrib["x"]) - shift * width
    base = y + float(element.attrib["y"])
    top, right = base - CAPITAL * size, left + width
    return Text(words, left * scale, top * scale, right * scale, base * scale, size * scale)


def layout_faults(
    page: Page, *, least_mm: float = LEAST_LETTER_MM, edge_mm: float = LEAST_EDGE_MM
) -> list[str]:
    """What is wrong with a page, one sentence each; nothing for a page in order."""
    return [*_small(page, least_mm), *_off(page, edge_mm), *_over(page.texts)]


def _small(page: Page, least_mm: float) -> list[str]:
    return [
        f"'{text.words}' has capital letters of {CAPITAL * text.size_mm:.2f} mm; the least is {least_mm} mm."
        for text in page.texts
        if CAPITAL * text.size_mm < least_mm - 0.005
    ]


def _off(page: Page, edge_mm: float) -> list[str]:
    return [
        f"'{text.words}' is {'off' if _outside(page, text, 0.0) else 'too near the edge of'} the page."
        for text in page.texts
        if _outside(page, text, edge_mm)
    ]


def _outside(page: Page, text: Text, edge_mm: float) -> bool:
    return (
        text.left_mm < edge_mm
        or text.top_mm < edge_mm
        or text.right_mm > page.width_mm - edge_mm
        or text.bottom_mm > page.height_mm - edge_mm
    )


def _over(texts: Sequence[Text]) -> list[str]:
    """Pairs of texts that lie on each other, found by going down the page."""
    found = []
    ordered = sorted(texts, key=lambda text: text.top_mm)
    for n, upper in enumerate(ordered):
        for lower in ordered[n + 1 :]:
            if lower.top_mm >= upper.bottom_mm:
                break
            if _shared(upper, lower) > TOUCH * min(_area(upper), _area(lower)):
                found.append(f"'{upper.words}' and '{lower.words}' lie on each other.")
    return found


def _area(text: Text) -> float:
    return (text.right_mm - text.left_mm) * (text.bottom_mm - text.top_mm)


def _shared(a: Text, b: Text) -> float:
    wide = min(a.right_mm, b.right_mm) - max(a.left_mm, b.left_mm)
    tall = min(a.bottom_mm, b.bottom_mm) - max(a.top_mm, b.top_mm)
    return max(wide, 0.0) * max(tall, 0.0)


def picture(pdf: bytes, page: int = 1, most_bytes: int = 200_000) -> bytes:
    """One page as a grey PNG, as sharp as `most_bytes` allows."""
    png = b""
    for dots in (150, 130, 110, 100, 90, 80, 70, 60, 50):
        options = ["-png", "-gray", "-r", str(dots), "-f", str(page), "-l", str(page), "-"]
        png = _ran("pdftoppm", options, pdf)
        if len(png) <= most_bytes:
            break
    return png


def _ran(program: str, options: list[str], given: bytes) -> bytes:
    path = shutil.which(program)
    if path is None:
        raise PopplerMissingError(f"{program} is not installed. Install poppler-utils and try again.")
    done = subprocess.run([path, *options], input=given, capture_output=True, check=True, timeout=120)
    return done.stdout
