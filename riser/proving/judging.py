# SPDX-License-Identifier: Apache-2.0
"""Readings judged by the rule: pass, fail, void or inconclusive, each with its reasons.

Void: the test did not take place as the rule has it (wrong gauge, pressure never set, pumped while pumping is
not allowed). Inconclusive: it may have been tight, but the record does not show it. What else may explain the
readings stands beside the verdict (`riser.proving.reading_notes`) and never changes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise

import numpy as np

from riser.rules import Row, Rules

# Rounding of readings written with a few digits, not a tolerance of any rule.
ROUNDING_PA = 0.5


class Verdict(StrEnum):
    """What a test showed."""

    PASS = "pass"
    FAIL = "fail"
    VOID = "void"
    INCONCLUSIVE = "inconclusive"


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of the gauge: time from any zero, gauge pressure, and what was pumped since the last one.

    Temperatures of the water in the pipe; NaN where not taken.
    """

    time_s: float
    pressure_pa: float
    temperature_c: float = float("nan")
    pumped_m3: float = 0.0


@dataclass(frozen=True, slots=True)
class PassRule:
    """What one stage of a test asks of its readings.

    `pressure_pa` is what the gauge has to show where it hangs; NaN for a stage that starts where the one
    before it ended. `drop_max_pa` is NaN where the rule names no drop; `strict` where the drop has to stay
    below the figure.
    """

    pressure_pa: float
    hold_s: float
    drop_max_pa: float
    strict: bool
    pumping: bool
    leak_counts: bool
    temperature_change_most_k: float
    clause: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict, the reasons for it, and the figures it rests on."""

    verdict: Verdict
    reasons: tuple[str, ...]
    start_pa: float = float("nan")
    end_pa: float = float("nan")
    held_s: float = float("nan")
    clause: str = ""
    beside: tuple[str, ...] = field(default=())


def pass_rule(rules: Rules, row: Row, gauge_pa: float) -> PassRule:
    """What a row of `tests` asks, with the pressure worked out for the level of the gauge."""
    words = str(row.cell("pass_rule").value) if row.has("pass_rule") else ""
    held = words.startswith("held")
    drop = row.number("drop_max") if row.has("drop_max") else 0.0 if held else float("nan")
    return PassRule(
        pressure_pa=gauge_pa,
        hold_s=row.number("hold") if row.has("hold") else 0.0,
        drop_max_pa=drop,
        strict="less than stated" in words,
        pumping=row.has("pumping") and row.cell("pumping").required,
        leak_counts=any(word in words for word in ("leak", "tight", "smoke")),
        temperature_change_most_k=rules.limit("tests", "hold_temperature_change").number,
        clause=row.cell("test").clause.text,
    )


def judgement(
    rule: PassRule,
    readings: Sequence[Reading],
    *,
    gauge_faults: Sequence[str] = (),
    leak_seen: bool | None = None,
) -> Judgement:
    """Judge one stage. `leak_seen` is None where nobody recorded having looked at every joint."""
    if gauge_faults:
        return Judgement(Verdict.VOID, tuple(gauge_faults), clause=rule.clause)
    if leak_seen and rule.leak_counts:
        return Judgement(Verdict.FAIL, ("a leak was seen",), clause=rule.clause)
    disorder = _disorder(readings)
    if disorder:
        return Judgement(Verdict.VOID, (disorder,), clause=rule.clause)
    hold = _hold(rule, readings)
    if not hold:
        highest = max((r.pressure_pa for r in readings), default=float("nan"))
        words = "no readings" if not readings else f"the gauge never showed more than {_kpa(highest)}"
        verdict = Verdict.VOID if readings else Verdict.INCONCLUSIVE
        reason = f"{words}; {_kpa(rule.pressure_pa)} is asked for"
        return Judgement(verdict, (reason if readings else words,), clause=rule.clause)
    verdict, reasons = _by_the_hold(rule, hold, leak_seen)
    start, end = hold[0], hold[-1]
    return Judgement(
        verdict, reasons, start.pressure_pa, end.pressure_pa, end.time_s - start.time_s, rule.clause
    )


def _disorder(readings: Sequence[Reading]) -> str:
    times = [r.time_s for r in readings]
    if any(b <= a for a, b in pairwise(times)):
        return "the readings are not in the order of time"
    if any(np.isnan(r.pressure_pa) for r in readings):
        return "a reading has no pressure"
    return ""


def _hold(rule: PassRule, readings: Sequence[Reading]) -> list[Reading]:
    """The readings from the first at test pressure to the first at or after the end of the hold."""
    for n, first in enumerate(readings):
        if np.isnan(rule.pressure_pa) or first.pressure_pa >= rule.pressure_pa - ROUNDING_PA:
            held = []
            for reading in readings[n:]:
                held.append(reading)
                if reading.time_s - first.time_s >= rule.hold_s:
                    break
            return held
    return []


def _by_the_hold(
    rule: PassRule, hold: list[Reading], leak_seen: bool | None
) -> tuple[Verdict, tuple[str, ...]]:
    """The verdict on a hold that began at test pressure; void before fail before inconclusive."""
    if not rule.pumping and any(r.pumped_m3 > 0 for r in hold[1:]):
        return Verdict.VOID, ("pumped during the hold, where the rule allows no pumping",)
    failed = _failed(rule, hold)
    if failed:
        return Verdict.FAIL, (failed,)
    doubts = _doubts(rule, hold, leak_seen)
    if doubts:
        return Verdict.INCONCLUSIVE, tuple(doubts)
    return Verdict.PASS, (_passed(rule, hold),)


def lowest_pa(hold: Sequence[Reading]) -> float:
    """The lowest pressure of a hold [Pa]."""
    return min(r.pressure_pa for r in hold)


def _failed(rule: PassRule, hold: list[Reading]) -> str:
    drop = hold[0].pressure_pa - lowest_pa(hold)
    if rule.pumping and not np.isnan(rule.pressure_pa) and lowest_pa(hold) < rule.pressure_pa - ROUNDING_PA:
        return (
            f"fell to {_kpa(lowest_pa(hold))} although pumping was allowed; {_kpa(rule.pressure_pa)} is asked"
        )
    if rule.pumping or np.isnan(rule.drop_max_pa):
        return ""
    too_much = (
        drop >= rule.drop_max_pa - ROUNDING_PA if rule.strict else drop > rule.drop_max_pa + ROUNDING_PA
    )
    if too_much:
        word = "less than" if rule.strict else "at most"
        return f"dropped by {_kpa(drop)}; {word} {_kpa(rule.drop_max_pa)} is allowed"
    return ""


def _doubts(rule: PassRule, hold: list[Reading], leak_seen: bool | None) -> list[str]:
    doubts = []
    held = hold[-1].time_s - hold[0].time_s
    if held < rule.hold_s:
        doubts.append(f"held for {held / 60:.4g} min of {rule.hold_s / 60:.4g} min")
    if len(hold) < 2 and rule.hold_s > 0:
        doubts.append("one reading shows no hold")
    if rule.leak_counts and leak_seen is None:
        doubts.append("nobody recorded whether every joint was seen and dry")
    change = temperature_change_k(hold)
    if change > rule.temperature_change_most_k:
        doubts.append(
            f"the water changed by {change:.3g} K during the hold; more than"
            f" {rule.temperature_change_most_k:.3g} K hides a leak or feigns one"
        )
    return doubts


def temperature_change_k(hold: Sequence[Reading]) -> float:
    """The span of the water's temperature over a hold [K]; zero where it was not taken twice."""
    taken = [r.temperature_c for r in hold if not np.isnan(r.temperature_c)]
    return max(taken) - min(taken) if len(taken) > 1 else 0.0


def _passed(rule: PassRule, hold: list[Reading]) -> str:
    drop = hold[0].pressure_pa - lowest_pa(hold)
    held = (hold[-1].time_s - hold[0].time_s) / 60
    if np.isnan(rule.drop_max_pa) or rule.pumping:
        return (
            f"stood for {held:.4g} min and no leak was seen"
            if rule.leak_counts
            else f"kept for {held:.4g} min"
        )
    return f"dropped by {_kpa(drop)} in {held:.4g} min; {_kpa(rule.drop_max_pa)} is allowed"


def _kpa(pressure_pa: float) -> str:
    return f"{pressure_pa / 1e3:.4g} kPa"
