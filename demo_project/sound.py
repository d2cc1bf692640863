# SPDX-License-Identifier: Apache-2.0
"""The building without a fault: a podium, and towers of any height with any number of shafts."""

from __future__ import annotations

from dataclasses import dataclass, field

from . import shaft_plan as plan
from .assembly import Floor, Part, Site
from .building_plan import Column, Plan, Wing
from .placing import Place
from .shapes_ground import Foot, ground
from .shapes_mains import CORRIDOR_Y, Main, mains, site_tee_piece, stub_name
from .shapes_plant import FIRE_Y, MAIN_X, MAIN_Y, MAINS, plant_module
from .shapes_podium import foot_module, roof_piece, toilet_module, transfer_module
from .shapes_rooms import bath_module, corridor_module, kitchen_module, shower_module
from .shapes_shaft import shaft_module

PODIUM_STOREY_M = 3.6
GROUND_SLAB_M, TRANSFER_SLAB_M, ROOF_SLAB_M = 0.25, 0.3, 0.15
FIRST_TOWER_FLOOR = 3
RAIN_SHIFT_M = 0.06


@dataclass
class Sound:
    """A building as it was put together: the site, the floors by (building, name), and the plan."""

    plan: Plan
    site: Site = field(default_factory=Site)
    floors: dict[tuple[str, str], Floor] = field(default_factory=dict)

    def columns_of(self, tower: str) -> list[Column]:
        """The columns of one tower, in order."""
        return [column for column in self.plan.columns if column.tower == tower]

    def tower_floors(self, tower: str) -> list[Floor]:
        """The storeys of a tower from the lowest up, without its roof."""
        return [
            floor for (building, name), floor in self.floors.items() if building == tower and name != "RF"
        ]


def sound_building(building: Plan) -> Sound:
    """Put a building together: ground, podium, mains, towers floor by floor, roofs."""
    sound = Sound(building, floors=_floors(building))
    _podium(sound)
    for wing in building.wings:
        _ground(sound, wing)
        _mains(sound, wing)
    tallest = max(building.storeys.values())
    for storey in range(tallest):
        for tower, storeys in building.storeys.items():
            if storey < storeys:
                for place, column in enumerate(sound.columns_of(tower)):
                    _storey(sound, column, place, storey)
    for column in building.columns:
        _roof(sound, column)
    return sound


def _floors(building: Plan) -> dict[tuple[str, str], Floor]:
    floors = [
        Floor("P", "01", 0.0, GROUND_SLAB_M, PODIUM_STOREY_M),
        Floor("P", "02", PODIUM_STOREY_M, 0.0, PODIUM_STOREY_M),
    ]
    for tower, storeys in building.storeys.items():
        for storey in range(storeys):
            name = f"{FIRST_TOWER_FLOOR + storey:02d}"
            slab = TRANSFER_SLAB_M if storey == 0 else 0.0
            floors.append(
                Floor(
                    tower,
                    name,
                    round(2 * PODIUM_STOREY_M + storey * building.storey_m, 3),
                    slab,
                    building.storey_m,
                )
            )
        floors.append(
            Floor(tower, "RF", round(2 * PODIUM_STOREY_M + storeys * building.storey_m, 3), ROOF_SLAB_M, 0.0)
        )
    return {(floor.building, floor.name): floor for floor in floors}


def _at(column: Column, floor: Floor, inner: Place | None = None) -> Place:
    """A part of a column at a floor; `inner` within the column."""
    base = column.place
    level = Place(base.x, base.y, floor.level_m, base.yaw_deg, base.mirrored)
    return level.holding(inner) if inner else level


def foot_name(column: Column) -> str:
    """The module at the foot of a shaft."""
    return f"P01-{column.number:02d}"


def transfer_name(column: Column) -> str:
    """The module in which a shaft's stacks move sideways."""
    return f"P02-{column.number:02d}"


def _podium(sound: Sound) -> None:
    site, columns, shaft = sound.site, sound.plan.columns, sound.plan.shaft
    ground_floor, upper = sound.floors["P", "01"], sound.floors["P", "02"]
    for wing in sound.plan.wings:
        # The ground comes first in the order of setting, though its drawing needs the feet above it.
        name = f"BG{sound.plan.tag(wing)}"
        site.place(Part(name, (name, "A"), ground_floor, Place()))
    for column in columns:
        name = foot_name(column)
        revision = sound.plan.revision(name)
        foot = site.draw(foot_module(PODIUM_STOREY_M, shaft, toilets=column.toilets, revision=revision))
        site.place(Part(name, foot, ground_floor, _at(column, ground_floor)))
    for wing in sound.plan.wings:
        key = site.draw(plant_module(PODIUM_STOREY_M, shaft, both_zones=wing.both_zones))
        site.place(Part(sound.plan.plant_name(wing), key, ground_floor, wing.plant))
    _toilets(sound, ground_floor)
    for column in columns:
        key = site.draw(transfer_module(PODIUM_STOREY_M, TRANSFER_SLAB_M, shaft))
        site.place(Part(transfer_name(column), key, upper, _at(column, upper)))
        for riser in plan.RISER_NAMES:
            pair = (foot_name(column), f"{riser}2"), (transfer_name(column), f"{riser}1")
            site.join(f"P01-{riser}{column.number}", *pair)


def _toilets(sound: Sound, floor: Floor) -> None:
    """A mirrored pair of toilet modules behind a foot with connections for them; closed ends elsewhere."""
    site, number = sound.site, len(sound.plan.columns) + len(sound.plan.wings) + 1
    back = plan.SHAFT_DEPTH_M + plan.GAP_M
    for column in sound.plan.columns:
        foot = foot_name(column)
        if not column.toilets:
            for side in ("R", "L"):
                site.close(f"{foot}-VK{side}", (foot, f"VK{side}"), "vent for a later shop")
            continue
        key = site.draw(toilet_module())
        for side, mirrored in (("R", False), ("L", True)):
            name = f"P01-{number:02d}"
            number += 1
            site.place(Part(name, key, floor, _at(column, floor, Place(0, back, 0, 0, mirrored))))
            for mine, theirs in (("VT", "VK"), ("CW", "CK"), ("HW", "HK")):
                site.join(f"{name}-{mine}", (foot, f"{theirs}{side}"), (name, mine))


def _feet(sound: Sound, wing: Wing) -> list[tuple[Foot, tuple[str, str]]]:
    """Every drain of a wing that goes through the ground slab: as the ground draws it, and the stub above."""
    site, feet = sound.site, []
    for column in wing.columns:
        for riser in plan.DRAIN_RISERS:
            stub = (foot_name(column), f"{riser}1")
            x, y, _ = site.stub(*stub).at
            feet.append((Foot(f"{riser}{column.number}", plan.SYSTEM[riser], site.pipe(*stub), x, y), stub))
    for part in site.parts.values():
        if part.type[0] == "PT" and any(column.toilets for column in wing.columns):
            x, y, _ = site.stub(part.name, "SO").at
            feet.append((Foot(f"SO-{part.name}", "soil", "CI100", x, y), (part.name, "SO")))
    return feet


def _ground(sound: Sound, wing: Wing) -> None:
    site, name, plant = sound.site, f"BG{sound.plan.tag(wing)}", sound.plan.plant_name(wing)
    feet = _feet(sound, wing)
    cold = wing.plant.point((MAIN_X, MAIN_Y, 0.0))
    fire = wing.plant.point((MAIN_X, FIRE_Y, 0.0))
    site.draw(ground(name, [foot for foot, _ in feet], cold[:2], fire[:2], wing.south_m, wing.collector))
    for foot, stub in feet:
        site.join(f"P00-{foot.name}", (name, foot.name), stub)
    for main in ("CWI", "FRI"):
        site.join(f"P00-{main}{sound.plan.tag(wing)}", (name, main), (plant, main))


def _mains(sound: Sound, wing: Wing) -> None:
    """Mains from the plant, to the boosted columns and to those on the mains, nearest first."""
    site, plant, tag, shaft = sound.site, sound.plan.plant_name(wing), sound.plan.tag(wing), sound.plan.shaft
    runs = []
    for lane, (stub, riser, zone, _) in enumerate(MAINS):
        columns = [column for column in wing.columns if column.zone == zone]
        ends = [site.stub(foot_name(column), f"{riser}M") for column in columns]
        ends.sort(key=lambda end: abs(end.at[0] - wing.plant.x))
        if ends:
            y, pipe = wing.south_m + CORRIDOR_Y, shaft.riser(riser).pipe
            runs.append(Main(stub, riser, lane, site.stub(plant, stub), tuple(ends), y, pipe))
    drawing, tee = mains(f"CM{tag}", runs)
    floor, name = sound.floors["P", "01"], f"CM{tag or 1}"
    site.place(Part(name, site.draw(drawing), floor, Place()))
    for main in runs:
        for outlet in (main.start, *main.ends):
            pair = (name, stub_name(main, outlet)), (outlet.part, outlet.stub)
            site.join(f"CM{tag}-{stub_name(main, outlet)}", *pair)
    if tee is None:
        return
    key = site.draw(site_tee_piece(shaft.riser("CW").pipe, "cold"))
    piece = f"TE{tag or 1}"
    site.place(Part(piece, key, floor, Place(*tee.at, mirrored=tee.onward > 0)))
    main = next(main for main in runs if main.riser == "CW")
    for mine, theirs in (("IN", "TI"), ("OUT", "TO"), ("BR", "TB")):
        site.join(f"{piece}-{mine}", (name, f"{main.name}-{theirs}"), (piece, mine))


def module_name(tower: str, floor: str, column: int, position: int) -> str:
    """A module as people call it: tower, floor, and its place in the plan; six places to a column."""
    return f"{tower}{floor}-{column * 6 + position:02d}"


def _storey(sound: Sound, column: Column, place: int, storey: int) -> None:
    """One storey of one column: shaft module, two bathrooms, two kitchens, a corridor, and their joints."""
    site, floors = sound.site, sound.tower_floors(column.tower)
    floor = floors[storey]
    upper_half = storey - 1 in column.tall
    shaft = module_name(column.tower, floors[storey - 1 if upper_half else storey].name, place, 1)
    tag = "-2" if upper_half else ""
    if not upper_half:
        _shaft(sound, column, floors, storey, shaft)
    gap, side, back = plan.GAP_M, plan.SIDE_M, plan.SHAFT_DEPTH_M
    bath = shower_module if column.shower else bath_module
    first = 2 * place + 1
    for position, shape, inner, dwelling in (
        (2, bath, Place(side + gap, 0), first),
        (3, bath_module, Place(-side - gap, 0, mirrored=True), first + 1),
        (4, kitchen_module, Place(0, back + gap), first),
        (5, kitchen_module, Place(0, back + gap, mirrored=True), first + 1),
        (6, corridor_module, Place(0, -gap, yaw_deg=180), 0),
    ):
        name = module_name(column.tower, floor.name, place, position)
        key = site.draw(shape(sound.plan.revision(name)))
        home = f"{column.tower}{floor.name}.{dwelling}" if dwelling else ""
        site.place(Part(name, key, floor, _at(column, floor, inner), dwelling=home))
        for mine, theirs in _LEANS[position]:
            site.join(f"{name}-{mine}", (shaft, theirs + tag), (name, mine))


_BATH = (("SO", "SO"), ("VT", "VT"), ("CW", "CW"), ("HW", "HW"), ("NP", "NP"))
_KITCHEN = (("WA", "WA"), ("VT", "VK"), ("CD", "CD"), ("CW", "CK"), ("HW", "HK"), ("EP", "EP"))
# For each place in the plan: its own stubs, and the shaft's stubs that they meet.
_LEANS: dict[int, tuple[tuple[str, str], ...]] = {
    2: tuple((mine, f"{theirs}R") for mine, theirs in _BATH),
    3: tuple((mine, f"{theirs}L") for mine, theirs in _BATH),
    4: tuple((mine, f"{theirs}R") for mine, theirs in _KITCHEN),
    5: tuple((mine, f"{theirs}L") for mine, theirs in _KITCHEN),
    6: (("FR", "FRC"), ("ED", "EDC")),
}


def _shaft(sound: Sound, column: Column, floors: list[Floor], storey: int, name: str) -> None:
    """A shaft module, joined to what stands below it."""
    site, floor, storey_m, shaft = sound.site, floors[storey], sound.plan.storey_m, sound.plan.shaft
    relief = sound.plan.has_relief(column, storey)
    if storey in column.tall:
        key, to_floor = site.draw(shaft_module("ST", 2, storey_m, shaft)), floors[storey + 1]
        site.place(Part(name, key, floor, _at(column, floor), to_floor=to_floor))
    else:
        key = site.draw(shaft_module("SR" if relief else "SM", 1, storey_m, shaft, relief=relief))
        site.place(Part(name, key, floor, _at(column, floor)))
    below = below_shaft(sound, column, storey)
    label = "P02" if storey == 0 else f"{column.tower}{floors[storey - 1].name}"
    for riser in plan.RISER_NAMES:
        site.join(f"{label}-{riser}{column.number}", (below, f"{riser}2"), (name, f"{riser}1"))


def below_shaft(sound: Sound, column: Column, storey: int) -> str:
    """The part under a column's storey (or under its roof): shaft module or transfer module."""
    if storey == 0:
        return transfer_name(column)
    lower = storey - 2 if storey - 2 in column.tall else storey - 1
    place = sound.columns_of(column.tower).index(column)
    return module_name(column.tower, sound.tower_floors(column.tower)[lower].name, place, 1)


def roof_name(sound: Sound, column: Column) -> str:
    """The piece of site work over a column."""
    return f"{column.tower}RF-{sound.columns_of(column.tower).index(column) + 1:02d}"


def _roof(sound: Sound, column: Column) -> None:
    site, roof = sound.site, sound.floors[column.tower, "RF"]
    name, storeys = roof_name(sound, column), sound.plan.storeys[column.tower]
    shift = RAIN_SHIFT_M if column.rain_shift else 0.0
    drawing = roof_piece(sound.plan.shaft, rain_shift_m=shift, revision=sound.plan.revision(name))
    site.place(Part(name, site.draw(drawing), roof, _at(column, roof)))
    below = below_shaft(sound, column, storeys)
    label = f"{column.tower}{sound.tower_floors(column.tower)[-1].name}"
    for riser in plan.RISER_NAMES:
        site.join(f"{label}-{riser}{column.number}", (below, f"{riser}2"), (name, f"{riser}1"))
