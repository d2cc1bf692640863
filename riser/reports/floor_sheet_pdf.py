# SPDX-License-Identifier: Apache-2.0
"""The foreman's sheet on paper: one A4 page a floor, and where that is too much, pages for each shaft.

Every page is complete: head, plan, what holds for all its joints, titles, cautions. Letters are never made
smaller to fit more on a page; what is the same for most joints is said once above them instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from riser.reports.cautions import ABOVE_ALL, JOINTING, TESTING
from riser.reports.done_before import Before
from riser.reports.edition import Edition, sheet_id
from riser.reports.floor_sheet import FloorSheet
from riser.reports.joint_line import FindingLine, JointLine
from riser.reports.open_ends import OpenEnd
from riser.reports.page_groups import PageGroup, page_groups
from riser.reports.page_rules import PageRules, gate_words, page_rules
from riser.reports.pipe_words import bare_millimetres, level_text
from riser.reports.plan_sketch import Frame, Mark, merged, plan_svg
from riser.reports.printed_page import Picture, breakable, printed, qr_svg
from riser.reports.riser_places import Shaft
from riser.reports.stage import Stage
from riser.reports.symbols import sign_svg

TEMPLATE = "floor_sheet"
PLAN_MM = (121.0, 42.6)
STATE_WORDS = {Stage.NOT_YET_SEEN: "not seen", Stage.STALE: "stale"}


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
        "building": f"Building {sheet.building}",
        "subtitle": f"In working order; level {sheet.level_m:+.3f} m",
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
    title = f"FLOOR {sheet.floor}"
    if len(names) == 1:
        name = names.pop()
        title += f", shaft {name}" if name else ", no shaft"
    ends = _ends(sheet, group.shaft)
    by_stub = {end.stub: end for end in ends}
    open_now = sum(not end.is_capped for end in ends)
    rules = page_rules(_lines(sheet, group.shaft), group.rows)
    return {
        "title": title,
        "kind": ", ".join(part for part in ("Floor sheet", group.words) if part),
        "plan": Picture(plan_svg(_frames(sheet.shafts, group.rows), *PLAN_MM)),
        "ends_count": f"{open_now} to cap",
        "ends_words": f"{len(ends)} open ends, {len(ends) - open_now} recorded as capped",
        "notes": list(sheet.notes),
        "before": "; ".join(item.short for item in _before(sheet, group.shaft)) if group.is_first else "",
        "covering": rules.covering,
        "rules": [{"head": head, "text": text} for head, text in rules.lines],
        "rows": [_row(line, rules, by_stub) for line in group.rows],
        "ends": [_end(end) for end in _ends_apart(sheet, ends)] if group.is_last else [],
        "others": [_other(finding) for finding in _others(sheet, group)],
    }


def _lines(sheet: FloorSheet, shaft: str | None) -> list[JointLine]:
    """The joints whose pages say together what holds for most of them."""
    return [line for line in sheet.joints if shaft is None or line.shaft == shaft]


def _ends_apart(sheet: FloorSheet, ends: Sequence[OpenEnd]) -> list[OpenEnd]:
    """The open ends of no joint of this sheet; the others have their box in the joint's row."""
    in_rows = {stub for line in sheet.joints for stub in line.stubs}
    return [end for end in ends if end.stub not in in_rows]


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
    lines = _lines(sheet, shaft)
    about = {line.riser for line in lines} | {part for line in lines for part in line.waits_for}
    return [item for item in sheet.before if item.about in about]


def _end(end: OpenEnd) -> dict[str, object]:
    about = end.size if end.has_joint else f"{end.size}, {end.why}"
    return {"stub": breakable(end.stub, 24), "capped": end.is_capped, "about": about}


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


def _row(line: JointLine, rules: PageRules, ends: Mapping[str, OpenEnd]) -> dict[str, Any]:
    size = "" if line.size_words in line.make_up_short else line.size_words
    return {
        "number": line.number,
        "id": breakable(line.id, 10),
        "sign": Picture(sign_svg(line.system)),
        "about": " ".join(part for part in (line.system_word, breakable(line.riser, 11)) if part),
        "make_up": ", ".join(part for part in (line.make_up_short, size) if part),
        "stubs": [_stub(stub, ends) for stub in line.stubs if stub],
        "x": f"{line.x_m:.3f}",
        "y": f"{line.y_m:.3f}",
        "levels": _levels([level_text(c.level_m) for c in line.connections]),
        "inverts": _levels([level_text(c.invert_m) for c in line.connections if c.invert_m is not None]),
        "connections": [c.id.removeprefix(line.id) for c in line.connections],
        "fit": _fit_words(line, rules),
        "state": STATE_WORDS.get(line.stage, str(line.stage)),
        "next": "all passed" if line.gate is None else f"next {line.gate.id}",
        "lines": _lines_below(line, rules),
    }


def _stub(stub: str, ends: Mapping[str, OpenEnd]) -> dict[str, object]:
    """A stub, with the box for its cap where it is an open end."""
    end = ends.get(stub)
    return {"id": breakable(stub, 12), "is_open": end is not None, "capped": bool(end and end.is_capped)}


def _levels(texts: Sequence[str]) -> str:
    """Levels in order from stub a; once where they are the same."""
    return " ".join(dict.fromkeys(texts))


def _fit_words(line: JointLine, rules: PageRules) -> list[str]:
    fit = line.fit
    if fit.fits is None:
        return []
    offset, takes = bare_millimetres(fit.offset_m), bare_millimetres(fit.offset_takes_m)
    gap = f"{bare_millimetres(fit.gap_m)} of {bare_millimetres(fit.gap_least_m)} to"
    basis = [f"as {fit.basis}"] if fit.fits and fit.verdict != rules.fit else []
    return [f"{offset} of {takes}", f"{gap} {bare_millimetres(fit.gap_most_m)}", *basis]


def _lines_below(line: JointLine, rules: PageRules) -> list[list[dict[str, str]]]:
    """What stands under a joint: one line of what the head of the rows does not say, then its findings."""
    first = [_verdict(line)]
    if line.gate is not None and gate_words(line) != rules.next_words.get(line.gate.id):
        first.append({"head": f"Next {line.gate.id}:", "text": f"{gate_words(line)}."})
    if line.may_be_covered or line.covered_too_early or line.why_not_covered not in rules.reasons:
        head, _, why = line.covering_words.partition(": ")
        first.append({"head": head.upper() + (":" if why else "."), "text": f"{why}." if why else ""})
    said = [part for part in first if part["head"]]
    found = [
        [{"head": f"{f.code} {f.severity}:", "text": f"{f.says} {f.accepted or f'Remedy: {f.remedy}'}"}]
        for f in line.findings
    ]
    return [said, *found] if said else found


def _verdict(line: JointLine) -> dict[str, str]:
    if line.barred:
        return {"head": "CANNOT BE MADE:", "text": f"{line.barred}."}
    if line.fit.fits is False:
        return {"head": f"DOES NOT FIT as {line.fit.basis}:", "text": f"{', '.join(line.fit.faults)}."}
    if line.fit.fits:
        return {"head": "", "text": ""}
    return {"head": "Fit:", "text": f"{line.fit.verdict}."}
