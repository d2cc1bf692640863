# SPDX-License-Identifier: Apache-2.0
"""One joint on a floor sheet: what and where it is, how far, what comes next, whether it may be covered."""

from __future__ import annotations

from dataclasses import dataclass

from riser.proving.gates import Gate
from riser.reports.joint_fit import FitLine
from riser.reports.pipe_words import level_text
from riser.reports.riser_places import ShaftPlace
from riser.reports.stage import Stage


@dataclass(frozen=True, slots=True)
class FindingLine:
    """A finding on a sheet, in the words of the check that made it."""

    key: str
    code: str
    severity: str
    says: str
    remedy: str
    accepted: str = ""

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class ConnectionLine:
    """One coupling or cap: its level [m], its invert where its pipe lies (drains), its stage."""

    id: str
    level_m: float
    invert_m: float | None
    stage: Stage
    covered_without_release: bool = False

    @property
    def level_words(self) -> str:
        """The level, and the invert of a drain that lies."""
        words = level_text(self.level_m)
        return words if self.invert_m is None else f"{words}, invert {level_text(self.invert_m)}"

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {
            "id": self.id,
            "level_m": round(self.level_m, 4),
            "invert_m": None if self.invert_m is None else round(self.invert_m, 4),
            "state": str(self.stage),
            "covered_without_release": self.covered_without_release,
        }


@dataclass(frozen=True, slots=True)
class JointLine:
    """One joint. `number` is its place in the working order of the floor.

    `shaft` is the one it stands in or near, "" for none; `barred` says why it cannot be made as drawn;
    `waits_for` names parts not yet placed; `gate` is the next gate and `lacking` what it lacks;
    `why_not_covered` names what is not yet done, and is empty only where covering is released.
    """

    number: int
    id: str
    system: int
    system_word: str
    riser: str
    shaft: str
    in_shaft: bool
    stubs: tuple[str, str]
    sizes: tuple[str, str]
    make_up: str
    make_up_short: str
    x_m: float
    y_m: float
    connections: tuple[ConnectionLine, ...]
    stage: Stage
    barred: str
    waits_for: tuple[str, ...]
    gate: Gate | None
    lacking: tuple[str, ...]
    fit: FitLine
    findings: tuple[FindingLine, ...]
    why_not_covered: tuple[str, ...]

    @property
    def shaft_words(self) -> str:
        """`shaft S1`, `near shaft S1`, or nothing."""
        return ShaftPlace(self.shaft, self.in_shaft).words

    @property
    def may_be_covered(self) -> bool:
        """Whether every connection has a release that holds."""
        return not self.why_not_covered

    @property
    def covered_too_early(self) -> bool:
        """Whether a connection was covered without a release, too early."""
        return any(connection.covered_without_release for connection in self.connections)

    @property
    def size_words(self) -> str:
        """Size and material: once where both sides are the same."""
        a, b = self.sizes
        if "-" in (a, b):
            return a if b == "-" else b
        return a if a == b else f"{a} to {b}"

    @property
    def next_words(self) -> str:
        """The next gate, who passes it, what it lacks."""
        if self.gate is None:
            return "all gates passed"
        by = f" by {self.gate.role}" if self.gate.role else ""
        return f"{self.gate.id}{by} ({self.gate.kind}), lacks {', '.join(self.lacking)}"

    @property
    def covering_words(self) -> str:
        """Whether it may be covered, and why not."""
        if self.may_be_covered:
            return "may be covered"
        words = "covered without a release" if self.covered_too_early else "do not cover"
        return f"{words}: not yet {', '.join(self.why_not_covered)}"

    def as_json(self) -> dict[str, object]:
        """One JSON object; lengths carry their unit in the key."""
        return {
            "number": self.number,
            "id": self.id,
            "system": self.system_word,
            "riser": self.riser,
            "shaft": self.shaft,
            "in_shaft": self.in_shaft,
            "stubs": [stub for stub in self.stubs if stub],
            "sizes": list(self.sizes),
            "make_up": self.make_up,
            "x_m": round(self.x_m, 4),
            "y_m": round(self.y_m, 4),
            "connections": [connection.as_json() for connection in self.connections],
            "state": str(self.stage),
            "cannot_be_made": self.barred,
            "waits_for": list(self.waits_for),
            "next_gate": None if self.gate is None else self.gate.as_json(),
            "lacking": list(self.lacking),
            "fit": self.fit.as_json(),
            "findings": [finding.as_json() for finding in self.findings],
            "may_be_covered": self.may_be_covered,
            "why_not_covered": list(self.why_not_covered),
        }
