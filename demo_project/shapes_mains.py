# SPDX-License-Identifier: Apache-2.0
"""Site work under the podium's ceiling: the mains from the plant to every shaft, and a tee made on site."""

from __future__ import annotations

from dataclasses import dataclass

from . import shaft_plan as plan
from .drawing import Drawing, Point, Step, fit
from .placing import Vector

SLIP_GAP_M, GROOVED_GAP_M = 0.02, 0.0015
TEE_ARM_M = 0.12
CORRIDOR_Y = 8.3
LANE_M = 0.13


@dataclass(frozen=True)
class Outlet:
    """A stub that a main must reach: part and stub, place and facing in the building."""

    part: str
    stub: str
    at: Vector
    facing: Vector


@dataclass(frozen=True)
class Main:
    """One main: its name, riser, lane in the corridor, its start and the shafts it feeds, nearest first."""

    name: str
    riser: str
    lane: int
    start: Outlet
    ends: tuple[Outlet, ...]
    corridor_y: float
    pipe: str

    @property
    def system(self) -> str:
        """Its system."""
        return plan.SYSTEM[self.riser]

    @property
    def flows_back(self) -> bool:
        """Whether water comes from the shafts: the return of hot water."""
        return self.riser == "HR"

    @property
    def gap_m(self) -> float:
        """The gap of its joints."""
        return GROOVED_GAP_M if self.riser == "FR" else SLIP_GAP_M

    @property
    def y(self) -> float:
        """Its line in the corridor."""
        return self.corridor_y - LANE_M * self.lane


@dataclass(frozen=True)
class SiteTee:
    """The tee made on site where the first main divides: its place, and which way water goes on (+1, -1)."""

    at: Vector
    onward: float


def _beside(outlet: Outlet, gap_m: float) -> tuple[Vector, str]:
    """Place and facing of the main's own stub before an outlet."""
    x, y, z = (round(p + f * gap_m, 4) for p, f in zip(outlet.at, outlet.facing, strict=True))
    words = {(1, 0): "-x", (-1, 0): "+x", (0, 1): "-y", (0, -1): "+y"}
    return (x, y, z), words[round(outlet.facing[0]), round(outlet.facing[1])]


def stub_name(main: Main, outlet: Outlet) -> str:
    """The main's stub before an outlet: `CWB-P01-02`."""
    return f"{main.name}-{outlet.part}"


def mains(name: str, all_mains: list[Main]) -> tuple[Drawing, SiteTee | None]:
    """All mains as one piece of site work; the first cold main that divides does so in a tee of its own."""
    d = Drawing(name, "A", "site_work", None, "mains under the podium's ceiling")
    d.hidden = False
    site_tee: SiteTee | None = None
    for main in all_mains:
        d.insulation_mm = plan.INSULATION_MM[main.riser]
        tee = _one_main(d, main, make_tee=main.riser == "CW" and site_tee is None)
        site_tee = site_tee or tee
    return d, site_tee


def _approach_x(main: Main, outlet: Outlet) -> float:
    """The x at which a main leaves the corridor for an outlet."""
    return outlet.at[0] + outlet.facing[0] * (0.35 + LANE_M * main.lane)


def _one_main(d: Drawing, main: Main, *, make_tee: bool) -> SiteTee | None:
    for outlet in (main.start, *main.ends):
        place, facing = _beside(outlet, main.gap_m)
        d.stub(stub_name(main, outlet), place, facing, main.system, main.pipe)
    start = stub_name(main, main.start)
    x, _, z = d.at[start]
    laid = _Laid(d, main, start, [(x, main.y, z)])
    site_tee: SiteTee | None = None
    *on_the_way, last = main.ends
    for number, outlet in enumerate(on_the_way, start=1):
        at = (_approach_x(main, outlet), main.y, z)
        if make_tee and number == 1:
            site_tee = SiteTee(at, -1.0 if last.at[0] < x else 1.0)
            branch = laid.through_site_tee(site_tee)
        else:
            branch = laid.through_tee(f"{main.name}-T{number}", at)
        end = stub_name(main, outlet)
        _flow(d, main, branch, *_way_in(d, end, at[0], main.y), end)
    across, end = _approach_x(main, last), stub_name(main, last)
    laid.to((across, main.y, z), *_way_in(d, end, across, main.y), end)
    return site_tee


@dataclass
class _Laid:
    """A main while it is laid: the node and port it has come to, and corners since."""

    d: Drawing
    main: Main
    here: str
    corners: list[Point]

    def to(self, *steps: Step) -> None:
        """Lay it on to a node."""
        _flow(self.d, self.main, self.here, *self.corners, *steps)
        self.corners = []

    def through_tee(self, name: str, at: Point) -> str:
        """Lay it on through a tee; gives the branch."""
        self.to(fit("tee", name, *at))
        self.here = f"{name}.{'a' if self.main.flows_back else 'b'}"
        return f"{name}.branch"

    def through_site_tee(self, tee: SiteTee) -> str:
        """Leave room for the tee made on site between three stubs; gives the stub of its branch."""
        main, (x, y, z), reach = self.main, tee.at, TEE_ARM_M + SLIP_GAP_M
        towards, away = ("-x", "+x") if tee.onward < 0 else ("+x", "-x")
        before, beyond, aside = (f"{main.name}-{name}" for name in ("TI", "TO", "TB"))
        self.d.stub(before, (x - tee.onward * reach, y, z), towards, main.system, main.pipe)
        self.d.stub(beyond, (x + tee.onward * reach, y, z), away, main.system, main.pipe)
        self.d.stub(aside, (x, y + reach, z), "-y", main.system, main.pipe)
        self.to(before)
        self.here = beyond
        return aside


def _way_in(d: Drawing, end: str, across: float, lane_y: float) -> list[Point]:
    """Corners between the corridor and an outlet; none where the outlet looks straight at the corridor."""
    x, y, z = d.at[end]
    return [] if abs(across - x) < 1e-9 or abs(y - lane_y) < 1e-9 else [(across, y, z)]


def _flow(d: Drawing, main: Main, start: str, *steps: Step) -> None:
    """Draw a piece of a main in the direction of its flow; a return flows towards the plant."""
    if not main.flows_back:
        d.line(main.system, main.pipe, start, *_without_repeats(d, start, steps))
        return
    d.rising(main.system, main.pipe, start, *_without_repeats(d, start, steps), slope=0.0)


def _without_repeats(d: Drawing, start: str, steps: tuple[Step, ...]) -> list[Step]:
    """Corners that lie where the line already is are no corners."""
    kept: list[Step] = []
    here: Point = d.at[start.partition(".")[0]]
    for step in steps:
        if isinstance(step, tuple):
            if max(abs(a - b) for a, b in zip(step, here, strict=True)) > 1e-6:
                kept.append(step)
                here = step
        else:
            kept.append(step)
    return kept


def site_tee_piece(pipe: str, system: str) -> Drawing:
    """The tee itself: water comes from +x, goes on towards -x, and branches off towards +y."""
    d = Drawing("TE", "A", "site_work", None, "tee made on site")
    d.hidden = False
    d.insulation_mm = 13
    d.stub("IN", (TEE_ARM_M, 0, 0), "+x", system, pipe)
    d.stub("OUT", (-TEE_ARM_M, 0, 0), "-x", system, pipe)
    d.stub("BR", (0, TEE_ARM_M, 0), "+y", system, pipe)
    d.line(system, pipe, "IN", fit("tee", "T", 0, 0, 0), "OUT")
    d.line(system, pipe, "T.branch", "BR")
    return d
