# SPDX-License-Identifier: Apache-2.0
"""Faultless towers of any height and width, drawn from all shapes of the demo.

A tower is one building over a podium: in every wing a row of columns around shafts, every other one mirrored,
with tall shaft modules over two floors, shower rooms, visitors' toilets, offset rainwater pipes, a transfer
floor under each shaft, modules joined side by side to their shaft, and hot water with its return as rings
through the mains. A column has six modules on each floor.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from demo_project.building_plan import Column, Plan, Wing
from demo_project.placing import Place
from demo_project.services import PROJECT_TOML
from demo_project.shaft_plan import Shaft
from demo_project.sound import Sound, sound_building
from demo_project.writing import job_files, write_files

Files = dict[str, str]

MODULES_OF_COLUMN = 6
COLUMN_PITCH_M = 8.2
WING_PITCH_M = 40.0
MOST_COLUMNS_OF_WING = 4
# Drainage fixture units by the demo's rule set: of one floor of one column, of the visitors' toilets with a
# little for condensate, and what a collector of each size carries.
FLOOR_LOAD, PODIUM_LOAD = 24, 50
COLLECTORS = ((700, "CI150"), (1600, "CI200"), (2900, "CI250"))
# Above so many floors the code's table of vents ends.
MOST_FLOORS = 75
# Above so many floors stacks and vent stacks are drawn larger than the demo's.
FLOORS_OF_SMALL_STACKS = 25
LARGE_SHAFT = Shaft(
    pipes={"VS": "CI200", "SS": "CI150", "WS": "CI150"},
    offset={"SS": "CI200", "WS": "CI200"},
    below={"SS": "CI200", "WS": "CI200"},
)
# Towers of one wing up to this height have one column fed straight from the mains.
FLOORS_ON_MAINS = 6
TALL_EVERY = 4
CONDENSATE_OF_COIL = "0.0005 L/s"


def tower_plan(floors: int, modules_per_floor: int) -> Plan:
    """The plan of a tower. ValueError for a width that is no whole number of columns, or a height for which
    the demo has no pipes.
    """
    columns, rest = divmod(modules_per_floor, MODULES_OF_COLUMN)
    if rest or columns < 1:
        raise ValueError(f"{floors} floors of {modules_per_floor} modules: six modules make a column")
    if not 1 <= floors <= MOST_FLOORS:
        raise ValueError(f"{floors} floors: a tower has 1 to {MOST_FLOORS}")
    counts = _columns_of_wings(floors, columns)
    wings, first = list[Wing](), 0
    for number, count in enumerate(counts):
        wings.append(_wing(floors, columns, number, first, count))
        first += count
    shaft = LARGE_SHAFT if floors > FLOORS_OF_SMALL_STACKS else Shaft()
    plan = Plan({"A": floors}, tuple(wings), shaft=shaft)
    return replace(plan, wings=tuple(_with_tall_modules(plan, wing) for wing in wings))


def _columns_of_wings(floors: int, columns: int) -> list[int]:
    """How many columns share a collector: as many as the largest pipe carries, four at the most."""
    most = min((COLLECTORS[-1][0] - PODIUM_LOAD) // (FLOOR_LOAD * floors), MOST_COLUMNS_OF_WING)
    full, rest = divmod(columns, most)
    return [most] * full + [rest] * (rest > 0)


def _wing(floors: int, columns: int, number: int, first: int, count: int) -> Wing:
    south_m = WING_PITCH_M * number
    row = tuple(_column(floors, columns, first + n, n, south_m) for n in range(count))
    plant = Place(8.0 + COLUMN_PITCH_M * count, 9.0 + south_m)
    return Wing(row, plant, south_m, _collector(floors, count))


def _collector(floors: int, columns: int) -> str:
    """The smallest collector for the load that is no smaller than the stacks above it."""
    load = FLOOR_LOAD * floors * columns + PODIUM_LOAD
    sizes = COLLECTORS[floors > FLOORS_OF_SMALL_STACKS :]
    return next(pipe for most, pipe in sizes if load <= most)


def _column(floors: int, columns: int, number: int, place: int, south_m: float) -> Column:
    is_odd = number % 2 == 1
    on_mains = floors <= FLOORS_ON_MAINS and 0 < number == columns - 1 < MOST_COLUMNS_OF_WING
    return Column(
        number + 1,
        "A",
        Place(10.0 + COLUMN_PITCH_M * place, 10.0 + south_m, mirrored=is_odd),
        zone="m" if on_mains else "b",
        shower=is_odd,
        toilets=number == 0,
        rain_shift=number % 3 == 1,
    )


def _with_tall_modules(plan: Plan, wing: Wing) -> Wing:
    """Every fourth floor begins a shaft module over two floors, except where relief vents are."""
    columns = []
    for column in wing.columns:
        starts = range(1 + column.number % 2, plan.storeys["A"] - 1, TALL_EVERY)
        clear = [s for s in starts if not any(plan.has_relief(column, n) for n in (s, s + 1))]
        columns.append(replace(column, tall=frozenset(clear)))
    return replace(wing, columns=tuple(columns))


def tower(floors: int = 60, modules_per_floor: int = 24) -> Sound:
    """A faultless tower as it is put together."""
    return sound_building(tower_plan(floors, modules_per_floor))


def tower_files(sound: Sound) -> Files:
    """The job folder of a tower: every file by its name."""
    return job_files(sound) | {"project.toml": _project_toml(sound)}


def _project_toml(sound: Sound) -> str:
    """The demo's settings, with the condensate of every fan coil given as a flow, for the code has no row."""
    coils = [f"{part.name}/FC" for part in sound.site.parts.values() if part.type[0] == "KL"]
    flows = "\n".join(f'"{coil}" = "{CONDENSATE_OF_COIL}"' for coil in coils)
    text = PROJECT_TOML.replace("Larkspur Quay", "Tower")
    return f"{text}\n[design.ipc_2021.continuous_flows]\n{flows}\n"


def write_tower(folder: Path, floors: int = 60, modules_per_floor: int = 24) -> Sound:
    """Write the job folder of a faultless tower."""
    sound = tower(floors, modules_per_floor)
    write_files(tower_files(sound), folder)
    return sound


if __name__ == "__main__":
    write_tower(Path(sys.argv[1]), *map(int, sys.argv[2:4]))
