# SPDX-License-Identifier: Apache-2.0
"""Files about the building: floors, shafts, risers, networks."""

from __future__ import annotations

from riser.network.systems import SYSTEMS
from riser.project.columns import (
    Column,
    Kind,
    Question,
    Refers,
    Table,
    choice,
    identity,
    level,
    quantity,
    reference,
    text,
    whole,
)

CHECK, FLOOR, PROVING = Question.CHECK, Question.FLOOR_SHEET, Question.PROVING
PRESSURES, SIZING, EVERYTHING = Question.PRESSURES, Question.SIZING, Question.EVERYTHING

FLOORS = Table(
    "floors",
    "The floors of every building, from the lowest up. Their levels are on one datum, and every other height "
    "in the job is on the same datum.",
    key=("building", "floor"),
    required=True,
    needs_rows=True,
    columns=(
        identity("building", "the building, as people call it", EVERYTHING),
        identity(
            "floor", "the floor, as people call it; write 01 as text, or a spreadsheet makes it 1", EVERYTHING
        ),
        whole(
            "order",
            "1 for the lowest floor of the building, then upwards without a tie",
            EVERYTHING,
            required=True,
            least=None,
        ),
        level("level", "level of the floor; rises with `order`", EVERYTHING, required=True),
        level("slab_top", "top of the structural slab", FLOOR, Question.SETTING_OUT),
        quantity("slab_thickness", "length", "mm", "thickness of the structural slab", CHECK, least=0),
        level("ceiling", "underside of the ceiling of this floor", FLOOR),
    ),
)

SHAFTS = Table(
    "shafts",
    "The vertical spaces in which risers stand.",
    key=("building", "shaft"),
    without_it="Joints and states are told by floor and system only.",
    columns=(
        identity("shaft", "the shaft; two buildings may each have an S1", FLOOR),
        reference("building", Refers.BUILDING, "the building it stands in", FLOOR, empty="the only building"),
        Column(
            "outline",
            Kind.POINTS,
            "corners seen from above, `x y; x y; x y`, three or more",
            (FLOOR,),
            required=True,
            dimension="length",
            unit="m",
            per_point=2,
        ),
    ),
)

RISERS = Table(
    "risers",
    "The risers and stacks by name. The chain of pipes is found by tracing; a row names it.",
    key=("riser",),
    without_it="Risers have no names of their own.",
    columns=(
        identity("riser", "the riser or stack", FLOOR, SIZING),
        choice("system", SYSTEMS, "the kind of pipework", FLOOR, SIZING, required=True),
        reference("shaft", Refers.SHAFT, "the shaft it stands in, in the building of `through`", FLOOR),
        reference("through", Refers.NODE, "any stub on the riser", FLOOR, SIZING, required=True),
    ),
)

NETWORKS = Table(
    "systems",
    "The networks: each is one connected system with its source or its outfall.",
    key=("network",),
    without_it="Nothing can be said about where water comes from and goes to; work goes in the usual order.",
    columns=(
        identity("network", "the network", CHECK),
        choice("system", SYSTEMS, "the kind of pipework", CHECK, required=True),
        whole(
            "order", "place in the order of work on a floor, 1 first; two networks may share a place", FLOOR
        ),
        choice("end_kind", ("outfall", "source"), "what stands at its end", CHECK, PRESSURES),
        reference("end", Refers.NODE, "the node where it ends or begins", CHECK, PRESSURES),
        text(
            "rule",
            "the test procedure of the chosen rule set by which this network is proven",
            PROVING,
            empty="the first that fits the system",
        ),
    ),
)

TABLES = (FLOORS, SHAFTS, RISERS, NETWORKS)
