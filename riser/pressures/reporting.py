# SPDX-License-Identifier: Apache-2.0
"""Making a finding about pressures."""

from __future__ import annotations

from collections.abc import Iterable

from riser.audit import COMMON_PRACTICE
from riser.audit.finding import Finding, FindingKind
from riser.network.items import rests_on
from riser.network.where import Place, node_place
from riser.pressures.building_pressures import BuildingPressures, OutletPressure
from riser.rules import Cell
from riser.units import BAR_PA

RESTS_ON = 50
SHORT_PORT = {"cold": "cold", "hot": "hot", "non_potable": "non-potable", "": ""}


def bar(pressure_pa: float) -> str:
    """A pressure in bar to a hundredth."""
    return f"{pressure_pa / BAR_PA:.2f} bar"


def outlet_words(pressures: BuildingPressures, row: OutletPressure) -> str:
    """An outlet as people say it: `kitchen sink A11-04/SINK (cold)`."""
    outlet = row.outlet
    port = f" ({SHORT_PORT.get(outlet.port, outlet.port)})" if outlet.port else ""
    kind = outlet.kind.replace("wc_", "WC ").replace("_", " ")
    return f"{kind} {pressures.model.placed.node_id(outlet.node)}{port}"


def outlet_place(pressures: BuildingPressures, row: OutletPressure) -> Place:
    """Where an outlet is."""
    return node_place(pressures.model, row.outlet.node, int(row.outlet.system))


def cell_basis(cell: Cell | None) -> str:
    """The clause of a figure; for good practice its source."""
    if cell is None:
        return COMMON_PRACTICE
    if cell.rule_set != "good_practice":
        return cell.clause.text
    source = cell.clause.source
    return COMMON_PRACTICE if source in ("", COMMON_PRACTICE) else f"good practice: {source}"


def pressure_finding(
    pressures: BuildingPressures,
    kind: FindingKind,
    place: Place,
    items: Iterable[str],
    says: str,
    *,
    subject: str = "supply",
    cell: Cell | None = None,
    remedy: str = "",
    because: str | None = None,
    nodes: Iterable[int] = (),
    runs: Iterable[int] = (),
) -> Finding:
    """A finding at a place; `nodes` and `runs` are what it rests on."""
    return Finding(
        code=kind.code,
        name=kind.name,
        severity=pressures.rules.severity(subject, kind.code, kind.severity),
        items=tuple(sorted(set(items))),
        floor=place.floor,
        building=place.building,
        system=place.system,
        where=place.words,
        says=says,
        remedy=remedy or kind.remedy,
        basis=cell_basis(cell),
        because=because,
        rests_on=rests_on(
            pressures.model,
            nodes=tuple(sorted(set(nodes)))[:RESTS_ON],
            runs=tuple(sorted(set(runs)))[:RESTS_ON],
        ),
    )


def key_of(kind: FindingKind, *items: str) -> str:
    """The key the finding of this kind about these items has."""
    return ":".join((kind.code, *sorted(set(items))))
