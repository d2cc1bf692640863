# SPDX-License-Identifier: Apache-2.0
"""The pipework below the ground slab: stub-ups, laterals, two collectors, and the mains from the street.

Drawn in the axes of the building. Each foot runs sideways to a line of its own, then along y down to its
collector; the collectors run along x and end at the sewer and at the storm drain.
"""

from __future__ import annotations

from dataclasses import dataclass

from .drawing import Drawing, Fit, fit

STUB_TOP_M = 0.1
COLLECTOR_SLOPE = 0.012
LATERAL_SLOPE = 0.015
CONDENSATE_SLOPE = 0.025
FIRST_LEVEL_M = -0.65
LINE_SPACING_M = 0.25
FOUL_Y, STORM_Y = 4.0, 2.8
COLD_DEPTH_M, FIRE_DEPTH_M = -0.35, -0.62


@dataclass(frozen=True)
class Foot:
    """A drain that comes down through the slab: stub name, system, pipe, place in the building [m]."""

    name: str
    system: str
    pipe: str
    x: float
    y: float

    @property
    def is_storm(self) -> bool:
        """Rainwater goes to the storm drain."""
        return self.system == "rainwater"


@dataclass(frozen=True)
class Collector:
    """A collector: its system, pipe, line and the level at which it begins [m]."""

    system: str
    pipe: str
    y: float
    first_level_m: float


def ground(
    name: str,
    feet: list[Foot],
    cold_main: tuple[float, float],
    fire_main: tuple[float, float],
    south_m: float,
    collector: str = "CI150",
) -> Drawing:
    """All pipework below the slab of a wing: its feet, and its two mains' entries into the plant.

    `south_m` is the y of the pavement, `collector` the pipe of the foul and the storm collector.
    """
    d = Drawing(name, "A", "below_slab", None, "drains and mains below the ground slab")
    for foot in feet:
        d.stub(foot.name, (foot.x, foot.y, STUB_TOP_M), "up", foot.system, foot.pipe)
    lines = _lines(feet)
    for system, y, below in (("soil", FOUL_Y, 0.0), ("rainwater", STORM_Y, 0.3)):
        some = [foot for foot in feet if foot.is_storm is (system == "rainwater")]
        if some:
            _collector(d, Collector(system, collector, south_m + y, FIRST_LEVEL_M - below), some, lines)
    _mains(d, cold_main, fire_main, south_m + 0.5)
    return d


def _lines(feet: list[Foot]) -> dict[str, float]:
    """The x at which each foot runs to its collector: its own, moved on where lines would crowd."""
    lines: dict[str, float] = {}
    last = -1e9
    for foot in sorted(feet, key=lambda f: (f.x, f.y)):
        last = max(foot.x, last + LINE_SPACING_M)
        lines[foot.name] = last
    return lines


def _collector(d: Drawing, collector: Collector, feet: list[Foot], lines: dict[str, float]) -> None:
    """A collector from its first lateral in the west to the outfall in the east."""
    feet = sorted(feet, key=lambda f: lines[f.name])
    first, last = lines[feet[0].name], lines[feet[-1].name]
    outfall = last + 6.0
    level = collector.first_level_m - COLLECTOR_SLOPE * (outfall - first)
    end = d.node("outfall", "OF1" if collector.system == "soil" else "OF2", (outfall, collector.y, level))
    tees: list[Fit] = [fit("tee", f"{foot.name}-T", lines[foot.name], collector.y) for foot in feet[:0:-1]]
    start = fit("bend", f"{feet[0].name}-T", first, collector.y)
    d.rising(collector.system, collector.pipe, end, *tees, start, slope=COLLECTOR_SLOPE)
    for foot in feet:
        port = "" if foot is feet[0] else ".branch"
        _lateral(d, foot, lines[foot.name], f"{foot.name}-T{port}")


def _lateral(d: Drawing, foot: Foot, line: float, end: str) -> None:
    """From the collector up to the bend under the stub."""
    slope = CONDENSATE_SLOPE if foot.system == "condensate" else LATERAL_SLOPE
    pipe = "AB50" if foot.system == "condensate" else foot.pipe
    corner = () if abs(line - foot.x) < 1e-9 else ((line, foot.y),)
    bend = fit("bend", f"{foot.name}-B", foot.x, foot.y)
    if foot.system == "condensate":
        reducer = fit("reducer", f"{foot.name}-R", foot.x, foot.y, -0.35)
        d.rising(foot.system, pipe, end, *corner, bend, reducer, slope=slope)
        d.rising(foot.system, foot.pipe, f"{foot.name}-R.a", foot.name, slope=slope)
    else:
        d.rising(foot.system, pipe, end, *corner, bend, foot.name, slope=slope)


def _mains(d: Drawing, cold: tuple[float, float], fire: tuple[float, float], pavement_y: float) -> None:
    """Water from the street, and the fire brigade's inlet at the pavement."""
    (x, y), z = cold, COLD_DEPTH_M
    d.stub("CWI", (x, y, STUB_TOP_M), "up", "cold", "CU54")
    d.node("mains_connection", "MC1", (x + 0.6, pavement_y, z))
    d.line("cold", "CU54", "MC1", (x + 0.6, y, z), (x, y, z), "CWI")
    (x, y), z = fire, FIRE_DEPTH_M
    d.stub("FRI", (x, y, STUB_TOP_M), "up", "fire", "ST100")
    d.node("fire_inlet", "FI1", (x + 1.4, pavement_y, 0.8))
    d.line("fire", "ST100", "FI1", (x + 1.4, pavement_y, z), (x + 1.4, y, z), (x, y, z), "FRI")
