# SPDX-License-Identifier: Apache-2.0
"""Files about putting the building together: parts, joints, make-ups."""

from __future__ import annotations

from riser.project.columns import (
    Demand,
    Question,
    Refers,
    Table,
    choice,
    identity,
    quantity,
    reference,
    text,
    whole,
)

CHECK, FLOOR, PROVING = Question.CHECK, Question.FLOOR_SHEET, Question.PROVING
EVERYTHING = Question.EVERYTHING


def _origin(name: str, meaning: str) -> tuple[str, str, str, str, Question]:
    return name, "length", "m", meaning, EVERYTHING


PARTS = Table(
    "parts",
    "Every part of the building and where it stands. A point of the part is first mirrored (`x` turns the "
    "sign of the type's x), then turned by `yaw`, then moved by x, y, z.",
    key=("part",),
    required=True,
    needs_rows=True,
    columns=(
        identity("part", "the part, as people call it: M07-03", EVERYTHING),
        reference("type", Refers.TYPE, "its type", EVERYTHING, required=True),
        reference("type_revision", Refers.REVISION, "the revision it is built to", EVERYTHING, required=True),
        reference(
            "building", Refers.BUILDING, "its building", EVERYTHING, empty="the only one with that floor"
        ),
        reference("floor", Refers.FLOOR, "the floor it stands on", EVERYTHING, required=True),
        reference("to_floor", Refers.FLOOR, "the highest floor it reaches", CHECK, empty="the same floor"),
        quantity(*_origin("x", "x of the type's origin in the building"), required=True),
        quantity(*_origin("y", "y of the type's origin in the building"), required=True),
        quantity(*_origin("z", "level of the type's origin"), required=True),
        quantity("yaw", "angle", "deg", "turn, anticlockwise seen from above", EVERYTHING, default="0"),
        choice("mirror", ("none", "x"), "whether it is built mirrored", EVERYTHING, default="none"),
        whole(
            "hoist_order",
            "place in the order of setting; the later part of a joint decides when it is made",
            FLOOR,
            PROVING,
        ),
        text("dwelling", "the dwelling it belongs to", PROVING),
    ),
)

JOINTS = Table(
    "joints",
    "The schedule of joints: which stub is joined to which. A stub named here that its part does not have is "
    "a finding; a part that does not exist is an error in this file.",
    key=("joint",),
    without_it="Stubs are paired by geometry alone, and a joint is called `STUB_A+STUB_B`.",
    columns=(
        identity("joint", "the joint", CHECK, FLOOR),
        reference("stub_a", Refers.STUB, "one stub, `PART/STUB`", CHECK, FLOOR, required=True),
        reference("stub_b", Refers.STUB, "the other stub", CHECK, FLOOR, empty="a closed end"),
        reference(
            "works_on",
            Refers.BARE_FLOOR,
            "the floor where a person stands to make it",
            FLOOR,
            empty="the lower floor; at the foundation the upper",
        ),
    ),
)

CLOSURES = Table(
    "closures",
    "The make-ups: what is put between the two stubs of a joint, piece by piece, counted from stub a.",
    key=("joint", "order"),
    without_it="Every joint counts as one connection without laying lengths.",
    demands=(
        Demand("kind", "coupling", ("family",)),
        Demand("kind", "cap", ("family",)),
        Demand("kind", "pipe", ("pipe", "length")),
        Demand("kind", "offset", ("pipe", "length", "offset")),
        Demand("kind", "reducer", ("pipe", "to_pipe", "length")),
        Demand("kind", "adapter", ("pipe", "to_pipe", "length")),
    ),
    columns=(
        reference("joint", Refers.JOINT, "the joint", CHECK, FLOOR, required=True),
        whole("order", "place in the make-up, 1 at stub a", CHECK, FLOOR, required=True, least=1),
        choice(
            "kind",
            ("coupling", "pipe", "reducer", "adapter", "offset", "cap"),
            "what it is; couplings and caps are connections",
            CHECK,
            FLOOR,
            required=True,
        ),
        reference("family", Refers.FAMILY, "the coupling or cap", CHECK, FLOOR),
        reference("pipe", Refers.PIPE, "the pipe on the side of stub a", CHECK, FLOOR),
        quantity("length", "length", "mm", "laying length", CHECK, FLOOR, above=0),
        quantity("offset", "length", "mm", "offset across the axis", CHECK, FLOOR, least=0),
        quantity(
            "angle", "angle", "deg", "direction of the offset, anticlockwise from x seen from above", CHECK
        ),
        reference("to_pipe", Refers.PIPE, "the pipe on the side of stub b", CHECK, FLOOR, empty="`pipe`"),
    ),
)

TABLES = (PARTS, JOINTS, CLOSURES)
