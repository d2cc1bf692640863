# SPDX-License-Identifier: Apache-2.0
"""Files about what the pipework serves: fixtures, supplies, devices, roofs."""

from __future__ import annotations

from riser.network.kinds import FIXTURES
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
)
from riser.project.schema_catalogue import NORMALLY

PRESSURES, SIZING, PROVING, FLOOR = (
    Question.PRESSURES,
    Question.SIZING,
    Question.PROVING,
    Question.FLOOR_SHEET,
)

FIXTURE_ROWS = Table(
    "fixtures",
    "Fixtures as placed, where they differ from what their type says. An empty cell leaves the type's word.",
    key=("fixture",),
    without_it="Every fixture is what its type says.",
    columns=(
        reference("fixture", Refers.FIXTURE, "the fixture, `PART/NODE`", SIZING, required=True),
        choice("kind", tuple(FIXTURES), "what it is", SIZING, empty="as in the type"),
        text("use", "private, public or what the rule set asks for", SIZING, empty="as in the type"),
        text("control", "what opens it: tank, flush valve, tap", SIZING, empty="as in the type"),
        text("room", "the room it stands in", SIZING),
        text("dwelling", "the dwelling it belongs to", SIZING, empty="as in parts.csv"),
    ),
)

SUPPLIES = Table(
    "supplies",
    "Where pressure comes from.",
    key=("node",),
    without_it="No pressure can be worked out.",
    columns=(
        reference("node", Refers.NODE, "the node of the supply, `PART/NODE`", PRESSURES, required=True),
        choice(
            "kind",
            ("mains", "tank", "pump", "fire_inlet", "fire_pump"),
            "what supplies",
            PRESSURES,
            required=True,
        ),
        quantity("static", "pressure", "bar", "gauge pressure at no flow", PRESSURES, PROVING, least=0),
        level("level", "the level at which that pressure holds", PRESSURES, empty="the level of the node"),
        reference(
            "curve", Refers.CURVE, "its curve", PRESSURES, empty="the pressure does not fall with flow"
        ),
    ),
)

CURVES = Table(
    "curves",
    "Pressure against flow of mains and pumps, a row for each point.",
    key=("curve", "flow"),
    without_it="Supplies and pumps hold their pressure at any flow.",
    columns=(
        identity("curve", "the curve", PRESSURES),
        quantity("flow", "flow", "L/s", "flow", PRESSURES, required=True, least=0),
        quantity(
            "pressure",
            "pressure",
            "bar",
            "gauge pressure of a supply, gain of a pump",
            PRESSURES,
            required=True,
            least=0,
        ),
    ),
)

DEVICES = Table(
    "devices",
    "Valves, pumps and other devices as placed, where there is more to say than their type does.",
    key=("node",),
    without_it="Devices are what their types say.",
    columns=(
        reference("node", Refers.NODE, "the device, `PART/NODE`", PRESSURES, required=True),
        Column(
            "setting",
            Kind.SETTING,
            "what it is set to, with its unit: `3.5 bar`, `0.2 L/s`, `60 C`",
            (PRESSURES,),
            default_says="as in the type",
        ),
        choice("normally", NORMALLY, "how it stands in use", PRESSURES, PROVING, empty="as in the type"),
        quantity("kv", "flow coefficient", "m3/h", "flow coefficient Kv, water at 1 bar", PRESSURES, above=0),
        reference("curve", Refers.CURVE, "its curve, for a pump", PRESSURES),
        quantity(
            "rating",
            "pressure",
            "bar",
            "highest pressure allowed",
            PROVING,
            above=0,
            empty="that of its pipes",
        ),
    ),
)

CATCHMENTS = Table(
    "catchments",
    "The roof or paved area that each outlet drains.",
    key=("outlet",),
    without_it="Rainwater is not sized.",
    columns=(
        reference("outlet", Refers.NODE, "the roof outlet or gully, `PART/NODE`", SIZING, required=True),
        quantity("area", "area", "m2", "area in plan", SIZING, required=True, above=0),
        quantity("slope", "angle", "deg", "slope of the roof", SIZING, default="0", least=0),
        Column(
            "runoff",
            Kind.NUMBER,
            "share of the rain that runs off, 0 to 1",
            (SIZING,),
            default="1",
            least=0,
            most=1,
        ),
    ),
)

TABLES = (FIXTURE_ROWS, SUPPLIES, CURVES, DEVICES, CATCHMENTS)
