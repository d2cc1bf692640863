# SPDX-License-Identifier: Apache-2.0
"""Files about what is bought and made: pipes, couplings, and the drawings of part types."""

from __future__ import annotations

from riser.network.kinds import FIXTURES, NODE_KINDS
from riser.network.systems import SYSTEMS
from riser.project.columns import (
    Column,
    Demand,
    InOrder,
    Kind,
    Question,
    Refers,
    Table,
    choice,
    identity,
    quantity,
    reference,
    text,
    whole,
    yes_no,
)

CHECK, FLOOR, PROVING = Question.CHECK, Question.FLOOR_SHEET, Question.PROVING
PRESSURES, SIZING, EVERYTHING = Question.PRESSURES, Question.SIZING, Question.EVERYTHING
NORMALLY = ("open", "closed", "set")

PIPES = Table(
    "pipes",
    "The pipe catalogue of the job. A pipe with several ratings has a row for each temperature, and the same "
    "outside diameter and bore in all of them.",
    key=("pipe", "max_temperature"),
    required=True,
    needs_rows=True,
    alike=("standard", "series", "material", "nominal", "od", "bore", "roughness", "ends"),
    ordered=(InOrder("bore", "od", strictly=True),),
    columns=(
        identity("pipe", "the short name that runs and stubs use", EVERYTHING),
        text("standard", "standard it is made to"),
        text("series", "series, schedule or class within the standard"),
        text("material", "material", SIZING),
        text("nominal", "nominal size as the standard writes it; never calculated with", FLOOR, SIZING),
        quantity("od", "length", "mm", "outside diameter", EVERYTHING, required=True, above=0),
        quantity("bore", "length", "mm", "inside diameter", SIZING, PRESSURES, required=True, above=0),
        quantity("roughness", "length", "mm", "roughness of the wall", PRESSURES, least=0),
        text("ends", "type of its ends when nothing else is said", CHECK),
        quantity(
            "max_temperature", "temperature", "C", "the temperature up to which this rating holds", PROVING
        ),
        quantity(
            "rating", "pressure", "bar", "highest pressure allowed up to that temperature", PROVING, above=0
        ),
        text("source", "where these figures are from", EVERYTHING),
    ),
)

COUPLINGS = Table(
    "couplings",
    "What may join two pipe ends, and how much it takes. A family has a row for each pair of pipes.",
    key=("family", "pipe_a", "pipe_b"),
    without_it="Whether a joint fits cannot be judged.",
    ordered=(InOrder("gap_min", "gap_max"),),
    columns=(
        identity("family", "the family of couplings", CHECK, FLOOR),
        reference("pipe_a", Refers.PIPE, "pipe on one side", CHECK, required=True),
        reference("pipe_b", Refers.PIPE, "pipe on the other side; either way round", CHECK, required=True),
        text("end_a", "type of the end on side a", CHECK, empty="the pipe's `ends`"),
        text("end_b", "type of the end on side b", CHECK, empty="the pipe's `ends`"),
        quantity("angle_max", "angle", "deg", "angle it may take", CHECK, default="0", least=0),
        quantity("gap_min", "length", "mm", "smallest gap between the ends", CHECK, default="0", least=0),
        quantity(
            "gap_max", "length", "mm", "largest gap between the ends", CHECK, least=0, empty="not judged"
        ),
        quantity(
            "insertion",
            "length",
            "mm",
            "length of pipe that goes in on each side",
            CHECK,
            default="0",
            least=0,
        ),
        quantity(
            "offset_max", "length", "mm", "offset across the axis it may take", CHECK, default="0", least=0
        ),
        quantity(
            "axial_max", "length", "mm", "movement along the axis it may take", CHECK, default="0", least=0
        ),
        quantity("rating", "pressure", "bar", "highest pressure allowed", PROVING, above=0),
        quantity(
            "wait", "time", "min", "time between making and testing", FLOOR, PROVING, default="0", least=0
        ),
        yes_no("restrained", "whether it holds the pipe ends against thrust", CHECK, PROVING, required=True),
        yes_no("needs_access", "whether it has to stay within reach", CHECK, required=True),
        text("source", "where these figures are from", EVERYTHING),
    ),
)

TYPES = Table(
    "types",
    "The types of parts and their revisions. Every part has a type, even one that is built once. Folders "
    "under `types/` without a row here are not read.",
    key=("type", "revision"),
    required=True,
    needs_rows=True,
    columns=(
        identity("type", "the type; also the name of its folder", EVERYTHING),
        identity("revision", "the revision of its drawing; also the name of the folder inside", EVERYTHING),
        choice(
            "kind",
            ("module", "below_slab", "site_work"),
            "delivered as a module, laid below the slab, or built on site",
            EVERYTHING,
            required=True,
        ),
        quantity("size_x", "length", "m", "length along the type's x", Question.SETTING_OUT, above=0),
        quantity("size_y", "length", "m", "length along the type's y", Question.SETTING_OUT, above=0),
        quantity("size_z", "length", "m", "height", Question.SETTING_OUT, above=0),
    ),
)


def _place(name: str) -> Column:
    return quantity(
        name, "length", "m", f"{name} of the pipe axis in the type's own axes", EVERYTHING, required=True
    )


NODES = Table(
    "nodes",
    "The points of one type's pipework: ends, fittings, fixtures, devices. Each fixture is one node.",
    key=("type", "revision", "node"),
    required=True,
    per_type=True,
    demands=(
        Demand("kind", "stub", ("facing", "pipe", "system")),
        Demand("kind", "fixture", ("fixture_kind",)),
    ),
    columns=(
        identity("node", "the node; in the building it is `PART/NODE`", EVERYTHING),
        choice("kind", NODE_KINDS, "what stands there", EVERYTHING, required=True),
        _place("x"),
        _place("y"),
        _place("z"),
        Column(
            "facing",
            Kind.FACING,
            "the way an open end looks: up, down, +x, -x, +y, -y, or a vector `x y z`; needed for a stub",
            (CHECK, FLOOR),
        ),
        reference("pipe", Refers.PIPE, "the pipe of the end; needed for a stub", CHECK, FLOOR),
        text("end", "type of the end", CHECK, empty="the pipe's `ends`"),
        choice("system", SYSTEMS, "the kind of pipework; needed for a stub", EVERYTHING),
        choice("fixture_kind", tuple(FIXTURES), "what the fixture is; needed for a fixture", SIZING),
        text("use", "private, public or what the rule set asks for", SIZING),
        text("control", "what opens the fixture: tank, flush valve, tap", SIZING),
        choice("normally", NORMALLY, "how a valve stands in use", CHECK, PRESSURES, empty="open"),
        yes_no("may_bound_test", "whether the valve may close off a test", PROVING, default="no"),
        Column(
            "setting",
            Kind.SETTING,
            "what the device is set to, with its unit: `3.5 bar`, `0.2 L/s`, `60 C`",
            (PRESSURES,),
        ),
    ),
)

RUNS = Table(
    "runs",
    "The pipes between the nodes of one type. A run may have corners. It names the port it enters where the "
    "node has several, so that a valve can stand backwards.",
    key=("type", "revision", "run"),
    required=True,
    per_type=True,
    columns=(
        identity("run", "the run; in the building it is `PART/RUN`", EVERYTHING),
        choice("system", SYSTEMS, "the kind of pipework", EVERYTHING, required=True),
        reference("from", Refers.NODE_OF_TYPE, "the node at one end", EVERYTHING, required=True),
        text("from_port", "the port it enters there", EVERYTHING, empty="the node has no choice of ports"),
        reference("to", Refers.NODE_OF_TYPE, "the node at the other end", EVERYTHING, required=True),
        text("to_port", "the port it enters there", EVERYTHING, empty="the node has no choice of ports"),
        reference("pipe", Refers.PIPE, "the pipe", EVERYTHING, required=True),
        Column(
            "via", Kind.POINTS, "corners in order, `x y z; x y z`", (CHECK,), dimension="length", unit="m"
        ),
        reference(
            "joined_from", Refers.FAMILY, "coupling at the `from` end", PROVING, empty="no connection there"
        ),
        reference(
            "joined_to", Refers.FAMILY, "coupling at the `to` end", PROVING, empty="no connection there"
        ),
        quantity("insulation", "length", "mm", "thickness of insulation", CHECK, default="0", least=0),
        yes_no("hidden", "whether it is covered when the building is finished", CHECK, FLOOR, default="yes"),
        whole("supports", "number of supports in the part", CHECK),
    ),
)

TABLES = (PIPES, COUPLINGS, TYPES, NODES, RUNS)
