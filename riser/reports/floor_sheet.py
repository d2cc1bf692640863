# SPDX-License-Identifier: Apache-2.0
"""The foreman's sheet: every joint made from one floor, in working order, and what stands in its way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from riser.audit.finding import Finding
from riser.network.model import Model
from riser.project.floor_names import floor_named
from riser.proving.gates import gates_from
from riser.records.state import State
from riser.reports.done_before import Before, done_before, fire_riser_is_made
from riser.reports.joint_line import FindingLine, JointLine
from riser.reports.joint_lines import finding_line, joint_lines, lines_of
from riser.reports.open_ends import OpenEnd, open_ends, parts_standing
from riser.reports.riser_places import Shaft, riser_joints, shafts_of
from riser.reports.stage import Standing


@dataclass(frozen=True)
class FloorSheet:
    """One floor's sheet. `others` are findings of this floor that are about no joint on it."""

    job: str
    building: str
    floor: str
    level_m: float
    joints: tuple[JointLine, ...]
    before: tuple[Before, ...]
    open_ends: tuple[OpenEnd, ...]
    others: tuple[FindingLine, ...]
    notes: tuple[str, ...]
    shafts: tuple[Shaft, ...]

    @property
    def uncapped(self) -> int:
        """How many open ends have no cap recorded."""
        return sum(not end.is_capped for end in self.open_ends)

    @property
    def shaft_names(self) -> list[str]:
        """The shafts with joints on this floor, in order; "" for joints far from every shaft comes last."""
        return sorted({line.shaft for line in self.joints}, key=lambda name: (name == "", name))

    def as_json(self) -> dict[str, object]:
        """One JSON object, its list named `joints`; lengths carry their unit in the key."""
        return {
            "building": self.building,
            "floor": self.floor,
            "level_m": round(self.level_m, 4),
            "joints": [line.as_json() for line in self.joints],
            "before": [item.as_json() for item in self.before],
            "open_ends": [end.as_json() for end in self.open_ends],
            "findings": [finding.as_json() for finding in self.others],
            "notes": list(self.notes),
        }


def floor_sheet(
    model: Model,
    site_state: State,
    findings: Iterable[Finding],
    gates: Iterable[Mapping[str, Any]],
    building: str,
    floor: str,
    *,
    proven: frozenset[str] = frozenset(),
    stale: frozenset[str] = frozenset(),
) -> FloorSheet:
    """The sheet of one floor.

    `model` is the design model, so that joints to parts not yet placed are on the sheet; `gates` are the rows
    of gates.toml, none for the default gates; `proven` and `stale` name connections. Measurements kept in the
    records count once they are in the model's survey table. InputErrors where the job has no such floor,
    or several.
    """
    typed = f"{building}/{floor}" if building else floor
    number = model.placed.floors.number[floor_named(model.placed.tables.floors, typed)]
    standing = Standing(site_state, proven, stale)
    found = list(findings)
    holds = frozenset({"fire riser made"} if fire_riser_is_made(model, standing, number) else ())
    source = lines_of(model, standing, gates_from(gates), found, holds)
    joints = np.flatnonzero(model.joints.works_on == number).tolist()
    along = riser_joints(model, {source.system(joint) for joint in joints})
    lines = joint_lines(source, joints, along)
    stands, assumed = parts_standing(model, standing, number)
    floors = model.placed.floors
    name = str(floors.building[number])
    return FloorSheet(
        job=str(model.placed.tables.settings.get("name", "")),
        building=name,
        floor=str(floors.name[number]),
        level_m=float(floors.level_m[number]),
        joints=tuple(lines),
        before=tuple(done_before(model, standing, number, lines, along)),
        open_ends=tuple(open_ends(model, standing, number, stands)),
        others=_others(found, lines, standing, name, str(floors.name[number])),
        notes=_notes(assumed, site_state),
        shafts=tuple(shaft for shaft in shafts_of(model) if shaft.building == name),
    )


def _others(
    findings: Sequence[Finding], lines: Sequence[JointLine], standing: Standing, building: str, floor: str
) -> tuple[FindingLine, ...]:
    """Root findings of this floor that no joint on the sheet shows."""
    shown = {finding.key for line in lines for finding in line.findings}
    return tuple(
        finding_line(f, standing)
        for f in findings
        if f.building == building and f.floor == floor and f.because is None and f.key not in shown
    )


def _notes(assumed: bool, state: State) -> tuple[str, ...]:
    notes = []
    if not state.lines:
        notes.append("Nothing is recorded yet: every joint counts as not yet seen.")
    if assumed:
        notes.append("No part is recorded as placed: all parts up to this floor are taken to stand.")
    return tuple(notes)
