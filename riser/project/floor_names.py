# SPDX-License-Identifier: Apache-2.0
"""Floors as people name them: a bare `07` means the one building that has it, or nothing at all."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from riser.errors import InputError, InputErrors
from riser.project.faults import Faults, did_you_mean, shown
from riser.project.typed import TypedTable

_WITH_FLOOR = ("parts", "sleeves", "access")
ADVICE = "Name the building too."


def floor_named(floors: pd.DataFrame, name: str) -> tuple[str, str]:
    """Building and floor of `07` or `A/07`; `floors` is the table of JobTables.

    Raises InputErrors for a floor that does not exist, and for a bare one that several buildings have.
    """
    pairs = list(zip(floors["building"], floors["floor"], strict=True))
    found = [pair for pair in pairs if name in (pair[1], "/".join(pair))]
    if len(found) == 1:
        return found[0]
    full = ["/".join(pair) for pair in pairs]
    if found:
        expected = " or ".join("/".join(pair) for pair in found)
        raise InputErrors([InputError("floors.csv", None, "floor", shown(name), expected, ADVICE)])
    remedy = did_you_mean(name, [*floors["floor"], *full], "Choose a floor of floors.csv.")
    raise InputErrors([InputError("floors.csv", None, "floor", shown(name), "a floor of floors.csv", remedy)])


def homes(floors: TypedTable) -> dict[str, list[str]]:
    """The buildings that have a floor of each name."""
    result: dict[str, list[str]] = {}
    for building, floor in zip(floors.frame["building"], floors.frame["floor"], strict=True):
        if building not in result.setdefault(floor, []):
            result[floor].append(building)
    return result


def with_buildings(typed: dict[str, TypedTable], faults: Faults) -> None:
    """Fill empty building cells where only one building can be meant; a doubt is a fault that names all."""
    floors = typed.get("floors")
    if floors is None or not floors.usable("building", "floor"):
        return
    names = [name for name in floors.frame["building"].unique() if name]
    if "shafts" in typed and typed["shafts"].usable("building"):
        typed["shafts"] = _filled(typed["shafts"], [names] * len(typed["shafts"].frame), "building", faults)
    by_floor = homes(floors)
    for name in _WITH_FLOOR:
        if name in typed and typed[name].usable("building", "floor"):
            floor_of_row = typed[name].frame["floor"].tolist()
            typed[name] = _filled(typed[name], [by_floor.get(f, []) for f in floor_of_row], "floor", faults)


def _filled(table: TypedTable, candidates: list[list[str]], column: str, faults: Faults) -> TypedTable:
    building = table.frame["building"].to_numpy(object).copy()
    for index in np.flatnonzero(building == "").tolist():
        meant = candidates[index]
        if len(meant) == 1:
            building[index] = meant[0]
        elif meant:
            cells = table.cells(column)
            floor = str(cells.values[index])
            listed = " and ".join(meant)
            faults.add(
                cells.places.file(index),
                int(cells.places.row[index]),
                column,
                f"{shown(floor)} without a building" if floor else "an empty cell",
                f"one building; {listed} may be meant",
                ADVICE,
            )
    return replace(table, frame=table.frame.assign(building=pd.Series(building, dtype=object)))
