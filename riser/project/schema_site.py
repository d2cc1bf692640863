# SPDX-License-Identifier: Apache-2.0
"""Files about the site: sleeves, access panels, survey, gauges."""

from __future__ import annotations

from riser.project.columns import (
    Column,
    InOrder,
    Kind,
    Question,
    Refers,
    Table,
    identity,
    level,
    quantity,
    reference,
    text,
)

CHECK, FLOOR, PROVING, SETTING_OUT = (
    Question.CHECK,
    Question.FLOOR_SHEET,
    Question.PROVING,
    Question.SETTING_OUT,
)

SLEEVES = Table(
    "sleeves",
    "The sleeves and openings in slabs through which pipes pass.",
    key=("sleeve",),
    without_it="Clearance at slabs is not judged.",
    ordered=(InOrder("annulus_min", "annulus_max"),),
    columns=(
        identity("sleeve", "the sleeve", CHECK),
        reference("building", Refers.BUILDING, "its building", CHECK, empty="the only one with that floor"),
        reference("floor", Refers.FLOOR, "the floor whose slab it passes", CHECK, required=True),
        quantity("x", "length", "m", "x of its centre in the building", CHECK, required=True),
        quantity("y", "length", "m", "y of its centre in the building", CHECK, required=True),
        quantity("bore", "length", "mm", "inside diameter", CHECK, required=True, above=0),
        level("top", "level of its upper end", CHECK, SETTING_OUT, empty="the top of the slab"),
        quantity("length", "length", "mm", "length", CHECK, above=0, empty="the slab's thickness"),
        text("detail", "the fire-stopping detail", FLOOR),
        quantity("annulus_min", "length", "mm", "smallest clear width around the pipe", CHECK, least=0),
        quantity("annulus_max", "length", "mm", "largest clear width around the pipe", CHECK, least=0),
    ),
)


def _corner(name: str, meaning: str) -> Column:
    return quantity(name, "length", "m", meaning, CHECK, required=True)


ACCESS = Table(
    "access",
    "The access panels and the space a hand can reach behind each.",
    key=("panel",),
    without_it="Whether joints stay within reach is not judged.",
    ordered=(
        InOrder("x_min", "x_max", strictly=True),
        InOrder("y_min", "y_max", strictly=True),
        InOrder("z_min", "z_max", strictly=True),
    ),
    columns=(
        identity("panel", "the panel", CHECK),
        reference("building", Refers.BUILDING, "its building", CHECK, empty="the only one with that floor"),
        reference("floor", Refers.FLOOR, "its floor", CHECK, required=True),
        _corner("x_min", "lowest x of the space"),
        _corner("y_min", "lowest y of the space"),
        _corner("z_min", "lowest level of the space"),
        _corner("x_max", "highest x of the space"),
        _corner("y_max", "highest y of the space"),
        _corner("z_max", "highest level of the space"),
        Column(
            "serves",
            Kind.REFERENCES,
            "joints and devices reached through it, with spaces between",
            (CHECK,),
            refers=Refers.SERVED,
        ),
    ),
)

SURVEY = Table(
    "survey",
    "Measured positions of stubs. The records may hold later ones; the later measuring time holds.",
    key=("stub", "measured_at"),
    without_it="Stubs stand where they are drawn until the records say otherwise.",
    columns=(
        reference("stub", Refers.NODE, "the stub, `PART/STUB`", FLOOR, SETTING_OUT, required=True),
        Column(
            "measured_at",
            Kind.TIME,
            "when, as 2026-03-02T10:15+01:00; without an offset the time zone of project.toml holds",
            (FLOOR, SETTING_OUT),
            required=True,
        ),
        quantity("x", "length", "m", "measured x", FLOOR, SETTING_OUT, required=True),
        quantity("y", "length", "m", "measured y", FLOOR, SETTING_OUT, required=True),
        quantity("z", "length", "m", "measured level", FLOOR, SETTING_OUT, required=True),
        quantity("uncertainty", "length", "mm", "how far the true position may be off", FLOOR, least=0),
        text("by", "who measured", FLOOR, required=True),
        text("instrument", "with what", FLOOR),
    ),
)

GAUGES = Table(
    "gauges",
    "The gauges used in tests.",
    key=("gauge",),
    without_it="A test cannot say whether its gauge was fit for it.",
    ordered=(InOrder("range_min", "range_max", strictly=True), InOrder("calibrated", "due")),
    columns=(
        identity("gauge", "the gauge", PROVING),
        text("kind", "what it is: spring, electronic, water column", PROVING),
        quantity("range_min", "pressure", "bar", "lowest reading", PROVING, default="0"),
        quantity("range_max", "pressure", "bar", "highest reading", PROVING, required=True),
        quantity("graduation", "pressure", "bar", "smallest division", PROVING, above=0),
        quantity(
            "accuracy", "share", "% of range", "error allowed, as a share of the range", PROVING, least=0
        ),
        Column("calibrated", Kind.DATE, "date of calibration", (PROVING,)),
        Column("due", Kind.DATE, "date when the next calibration is due", (PROVING,)),
        text("certificate", "number of the calibration certificate", PROVING),
    ),
)

TABLES = (SLEEVES, ACCESS, SURVEY, GAUGES)
