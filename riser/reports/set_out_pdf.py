# SPDX-License-Identifier: Apache-2.0
"""The setting-out list on paper: one A4 page a building, and where that is too much, pages for each shaft."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from riser.reports.cautions import ABOVE_ALL, SETTING_OUT
from riser.reports.edition import Edition, sheet_id
from riser.reports.page_groups import PageGroup, page_groups
from riser.reports.pipe_words import level_text
from riser.reports.plan_sketch import Frame, Mark, plan_svg
from riser.reports.printed_page import Picture, breakable, printed, qr_svg
from riser.reports.set_out import SetOut
from riser.reports.set_out_line import SetOutLine, Verdict
from riser.reports.set_out_terminal import drawing_words, measured_words, tolerance_words
from riser.reports.symbols import sign_svg

TEMPLATE = "set_out"
PLAN_MM = (134.0, 52.0)
Numbered = tuple[int, SetOutLine]


def set_out_pdf(found: SetOut, edition: Edition) -> bytes:
    """The list as PDF; PrintError for letters that no font has."""

    def values(groups: list[PageGroup[Numbered]]) -> dict[str, Any]:
        return _values(found, edition, groups)

    rows = list(enumerate(found.lines, start=1))
    groups = page_groups(TEMPLATE, edition.day, rows, lambda r: r[1].shaft, values, lambda r: r[0])
    return printed(TEMPLATE, values(groups), edition.day)


def _values(found: SetOut, edition: Edition, groups: Sequence[PageGroup[Numbered]]) -> dict[str, Any]:
    number = sheet_id("SETOUT", found.as_json(), edition)
    return {
        "title": f"Setting-out list, building {found.building}",
        "job": found.job,
        "subtitle": "Stubs cast into the foundation, set out before the first module",
        "origin": edition.words,
        "sheet_id": number,
        "qr": qr_svg(number),
        "cautions": [list(SETTING_OUT[:2]), list(SETTING_OUT[2:])],
        "above_all": ABOVE_ALL,
        "tolerance": tolerance_words(found),
        "plan_width": PLAN_MM[0],
        "groups": [_group(found, group) for group in groups],
    }


def _group(found: SetOut, group: PageGroup[Numbered]) -> dict[str, Any]:
    names = {line.shaft for _, line in group.rows}
    title = f"Building {found.building}, SETTING OUT"
    if len(names) == 1:
        name = names.pop()
        title += f", shaft {name}" if name else ", far from any shaft"
    return {
        "title": title,
        "kind": ", ".join(part for part in ("Setting-out list", group.words) if part),
        "plan": Picture(plan_svg(_frames(found, group.rows), *PLAN_MM)),
        "rows": [_row(number, line) for number, line in group.rows],
    }


def _frames(found: SetOut, rows: Sequence[Numbered]) -> list[Frame]:
    outline = {shaft.name: shaft.outline_m + np.array(found.grid_m) for shaft in found.shafts}
    names = sorted({line.shaft for _, line in rows}, key=lambda name: (name == "", name))
    return [
        Frame(
            f"Shaft {name}" if name else "Far from any shaft",
            outline.get(name, np.zeros((0, 2))),
            tuple(
                Mark(line.target_m[0], line.target_m[1], line.system, str(number))
                for number, line in rows
                if line.shaft == name
            ),
            numbered=True,
        )
        for name in names
    ]


def _row(number: int, line: SetOutLine) -> dict[str, Any]:
    x, y, level = line.target_m
    return {
        "number": number,
        "sign": Picture(sign_svg(line.system)),
        "stub": breakable(line.stub, 16),
        "about": f"{line.system_word}, {line.size}",
        "joint": ", ".join([f"facing {line.facing}", *([f"joint {line.joint}"] if line.joint else [])]),
        "x": f"{x:.3f}",
        "y": f"{y:.3f}",
        "level": level_text(level),
        "checks": [
            {"to": breakable(check.to, 20), "distance": f"{check.distance_m:.3f}"} for check in line.checks
        ],
        "stop": "stop" in line.drawing_words,
        "drawing": f"{drawing_words(line)}.",
        "outside": line.verdict == Verdict.OUTSIDE,
        "measured": "" if line.verdict == Verdict.NOT_MEASURED else f"{measured_words(line)}.",
    }
