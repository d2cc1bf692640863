# SPDX-License-Identifier: Apache-2.0
"""A building as it is put together: types drawn, parts placed, stubs joined. It ends as rows of files."""

from __future__ import annotations

from dataclasses import dataclass, field

from .drawing import Drawing, Row, number
from .joining import cap, makeup, rows_of
from .placing import Place, Vector, apart_m, direction
from .shapes_mains import Outlet


@dataclass(frozen=True)
class Floor:
    """One floor: building, name, level, slab thickness (0 where modules have their own deck), storey [m]."""

    building: str
    name: str
    level_m: float
    slab_m: float
    storey_m: float


@dataclass(frozen=True)
class Part:
    """A part: what it is drawn as, where it stands, and what people need to know about it."""

    name: str
    type: tuple[str, str]
    floor: Floor
    place: Place
    to_floor: Floor | None = None
    dwelling: str = ""


@dataclass
class Site:
    """Everything placed so far."""

    drawings: dict[tuple[str, str], Drawing] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    joints: list[Row] = field(default_factory=list)
    closures: list[Row] = field(default_factory=list)

    def draw(self, drawing: Drawing) -> tuple[str, str]:
        """Add a type revision; drawing it again changes nothing."""
        self.drawings.setdefault(drawing.key, drawing)
        return drawing.key

    def place(self, part: Part) -> Part:
        """Add a part; parts are set in the order in which they are added."""
        self.parts[part.name] = part
        return part

    def stub(self, part: str, stub: str) -> Outlet:
        """A stub as it lies in the building."""
        placed = self.parts[part]
        drawing = self.drawings[placed.type]
        facing = placed.place.turned(direction(drawing.row_of(stub)["facing"]))
        return Outlet(part, stub, placed.place.point(drawing.at[stub]), facing)

    def node_at(self, part: str, node: str) -> Vector:
        """Any node's place in the building."""
        placed = self.parts[part]
        return placed.place.point(self.drawings[placed.type].at[node])

    def pipe(self, part: str, stub: str) -> str:
        """The pipe of a stub."""
        return self.drawings[self.parts[part].type].row_of(stub)["pipe"]

    def join(self, joint: str, a: tuple[str, str], b: tuple[str, str], note: str = "") -> None:
        """Schedule a joint from stub a to stub b with the make-up their distance asks for."""
        one, other = self.stub(*a), self.stub(*b)
        along, across = apart_m(one.at, one.facing, other.at)
        pieces = makeup(self.pipe(*a), self.pipe(*b), along, across)
        self._schedule(joint, "/".join(a), "/".join(b), note)
        self.closures += rows_of(joint, pieces)

    def close(self, joint: str, a: tuple[str, str], note: str) -> None:
        """Schedule a closed end."""
        self._schedule(joint, "/".join(a), "", note)
        self.closures += rows_of(joint, cap(self.pipe(*a)))

    def _schedule(self, joint: str, a: str, b: str, note: str) -> None:
        self.joints.append({"joint": joint, "stub_a": a, "stub_b": b, "works_on": "", "note": note})

    def part_rows(self) -> list[Row]:
        """Rows of parts.csv; the hoist order is the order of setting."""
        return [_part_row(part, order) for order, part in enumerate(self.parts.values())]


def _part_row(part: Part, order: int) -> Row:
    place = part.place
    return {
        "part": part.name,
        "type": part.type[0],
        "type_revision": part.type[1],
        "building": part.floor.building,
        "floor": part.floor.name,
        "to_floor": part.to_floor.name if part.to_floor else "",
        "x [m]": number(place.x),
        "y [m]": number(place.y),
        "z [m]": number(place.z),
        "yaw [deg]": str(place.yaw_deg),
        "mirror": "x" if place.mirrored else "none",
        "hoist_order": str(order),
        "dwelling": part.dwelling,
    }
