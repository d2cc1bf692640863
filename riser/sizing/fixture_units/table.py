# SPDX-License-Identifier: Apache-2.0
"""The size table of a building under the fixture-unit procedure."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE
from riser.network.systems import System
from riser.network.types import Floats, Ints, Texts
from riser.rules.nominal import nominal_words
from riser.sizing.carrying import carried
from riser.sizing.fixture_units.building_sizes import BuildingSizes
from riser.sizing.fixture_units.deciding_rows import NONE, deciding_rows
from riser.sizing.fixture_units.drain_sheets import DECIDED_WORDS
from riser.sizing.fixture_units.drain_sizes import Decided, closet_size, drawn_capacity, drawn_margin
from riser.sizing.fixture_units.drain_tables import BRANCHES, BUILDING
from riser.sizing.fixture_units.vent_sizes import longest_allowed
from riser.sizing.fixture_units.vent_tables import VENTS
from riser.sizing.loads import UNITS_TABLE
from riser.sizing.pipe_kinds import DRAIN_KINDS, MAIN_VENTS, OTHER_VENTS, PipeKind
from riser.sizing.rule_words import demand_basis, stated_limit
from riser.sizing.size_table import SizeTable, Verdict

SMALLER = 1.0 - 1.0e-9


def size_table(building: BuildingSizes, *, counts_rows: bool = True) -> SizeTable:
    """One row per run and joint, in bulk.

    Counting the rule rows behind every size takes longer than all sizes; where nobody asks for it, the counts
    stay zero.
    """
    drain, vent = building.drain_point, building.vent_point
    capacity, margin, unit = _margins(building)
    counts = deciding_rows(building) if counts_rows else [NONE] * len(drain)
    verdict, why = _verdicts(building)
    place = _places(building)
    physics = _physics(building)
    return SizeTable(
        id=_words(building.ids),
        is_joint=~building.is_run,
        system=_words([System(s).label for s in building.model.edges.system_u[building.edge].tolist()]),
        kind=building.kind,
        building=place[0],
        floor=place[1],
        load=_either(building, building.drains.loads.units, building.vent_sizes.units),
        load_unit=np.full(len(drain), "dfu", dtype=object),
        unjudged_fixtures=np.where(drain >= 0, building.drains.loads.unjudged[drain], 0),
        length_m=np.where(vent >= 0, building.vents.developed_length_m[vent], np.nan),
        fall_m_per_m=np.where(drain >= 0, building.drains.fall_m_per_m[drain], np.nan),
        least_m=building.least_m,
        drawn_m=building.drawn_m,
        least_text=_size_words(building, building.least_m),
        drawn_text=np.append(building.pipes.nominal, "").astype(object)[building.pipe],
        capacity=capacity,
        margin=margin,
        margin_unit=unit,
        clause=_clauses(building),
        decided_by=_deciding_words(building),
        verdict=verdict,
        why=why,
        read=np.array([c.read for c in counts], np.int32),
        unverified=np.array([c.unverified for c in counts], np.int32),
        conflict=np.array([c.conflict for c in counts], np.int32),
        local=np.array([c.local for c in counts], np.int32),
        bore_m=np.append(building.pipes.bore_m, np.nan)[building.pipe],
        filling=physics[0],
        velocity_ms=physics[2],
        flow_m3s=physics[1],
    )


def _words(texts: list[str]) -> Texts:
    return np.array([*texts, None], dtype=object)[:-1]


def _size_words(building: BuildingSizes, sizes_m: Floats) -> Texts:
    """Sizes as people say them, empty where there is none."""
    unit = building.rule_set.table(BRANCHES).printed_units["size"]
    distinct, place = np.unique(sizes_m, return_inverse=True)
    words = ["" if np.isnan(size) else nominal_words(size, unit) for size in distinct.tolist()]
    return _words(words)[place]


def _either(building: BuildingSizes, of_drain: Floats, of_vent: Floats) -> Floats:
    """A figure of the drain or of the vent of each row; NaN for neither."""
    drain, vent = building.drain_point, building.vent_point
    found = np.where(vent >= 0, of_vent[vent], np.nan)
    return np.where(drain >= 0, of_drain[drain], found)


def _places(building: BuildingSizes) -> tuple[Texts, Texts]:
    """Building and floor of each row: where a run begins, where people stand to make a joint."""
    model, edges = building.model, building.model.edges
    ref, is_run = edges.ref[building.edge], building.is_run
    node = model.placed.point_node[model.placed.run_from_point[np.where(is_run, ref, 0)]]
    floor = np.where(is_run, model.placed.node_floor[node], -1)
    if len(model.joints):
        floor = np.where(is_run, floor, model.joints.works_on[np.where(is_run, 0, ref)])
    floors = model.placed.floors
    return tuple(np.append(names, "").astype(object)[floor] for names in (floors.building, floors.name))  # type: ignore[return-value]


def _margins(building: BuildingSizes) -> tuple[Floats, Floats, Texts]:
    """What the drawn size may carry or how long it may be, what is left of that, and the unit."""
    drain, vent = building.drain_point, building.vent_point
    drawn = building.by_point(building.drawn_m, drain)
    capacity = drawn_capacity(building.drains, drawn)
    margin = drawn_margin(building.drains, drawn, capacity)
    vented = building.by_point(building.drawn_m, vent)
    longest = longest_allowed(building.vents, building.vent_sizes, vented)
    spare = longest - building.vents.developed_length_m
    capacity_of, margin_of = _either(building, capacity, longest), _either(building, margin, spare)
    unit = np.where(np.isnan(margin_of), "", np.where(drain >= 0, "dfu", "m")).astype(object)
    return capacity_of, margin_of, unit


def _physics(building: BuildingSizes) -> tuple[Floats, Floats, Floats]:
    """Filling, flow and velocity that each drawn drain carries; NaN for vents and joints."""
    bore = np.append(building.pipes.bore_m, np.nan)[building.pipe]
    fall = np.where(building.drain_point >= 0, building.drains.fall_m_per_m[building.drain_point], np.nan)
    is_stack = building.kind == PipeKind.STACK
    drains = building.is_run & np.isin(building.kind, [int(k) for k in DRAIN_KINDS])
    filling, flow, velocity = carried(bore, fall, is_stack)
    return tuple(np.where(drains, figure, np.nan) for figure in (filling, flow, velocity))  # type: ignore[return-value]


def _clauses(building: BuildingSizes) -> Texts:
    """The clause that decided each least size; told once for each sort of pipe."""
    drain, vent = building.drain_point, building.vent_point
    decided = np.where(drain >= 0, building.drain_sizes.decided[drain], building.vent_sizes.by_drain[vent])
    sort = np.stack(
        [
            np.isnan(building.least_m),
            drain >= 0,
            building.kind,
            decided,
            building.drains.runs_to_stack[drain],
        ],
        axis=1,
    )
    _, first, place = np.unique(sort, axis=0, return_index=True, return_inverse=True)
    words = []
    for row in first.tolist():
        if np.isnan(building.least_m[row]):
            words.append("")
        elif drain[row] >= 0:
            words.append(drain_clause(building, int(drain[row])))
        else:
            words.append(vent_clause(building, int(vent[row])))
    return _words(words)[place.ravel()]


def drain_clause(building: BuildingSizes, point: int) -> str:
    """The clause that decided the size of the drain leaving a point."""
    rule_set, kind = building.rule_set, int(building.drains.kind[point])
    match Decided(int(building.drain_sizes.decided[point])):
        case Decided.UPSTREAM:
            return demand_basis(rule_set, "no_narrowing")
        case Decided.TRAP:
            return rule_set.table(UNITS_TABLE).cited
        case Decided.CLOSET:
            cell = closet_size(rule_set)
            return cell.clause.text if cell else COMMON_PRACTICE
        case Decided.SHARE:
            cell = stated_limit(rule_set, "stack_top_share")
            return cell.clause.text if cell else COMMON_PRACTICE
    by_stack = kind == PipeKind.STACK or (
        kind in (PipeKind.BRANCH, PipeKind.FIXTURE_DRAIN) and building.drains.runs_to_stack[point]
    )
    table = rule_set.table(BRANCHES if by_stack else BUILDING)
    if kind == PipeKind.OFFSET:
        return f"{demand_basis(rule_set, 'offset_as_building_drain')}: {table.cited}"
    return table.cited


def vent_clause(building: BuildingSizes, point: int) -> str:
    """The clause that decided the size of the vent leaving a point."""
    rule_set, vents = building.rule_set, building.vents
    kind = PipeKind(int(vents.kind[point]))
    if kind == PipeKind.RELIEF_VENT:
        return demand_basis(rule_set, "relief_as_vent_stack")
    if kind in MAIN_VENTS and not building.vent_sizes.by_drain[point]:
        cited = rule_set.table(VENTS).cited
        return (
            f"{demand_basis(rule_set, 'header_as_extension')}: {cited}"
            if kind == PipeKind.VENT_HEADER
            else cited
        )
    return rule_set.limit("vent_share_of_drain").clause.text


def _deciding_words(building: BuildingSizes) -> Texts:
    """What decided each least size, in words."""
    drain, vent = building.drain_point, building.vent_point
    of_drain = _words([DECIDED_WORDS[d] for d in Decided])[building.drain_sizes.decided[drain]]
    by_drain = building.vent_sizes.by_drain[vent]
    of_vent = np.where(by_drain, "size of the drain served", "load and developed length").astype(object)
    words = np.where(drain >= 0, of_drain, of_vent)
    return np.where(np.isnan(building.least_m), "", words).astype(object)


def _verdicts(building: BuildingSizes) -> tuple[Ints, Texts]:
    """Drawn against least size, and where nothing can be said, why."""
    kind, least, drawn = building.kind, building.least_m, building.drawn_m
    drain = building.drain_point
    unknown_pipe = np.isnan(drawn)
    beyond = (drain >= 0) & building.drain_sizes.beyond[drain]
    unjudged = (drain >= 0) & (building.drains.loads.unjudged[drain] > 0)
    nothing = np.isin(kind, [PipeKind.DRY]) | (np.isnan(least) & ~building.is_run & ~beyond)
    by_kind = np.isin(kind, [PipeKind.PUMPED, PipeKind.RING, PipeKind.LOST])
    vent_beyond = np.isin(kind, [int(k) for k in MAIN_VENTS | OTHER_VENTS]) & np.isnan(least)
    small = ~nothing & ~by_kind & (drawn < least * SMALLER)
    open_question = by_kind | unknown_pipe | beyond | unjudged | vent_beyond
    verdict = np.where(open_question, Verdict.CANNOT_BE_JUDGED, Verdict.LARGE_ENOUGH)
    verdict = np.where(small, Verdict.TOO_SMALL, np.where(nothing, Verdict.NOTHING_TO_SIZE, verdict))
    reasons = [
        (kind == PipeKind.LOST, "it has no way to an outfall"),
        (kind == PipeKind.RING, "it closes a ring: its load cannot be told"),
        (kind == PipeKind.PUMPED, "it is pumped: gravity tables do not hold for it"),
        (unknown_pipe, "its nominal size is of no family the tables know"),
        (beyond, "the table ends before its load, or has no column for its fall"),
        (vent_beyond, "the table ends before its load or length"),
        (unjudged, "fixtures above it have no row in the rule set"),
    ]
    why = np.full(len(kind), "", dtype=object)
    for flags, words in reversed(reasons):
        why[flags & (verdict == Verdict.CANNOT_BE_JUDGED)] = words
    return verdict.astype(np.int32), why
