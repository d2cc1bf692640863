# SPDX-License-Identifier: Apache-2.0
"""What people need to carry out one planned section, from its limits to the order of work."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.kinds import NODE_KINDS
from riser.network.model import EdgeKind
from riser.network.systems import POTABLE, System
from riser.network.where import level_words
from riser.proving.gauge_gate import GaugeNeeded, gauge_needed
from riser.proving.reading_notes import expected_pump_m3
from riser.proving.section_cautions import ALWAYS, FOR_DRAINS, FOR_DRINKING_WATER, FOR_PUMPING
from riser.proving.section_heads import gauge_pressure_pa, heads_m
from riser.proving.section_pipework import WATER_KGM3
from riser.proving.section_places import TAKEN_OUT
from riser.proving.section_plan import AT_THE_TOP, DRAINED, PROVEN, GroupPlan, Planned
from riser.proving.section_volume import Thrust, Water, thrusts, water_of
from riser.rules import Rules


@dataclass(frozen=True, slots=True)
class Closure:
    """One thing that closes the section, counted out and in; `is_limit` where it parts two sections."""

    id: str
    kind: str
    do: str
    level_m: float
    head_m: float
    is_limit: bool


@dataclass(frozen=True)
class SectionSheet:
    """One section, complete. Pressures are gauge pressures in pascals, each with the level it holds at."""

    id: str
    planned: Planned
    systems: tuple[str, ...]
    limits: str
    closures: tuple[Closure, ...]
    take_out: tuple[str, ...]
    stays_open: tuple[str, ...]
    vents: tuple[str, ...]
    fill_at: str
    gauge_at: str
    gauge_level_m: float
    gauge_pa: float
    low_pa: float
    high_pa: float
    water: Water
    pump_m3: float
    gauge: GaugeNeeded
    proven: tuple[tuple[str, str, float], ...]
    not_proven: tuple[tuple[str, str], ...]
    thrusts: tuple[Thrust, ...]
    order_of_work: tuple[str, ...]
    cautions: tuple[str, ...]


def section_sheets(plan: GroupPlan, rules: Rules) -> list[SectionSheet]:
    """A sheet for each section of a group of systems, numbered in the order of the work."""
    name = System(min(plan.systems)).label
    ids = [f"{name}-{n:02d}" for n in range(1, len(plan.sections) + 1)]
    proven_in = {
        str(planned.pipework.connections.id[c]): number
        for number, planned in zip(ids, plan.sections, strict=True)
        for c in planned.proves
    }
    return [
        _sheet(number, planned, rules, proven_in) for number, planned in zip(ids, plan.sections, strict=True)
    ]


def _sheet(number: str, planned: Planned, rules: Rules, proven_in: dict[str, str]) -> SectionSheet:
    pipes, line, cells = planned.pipework, planned.line_m, planned.cells
    water = water_of(pipes, cells, line)
    shut = _closures(planned)
    drained = bool(planned.test.systems & DRAINED)
    at, gauge_level = _lowest(shut, water)
    pressure = gauge_pressure_pa(line, gauge_level, WATER_KGM3)
    top = gauge_pressure_pa(line, water.top_m, WATER_KGM3)
    ends = [(c.id, p) for c, p in shut]
    vents = _vents(planned)
    closures = tuple(c for c, _ in shut)
    take_out = tuple(c.id for c in closures if c.kind in TAKEN_OUT)
    pump = float("nan") if drained or water.pipe is None else expected_pump_m3(water.pipe, top)
    return SectionSheet(
        id=number,
        planned=planned,
        systems=tuple(sorted({System(int(s)).label for s in _wet_systems(planned)})),
        limits=_limits_in_words(closures, water),
        closures=closures,
        take_out=take_out,
        stays_open=_stays_open(planned),
        vents=vents,
        fill_at=at,
        gauge_at=at,
        gauge_level_m=gauge_level,
        gauge_pa=pressure,
        low_pa=gauge_pressure_pa(line, water.bottom_m, WATER_KGM3),
        high_pa=top,
        water=water,
        pump_m3=pump,
        gauge=gauge_needed(rules, planned.test.row, pressure),
        proven=_proven(planned),
        not_proven=_not_proven(planned, proven_in),
        thrusts=tuple(thrusts(pipes, cells, line, ends)),
        order_of_work=_order_of_work(planned, closures, take_out, _stays_open(planned), vents, at, pressure),
        cautions=_cautions(planned, water),
    )


def _wet_systems(planned: Planned) -> set[int]:
    pipes = planned.pipework
    here = planned.cells[pipes.edge_cell] & (pipes.edge_low_m < planned.line_m)
    systems = pipes.model.edges.system_u[pipes.edge[here]]
    return {int(s) for s in systems if s >= 0}


def _closures(planned: Planned) -> list[tuple[Closure, int]]:
    """Everything to shut below the line, the lowest first, with the point it shuts."""
    pipes, line, cells = planned.pipework, planned.line_m, planned.cells
    found = []
    a, b = pipes.cut_cells
    for cut, above, below in zip(pipes.cuts, a.tolist(), b.tolist(), strict=True):
        if cells[above] == cells[below] or cut.level_m >= line:
            continue
        point = cut.point if cells[above] else cut.other
        head = line - cut.level_m
        found.append((Closure(cut.id, cut.kind, cut.shut_by, cut.level_m, head, is_limit=True), point))
    for opening, cell in zip(pipes.openings, pipes.opening_cell.tolist(), strict=True):
        if cells[cell] and opening.level_m < line:
            head = line - opening.level_m
            closure = Closure(
                opening.id, opening.kind, opening.closed_by, opening.level_m, head, is_limit=False
            )
            found.append((closure, opening.point))
    return sorted(found, key=lambda pair: (pair[0].level_m, pair[0].id))


def _lowest(shut: list[tuple[Closure, int]], water: Water) -> tuple[str, float]:
    """Where water goes in and the gauge hangs: at the lowest closure, else at the lowest pipe."""
    usable = [c for c, _ in shut if c.kind not in TAKEN_OUT]
    if usable:
        return usable[0].id, usable[0].level_m
    return "a connection at the lowest pipe", water.bottom_m


def _vents(planned: Planned) -> tuple[str, ...]:
    """Openings above the water, which stay open; of a pumped section its air vents and highest ends."""
    pipes, cells = planned.pipework, planned.cells
    mine = [o for o, c in zip(pipes.openings, pipes.opening_cell.tolist(), strict=True) if cells[c]]
    if planned.test.systems & DRAINED:
        return tuple(sorted(o.id for o in mine if o.level_m >= planned.line_m))
    highest = max((o.level_m for o in mine), default=0.0)
    return tuple(sorted({o.id for o in mine if o.kind == "air_vent" or o.level_m >= highest - 0.01}))


def _stays_open(planned: Planned) -> tuple[str, ...]:
    """The valves inside the section: shut ones would leave a part of it without pressure."""
    pipes, cells = planned.pipework, planned.cells
    a, b = pipes.cut_cells
    inside = cells[a] & cells[b] if len(a) else np.zeros(0, bool)
    valves = [cut.id for cut, mine in zip(pipes.cuts, inside, strict=True) if mine and cut.kind == "valve"]
    return tuple(sorted(valves))


def _one_way(planned: Planned) -> tuple[str, ...]:
    """The devices inside the section that let water pass in one direction only."""
    pipes = planned.pipework
    model, edges = pipes.model, pipes.model.edges
    passes = (edges.kind[pipes.edge] == EdgeKind.PASS) & planned.cells[pipes.edge_cell]
    nodes = np.unique(model.placed.point_node[edges.u[pipes.edge[passes]]])
    kept = [n for n in nodes.tolist() if NODE_KINDS[int(model.node_kind[n])] == "check_valve"]
    return tuple(sorted(model.placed.node_id(n) for n in kept))


def _limits_in_words(closures: tuple[Closure, ...], water: Water) -> str:
    bounds = [f"{c.id} ({c.do})" for c in closures if c.is_limit]
    words = f"from {level_words(water.bottom_m)} up to {level_words(water.top_m)}"
    if bounds:
        words += "; bounded by " + ", ".join(bounds)
    others = sum(not c.is_limit for c in closures)
    return f"{words}; {others} open ends closed below the water" if others else words


def _proven(planned: Planned) -> tuple[tuple[str, str, float], ...]:
    """Id, state and head at each connection that the section proves."""
    joined = planned.pipework.connections
    heads = heads_m(joined.level_m[planned.proves], planned.line_m)
    rows = zip(joined.id[planned.proves].tolist(), planned.at_the_top.tolist(), heads.tolist(), strict=True)
    return tuple(sorted((str(name), AT_THE_TOP if top else PROVEN, head) for name, top, head in rows))


def _not_proven(planned: Planned, proven_in: dict[str, str]) -> tuple[tuple[str, str], ...]:
    """The connections of the section's cells that it does not prove, and why."""
    pipes = planned.pipework
    joined, line = pipes.connections, planned.line_m
    here = planned.cells[pipes.connection_cell]
    here[planned.proves] = False
    asked = planned.test.head_m
    told = []
    for n in np.flatnonzero(here).tolist():
        name, head = str(joined.id[n]), line - float(joined.level_m[n])
        if System(int(joined.system[n])) not in planned.test.systems:
            why = f"{planned.test.name} does not cover {System(int(joined.system[n])).label}"
        elif head <= 0:
            why = "above the water"
        elif not np.isnan(asked) and head < asked:
            why = f"{head:.3f} m of head, {asked:.3f} m is asked"
        else:
            why = "not needed here"
        if name in proven_in:
            why += f"; proven in {proven_in[name]}"
        told.append((name, why))
    return tuple(sorted(told))


def _order_of_work(
    planned: Planned,
    closures: tuple[Closure, ...],
    take_out: tuple[str, ...],
    stays_open: tuple[str, ...],
    vents: tuple[str, ...],
    fill_at: str,
    gauge_pa: float,
) -> tuple[str, ...]:
    row, line = planned.test.row, planned.line_m
    drained = bool(planned.test.systems & DRAINED)
    steps = ["Check that every joint is made, inspected, held and in view; barrier and permit."]
    if take_out:
        steps.append(f"Take out or blank on both sides: {', '.join(dict.fromkeys(take_out))}.")
    if stays_open:
        steps.append(f"Open and keep open inside the section: {', '.join(stays_open)}.")
    steps.append(f"Close {len(closures)} ends, lowest first; write down each id: out {len(closures)}.")
    steps.append(f"Open {len(vents)} vents; hang the gauge at {fill_at} and write down its level.")
    target = (
        f"to {level_words(line)}" if drained else "until water without air comes at every vent; shut them"
    )
    steps.append(f"Fill slowly at {fill_at} {target}.")
    if not drained:
        steps.append("Let it stand until water and pipe have one temperature; write both down.")
    steps.append(f"Bring the gauge to {gauge_pa / 1e3:.1f} kPa; write down the time.")
    hold = row.number("hold") if row.has("hold") else 0.0
    steps.append(f"Hold for {hold / 60:g} min; then look at every joint listed; write down what is seen.")
    steps.append("Let the pressure off, draw the water down from the top, open what was closed.")
    steps.append(f"Count plugs, caps and blanks: in {len(closures)}. Put back what was taken out.")
    return tuple(steps)


def _cautions(planned: Planned, water: Water) -> tuple[str, ...]:
    said = [*ALWAYS]
    said += FOR_DRAINS if planned.test.systems & DRAINED else FOR_PUMPING
    if planned.test.systems & POTABLE:
        said += FOR_DRINKING_WATER
    if planned.pipework.unrated:
        said.append(f"No rating is given for {', '.join(planned.pipework.unrated)}: ask the engineer first.")
    one_way = _one_way(planned)
    if one_way:
        said.append(
            f"Water passes {', '.join(one_way)} one way only: fill in that direction or hold it open, or what"
            " lies behind it has no pressure."
        )
    if water.unknown:
        said.append(f"Elasticity of {', '.join(water.unknown)} is not known: no pumped volume is foretold.")
    if water.creeps:
        said.append("Plastic creeps: the pressure falls at first without a leak, and more water is pumped.")
    return tuple(said)
