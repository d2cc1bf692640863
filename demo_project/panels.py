# SPDX-License-Identifier: Apache-2.0
"""access.csv: the panels through which joints, cleanouts and valves of the shafts are reached."""

from __future__ import annotations

from . import shaft_plan as plan
from .assembly import Floor
from .building_plan import Column
from .drawing import Row, number
from .shapes_podium import FOOT_M
from .site_files import SHAFT_BOX, plan_box
from .sound import Sound, foot_name, module_name, transfer_name


def _panel(
    name: str, building: str, floor: str, box: tuple[float, ...], z: tuple[float, float], serves: str
) -> Row:
    x1, y1, x2, y2 = box
    return {
        "panel": name,
        "building": building,
        "floor": floor,
        "x_min [m]": number(x1),
        "y_min [m]": number(y1),
        "z_min [m]": number(z[0]),
        "x_max [m]": number(x2),
        "y_max [m]": number(y2),
        "z_max [m]": number(z[1]),
        "serves": serves,
    }


def access_rows(sound: Sound) -> list[Row]:
    """access.csv: for each shaft and floor a panel at the riser joints and one to each neighbour."""
    rows: list[Row] = []
    for column in sound.plan.columns:
        rows += _podium_panels(sound, column)
        floors = sound.tower_floors(column.tower)
        for storey, floor in enumerate(floors):
            rows += _floor_panels(sound, column, storey, floor)
    return rows


def _riser_joints(label: str, column: Column) -> str:
    return " ".join(f"{label}-{name}{column.number}" for name in plan.RISER_NAMES)


def _podium_panels(sound: Sound, column: Column) -> list[Row]:
    shaft, z1 = column.shaft, plan.MAINS_LEVEL_M
    inner = plan_box(column, (SHAFT_BOX[0], -0.6), (SHAFT_BOX[2], SHAFT_BOX[3]))
    side = plan_box(column, (-1.7, 0.6), (-1.3, 1.7))
    feet = " ".join(f"P00-{name}{column.number}" for name in plan.DRAIN_RISERS)
    cleanouts = " ".join(f"{foot_name(column)}/{name}-CO" for name in plan.DRAIN_RISERS)
    offsets = " ".join(f"{transfer_name(column)}/{name}-CO" for name in plan.BELOW_TRANSFER)
    rows = [
        _panel(f"P01-{shaft}-F", "P", "01", inner, (0.0, FOOT_M + 0.5), f"{feet} {cleanouts}"),
        _panel(f"P01-{shaft}-W", "P", "01", side, (z1["FR"], z1["HW"] + 0.1), f"{foot_name(column)}/CW-V"),
        _panel(f"P01-{shaft}-R", "P", "01", inner, (3.1, 3.8), _riser_joints("P01", column)),
        _panel(f"P02-{shaft}-R", "P", "02", inner, (6.6, 6.9), _riser_joints("P02", column)),
        _panel(f"P02-{shaft}-O", "P", "02", inner, (4.6, 6.4), offsets),
    ]
    if column.toilets:
        rows += _toilet_panels(sound)
        back = plan_box(column, (-1.5, 2.3), (1.5, 2.6))
        rows.append(_panel(f"P01-{shaft}-N", "P", "01", back, (2.0, 2.4), f"{foot_name(column)}/CW-TV"))
    return rows


def _toilet_panels(sound: Sound) -> list[Row]:
    """A panel at the foot of each toilet module's drain."""
    rows = []
    for part in sound.site.parts.values():
        if part.type[0] == "PT":
            x, y, z = sound.site.node_at(part.name, "SO")
            box = (x - 0.25, y - 0.25, x + 0.25, y + 0.25)
            rows.append(_panel(f"{part.name}-F", "P", "01", box, (0.0, z + 0.1), f"P00-SO-{part.name}"))
    return rows


# Panels to the neighbours: letter, plan box in the shaft's axes, place of the neighbour, its first joint.
_SIDES = (
    ("E", (1.4, 0.7), (1.7, 1.8), 2, "SO"),
    ("W", (-1.7, 0.7), (-1.4, 1.8), 3, "SO"),
    ("N", (-1.45, 2.3), (1.45, 2.6), 4, "WA"),
)


def _floor_panels(sound: Sound, column: Column, storey: int, floor: Floor) -> list[Row]:
    """R at the riser joints under the ceiling, E, W and N at the neighbours, F above the transfer slab."""
    building, name, z = floor.building, floor.name, floor.level_m
    label, place = f"{building}{name}-{column.shaft}", sound.columns_of(column.tower).index(column)
    inner = plan_box(column, SHAFT_BOX[:2], SHAFT_BOX[2:])
    rows = []
    if storey == 0:
        joints = _riser_joints("P02", column)
        rows.append(_panel(f"{label}-F", building, name, inner, (z, z + 0.25), joints))
    if storey not in column.tall:
        joints = _riser_joints(f"{building}{name}", column)
        top = (z + floor.storey_m - 0.4, z + floor.storey_m + 0.2)
        rows.append(_panel(f"{label}-R", building, name, inner, top, joints))
    for letter, low, high, position, stub in _SIDES:
        box = plan_box(column, low, high)
        first = f"{module_name(column.tower, name, place, position)}-{stub}"
        rows.append(_panel(f"{label}-{letter}", building, name, box, (z + 0.3, z + 2.4), first))
    return rows
