# SPDX-License-Identifier: Apache-2.0
"""The fit of a joint as a foreman reads it: what is there against what the make-up takes, in millimetres."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.joints.fit import Fit, fit
from riser.joints.measured import measured_stubs
from riser.network.joints import JointState
from riser.network.model import Model
from riser.network.types import Flags
from riser.reports.pipe_words import bare_millimetres, millimetres


@dataclass(frozen=True, slots=True)
class FitLine:
    """One joint's fit [m]. `basis` is `drawn` or `measured`; `fits` is None where it cannot be judged.

    `offset_m` is the offset across the pipe, `gap_m` what the laying lengths leave of the distance, both
    against what the make-up takes; `angle_rad` how far the stubs are turned against each other.
    """

    basis: str
    fits: bool | None
    offset_m: float
    offset_takes_m: float
    gap_m: float
    gap_least_m: float
    gap_most_m: float
    angle_rad: float
    angle_takes_rad: float
    faults: tuple[str, ...]
    why_not_judged: str = ""

    @property
    def verdict(self) -> str:
        """In a few words: fits or not, and on which figures."""
        if self.fits is None:
            return self.why_not_judged
        word = "fits" if self.fits else "does not fit"
        return f"{word} as {self.basis}"

    @property
    def offset_words(self) -> str:
        """`across 4 mm, takes 8.7 mm`."""
        return f"across {millimetres(self.offset_m)}, takes {millimetres(self.offset_takes_m)}"

    @property
    def gap_words(self) -> str:
        """`gap 3 mm, takes 0 to 6 mm`."""
        least, most = bare_millimetres(self.gap_least_m), millimetres(self.gap_most_m)
        return f"gap {millimetres(self.gap_m)}, takes {least} to {most}"

    def as_json(self) -> dict[str, object]:
        """One JSON object; lengths in millimetres, angles in degrees, null where not judged."""
        figures = {
            "offset_mm": self.offset_m * 1e3,
            "offset_takes_mm": self.offset_takes_m * 1e3,
            "gap_mm": self.gap_m * 1e3,
            "gap_least_mm": self.gap_least_m * 1e3,
            "gap_most_mm": self.gap_most_m * 1e3,
            "angle_deg": float(np.rad2deg(self.angle_rad)),
            "angle_takes_deg": float(np.rad2deg(self.angle_takes_rad)),
        }
        rounded = {key: round(v, 3) + 0.0 if np.isfinite(v) else None for key, v in figures.items()}
        return {"fits": self.fits, "basis": self.basis, "verdict": self.verdict, **rounded,
                "faults": list(self.faults)}  # fmt: skip


@dataclass(frozen=True)
class Fits:
    """The fit of every joint of a model, and which joints have a measured stub."""

    model: Model
    found: Fit
    has_measured_stub: Flags

    def line(self, joint: int) -> FitLine:
        """One joint's fit."""
        found, n = self.found, joint
        why = self._why_not(joint)
        numbers = (
            found.lateral_m, found.offset_takes_m, found.gap_m, found.gap_least_m, found.gap_most_m,
            found.tilt_rad, found.bend_takes_rad,
        )  # fmt: skip
        offset, takes, gap, least, most, tilt, bend = (np.nan if why else float(c[n]) for c in numbers)
        faults = () if why else self._faults(joint)
        basis = "measured" if self.has_measured_stub[n] else "drawn"
        fits = None if why else not faults
        return FitLine(basis, fits, offset, takes, gap, least, most, tilt, bend, faults, why)

    def _why_not(self, joint: int) -> str:
        state = JointState(int(self.model.joints.state[joint]))
        if state == JointState.CLOSED:
            return "closed end, nothing to fit"
        if state == JointState.NO_STUB:
            return "a stub is missing"
        if state != JointState.JOINED:
            return "the stubs do not meet"
        return "" if self.found.judged[joint] else "a coupling is not in the catalogue"

    def _faults(self, joint: int) -> tuple[str, ...]:
        found = self.found
        faults = []
        if found.gap_is_wrong[joint]:
            tight = found.gap_m[joint] < found.gap_least_m[joint]
            limit = found.gap_least_m[joint] if tight else found.gap_most_m[joint]
            over = millimetres(abs(float(found.gap_m[joint] - limit)))
            faults.append(f"{over} too {'tight' if tight else 'wide'}")
        if found.offset_is_wrong[joint]:
            over = millimetres(float(found.lateral_m[joint] - found.offset_takes_m[joint]))
            faults.append(f"{over} too far across")
        if found.angle_is_wrong[joint]:
            faults.append(f"turned {np.rad2deg(found.tilt_rad[joint]):.1f} degrees")
        return tuple(faults)


def fits_of(model: Model) -> Fits:
    """The fit of every joint, at measured places where a stub was measured and drawn ones elsewhere."""
    joints = model.joints
    known = np.zeros(len(model.placed.node_type) + 1, bool)
    known[measured_stubs(model.placed).node] = True
    return Fits(model, fit(model), known[joints.stub_a] | known[joints.stub_b])
