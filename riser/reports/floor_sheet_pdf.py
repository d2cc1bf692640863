# SPDX-License-Identifier: Apache-2.0
"""The foreman's sheet on paper: one A4 page a floor, and where that is too much, pages for each shaft.

Every page is complete: head, plan, cautions, titles. Letters are never made smaller to fit more on a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from riser.reports.cautions import ABOVE_ALL, JOINTING, TESTING
from riser.reports.done_before import Before
from riser.reports.edition import Edition, sheet_id
from riser.reports.floor_sheet import FloorSheet
from riser.reports.joint_line import FindingLine, JointLine
from riser.reports.open_ends import OpenEnd
from riser.reports.page_groups import PageGroup, page_groups
from riser.reports.pipe_words import bare_millimetres, level_text
from riser.reports.plan_sketch import Frame, Mark, merged, plan_svg
from riser.reports.printed_page import Picture, breakable, printed, qr_svg
from riser.reports.riser_places import Shaft
from riser.reports.stage import RANK, Stage
from riser.reports.symbols import sign_svg

TEMPLATE = "floor_sheet"
PLAN_MM = (124.0, 45.0)


def floor_sheet_pdf(sheet: FloorSheet, edition: Edition) -> bytes:
    """The sheet as PDF; PrintError for letters that no font has."""

    def values(groups: list[PageGroup[JointLine]]) -> dict[str, Any]:
        return _values(sheet, edition, groups)

    groups = page_groups(
        TEMPLATE, edition.day, sheet.joints, lambda j: j.shaft, values, lambda j: j.number
    )  # fmt: skip
    return printed(TEMPLATE, values(groups), edition.day)


def _values(sheet: FloorSheet, edition: Edition, groups: Sequence[PageGroup[JointLine]]) -> dict[str, Any]:
    number = sheet_id("FLOOR", sheet.as_json(), edition)
    return {
        "title": f"Floor sheet, building {sheet.building}, floor {sheet.floor}",
        "job": sheet.job,
        "subtitle": f"Joints made from this floor, in working order; floor level {sheet.level_m:+.3f} m",
        "origin": edition.words,
        "sheet_id": number,
        "qr": qr_svg(number),
        "cautions": [list(JOINTING), list(TESTING)],
        "above_all": ABOVE_ALL,
        "plan_width": PLAN_MM[0],
        "groups": [_group(sheet, group) for group in groups],
    }


def _group(sheet: FloorSheet, group: PageGroup[JointLine]) -> dict[str, Any]:
    names = {line.shaft for line in group.rows}
    title = f"Building {sheet.building}, FLOOR {sheet.floor}"
    if len(names) == 1:
        name = names.pop()
        title += f", shaft {name}" if name else ", far from any shaft"
    ends = _ends(sheet, group.shaft)
    open_now = sum(not end.is_capped for end in ends)
    return {
        "title": title,
        "kind": ", ".join(part for part in ("Floor sheet", group.words) if part),
        "plan": Picture(plan_svg(_frames(sheet.shafts, group.rows), *PLAN_MM)),
        "ends_count": f"{open_now} to cap",
        "ends_words": f"{len(ends)} open ends, {len(ends) - open_now} recorded as capped",
        "notes": list(sheet.notes),
        "before": "; ".join(item.short for item in _before(sheet, group.shaft)) if group.is_first else "",
        "rows": [_row(line) for line in group.rows],
        "ends": [_end(end) for end in ends] if group.is_last else [],
        "others": [_other(finding) for finding in _others(sheet, group)],
    }


def _others(sheet: FloorSheet, group: PageGroup[JointLine]) -> Sequence[FindingLine]:
    """What concerns the whole floor stands once: on the last page of its first shaft."""
    is_home = group.shaft is None or group.shaft == sheet.shaft_names[0]
    return sheet.others if group.is_last and is_home else ()


def _ends(sheet: FloorSheet, shaft: str | None) -> list[OpenEnd]:
    """The open ends of a shaft; those of no joint stand with the first."""
    if shaft is None:
        return list(sheet.open_ends)
    shaft_of = {stub: line.shaft for line in sheet.joints for stub in line.stubs}
    return [end for end in sheet.open_ends if shaft_of.get(end.stub, sheet.shaft_names[0]) == shaft]


def _before(sheet: FloorSheet, shaft: str | None) -> list[Before]:
    if shaft is None:
        return list(sheet.before)
    lines = [line for line in sheet.joints if line.shaft == shaft]
    about = {line.riser for line in lines} | {part for line in lines for part in line.waits_for}
    return [item for item in sheet.before if item.about in about]


def _end(end: OpenEnd) -> dict[str, str]:
    about = end.size if end.has_joint else f"{end.size}, {end.why}"
    return {"stub": breakable(end.stub, 24), "mark": "on" if end.is_capped else "", "about": about}


def _other(finding: FindingLine) -> str:
    return f"{finding.code} {finding.severity}: {finding.says} {finding.accepted or finding.remedy}"


def _frames(shafts: Sequence[Shaft], lines: Sequence[JointLine]) -> list[Frame]:
    """A frame for the joints in each shaft, and one for those near it, each with the shaft's outline."""
    outline = {shaft.name: shaft.outline_m for shaft in shafts}
    places = sorted({(line.shaft == "", line.shaft, not line.in_shaft) for line in lines})
    return [
        Frame(
            f"{'Near shaft' if near else 'Shaft'} {name}" if name else "Far from any shaft",
            outline.get(name, np.zeros((0, 2))),
            merged(
                [
                    Mark(line.x_m, line.y_m, line.system, str(line.number))
                    for line in lines
                    if (line.shaft, not line.in_shaft) == (name, near)
                ]
            ),
        )
        for _, name, near in places
    ]


def _row(line: JointLine) -> dict[str, Any]:
    return {
        "number": line.number,
        "id": breakable(line.id, 8),
        "sign": Picture(sign_svg(line.system)),
        "system": line.system_word,
        "riser": breakable(line.riser, 11),
        "make_up": line.make_up,
        "size": "" if line.size_words in line.make_up else line.size_words,
        "ends": breakable(" to ".join(stub for stub in line.stubs if stub), 26),
        "x": f"{line.x_m:.3f}",
        "y": f"{line.y_m:.3f}",
        "connections": [
            {
                "short": c.id.removeprefix(line.id),
                "level": level_text(c.level_m),
                "invert": "" if c.invert_m is None else level_text(c.invert_m),
            }
            for c in line.connections
        ],
        "fit": _fit_words(line),
        "verdict": _verdict(line),
        "lines": _lines_below(line),
    }


def _fit_words(line: JointLine) -> list[str]:
    fit = line.fit
    if fit.fits is None:
        return []
    offset, takes = bare_millimetres(fit.offset_m), bare_millimetres(fit.offset_takes_m)
    gap = f"{bare_millimetres(fit.gap_m)} of {bare_millimetres(fit.gap_least_m)} to"
    return [f"across {offset} of {takes}", f"gap {gap} {bare_millimetres(fit.gap_most_m)}"]


def _verdict(line: JointLine) -> str:
    if line.barred:
        return f"CANNOT BE MADE: {line.barred}"
    if line.fit.fits is False:
        return f"DOES NOT FIT as {line.fit.basis}: {', '.join(line.fit.faults)}"
    return line.fit.verdict


def _lines_below(line: JointLine) -> list[dict[str, str]]:
    """What stands under a joint: its state, what is next, whether it may be covered, its findings."""
    state = str(line.stage) if RANK[line.stage] > RANK[Stage.NOT_YET_SEEN] else "not yet seen"
    waits = f" Waits for {', '.join(line.waits_for)}." if line.waits_for else ""
    covering = line.covering_words
    head, _, why = covering.partition(": ")
    found = [{"head": f"State: {state}.", "text": f"Next: {line.next_words}.{waits}"}]
    found.append({"head": head.upper() + (":" if why else ""), "text": f"{why}." if why else ""})
    for f in line.findings:
        remedy = f.accepted or f"Remedy: {f.remedy}"
        found.append({"head": f"{f.code} {f.severity}:", "text": f"{f.says} {remedy}"})
    return found
