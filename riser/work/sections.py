# SPDX-License-Identifier: Apache-2.0
"""Planning the tests of a job: which sections, in which order, and everything needed to carry them out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from riser.errors import InputError, InputErrors
from riser.network.systems import SYSTEMS, System
from riser.proving.section_pipework import Limits
from riser.proving.section_plan import GroupPlan, Wanted, section_plan
from riser.proving.section_sheet import SectionSheet, section_sheets
from riser.units import BAR_PA
from riser.work.job import Job

STRATEGIES = ("floor", "day", "riser")


@dataclass(frozen=True)
class SectionsResult:
    """The plan of each group of systems with its sheets, in the order of the work."""

    strategy: str
    pace: int
    plans: tuple[tuple[GroupPlan, tuple[SectionSheet, ...]], ...]

    @property
    def sheets(self) -> list[SectionSheet]:
        """All sections, by day and then by group."""
        found = [sheet for _, sheets in self.plans for sheet in sheets]
        return sorted(found, key=lambda sheet: sheet.planned.day)


def planned_sections(
    job: Job,
    *,
    strategy: str = "day",
    pace: int = 3,
    limits: Limits | None = None,
    working_pa: Mapping[System, float] | None = None,
    named: str = "",
    systems: frozenset[System] = frozenset(System),
) -> SectionsResult:
    """The sections of the whole building as drawn.

    `floor` tests after every floor, `day` after each day's `pace` floors, `riser` once at the end. Raises
    Refused where the test asked for by name may not be used here.
    """
    floors = {"floor": 1, "day": pace, "riser": 0}[strategy]
    wanted = Wanted(floors, limits or Limits(), dict(working_pa or {}), named, systems)
    plans = section_plan(job.design, job.rules, wanted)
    sheets = [(plan, tuple(section_sheets(plan, job.rules))) for plan in plans]
    return SectionsResult(strategy, floors, tuple(sheets))


def working_pressures_pa(stated: list[str]) -> dict[System, float]:
    """`cold=6` (bar) as system and pressure [Pa]; InputErrors for what cannot be understood."""
    found, errors = {}, []
    for text in stated:
        word, _, value = text.partition("=")
        try:
            pressure = float(value.removesuffix("bar")) * BAR_PA
        except ValueError:
            pressure = math.nan
        if word.strip() not in SYSTEMS or not 0 < pressure < math.inf:
            errors.append(_bad(text, "SYSTEM=BAR, such as cold=6", f"Systems: {', '.join(SYSTEMS)}."))
        else:
            found[System[word.strip().upper()]] = pressure
    if errors:
        raise InputErrors(errors)
    return found


def systems_named(stated: list[str]) -> frozenset[System]:
    """The systems of these names, all where none is named; InputErrors for an unknown one."""
    errors = [
        _bad(text, "a system", f"Systems: {', '.join(SYSTEMS)}.") for text in stated if text not in SYSTEMS
    ]
    if errors:
        raise InputErrors(errors)
    return frozenset(System[text.upper()] for text in stated) or frozenset(System)


def limits_of(height_max_m: float | None, plug_head_m: float | None, standpipe_m: float) -> Limits:
    """The limits stated for this plan; InputErrors for one that is no height."""
    stated = {"--height-max": height_max_m, "--plug-head": plug_head_m}
    errors = [
        _bad(f"{name} {value}", "a height above 0 m", "Give metres.")
        for name, value in stated.items()
        if value is not None and not value > 0
    ]
    if not 0 <= standpipe_m < math.inf:
        errors.append(_bad(f"--standpipe {standpipe_m}", "a height of 0 m or more", "Give metres."))
    if errors:
        raise InputErrors(errors)
    return Limits(
        math.inf if height_max_m is None else height_max_m,
        math.inf if plug_head_m is None else plug_head_m,
        standpipe_m,
    )


def checked_strategy(strategy: str, pace: int) -> None:
    """InputErrors for an unknown strategy or a pace below one floor a day."""
    if strategy not in STRATEGIES:
        raise InputErrors([_bad(strategy, "a strategy", f"Use one of {', '.join(STRATEGIES)}.")])
    if pace < 1:
        raise InputErrors([_bad(str(pace), "1 floor a day or more", "Give --pace a whole number.")])


def _bad(found: str, expected: str, remedy: str) -> InputError:
    return InputError("command line", None, None, repr(found), expected, remedy)


def as_json(result: SectionsResult) -> dict[str, Any]:
    """One JSON object: `sections`, and per group of systems the counts, the bound and what nothing proves."""
    return {
        "strategy": result.strategy,
        "floors_a_day": result.pace or None,
        "groups": [_group_json(plan) for plan, _ in result.plans],
        "sections": [section_json(sheet) for sheet in result.sheets],
    }


def _group_json(plan: GroupPlan) -> dict[str, Any]:
    return {
        "systems": sorted(s.label for s in plan.systems),
        "test": plan.test.name if plan.test else None,
        "basis": plan.test.clause if plan.test else None,
        "tests": len(plan.sections),
        "least_tests": plan.bound,
        "least_tests_is_exact": plan.exact,
        "no_method": [{"connection": name, "reason": why} for name, why in sorted(plan.no_method.items())],
    }


def _figure(value: float, factor: float = 1.0, digits: int = 3) -> float | None:
    return round(value / factor, digits) if math.isfinite(value) else None


def section_json(sheet: SectionSheet) -> dict[str, Any]:
    """One section as JSON; every figure carries its unit in the key."""
    planned, row = sheet.planned, sheet.planned.test.row
    drop = row.number("drop_max") if row.has("drop_max") else math.nan
    return {
        "section": sheet.id,
        "day": planned.day,
        "last_floor": planned.last_floor,
        "systems": list(sheet.systems),
        "test": planned.test.name,
        "basis": planned.test.clause,
        "medium": planned.test.medium,
        "limits": sheet.limits,
        "closures": [
            {
                "id": c.id,
                "kind": c.kind,
                "do": c.do,
                "level_m": _figure(c.level_m),
                "head_m": _figure(c.head_m),
                "limit": c.is_limit,
            }
            for c in sheet.closures
        ],
        "take_out": list(sheet.take_out),
        "stays_open": list(sheet.stays_open),
        "vents": list(sheet.vents),
        "fill_at": sheet.fill_at,
        "line_m": _figure(planned.line_m),
        "bottom_m": _figure(sheet.water.bottom_m),
        "top_m": _figure(sheet.water.top_m),
        "volume_l": _figure(sheet.water.volume_m3, 1e-3, 1),
        "pump_l": _figure(sheet.pump_m3, 1e-3),
        "pressure": _pressure_json(sheet),
        "hold_min": _figure(row.number("hold"), 60) if row.has("hold") else None,
        "drop_max_kpa": _figure(drop, 1e3),
        "passes_when": str(row.cell("pass_rule").value) if row.has("pass_rule") else "",
        "proven": [{"connection": n, "state": s, "head_m": _figure(h)} for n, s, h in sheet.proven],
        "not_proven": [{"connection": n, "reason": why} for n, why in sheet.not_proven],
        "thrusts": [
            {"at": t.at, "kind": t.kind, "thrust_kn": _figure(t.thrust_n, 1e3)} for t in sheet.thrusts
        ],
        "order_of_work": list(sheet.order_of_work),
        "cautions": list(sheet.cautions),
    }


def _pressure_json(sheet: SectionSheet) -> dict[str, Any]:
    needed = sheet.gauge
    return {
        "reference_point": sheet.planned.test.reference,
        "low_point_kpa": _figure(sheet.low_pa, 1e3, 2),
        "high_point_kpa": _figure(sheet.high_pa, 1e3, 2),
        "gauge_kpa": _figure(sheet.gauge_pa, 1e3, 2),
        "gauge_at": sheet.gauge_at,
        "gauge_level_m": _figure(sheet.gauge_level_m),
        "gauge_range_from_kpa": _figure(needed.full_scale_least_pa, 1e3, 1),
        "gauge_range_to_kpa": _figure(needed.full_scale_most_pa, 1e3, 1),
        "graduation_max_kpa": _figure(needed.graduation_most_pa, 1e3),
        "range_basis": needed.range_basis,
        "graduation_basis": needed.graduation_basis,
    }
