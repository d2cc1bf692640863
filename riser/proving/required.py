# SPDX-License-Identifier: Apache-2.0
"""The test that each riser needs, as a whole and floor by floor, with the still-water pressure at its top,
its bottom and the gauge.

A drain is filled with water that stands a stated head above every joint of the section, save near the top of
the building where no water can stand higher. A pressure test has its pressure at the reference point of its
rule; above and below it the water column is added or taken away. A gas has one pressure everywhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from riser.hydraulics.static_head import pressure_at_level
from riser.hydraulics.water import density
from riser.network.model import EdgeKind, Model
from riser.network.risers import Riser, all_risers
from riser.network.systems import CONTAINMENT, System
from riser.network.types import Flags, Floats
from riser.proving.tests_of_rules import GASES, asked_pa, rows_of_system, suits_working
from riser.rules import Row, Rules

# Words in a catalogue's material that mean plastic. Common practice, no source.
PLASTICS = frozenset(
    {"pvc", "upvc", "cpvc", "pe", "hdpe", "pp", "ppr", "abs", "pex", "pb", "pvdf", "plastic"}
    | {"polyethylene", "polypropylene", "polybutylene"}
)
# The height above the floor at which a gauge is read standing. Common practice, no source.
GAUGE_HEIGHT_M = 1.2
LEVEL_ROUNDING_M = 1.0e-6
TEST_TEMPERATURE_C = 20.0
# Tests of the building sewer and of pumped pipes are not tests of a riser.
PLACES = ("top", "bottom", "gauge")


@dataclass(frozen=True)
class PipeFacts:
    """By pipe of the catalogue: whether it is plastic, and its rating at the temperature of a test [Pa]."""

    plastic: Flags
    rating_pa: Floats


@dataclass(frozen=True)
class Span:
    """A riser, or its part on one floor: `floor` is empty for the whole; levels in metres on the datum of
    floors.csv. `end_level_m` is the top of the whole riser; `rating_pa` the lowest rating of its pipes (NaN
    where none is given).
    """

    riser: str
    system: System
    building: str
    floor: str
    bottom_level_m: float
    top_level_m: float
    end_level_m: float
    gauge_level_m: float
    plastic: bool
    rating_pa: float


@dataclass(frozen=True)
class RequiredTest:
    """One test of one span.

    `pressure_pa` gives the still pressure [Pa] at top, bottom and gauge, NaN where it hangs on a working
    pressure that is not known or is set by the designer; `water_level_m` is how high a drain is filled (NaN
    otherwise). `head_met` tells whether every joint of the span sees the head the rule asks for: near the
    top of the building none can. `within_rating` is None where pressure or rating is not known. `refused`
    says why the test may not be used here, empty where it may.
    """

    span: Span
    test: str
    stage: int
    medium: str
    water_level_m: float
    pressure_pa: Mapping[str, float]
    head_met: bool
    hold_s: float
    reference_point: str
    pass_rule: str
    clause: str
    within_rating: bool | None
    refused: str
    working_pa: float
    row: Row


def required_tests(
    model: Model,
    rules: Rules,
    *,
    gauge_height_m: float = GAUGE_HEIGHT_M,
    working_pa: Mapping[str, float] | None = None,
) -> list[RequiredTest]:
    """The tests that the rules ask for, of every riser as a whole and of each of its floors.

    `working_pa` gives the working pressure of a riser by name [Pa], where it is known. Risers whose system no
    rule set has a test for are left out; `untested_systems` names them.
    """
    found = []
    facts = pipe_facts(model)
    for riser in all_risers(model):
        rows = rows_of_system(rules, riser.system)
        if not rows:
            continue
        for span in spans(model, riser, gauge_height_m, facts):
            working = (working_pa or {}).get(span.riser, float("nan"))
            found += [_required(span, row, working) for row in rows if suits_working(row, working)]
    return found


def untested_systems(model: Model, rules: Rules) -> tuple[System, ...]:
    """The systems that have risers but no test in the rules chosen."""
    present = {riser.system for riser in all_risers(model)} - CONTAINMENT
    return tuple(sorted(s for s in present if not rows_of_system(rules, s)))


def spans(model: Model, riser: Riser, gauge_height_m: float, facts: PipeFacts) -> Iterator[Span]:
    """A riser as a whole, then floor by floor from below; a joint belongs to the floor it is tested with."""
    placed, edges = model.placed, model.edges
    nodes = placed.point_node[np.stack([edges.u[riser.edges], edges.v[riser.edges]])]
    level, floor = placed.node_xyz_m[nodes, 2], placed.node_floor[nodes[0]]
    kind, ref = edges.kind[riser.edges], edges.ref[riser.edges]
    is_joint = kind == EdgeKind.JOINT
    if len(model.joints):
        floor = np.where(is_joint, model.joints.tests_with[np.where(is_joint, ref, 0)], floor)
    pipe = np.where(kind == EdgeKind.RUN, model.run_pipe[np.where(kind == EdgeKind.RUN, ref, 0)], -1)
    first = int(placed.point_node[riser.points[0]])
    name = riser.name or f"{riser.system.label} riser at {placed.node_id(first)}"
    order = sorted({int(f) for f in floor if f >= 0}, key=lambda f: float(placed.floors.level_m[f]))
    for number in (-1, *order):
        here = np.ones(len(kind), bool) if number < 0 else floor == number
        ground = number if number >= 0 else int(placed.node_floor[first])
        mine = sorted({int(p) for p in pipe[here] if p >= 0})
        yield Span(
            riser=name,
            system=riser.system,
            building=str(placed.floors.building[ground]),
            floor=str(placed.floors.name[number]) if number >= 0 else "",
            bottom_level_m=float(level[:, here].min()),
            top_level_m=float(level[:, here].max()),
            end_level_m=float(level.max()),
            gauge_level_m=float(placed.floors.level_m[ground]) + gauge_height_m,
            plastic=bool(facts.plastic[mine].any()),
            rating_pa=float(np.min(facts.rating_pa[mine])) if mine else float("nan"),
        )


def pipe_facts(model: Model) -> PipeFacts:
    """Material and rating of every pipe of the catalogue."""
    frame = model.placed.tables.pipes
    names = frame["pipe"].drop_duplicates()
    material = frame.drop_duplicates("pipe")["material"].astype(str).str.lower().tolist()
    words = [set(text.replace("-", " ").split()) for text in material]
    warm = frame[frame["max_temperature_c"].isna() | (frame["max_temperature_c"] >= TEST_TEMPERATURE_C)]
    rated = warm.sort_values("max_temperature_c", kind="stable").drop_duplicates("pipe").set_index("pipe")
    rating = rated["rating_pa"].reindex(names.to_numpy(object)).to_numpy(float)
    return PipeFacts(np.array([bool(w & PLASTICS) for w in words], bool), rating)


def _required(span: Span, row: Row, working_pa: float) -> RequiredTest:
    medium = str(row.cell("medium").value)
    water_level = _water_level_m(span, row)
    pressure = {place: _pressure_pa(span, row, place, water_level, working_pa) for place in PLACES}
    plastic_allowed = not row.has("on_plastic") or row.cell("on_plastic").required
    refused = "" if plastic_allowed or not span.plastic else f"{medium} is not allowed on plastic pipe"
    head = row.number("head") if row.has("head") else 0.0
    highest = float(np.max([pressure["top"], pressure["bottom"]]))
    unknown = bool(np.isnan(highest) or np.isnan(span.rating_pa))
    return RequiredTest(
        span=span,
        test=str(row.cell("test").value),
        stage=int(row.number("stage")),
        medium=medium,
        water_level_m=water_level,
        pressure_pa=pressure,
        head_met=not water_level - span.top_level_m < head - LEVEL_ROUNDING_M,
        hold_s=row.number("hold") if row.has("hold") else float("nan"),
        reference_point=str(row.cell("reference_point").value),
        pass_rule=str(row.cell("pass_rule").value) if row.has("pass_rule") else "",
        clause=row.cell("test").clause.text,
        within_rating=None if unknown else highest <= span.rating_pa,
        refused=refused,
        working_pa=working_pa,
        row=row,
    )


def _water_level_m(span: Span, row: Row) -> float:
    """How high a drain is filled: the head above the span's top, but not above the end of the riser."""
    if not row.has("head"):
        return float("nan")
    return min(span.top_level_m + row.number("head"), span.end_level_m)


def level_m(span: Span, place: str) -> float:
    """The level of the top, the bottom or the gauge [m]."""
    return {"top": span.top_level_m, "bottom": span.bottom_level_m, "gauge": span.gauge_level_m}[place]


def reference_level_m(span: Span, row: Row) -> float:
    """The level at which the pressure of a rule holds [m]."""
    point = str(row.cell("reference_point").value)
    if point == "low point":
        return span.bottom_level_m
    return span.top_level_m if point in ("high point", "every joint") else span.gauge_level_m


def _pressure_pa(span: Span, row: Row, place: str, water_level_m: float, working_pa: float) -> float:
    rho = float(density(TEST_TEMPERATURE_C))
    if row.has("head"):
        above = water_level_m - level_m(span, place)
        return float(pressure_at_level(0.0, water_level_m, water_level_m - max(above, 0.0), rho))
    asked = asked_pa(row, working_pa)
    if str(row.cell("medium").value) in GASES:
        return asked
    return float(pressure_at_level(asked, reference_level_m(span, row), level_m(span, place), rho))
