# SPDX-License-Identifier: Apache-2.0
"""What the sizes of a building say: pipes too small, vents missing, and what cannot be judged.

Pipes without a way to an outfall and pipes that close a ring are told by the layout check (D04, D08); the
size table says of them that their load cannot be told.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from riser.audit.finding import CANNOT_JUDGE, Finding, FindingKind
from riser.errors import NotInRules
from riser.network.types import Flags
from riser.network.where import node_place, run_place
from riser.rules import Rules
from riser.rules.nominal import MATCHED_BY
from riser.sizing.fixture_units.building_sizes import BuildingSizes
from riser.sizing.fixture_units.drain_sizes import BY_FALL, Decided
from riser.sizing.fixture_units.drain_tables import building_drain_size
from riser.sizing.fixture_units.stretches import Stretch, stretches
from riser.sizing.fixture_units.table import SMALLER, size_table
from riser.sizing.fixture_units.tall_stacks import missing_vents
from riser.sizing.kinds import DRAIN_TOO_SMALL, STACK_NEEDS_VENT, VENT_TOO_SMALL
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.reporting import sizing_finding
from riser.sizing.size_table import SizeTable, Verdict


def findings_of(building: BuildingSizes, rules: Rules) -> list[Finding]:
    """D12, D13, D14 and M03 of one building."""
    table = size_table(building, counts_rows=False)
    return [
        *_too_small_drains(building, table, rules),
        *_too_small_vents(building, table, rules),
        *_missing_vents(building, rules),
        *_unknown_pipes(building, table, rules),
        *_unknown_fixtures(building, rules),
        *_open_questions(building, table, rules),
    ]


def _too_small_drains(building: BuildingSizes, table: SizeTable, rules: Rules) -> Iterator[Finding]:
    small = (table.verdict == Verdict.TOO_SMALL) & (building.drain_point >= 0)
    for stretch in stretches(building, small, building.drains.way, building.drain_point):
        row = stretch.last
        words = f"{table.load[row]:g} {table.load_unit[row]}"
        says = (
            f"{_stretch_words(table, stretch)}, drawn {table.drawn_text[row]}: "
            f"{words} need {table.least_text[row]}, decided by the {table.decided_by[row]}."
        )
        because = _flat_drain(building, table, row) or _narrowing(building, table, stretch)
        yield _of_stretch(building, table, rules, DRAIN_TOO_SMALL, stretch, says, because)


def _too_small_vents(building: BuildingSizes, table: SizeTable, rules: Rules) -> Iterator[Finding]:
    small = (table.verdict == Verdict.TOO_SMALL) & (building.vent_point >= 0)
    for stretch in stretches(building, small, building.vents.way, building.vent_point):
        row = stretch.last
        says = (
            f"{_stretch_words(table, stretch)}, drawn {table.drawn_text[row]}: {table.load[row]:g} "
            f"{table.load_unit[row]} and {table.length_m[row]:.1f} m of developed length need "
            f"{table.least_text[row]}, decided by {table.decided_by[row]}."
        )
        yield _of_stretch(building, table, rules, VENT_TOO_SMALL, stretch, says, None)


def _stretch_words(table: SizeTable, stretch: Stretch) -> str:
    kind = PipeKind(int(table.kind[stretch.last])).words
    if len(stretch.rows) == 1:
        return f"{table.id[stretch.last]}, {kind}"
    return f"{len(stretch.rows)} pipes from {table.id[stretch.first]} to {table.id[stretch.last]}, {kind}"


def _of_stretch(
    building: BuildingSizes,
    table: SizeTable,
    rules: Rules,
    kind: FindingKind,
    stretch: Stretch,
    says: str,
    because: str | None,
) -> Finding:
    runs = tuple(int(r) for r in building.model.edges.ref[building.edge[list(stretch.rows)]])
    return sizing_finding(
        building.model,
        rules,
        kind,
        run_place(building.model, runs[-1]),
        (str(table.id[stretch.last]),),
        says,
        basis=str(table.clause[stretch.last]),
        remedy=f"Draw {table.least_text[stretch.last]}." if table.least_text[stretch.last] else "",
        because=because,
        runs=runs,
    )


def _flat_drain(building: BuildingSizes, table: SizeTable, row: int) -> str | None:
    """The key of the finding that the drain is too flat, where its drawn size would do at the least fall."""
    if table.kind[row] not in BY_FALL or not building.rule_set.has("least_fall"):
        return None
    try:
        need = building.rule_set.table("least_fall").bracket(float(table.drawn_m[row])).row.number("fall")
    except NotInRules:
        return None
    enough = building_drain_size(building.rule_set, float(table.load[row]), need)
    point = int(building.drain_point[row])
    flat = building.drains.table_fall_m_per_m[point] < need * SMALLER
    if not flat or not enough <= table.drawn_m[row] / SMALLER:
        return None
    rises = building.drains.drop_m[point] < -1.0e-4
    return f"{'D02' if rises else 'D01'}:{table.id[row]}"


def _narrowing(building: BuildingSizes, table: SizeTable, stretch: Stretch) -> str | None:
    """The key of the finding that the drain narrows here, where that is all that is wrong with it."""
    point = int(building.drain_point[stretch.first])
    if building.drain_sizes.decided[point] != Decided.UPSTREAM:
        return None
    way, origin = building.drains.way, building.drain_sizes.origin
    inflows = np.flatnonzero(way.next_point == point).tolist()
    # The pipe that brings the size along comes first; others are as wide by the engineer's choice.
    for before in sorted(inflows, key=lambda p: origin[p] != origin[point]):
        row = building.row_at_drain.get(before, -1)
        if row >= 0 and table.drawn_m[row] > table.drawn_m[stretch.first] / SMALLER:
            return ":".join(("D03", *sorted((str(table.id[row]), str(table.id[stretch.first])))))
    return None


def _missing_vents(building: BuildingSizes, rules: Rules) -> Iterator[Finding]:
    for missing in missing_vents(building):
        items = (_node_id(building, missing.point),)
        because = None if missing.needs < 0 else f"D14:{_node_id(building, missing.needs)}"
        node = int(building.model.placed.point_node[missing.point])
        system = int(building.drains.stacks[missing.stack].system)
        yield sizing_finding(
            building.model,
            rules,
            STACK_NEEDS_VENT,
            node_place(building.model, node, system),
            items,
            missing.says,
            basis=missing.limit.clause.text,
            remedy=missing.remedy,
            because=because,
            nodes=(node,),
        )


def _node_id(building: BuildingSizes, point: int) -> str:
    return building.model.placed.node_id(int(building.model.placed.point_node[point]))


def _unknown_pipes(building: BuildingSizes, table: SizeTable, rules: Rules) -> Iterator[Finding]:
    """Catalogue names whose size under the code cannot be told."""
    asked = building.is_run & ~np.isnan(table.least_m) & np.isnan(table.drawn_m)
    for pipe in np.unique(building.pipe[asked]).tolist():
        rows = np.flatnonzero(asked & (building.pipe == pipe))
        name = str(building.pipes.name[pipe]) if pipe >= 0 else "no pipe"
        nominal = str(building.pipes.nominal[pipe]) if pipe >= 0 else ""
        run = int(building.model.edges.ref[building.edge[rows[0]]])
        says = (
            f"{len(rows)} drains and vents in {name}, first {table.id[rows[0]]}, cannot be judged: "
            f"'{nominal}' is a size of no family that {building.rule_set.title} knows."
        )
        yield sizing_finding(
            building.model, rules, CANNOT_JUDGE, run_place(building.model, run),
            (name, building.rule_set.id), says, basis=MATCHED_BY,
            remedy="Give the nominal size in pipes.csv as DN or in inches.", runs=(run,),
        )  # fmt: skip


def _unknown_fixtures(building: BuildingSizes, rules: Rules) -> Iterator[Finding]:
    """Kinds of fixture that the rule set has no row for; one with a continuous flow of its own is counted."""
    loads = building.drains.loads
    for number, one in enumerate(loads.fixtures.classes):
        if one.row is not None:
            continue
        mine = loads.fixtures.klass == number
        mine &= ~np.isin(loads.fixtures.point, list(loads.flow_at))
        nodes = tuple(loads.fixtures.node[mine].tolist())
        if not nodes:
            continue
        first = building.model.placed.node_id(nodes[0])
        count = "1 fixture" if len(nodes) == 1 else f"{len(nodes)} fixtures"
        says = f"{count} of the kind {one.words}, the first of them {first}: {one.why_not}."
        yield sizing_finding(
            building.model, rules, CANNOT_JUDGE, node_place(building.model, nodes[0]),
            (one.words, building.rule_set.id), says,
            remedy="Map the kind in a local amendment, or give its flow as continuous in project.toml.",
            nodes=nodes,
        )  # fmt: skip


def _open_questions(building: BuildingSizes, table: SizeTable, rules: Rules) -> Iterator[Finding]:
    """Pipes that the tables give no size for: beyond their end, or pumped."""
    open_rows = (table.verdict == Verdict.CANNOT_BE_JUDGED) & ~np.isin(
        table.kind, [PipeKind.LOST, PipeKind.RING]
    )
    drains = open_rows & (building.drain_point >= 0) & (_beyond(building) | (table.kind == PipeKind.PUMPED))
    vents = open_rows & (building.vent_point >= 0) & np.isnan(table.least_m)
    for chosen, way, points in (
        (drains, building.drains.way, building.drain_point),
        (vents, building.vents.way, building.vent_point),
    ):
        for stretch in stretches(building, chosen, way, points):
            row = stretch.last
            says = f"{_stretch_words(table, stretch)}, cannot be judged: {table.why[row]}."
            because = _flat_beyond(building, table, row)
            yield _of_stretch(building, table, rules, CANNOT_JUDGE, stretch, says, because)


def _beyond(building: BuildingSizes) -> Flags:
    point = building.drain_point
    flags: Flags = (point >= 0) & building.drain_sizes.beyond[point]
    return flags


def _flat_beyond(building: BuildingSizes, table: SizeTable, row: int) -> str | None:
    """The key of the finding about the fall, where it is the fall that no column holds."""
    falls = building.rule_set.table("building_drain").distinct("fall")
    point = int(building.drain_point[row])
    least = min(float(f) for f in falls) * SMALLER
    if table.kind[row] not in BY_FALL or not building.drains.table_fall_m_per_m[point] < least:
        return None
    rises = building.drains.drop_m[point] < -1.0e-4
    return f"{'D02' if rises else 'D01'}:{table.id[row]}"
