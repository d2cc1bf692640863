# SPDX-License-Identifier: Apache-2.0
"""What if a valve were set otherwise, the main weaker, some outlets open: asked of a copy, saved nowhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from riser.errors import InputError, InputErrors
from riser.network.model import Model
from riser.network.tables import JobTables
from riser.pressures.building_pressures import BuildingPressures
from riser.pressures.outlets import Outlet, limits_of
from riser.units import UnitError, column_factor, converted

EXAMPLE_SET, EXAMPLE_MAIN, EXAMPLE_OPEN = "M02-01/V3=3.5bar", "2.1bar", "M11-04/KS or M11-04/KS=0.2L/s"


def with_settings(model: Model, settings: Sequence[str]) -> Model:
    """The model with reducing valves set otherwise, each `NODE=3.5bar`. Raises InputErrors."""
    tables = model.placed.tables
    frame = tables.devices.copy()
    errors: list[InputError] = []
    for text in settings:
        name, _, value = text.partition("=")
        pressure = _quantity(value, "pressure")
        node = _device(model, name)
        if not node or pressure is None:
            errors.append(_error("--set", text, "a reducing valve and a pressure", EXAMPLE_SET))
            continue
        if not (frame["node"] == node).any():
            frame = pd.concat([frame, _empty_row(frame, node)], ignore_index=True)
        frame.loc[frame["node"] == node, "setting_pa"] = pressure
    if errors:
        raise InputErrors(errors)
    return _with_tables(model, replace(tables, devices=frame))


def with_main(model: Model, text: str) -> Model:
    """The model with the still pressure of its mains so: `2.1bar`. Their curves fall as they did."""
    pressure = _quantity(text, "pressure")
    frame = model.placed.tables.supplies.copy()
    is_main = frame["kind"] == "mains"
    if pressure is None or not is_main.any():
        raise InputErrors([_error("--main", text, "a pressure, and mains in supplies.csv", EXAMPLE_MAIN)])
    frame.loc[is_main, "static_pa"] = pressure
    return _with_tables(model, replace(model.placed.tables, supplies=frame))


def opened_outlets(pressures: BuildingPressures, texts: Sequence[str]) -> dict[int, float]:
    """The flow by point of outlets named `PART/NODE`, with their own flow or the one stated, all their ports
    alike. Raises InputErrors for an unknown outlet, or one without a flow in the rules.
    """
    found: dict[int, float] = {}
    errors: list[InputError] = []
    for text in texts:
        name, _, stated = text.partition("=")
        flow = _quantity(stated, "flow") if stated else None
        ports = _outlets_named(pressures, name)
        flows = [flow if flow is not None else _own_flow(pressures, port) for port in ports]
        if not ports or (stated and flow is None) or np.isnan(flows).any():
            errors.append(_error("--open", text, "an outlet with a pipe, and its flow", EXAMPLE_OPEN))
            continue
        for port, each in zip(ports, flows, strict=True):
            found[port.point] = each / len(ports)
    if errors:
        raise InputErrors(errors)
    return found


def _outlets_named(pressures: BuildingPressures, name: str) -> list[Outlet]:
    placed = pressures.model.placed
    return [outlet for outlet in pressures.outlets if placed.node_id(outlet.node) == name]


def _own_flow(pressures: BuildingPressures, outlet: Outlet) -> float:
    return limits_of(pressures.still.net, outlet, pressures.rules).flow_m3s


def _device(model: Model, name: str) -> str:
    """The id of a reducing valve by PART/NODE, or by its node alone where only one is called so."""
    placed = model.placed
    ids = placed.node_ids(model.nodes_of_kind("reducing_valve"))
    found = [i for i in ids if i == name or i.partition("/")[2] == name]
    return found[0] if len(found) == 1 else ""


def _empty_row(frame: pd.DataFrame, node: str) -> pd.DataFrame:
    row = {c: (np.nan if c.endswith(("_pa", "_m3s", "_c", "_m3h")) else "") for c in frame.columns}
    return pd.DataFrame([{**row, "node": node, "row": 0}])


def _quantity(text: str, dimension: str) -> float | None:
    """A figure with its unit in SI: `3.5 bar`, `3.5bar`."""
    digits = len(text) - len(text.lstrip(" 0123456789."))
    number, unit = text[:digits].strip(), text[digits:].strip()
    try:
        factor, offset = column_factor(unit, dimension)
        return converted(float(number), factor, offset)
    except (UnitError, ValueError):
        return None


def _error(option: str, found: str, expected: str, example: str) -> InputError:
    return InputError(option, None, None, repr(found), expected, f"Write it as {example}.")


def _with_tables(model: Model, tables: JobTables) -> Model:
    return replace(model, placed=replace(model.placed, tables=tables))
