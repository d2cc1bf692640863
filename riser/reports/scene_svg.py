# SPDX-License-Identifier: Apache-2.0
"""A page of a drawing as SVG: text stays text, groups keep their ids, links stay links."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from riser.reports.scene import Circle, Group, Item, Line, Page, Polygon, Text

FONT = "Source Sans Pro, DejaVu Sans, sans-serif"


def _n(value: float) -> str:
    """A length with two decimals, without needless zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _points(points: tuple[tuple[float, float], ...]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _line(item: Line) -> str:
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in item.dash)}"' if item.dash else ""
    return (
        f'<polyline points="{_points(item.points)}" fill="none" stroke="{item.colour}"'
        f' stroke-width="{_n(item.width_mm)}"{dash}/>'
    )


def _circle(item: Circle) -> str:
    return (
        f'<circle cx="{_n(item.x)}" cy="{_n(item.y)}" r="{_n(item.radius_mm)}" fill="{item.fill}"'
        f' stroke="{item.colour}" stroke-width="{_n(item.width_mm)}"/>'
    )


def _polygon(item: Polygon) -> str:
    return (
        f'<polygon points="{_points(item.points)}" fill="{item.fill}" stroke="{item.colour}"'
        f' stroke-width="{_n(item.width_mm)}"/>'
    )


def _text(item: Text) -> str:
    turn = f' transform="rotate(-90 {_n(item.x)} {_n(item.y)})"' if item.turned else ""
    bold = ' font-weight="bold"' if item.bold else ""
    anchor = f' text-anchor="{item.anchor}"' if item.anchor != "start" else ""
    return (
        f'<text x="{_n(item.x)}" y="{_n(item.y)}" font-size="{_n(item.size_mm)}" fill="{item.colour}"'
        f"{anchor}{bold}{turn}>{escape(item.words)}</text>"
    )


def _group(item: Group) -> str:
    title = f"<title>{escape(item.title)}</title>" if item.title else ""
    body = f"<g id={quoteattr(item.id)}>{title}{''.join(map(_item, item.items))}</g>"
    return f"<a href={quoteattr(item.link)}>{body}</a>" if item.link else body


def _item(item: Item) -> str:
    match item:
        case Line():
            return _line(item)
        case Circle():
            return _circle(item)
        case Polygon():
            return _polygon(item)
        case Text():
            return _text(item)
        case Group():
            return _group(item)


def svg(page: Page) -> str:
    """The page as one SVG document, sized in millimetres."""
    width, height = _n(page.width_mm), _n(page.height_mm)
    body = "\n".join(_item(item) for item in page.items)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="0 0 {width} {height}" font-family="{FONT}">\n'
        f"<title>{escape(page.title)}</title>\n"
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>\n{body}\n</svg>\n'
    )
