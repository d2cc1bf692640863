# SPDX-License-Identifier: Apache-2.0
"""What else may explain the readings of a test: temperature, air, a leak's size, a stuck needle.

These notes stand beside the verdict. None of them changes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riser.hydraulics.filling import trapped_air, water_to_pressurise
from riser.hydraulics.leak import equivalent_orifice, leak_flow, water_store
from riser.hydraulics.thermal import pressure_rise_of_warming
from riser.hydraulics.water import compressibility, density
from riser.proving.judging import PassRule, Reading
from riser.proving.required import TEST_TEMPERATURE_C

ATMOSPHERE_PA = 101_325.0
# A sharp-edged hole; recalled from textbooks on hydraulics, not read.
DISCHARGE_COEFFICIENT = 0.6
# So many readings without the least movement, while something else moved. Common practice, no source.
STUCK_AFTER = 3


@dataclass(frozen=True, slots=True)
class WetPipe:
    """The section under test as water and wall: volume, and how the wall gives and grows."""

    volume_m3: float
    wall_compliance_per_pa: float
    pipe_expansion_per_k: float


def temperature_note(pipe: WetPipe, hold: Sequence[Reading]) -> str:
    """The change of pressure that temperature alone would bring, beside the change that was read."""
    first, last = hold[0], hold[-1]
    if np.isnan(first.temperature_c) or np.isnan(last.temperature_c):
        return "Temperature of the water was not taken: what it did to the pressure cannot be told."
    if first.temperature_c == last.temperature_c:
        return ""
    expected = pressure_rise_of_warming(
        first.temperature_c, last.temperature_c, pipe.pipe_expansion_per_k, pipe.wall_compliance_per_pa
    )
    read = last.pressure_pa - first.pressure_pa
    return (
        f"Water went from {first.temperature_c:.1f} to {last.temperature_c:.1f} C: in a full, airless pipe"
        f" that alone is {expected / 1e3:+.0f} kPa; {read / 1e3:+.4g} kPa was read."
    )


def expected_pump_m3(pipe: WetPipe, rise_pa: float) -> float:
    """Water to pump into the full, airless section for a rise of pressure [m3]."""
    squeezed = float(compressibility(TEST_TEMPERATURE_C))
    return float(water_to_pressurise(pipe.volume_m3, squeezed, pipe.wall_compliance_per_pa, rise_pa))


def trapped_air_m3(pipe: WetPipe, pumped_m3: float, rise_pa: float) -> float:
    """Air in the section before pumping [m3], from the water it took; never below zero."""
    airless = expected_pump_m3(pipe, rise_pa)
    found = trapped_air(pumped_m3, airless, ATMOSPHERE_PA, ATMOSPHERE_PA + rise_pa)
    return max(float(found), 0.0)


def air_note(pipe: WetPipe, pumped_m3: float, rise_pa: float) -> str:
    """What the pumped volume says about trapped air."""
    if rise_pa <= 0 or pumped_m3 <= 0:
        return ""
    air = trapped_air_m3(pipe, pumped_m3, rise_pa)
    return (
        f"{pumped_m3 * 1e3:.3g} L pumped where {expected_pump_m3(pipe, rise_pa) * 1e3:.3g} L would do without"
        f" air: about {air * 1e3:.3g} L of air, {air / pipe.volume_m3:.2%} of the section."
    )


def leak_note(pipe: WetPipe, hold: Sequence[Reading], air_m3: float = 0.0) -> str:
    """The drop as a leak at constant temperature: its mean flow and the hole that explains it."""
    first, last = hold[0], hold[-1]
    time = last.time_s - first.time_s
    if not 0 <= last.pressure_pa < first.pressure_pa or time <= 0:
        return ""
    squeezed = float(compressibility(TEST_TEMPERATURE_C))
    mean = ATMOSPHERE_PA + (first.pressure_pa + last.pressure_pa) / 2
    shrunk = air_m3 * ATMOSPHERE_PA / mean
    store = water_store(pipe.volume_m3, squeezed, pipe.wall_compliance_per_pa, shrunk, mean)
    flow = float(leak_flow(store, first.pressure_pa - last.pressure_pa, time))
    rho = density(TEST_TEMPERATURE_C)
    area = float(
        equivalent_orifice(first.pressure_pa, last.pressure_pa, time, store, rho, DISCHARGE_COEFFICIENT)
    )
    across = 2e3 * np.sqrt(area / np.pi)
    return f"As a leak at constant temperature: {flow * 3.6e9:.3g} mL/h, a hole {across:.2g} mm across."


def needle_note(hold: Sequence[Reading], graduation_pa: float) -> str:
    """Whether the needle stood still although water was pumped or the temperature moved."""
    pressures = {r.pressure_pa for r in hold}
    if len(hold) < STUCK_AFTER or len(pressures) > 1:
        return ""
    temperatures = [r.temperature_c for r in hold if not np.isnan(r.temperature_c)]
    moved = len(temperatures) > 1 and max(temperatures) - min(temperatures) >= 0.5
    if not moved and not any(r.pumped_m3 > 0 for r in hold[1:]):
        return ""
    return (
        "The needle did not move although temperature or pumping should have moved it: tap the gauge, let a"
        f" little water off and see that it follows (one division is {graduation_pa / 1e3:.3g} kPa)."
    )


def pumping_note(rule: PassRule, hold: Sequence[Reading]) -> str:
    """How much was pumped during the hold."""
    pumped = sum(r.pumped_m3 for r in hold[1:])
    if pumped <= 0:
        return ""
    word = "the rule allows it" if rule.pumping else "the rule allows none"
    return f"{pumped * 1e3:.3g} L pumped during the hold; {word}."


def notes(
    pipe: WetPipe,
    rule: PassRule,
    hold: Sequence[Reading],
    *,
    graduation_pa: float,
    pumped_to_start_m3: float = 0.0,
    rise_pa: float = 0.0,
) -> tuple[str, ...]:
    """All notes that have something to say."""
    if not hold:
        return ()
    air = trapped_air_m3(pipe, pumped_to_start_m3, rise_pa) if pumped_to_start_m3 > 0 and rise_pa > 0 else 0.0
    said = (
        temperature_note(pipe, hold),
        air_note(pipe, pumped_to_start_m3, rise_pa),
        leak_note(pipe, hold, air),
        needle_note(hold, graduation_pa),
        pumping_note(rule, hold),
    )
    return tuple(note for note in said if note)
