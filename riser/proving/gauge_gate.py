# SPDX-License-Identifier: Apache-2.0
"""The gauge before the test starts: range, graduation, calibration on the day, and a level that is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.errors import NotInRules
from riser.rules import Row, Rules


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge as gauges.csv has it; dates as `2031-02-17`, "" where not given."""

    id: str
    range_min_pa: float
    range_max_pa: float
    graduation_pa: float
    calibrated: str
    due: str


@dataclass(frozen=True, slots=True)
class GaugeNeeded:
    """What a gauge must be for one test; each limit with what it rests on. NaN where nothing is asked."""

    test_pa: float
    full_scale_least_pa: float
    full_scale_most_pa: float
    graduation_most_pa: float
    range_basis: str
    graduation_basis: str


def gauge_needed(rules: Rules, row: Row, test_pa: float) -> GaugeNeeded:
    """The gauge that a test at this pressure needs: by the rule set, else by good practice."""
    least, most = rules.limit("tests", "gauge_range_from"), rules.limit("tests", "gauge_range_to")
    graduation, basis = _graduation_most_pa(rules, row, test_pa)
    return GaugeNeeded(
        test_pa=test_pa,
        full_scale_least_pa=least.number * test_pa,
        full_scale_most_pa=most.number * test_pa,
        graduation_most_pa=graduation,
        range_basis=_basis(least.clause.text, str(least.clause.source)),
        graduation_basis=basis,
    )


def _basis(clause: str, source: str) -> str:
    return f"{clause}; {source}" if source else clause


def _graduation_most_pa(rules: Rules, row: Row, test_pa: float) -> tuple[float, str]:
    """The largest division of the scale [Pa]: by pressure, by a fixed limit, else half the drop allowed."""
    if rules.has("tests"):
        tests = rules.subject("tests")
        if tests.has("gauge_divisions"):
            cell = tests.table("gauge_divisions").bracket(test_pa).row.cell("division")
            return cell.number, cell.clause.text
        if tests.has("limits"):
            try:
                cell = tests.limit("gauge_division_max")
            except NotInRules:
                pass
            else:
                return cell.number, cell.clause.text
    if row.has("drop_max") and row.number("drop_max") > 0:
        share = rules.limit("tests", "gauge_division_of_drop")
        return share.number * row.number("drop_max"), _basis(share.clause.text, str(share.clause.source))
    return float("nan"), "the rules ask for no graduation"


def gauge_faults(needed: GaugeNeeded, gauge: Gauge, day: str, gauge_level_m: float | None) -> list[str]:
    """Why this gauge may not be used for this test on this day (`2031-02-17`); empty where it may."""
    faults = []
    if not gauge.range_max_pa >= needed.full_scale_least_pa * (1 - 1e-9):
        faults.append(
            f"{gauge.id} reads to {_kpa(gauge.range_max_pa)}, at least {_kpa(needed.full_scale_least_pa)} is"
            f" needed ({needed.range_basis})"
        )
    if gauge.range_max_pa > needed.full_scale_most_pa * (1 + 1e-9):
        faults.append(
            f"{gauge.id} reads to {_kpa(gauge.range_max_pa)}, too coarse above"
            f" {_kpa(needed.full_scale_most_pa)} ({needed.range_basis})"
        )
    if gauge.range_min_pa > 0:
        faults.append(f"{gauge.id} does not read from zero")
    faults += _graduation_faults(needed, gauge)
    faults += _calibration_faults(gauge, day)
    if gauge_level_m is None or np.isnan(gauge_level_m):
        faults.append(f"the level at which {gauge.id} hangs is not recorded")
    return faults


def _graduation_faults(needed: GaugeNeeded, gauge: Gauge) -> list[str]:
    if np.isnan(needed.graduation_most_pa):
        return []
    if gauge.graduation_pa <= needed.graduation_most_pa * (1 + 1e-9):
        return []
    return [
        f"{gauge.id} is divided in {_kpa(gauge.graduation_pa)}, at most {_kpa(needed.graduation_most_pa)} is"
        f" allowed ({needed.graduation_basis})"
    ]


def _calibration_faults(gauge: Gauge, day: str) -> list[str]:
    """Dates compare as text: year, month, day."""
    if not gauge.calibrated or not gauge.due:
        return [f"{gauge.id} has no calibration on file"]
    if day < gauge.calibrated:
        return [f"{gauge.id} was calibrated on {gauge.calibrated}, after the test"]
    if day > gauge.due:
        return [f"{gauge.id} was due for calibration on {gauge.due}"]
    return []


def _kpa(pressure_pa: float) -> str:
    return f"{pressure_pa / 1e3:.4g} kPa"
