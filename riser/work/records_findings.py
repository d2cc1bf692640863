# SPDX-License-Identifier: Apache-2.0
"""Findings M01 and R01 to R03: what the records and the drawings say against each other."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from riser.audit.finding import Finding, FindingKind
from riser.network.inside import inside_connections
from riser.network.items import rests_on
from riser.network.model import Model
from riser.network.where import Place, joint_place, node_place
from riser.records import State
from riser.work import kinds


def _finding(
    kind: FindingKind, item: str, place: Place, says: str, rests: tuple[tuple[str, str], ...] = ()
) -> Finding:
    return Finding(
        code=kind.code,
        name=kind.name,
        severity=kind.severity,
        items=(item,),
        floor=place.floor,
        building=place.building,
        system=place.system,
        where=place.words,
        says=says,
        remedy=kind.remedy,
        basis=kind.basis,
        rests_on=rests,
    )


def _part_place(model: Model, part: int) -> Place:
    placed = model.placed
    floor = int(placed.part_floor[part])
    words = f"floor {placed.floors.label(floor)}, part {placed.part_name[part]}"
    return Place(str(placed.floors.building[floor]), str(placed.floors.name[floor]), "", words)


def drawn_differs(model: Model, state: State) -> list[Finding]:
    """M01: parts built to another type revision than parts.csv draws now."""
    placed = model.placed
    found = []
    for name, built in state.placed.items():
        part = placed.part_number.get(name)
        if part is None:
            continue
        type_name, drawn = placed.types.keys[int(placed.part_type[part])]
        if drawn != built.type_revision:
            says = (
                f"{name} was built to {type_name} revision {built.type_revision} (recorded"
                f" {built.time[:10]} by {built.by}); parts.csv draws revision {drawn}."
            )
            rests = ((name, f"{type_name} {drawn}"),)
            found.append(_finding(kinds.DRAWN_DIFFERS, name, _part_place(model, part), says, rests))
    return found


def covered_unreleased(model: Model, state: State) -> list[Finding]:
    """R01: connections that cannot be seen any more and were never released."""
    joints = model.joints
    number = {name: n for n, name in enumerate(joints.connections.id.tolist())}
    found = []
    for name, events in state.connections.items():
        if not events.is_covered or events.is_released or name not in number:
            continue
        joint = int(joints.connections.joint[number[name]])
        last = events.covered[-1]
        says = f"{name} was covered on {last.time[:10]} by {last.by} and no release had been given."
        rests = rests_on(model, joints=(joint,))
        found.append(_finding(kinds.COVERED_UNRELEASED, name, joint_place(model, joint), says, rests))
    return found


def unknown_items(model: Model, state: State) -> list[Finding]:
    """R02: ids in the records that the files do not have."""
    placed = model.placed
    parts = [name for name in state.placed if name not in placed.part_number]
    stubs = [*state.capped, *state.measured]
    lost = placed.node_numbers(stubs) < 0 if stubs else np.zeros(0, bool)
    known = {*model.joints.connections.id.tolist(), *inside_connections(placed).id.tolist()}
    connections = [name for name in state.connections if name not in known]
    names = [*parts, *(s for s, gone in zip(stubs, lost.tolist(), strict=True) if gone), *connections]
    nowhere = Place("", "", "", "the records")
    return [
        _finding(kinds.UNKNOWN_ITEM, name, nowhere, f"The records speak of {name}, which is not drawn.")
        for name in dict.fromkeys(names)
    ]


def measured_twice(model: Model) -> list[Finding]:
    """R03: measurements of one stub that contradict each other beyond their uncertainty."""
    survey = model.placed.tables.survey
    found = []
    for stub, rows in survey.groupby("stub", sort=True):
        if len(rows) < 2:
            continue
        node = int(model.placed.node_numbers([str(stub)])[0])
        xyz = rows[["x_m", "y_m", "z_m"]].to_numpy(float)
        doubt = np.nan_to_num(rows["uncertainty_m"].to_numpy(float))
        for a, b in combinations(range(len(rows)), 2):
            apart = float(np.nanmax(np.abs(xyz[a] - xyz[b])))
            if node >= 0 and apart > doubt[a] + doubt[b] + 1e-9:
                says = (
                    f"{stub}: measured {rows['measured_at'].iat[a]} and {rows['measured_at'].iat[b]} with"
                    f" {apart * 1000:.0f} mm between them; their uncertainties allow"
                    f" {(doubt[a] + doubt[b]) * 1000:.0f} mm."
                )
                found.append(_finding(kinds.MEASURED_TWICE, str(stub), node_place(model, node), says))
                break
    return found


def findings(drawn: Model, state: State) -> list[Finding]:
    """Everything the records show against the drawing of the design model."""
    return [
        *drawn_differs(drawn, state),
        *covered_unreleased(drawn, state),
        *unknown_items(drawn, state),
        *measured_twice(drawn),
    ]
