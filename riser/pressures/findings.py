# SPDX-License-Identifier: Apache-2.0
"""Every fault in the pressures of a building, and what could not be judged."""

from __future__ import annotations

from riser.audit.finding import CANNOT_JUDGE, Finding
from riser.network.model import Model
from riser.network.where import Place
from riser.pressures import outlet_findings, pipe_findings
from riser.pressures.building_pressures import BuildingPressures, building_pressures
from riser.pressures.device_findings import DeviceFaults
from riser.pressures.reporting import pressure_finding
from riser.rules import Rules


def findings(model: Model, rules: Rules) -> list[Finding]:
    """Every fault in the pressures of a model under the rules in force; nothing without pressure pipework."""
    return findings_of(building_pressures(model, rules))


def findings_of(pressures: BuildingPressures) -> list[Finding]:
    """Every fault in pressures already worked out."""
    if not len(pressures.still.net.u):
        return []
    faults = DeviceFaults(pressures)
    found = [
        *faults.findings(),
        *outlet_findings.findings(pressures, faults),
        *pipe_findings.findings(pressures),
    ]
    place = Place("", "", "", "whole job")
    for question, reason in pressures.lacks:
        says = f"{question[:1].upper()}{question[1:]} cannot be judged: {reason}."
        found.append(pressure_finding(pressures, CANNOT_JUDGE, place, ("pressures", question, reason), says))
    return found
