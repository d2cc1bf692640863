# SPDX-License-Identifier: Apache-2.0
"""The test plan: sections for all networks, at the end or day by day as the floors go up.

On each day everything that can be proven is proven, with the fewest sections that do it on that day; so no
plan has more connections ready to release by the end of any day. The number of tests over all days is then a
heuristic, and `bound` says below which number no plan can be. With one day (the whole riser at the end) the
count of a drain's sections is exact.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from riser.errors import NotInRules
from riser.network.model import Model
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints
from riser.proving.required import pipe_facts
from riser.proving.section_cover import (
    Barrier,
    Cells,
    Cover,
    Section,
    fewest_sections,
    least_tests,
    trimmed,
)
from riser.proving.section_days import Day, days
from riser.proving.section_demands import asked_head_m, cells_for, demands
from riser.proving.section_low_point import sections_from_the_low_point
from riser.proving.section_pipework import Limits, Pipework, connections, pipework
from riser.proving.section_rules import PlannedTest, planned_test
from riser.proving.tests_of_rules import rows_of_system
from riser.rules import Rules

# What shares water is planned together; a test rule decides which of its connections count.
GROUPS: tuple[frozenset[System], ...] = (
    frozenset({System.FIRE}),
    frozenset({System.SOIL, System.WASTE, System.VENT, System.CONDENSATE}),
    frozenset({System.RAINWATER}),
    frozenset({System.COLD}),
    frozenset({System.HOT, System.HOT_RETURN}),
    frozenset({System.NON_POTABLE}),
)
DRAINED = frozenset({System.SOIL, System.WASTE, System.VENT, System.CONDENSATE, System.RAINWATER})
PROVEN, AT_THE_TOP = "proven", "proven, top of system"


@dataclass(frozen=True)
class Wanted:
    """What is planned: the strategy's pace in floors a day (0: one day, at the end), and the limits.

    `working_pa` by system; `named` a test of the rule set by its name, by system.
    """

    pace: int = 0
    limits: Limits = field(default_factory=Limits)
    working_pa: Mapping[System, float] = field(default_factory=dict)
    named: str = ""
    systems: frozenset[System] = frozenset(System)


@dataclass(frozen=True)
class Planned:
    """One section: the pipework of its day, its line and cells, and what it proves, by connection number.

    `at_the_top` tells which of them only exist in the state for the top of the system.
    """

    day: int
    last_floor: str
    test: PlannedTest
    pipework: Pipework
    line_m: float
    cells: Flags
    proves: Ints
    at_the_top: Flags


@dataclass(frozen=True)
class GroupPlan:
    """The plan of one group of systems: its sections in order, what no method reaches and why."""

    systems: frozenset[System]
    test: PlannedTest | None
    sections: tuple[Planned, ...]
    no_method: Mapping[str, str]
    bound: int
    exact: bool


def section_plan(model: Model, rules: Rules, wanted: Wanted) -> list[GroupPlan]:
    """The sections of every group of systems that has connections to prove.

    Raises Refused where a test that was asked for by name may not be used.
    """
    lower = min(wanted.limits.height_m, height_limit_m(rules))
    wanted = replace(wanted, limits=replace(wanted.limits, height_m=lower))
    calendar = days(model, wanted.pace)
    standing = [(day, replace(model, standing=model.standing & day.standing)) for day in calendar]
    plans = []
    for systems in GROUPS:
        if not systems & wanted.systems or not _has_test(systems, rules, wanted.named):
            continue
        if len(connections(model, systems).id):
            plans.append(_group_plan(systems, standing, rules, wanted))
    return plans


def _has_test(systems: frozenset[System], rules: Rules, named: str) -> bool:
    """Whether a test asked for by name is one for these systems; always, where none is asked for."""
    rows = rows_of_system(rules, min(systems))
    return not named or any(str(row.cell("test").value) == named for row in rows)


def height_limit_m(rules: Rules) -> float:
    """The height of water that the rule set allows in a drain test [m]; infinite where it names none."""
    try:
        return rules.subject("tests").limit("drain_test_head_max").number
    except NotInRules:
        return float("inf")


def pipework_of(model: Model, systems: frozenset[System], wanted: Wanted) -> Pipework:
    """The pipework of one group under the plan's limits; a limit on height is for drains."""
    drains = bool(systems & DRAINED)
    limits = wanted.limits if drains else Limits()
    return pipework(model, systems, limits, drains=drains)


def _group_plan(
    systems: frozenset[System], standing: Sequence[tuple[Day, Model]], rules: Rules, wanted: Wanted
) -> GroupPlan:
    whole = pipework_of(standing[-1][1], systems, wanted)
    plastic = bool(pipe_facts(whole.model).plastic[np.unique(whole.edge_pipe[whole.edge_pipe >= 0])].any())
    system = min(systems)
    working = wanted.working_pa.get(system, float("nan"))
    try:
        test = planned_test(rules, system, plastic=plastic, working_pa=working, named=wanted.named)
    except NotInRules as fault:
        none = {str(name): str(fault) for name in whole.connections.id}
        return GroupPlan(systems, None, (), none, 0, exact=True)
    covered = np.array([System(s) in test.systems for s in whole.connections.system.tolist()])
    no_method = {
        str(name): f"{test.name} does not cover {System(int(s)).label}, and the rules have no test of its own"
        for name, s in zip(whole.connections.id[~covered], whole.connections.system[~covered], strict=True)
    }
    done: set[str] = set()
    sections: list[Planned] = []
    for day, model in standing:
        last = day.number == standing[-1][0].number
        pipes = pipework_of(model, systems, wanted) if not last else whole
        found, barriers = _day_sections(day, pipes, test, done, rules, complete=last)
        sections += found
        if last:
            no_method |= barriers
    exact = len(standing) == 1 and not test.at_low_point
    bound = len(sections) if exact else _bound(whole, test, sections)
    no_method |= broken_connections(whole.model, systems)
    return GroupPlan(systems, test, tuple(sections), no_method, bound, exact)


def _day_sections(
    day: Day, pipes: Pipework, test: PlannedTest, done: set[str], rules: Rules, *, complete: bool
) -> tuple[list[Planned], dict[str, str]]:
    """The sections of one day for what is not yet proven; `done` grows by what they prove."""
    joined = pipes.connections
    open_ones = np.array(
        [
            System(int(s)) in test.systems and str(name) not in done
            for name, s in zip(joined.id, joined.system, strict=True)
        ],
        bool,
    )
    mine = np.flatnonzero(open_ones)
    if not len(mine):
        return [], {}
    demand, at_top = demands(pipes, mine, test, rules, complete=complete)
    cells = cells_for(pipes, mine, demand)
    if test.at_low_point:
        cover = sections_from_the_low_point(cells, pipes.low_m, asked_head_m(test))
    else:
        cover = fewest_sections(cells)
    found = [_planned(day, pipes, test, cells, section, mine, at_top) for section in cover.sections]
    done |= {str(name) for p in found for name in joined.id[p.proves]}
    return found, _reasons(pipes, mine, demand, cover)


def _planned(
    day: Day,
    pipes: Pipework,
    test: PlannedTest,
    cells: Cells,
    section: Section,
    mine: Ints,
    at_top: Flags,
) -> Planned:
    kept = trimmed(cells, section, lambda c: closures(pipes, c, section.line_m))
    return Planned(
        day=day.number,
        last_floor=day.last_floor,
        test=test,
        pipework=pipes,
        line_m=section.line_m,
        cells=section.cells if test.at_low_point else kept,
        proves=mine[section.proves],
        at_the_top=at_top[section.proves],
    )


def closures(pipes: Pipework, cells: Flags, line_m: float) -> int:
    """How many plugs, caps and blanks a section needs."""
    at, a_and_b = pipes.opening_cell, pipes.cut_cells
    shut = sum(cells[c] and o.level_m < line_m for c, o in zip(at, pipes.openings, strict=True))
    edge = cells[a_and_b[0]] != cells[a_and_b[1]]
    return int(shut + sum(e and cut.level_m < line_m for e, cut in zip(edge, pipes.cuts, strict=True)))


def _reasons(pipes: Pipework, mine: Ints, demand: Floats, cover: Cover) -> dict[str, str]:
    """Why each connection that no section reaches is not proven, with the figures."""
    joined, told = pipes.connections, {}
    for place, barrier in cover.barriers.items():
        n = int(mine[place])
        cell = int(pipes.connection_cell[n])
        bears = float(pipes.line_limit_m[cell])
        told[str(joined.id[n])] = {
            Barrier.RATING: (
                f"{barrier}: the water has to stand at {demand[place]:+.3f} m, the pipework it cannot be shut"
                f" off from bears {bears:+.3f} m (it reaches down to {pipes.low_m[cell]:+.3f} m)"
            ),
            Barrier.NEIGHBOUR: f"{barrier}: the water has to stand at {demand[place]:+.3f} m",
            Barrier.REACH: f"{barrier}: it has to stand at {demand[place]:+.3f} m; give a standpipe",
        }[barrier]
    return told


def broken_connections(model: Model, systems: frozenset[System]) -> dict[str, str]:
    """The connections of joints that cannot be made as drawn: they are not there to be proven."""
    joints, told = model.joints, dict[str, str]()
    for joint in joints.broken.tolist():
        stub = max(int(joints.stub_a[joint]), int(joints.stub_b[joint]))
        if stub < 0 or int(model.node_system[stub]) not in systems:
            continue
        names = joints.connections.id[joints.connections.joint == joint].tolist()
        told |= dict.fromkeys(names, f"the joint cannot be made as drawn ({joints.fault_key(joint)})")
    return told


def _bound(whole: Pipework, test: PlannedTest, sections: Sequence[Planned]) -> int:
    """Tests that no plan of any number of days can do without."""
    full = {str(p.pipework.connections.id[n]) for p in sections for n in p.proves[~p.at_the_top]}
    proven = {str(p.pipework.connections.id[n]) for p in sections for n in p.proves}
    if test.at_low_point:
        return min(len(proven), 1)
    joined = whole.connections
    keep = np.array([str(name) in full for name in joined.id], bool)
    found = least_tests(joined.level_m[keep] + asked_head_m(test), joined.bears_m[keep])
    return max(found, min(len(proven), 1))
