# SPDX-License-Identifier: Apache-2.0
"""The files of a job beside its drawings: floors, shafts, risers, networks, sleeves, catchments, survey."""

from __future__ import annotations

from .assembly import Floor
from .building_plan import Column, Wing
from .catalogue import BY_NAME
from .drawing import Row, number
from .placing import Vector
from .sound import Sound, below_shaft, module_name, roof_name, transfer_name

SHAFT_BOX = (-1.45, 0.0, 1.45, 2.15)
"""The shaft within its module: x and y from, x and y to."""


def floor_rows(sound: Sound) -> list[Row]:
    """floors.csv."""
    orders: dict[str, int] = {}
    rows = []
    for floor in sound.floors.values():
        orders[floor.building] = orders.get(floor.building, 0) + 1
        ceiling = number(floor.level_m + floor.storey_m - 0.5) if floor.storey_m else ""
        rows.append(
            {
                "building": floor.building,
                "floor": floor.name,
                "order": str(orders[floor.building]),
                "level [m]": number(floor.level_m),
                "slab_top [m]": number(floor.level_m),
                "slab_thickness [mm]": number(floor.slab_m * 1000),
                "ceiling [m]": ceiling,
            }
        )
    return rows


def plan_box(
    column: Column, low: tuple[float, float], high: tuple[float, float]
) -> tuple[float, float, float, float]:
    """A rectangle of a column's plan in the building: x and y from, x and y to."""
    corners = [column.place.point((x, y, 0.0)) for x, y in (low, high)]
    xs, ys = sorted(c[0] for c in corners), sorted(c[1] for c in corners)
    return xs[0], ys[0], xs[1], ys[1]


def shaft_rows(sound: Sound) -> list[Row]:
    """shafts.csv: each shaft in its tower, and below it in the podium, where it reaches farther forward."""
    rows = []
    for column in sound.plan.columns:
        for building, front in ((column.tower, SHAFT_BOX[1]), ("P", -0.6)):
            x1, y1, x2, y2 = plan_box(column, (SHAFT_BOX[0], front), (SHAFT_BOX[2], SHAFT_BOX[3]))
            corners = ((x1, y1), (x2, y1), (x2, y2), (x1, y2))
            outline = "; ".join(f"{number(x)} {number(y)}" for x, y in corners)
            rows.append({"shaft": column.shaft, "building": building, "outline [m]": outline})
    return rows


def riser_rows(sound: Sound) -> list[Row]:
    """risers.csv: every riser by name, through its stub at the lowest tower floor."""
    rows = []
    for column in sound.plan.columns:
        lowest = sound.tower_floors(column.tower)[0].name
        place = sound.columns_of(column.tower).index(column)
        shaft = module_name(column.tower, lowest, place, 1)
        rows += [
            {
                "riser": f"{riser.name}-{column.number}",
                "system": riser.system,
                "shaft": column.shaft,
                "through": f"{shaft}/{riser.name}1",
            }
            for riser in sound.plan.shaft.risers
        ]
    return rows


def network_rows(sound: Sound) -> list[Row]:
    """systems.csv: the networks of every wing with their ends, in the order of work on a floor."""
    columns = ("network", "system", "order", "end_kind", "end")
    return [
        dict(zip(columns, map(str, network), strict=True)) | {"rule": ""}
        for wing in sound.plan.wings
        for network in _networks(sound, wing)
    ]


Network = tuple[str, str, int, str, str]


def _networks(sound: Sound, wing: Wing) -> list[Network]:
    tag, plant = sound.plan.tag(wing), sound.plan.plant_name(wing)
    ground = f"BG{tag}"
    listed: list[Network] = [
        ("fire", "fire", 1, "source", f"{ground}/FI1"),
        ("rainwater", "rainwater", 2, "outfall", f"{ground}/OF2"),
        ("soil", "soil", 3, "outfall", f"{ground}/OF1"),
        ("waste", "waste", 4, "outfall", f"{ground}/OF1"),
        ("vent", "vent", 5, "", ""),
        ("condensate", "condensate", 6, "outfall", f"{ground}/OF1"),
        ("cold-boosted", "cold", 7, "source", f"{plant}/TK"),
        ("hot-boosted", "hot", 8, "source", f"{plant}/HEB"),
        ("return-boosted", "hot_return", 9, "source", f"{plant}/HEB"),
        ("non-potable-boosted", "non_potable", 10, "source", f"{plant}/TK"),
        ("power", "power", 11, "", ""),
        ("data", "data", 12, "", ""),
    ]
    if wing.both_zones:
        listed += [
            ("cold-mains", "cold", 7, "source", f"{ground}/MC1"),
            ("hot-mains", "hot", 8, "source", f"{plant}/HEM"),
            ("return-mains", "hot_return", 9, "source", f"{plant}/HEM"),
            ("non-potable-mains", "non_potable", 10, "source", f"{ground}/MC1"),
        ]
    listed.sort(key=lambda network: network[2])
    return [(network[0] + (f"-{tag}" if tag else ""), *network[1:]) for network in listed]


def sleeve_rows(sound: Sound) -> list[Row]:
    """sleeves.csv: every pipe through ground slab, transfer slabs and roofs, and one with its insulation."""
    rows: list[Row] = []
    site = sound.site
    for ground, stub in ground_stubs(sound):
        tag, at = ground.removeprefix("BG"), site.node_at(ground, stub)
        name = f"SL-P01-{stub}" + (f"-{tag}" if tag else "")
        rows.append(_sleeve(name, sound.floors["P", "01"], at, site.pipe(ground, stub)))
    for column in sound.plan.columns:
        first = sound.tower_floors(column.tower)[0]
        roof = sound.floors[column.tower, "RF"]
        for riser in sound.plan.shaft.risers:
            at = site.node_at(transfer_name(column), f"{riser.name}2")
            name = f"{riser.name}{column.number}"
            rows.append(_sleeve(f"SL-{column.tower}{first.name}-{name}", first, at, riser.pipe))
            below = below_shaft(sound, column, sound.plan.storeys[column.tower])
            shifted = column.rain_shift and riser.name == "RW"
            if not shifted:
                at = site.node_at(below, f"{riser.name}2")
                rows.append(_sleeve(f"SL-{column.tower}RF-{name}", roof, at, riser.pipe))
        rows += _insulated_sleeves(sound, column)
    return rows


def _insulated_sleeves(sound: Sound, column: Column) -> list[Row]:
    """Where a tall shaft module's hot pipe passes its own upper deck with its insulation on."""
    rows = []
    for storey in column.tall:
        floor = sound.tower_floors(column.tower)[storey + 1]
        riser = sound.plan.shaft.riser("HW")
        at = sound.site.node_at(below_shaft(sound, column, storey + 2), "HW2")
        deck = Floor(floor.building, floor.name, floor.level_m, 0.15, floor.storey_m)
        name = f"SL-{floor.building}{floor.name}-HW{column.number}"
        rows.append(_sleeve(name, deck, at, riser.pipe, riser.insulation_mm))
    return rows


def _sleeve(name: str, floor: Floor, at: Vector, pipe: str, insulation_mm: float = 0.0) -> Row:
    """A sleeve with about 25 mm around the pipe and its insulation, in steps of 10 mm."""
    outside = BY_NAME[pipe].od_mm + 2 * insulation_mm
    bore = round((outside + 50.0) / 10.0) * 10
    detail = "FS-2 insulated" if insulation_mm else "FS-1"
    return {
        "sleeve": name,
        "building": floor.building,
        "floor": floor.name,
        "x [m]": number(at[0]),
        "y [m]": number(at[1]),
        "bore [mm]": str(bore),
        "top [m]": number(floor.level_m),
        "length [mm]": number(floor.slab_m * 1000),
        "detail": detail,
        "annulus_min [mm]": "12",
        "annulus_max [mm]": "40",
    }


def catchment_rows(sound: Sound) -> list[Row]:
    """catchments.csv: each roof outlet's share of its roof."""
    return [
        {
            "outlet": f"{roof_name(sound, column)}/{outlet}",
            "area [m2]": "60",
            "slope [deg]": "1",
            "runoff": "1",
        }
        for column in sound.plan.columns
        for outlet in ("RO1", "RO2")
    ]


def _shift(n: int) -> tuple[float, float, float]:
    """A small deviation in mm that looks like a total station's: within 3 mm, the same in every build."""
    return ((n * 7) % 7 - 3.0, (n * 5 + 2) % 7 - 3.0, (n * 3 + 1) % 5 - 2.0)


def ground_stubs(sound: Sound) -> list[tuple[str, str]]:
    """Every stub cast into the foundation: its part and its name."""
    return [
        (name, row["node"])
        for name, part in sound.site.parts.items()
        if part.type[0].startswith("BG")
        for row in sound.site.drawings[part.type].nodes
        if row["kind"] == "stub"
    ]


def survey_rows(sound: Sound) -> list[Row]:
    """survey.csv: the stubs cast into the foundation, as measured before the first lift."""
    rows = []
    for n, (ground, stub) in enumerate(ground_stubs(sound)):
        at = sound.site.node_at(ground, stub)
        x, y, z = (p + s / 1000.0 for p, s in zip(at, _shift(n), strict=True))
        rows.append(
            {
                "stub": f"{ground}/{stub}",
                "measured_at": f"2031-03-03T{8 + n // 12 % 12:02d}:{(n % 12) * 5:02d}+01:00",
                "x [m]": number(x),
                "y [m]": number(y),
                "z [m]": number(z),
                "uncertainty [mm]": "2",
                "by": "Tilda Rowanfield",
                "instrument": "total station T2",
            }
        )
    return rows
