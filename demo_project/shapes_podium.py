# SPDX-License-Identifier: Apache-2.0
"""Podium modules: where stacks shift sideways, the shaft's foot, visitors' toilets; and the roof pieces."""

from __future__ import annotations

from . import shaft_plan as plan
from .drawing import Drawing, Fit, fit, valve
from .shaft_plan import AT, DRAIN_SLOPE, STANDARD_SHAFT, VENT_SLOPE, RiserPlan, Shaft, at_below
from .shapes_shaft import bottom_and_top, upright

DEPTH = plan.SHAFT_DEPTH_M
PODIUM_TOP_M = {"soil": 0.4, "waste": 0.4, "vent": 0.4, "rainwater": 0.4, "condensate": 0.4}
"""How far below the next floor gravity pipes end in a podium module; pressure pipes end a little higher."""
FOOT_M = 0.35
"""The lower end of pipes over the ground slab."""
VENT_FACE_M = 2.18


def podium_top_m(system: str, storey_m: float) -> float:
    """The upper end of a riser in a podium module."""
    return storey_m - PODIUM_TOP_M.get(system, 0.35)


def transfer_module(
    storey_m: float, slab_m: float, shaft: Shaft = STANDARD_SHAFT, revision: str = "A"
) -> Drawing:
    """Under the transfer slab soil, waste and rainwater move sideways; the rest goes straight through."""
    d = Drawing(
        "TM", revision, "module", (plan.SHAFT_WIDTH_M, 3.1, storey_m - slab_m - 0.1), "transfer of stacks"
    )
    for riser in shaft.risers:
        top = podium_top_m(riser.system, storey_m) - slab_m + 0.2
        if riser.name in plan.BELOW_TRANSFER:
            _shifted(d, riser, shaft.pipe_in_offset(riser.name), top)
        else:
            bottom_and_top(d, riser, plan.BOTTOM_M, top)
            upright(d, riser, _straight_fittings(riser))
    return d


def _straight_fittings(riser: RiserPlan) -> list[Fit]:
    """The hot riser has an expansion piece between guides here."""
    if riser.name != "HW":
        return []
    return [
        fit("guide", "G1", *riser.at, 0.9),
        fit("expansion_piece", "XP", *riser.at, 1.3),
        fit("guide", "G2", *riser.at, 1.7),
    ]


# Level at which each stack turns into its offset.
_TURN_M = {"SS": 1.9, "WS": 1.1, "RW": 2.3}


def _shifted(d: Drawing, riser: RiserPlan, pipe: str, top_m: float) -> None:
    name, turn, below = riser.name, _TURN_M[riser.name], at_below(riser.name)
    d.stub(f"{name}1", (*below, plan.BOTTOM_M), "down", riser.system, pipe)
    d.stub(f"{name}2", (*riser.at, top_m), "up", riser.system, riser.pipe)
    start = f"{name}2"
    if pipe != riser.pipe:
        d.line(riser.system, riser.pipe, start, fit("reducer", f"{name}-R", *riser.at, turn + 0.7))
        start = f"{name}-R.b"
    d.line(riser.system, pipe, start, fit("cleanout", f"{name}-CO", *riser.at, turn + 0.3))
    foot = fit("bend", f"{name}-B1", *below, turn)
    d.rising(riser.system, pipe, f"{name}1", foot, fit("bend", f"{name}-B2", *riser.at), f"{name}-CO.b",
             slope=DRAIN_SLOPE)  # fmt: skip


def foot_module(
    storey_m: float, shaft: Shaft = STANDARD_SHAFT, *, toilets: bool, revision: str = "A"
) -> Drawing:
    """The foot of a shaft on the ground slab: cleanouts, foot of the vent stack, and where the mains arrive.

    With toilets, cold and hot water branch off for the visitors' toilets at its back.
    """
    name = "PV" if toilets else "PS"
    d = Drawing(name, revision, "module", (plan.SHAFT_WIDTH_M, 3.1, storey_m - 0.2), "foot of a shaft")
    for riser in shaft.risers:
        top = podium_top_m(riser.system, storey_m)
        d.stub(
            f"{riser.name}2", (*at_below(riser.name), top), "up", riser.system, shaft.pipe_below(riser.name)
        )
    for name in plan.DRAIN_RISERS:
        _stack_foot(d, shaft.riser(name), shaft.pipe_below(name))
    _vent_foot(d, shaft.pipe_below("VS"))
    for name in plan.SUPPLY_RISERS:
        _supply_foot(d, shaft.riser(name), toilets=toilets and name in ("CW", "HW"))
    _fire_foot(d)
    for name in ("EP", "ED"):
        riser = shaft.riser(name)
        d.node("cap", f"{name}-B", (*riser.at, 0.6))
        d.line(riser.system, riser.pipe, f"{name}-B", f"{name}2")
    return d


def _stack_foot(d: Drawing, riser: RiserPlan, pipe: str) -> None:
    """A cleanout above the floor, and the relief tee of soil and waste above it."""
    name, at = riser.name, at_below(riser.name)
    d.stub(f"{name}1", (*at, FOOT_M), "down", riser.system, pipe)
    tee = {"SS": [fit("tee", "SS-T", *at, 1.25)], "WS": [fit("tee", "WS-T", *at, 1.8)]}.get(name, [])
    d.line(riser.system, pipe, f"{name}2", *tee, fit("cleanout", f"{name}-CO", *at, 0.6), f"{name}1")


def _vent_foot(d: Drawing, pipe: str) -> None:
    """The vent stack ends in the soil stack above its foot; a second arm relieves the waste stack."""
    x, y = AT["VS"]
    soil, waste = at_below("SS"), at_below("WS")
    for side, sign in (("R", 1.0), ("L", -1.0)):
        height = VENT_FACE_M + VENT_SLOPE * plan.GAP_M
        place = (sign * plan.KITCHEN_VENT_X, DEPTH, height)
        d.stub(f"VK{side}", place, (0, 1, -VENT_SLOPE), "vent", "CI80")
    arm = ((x + 0.3, soil[1]), (x + 0.3, y), (x, y))
    d.rising("vent", pipe, "SS-T.branch", *arm, fit("tee", "VW", x, y, 1.95),
             fit("tee", "VT", x, y, VENT_FACE_M + 0.03), "VS2", slope=DRAIN_SLOPE)  # fmt: skip
    d.rising("vent", pipe, "WS-T.branch", (x, waste[1]), "VW.branch", slope=DRAIN_SLOPE)
    right = ((plan.KITCHEN_VENT_X, y),)
    left = ((-plan.KITCHEN_VENT_X, 2.05), (x, 2.05))
    d.rising("vent", "CI80", "VKR", *right, "VT.branch_2", slope=VENT_SLOPE)
    d.rising("vent", "CI80", "VKL", *left, "VT.branch", slope=VENT_SLOPE)


def _supply_foot(d: Drawing, riser: RiserPlan, *, toilets: bool) -> None:
    """A main arrives under the ceiling: valve, drain cock, and up. The return leaves so too, balanced."""
    (x, y), name, z = riser.at, riser.name, plan.MAINS_LEVEL_M[riser.name]
    d.insulation_mm = riser.insulation_mm
    d.stub(f"{name}M", (-plan.SIDE_M - plan.COPPER_REACH_M, y, z), "-x", riser.system, riser.pipe)
    stop, tee = valve(f"{name}-V", -1.35, y, z), fit("tee", f"{name}-D", -1.15, y, z)
    turn = fit("bend", f"{name}-B", x, y, z)
    if riser.falls:
        balancing = fit("balancing_valve", f"{name}-BV", -1.25, y, z, setting="0.10 L/s")
        d.line(riser.system, riser.pipe, f"{name}2", turn, tee, balancing, stop, f"{name}M")
    elif toilets:
        split = fit("tee", f"{name}-T", x, y, z + 0.15)
        d.line(riser.system, riser.pipe, f"{name}M", stop, tee, turn, split, f"{name}2")
        _toilet_branch(d, riser, z + 0.15)
    else:
        d.line(riser.system, riser.pipe, f"{name}M", stop, tee, turn, f"{name}2")
    cock = fit("drain_cock", f"{name}-DC", -1.15, y, z - 0.12)
    d.line(riser.system, "CU15", f"{name}-D.branch", cock)
    d.insulation_mm = 0.0


def _toilet_branch(d: Drawing, riser: RiserPlan, z: float) -> None:
    """Both toilets from one valved branch that drops to the height of the kitchens' branches above."""
    (x, y), letter = riser.at, riser.name[0]
    face = {"C": plan.COLD_FACE_M, "H": plan.HOT_FACE_M}[letter]
    across = {"C": plan.COLD_X, "H": plan.HOT_X}[letter]
    aside, back = x + 0.2, y + 0.2
    stop = valve(f"{riser.name}-TV", x + 0.1, y, z)
    split = fit("tee", f"{riser.name}-TT", aside, back, face)
    corners = ((aside, y, z), (aside, y, face))
    d.line(riser.system, "CU28", f"{riser.name}-T.branch", stop, *corners, split)
    out = DEPTH + plan.COPPER_REACH_M
    for side, sign, port in (("R", 1.0, "branch"), ("L", -1.0, "b")):
        d.stub(f"{letter}K{side}", (sign * across, out, face), "+y", riser.system, "CU22")
        corner = (sign * across, back, face)
        d.line(riser.system, "CU22", f"{riser.name}-TT.{port}", corner, f"{letter}K{side}")


def _fire_foot(d: Drawing) -> None:
    (x, y), z = AT["FR"], plan.MAINS_LEVEL_M["FR"]
    d.stub("FRM", (x, -0.7, z), "-y", "fire", "ST100")
    stop, tee = valve("FR-V", x, -0.35, z), fit("tee", "FR-D", x, 0.0, z)
    d.line("fire", "ST100", "FRM", stop, tee, fit("bend", "FR-B", x, y, z), "FR2")
    d.line("fire", "ST50", "FR-D.branch", fit("drain_cock", "FR-DC", x, 0.0, z - 0.2))


def toilet_module(revision: str = "A") -> Drawing:
    """Toilets for visitors: two closets, two basins, a urinal and a drinking fountain on their own drain."""
    d = Drawing("PT", revision, "module", (3.2, 3.2, 3.3), "toilets for visitors")
    d.stub("SO", (1.6, 1.0, FOOT_M), "down", "soil", "CI100")
    d.stub("VT", (plan.KITCHEN_VENT_X, 0, VENT_FACE_M), (0, -1, VENT_SLOPE), "vent", "CI80")
    d.stub("CW", (plan.COLD_X, -plan.COPPER_REACH_M, plan.COLD_FACE_M), "-y", "cold", "CU22")
    d.stub("HW", (plan.HOT_X, -plan.COPPER_REACH_M, plan.HOT_FACE_M), "-y", "hot", "CU22")
    d.fixture("WC1", "wc_cistern", (1.1, 1.6, 0.62), "public", "tank")
    d.fixture("WC2", "wc_cistern", (1.1, 2.5, 0.64), "public", "tank")
    d.fixture("LAV1", "lavatory", (2.1, 1.6, 0.85), "public")
    d.fixture("LAV2", "lavatory", (2.1, 2.5, 0.85), "public")
    d.fixture("UR", "urinal", (1.6, 2.75, 0.9), "public", "flush_tank")
    d.fixture("DF", "drinking_fountain", (2.2, 2.05, 0.9), "public")
    _toilet_drains(d)
    _toilet_supply(d)
    return d


def _toilet_drains(d: Drawing) -> None:
    x, slope = 1.6, DRAIN_SLOPE
    tees = (
        fit("tee", "TV", x, 1.3),
        fit("tee", "T1", x, 1.6),
        fit("tee", "T2", x, 2.05),
        fit("tee", "T3", x, 2.5),
    )
    d.rising("soil", "CI100", "SO", fit("bend", "B1", x, 1.0, 0.58), *tees, slope=slope)
    for tee, name, place in (("T1", "LAV1", (2.1, 1.6)), ("T3", "LAV2", (2.1, 2.5))):
        d.rising(
            "soil", "AB40", f"{tee}.branch_2", fit("trap", f"{name}-P", *place), f"{name}.waste", slope=0.03
        )
    d.rising("soil", "AB40", "T2.branch", fit("trap", "DF-P", 2.2, 2.05), "DF.waste", slope=0.03)
    d.rising("soil", "CI100", "T1.branch", "WC1.waste", slope=slope)
    d.rising("soil", "CI100", "T3.branch", "WC2.waste", slope=slope)
    d.rising("soil", "AB50", "T3.a", fit("trap", "UR-P", x, 2.75), "UR.waste", slope=0.03)
    high = VENT_FACE_M - VENT_SLOPE * (1.3 + x - plan.KITCHEN_VENT_X)
    d.rising("vent", "CI80", "TV.branch", (x, 1.3, high), (plan.KITCHEN_VENT_X, 1.3), "VT", slope=VENT_SLOPE)


def _toilet_supply(d: Drawing) -> None:
    x, z = plan.COLD_X, plan.COLD_FACE_M
    tees = (fit("tee", "C1", x, 1.6, z), fit("tee", "C2", x, 2.05, z), fit("tee", "C3", x, 2.5, z))
    d.line("cold", "CU22", "CW", *tees, (x, 2.75, z), (1.6, 2.75, z), "UR.cold")
    for tee, name, (px, py) in (("C1", "WC1", (1.1, 1.6)), ("C3", "WC2", (1.1, 2.5))):
        d.line("cold", "CU15", f"{tee}.branch", (px, py, z), f"{name}.cold")
    for tee, name, (px, py) in (("C1", "LAV1", (2.1, 1.6)), ("C3", "LAV2", (2.1, 2.5))):
        d.line("cold", "CU15", f"{tee}.branch_2", (px, py, z), f"{name}.cold")
    d.line("cold", "CU15", "C2.branch", (2.2, 2.05, z), "DF.cold")
    x, z = plan.HOT_X, plan.HOT_FACE_M
    d.line("hot", "CU22", "HW", fit("tee", "H1", x, 1.6, z))
    d.line("hot", "CU15", "H1.branch", (2.1, 1.6, z), "LAV1.hot")
    d.line("hot", "CU15", "H1.b", (x, 2.5, z), (2.1, 2.5, z), "LAV2.hot")


def roof_piece(shaft: Shaft = STANDARD_SHAFT, *, rain_shift_m: float = 0.0, revision: str = "A") -> Drawing:
    """Above the roof: vent terminals, two rainwater outlets, the turn from hot to return, taps, end pieces.

    `rain_shift_m` sets the outlet's pipe sideways of the riser, towards positive x.
    """
    d = Drawing("RF", revision, "site_work", None, "roof over a shaft")
    d.hidden = False
    for riser in shaft.risers:
        x, y = riser.at
        x += rain_shift_m if riser.name == "RW" else 0.0
        d.stub(f"{riser.name}1", (x, y, plan.BOTTOM_M), "down", riser.system, riser.pipe)
    for name in ("SS", "WS", "VS", "CD"):
        riser = shaft.riser(name)
        d.line(riser.system, riser.pipe, f"{name}1", fit("vent_terminal", f"{name}-VT", *riser.at, 0.7))
    _roof_rain(d, shaft.riser("RW"), rain_shift_m)
    _roof_supply(d, shaft)
    x, y = AT["FR"]
    top = fit("hose_valve", "HV", x, y - 0.3, 0.9, normally="closed", may_bound_test="yes")
    d.line("fire", "ST100", "FR1", fit("tee", "FR-T", x, y, 0.7), fit("air_vent", "FR-AV", x, y, 0.8))
    d.line("fire", "ST65", "FR-T.branch", top)
    for name in ("EP", "ED"):
        riser = shaft.riser(name)
        d.line(riser.system, riser.pipe, f"{name}1", fit("cap", f"{name}-B", *riser.at, 0.7))
    return d


def _roof_rain(d: Drawing, riser: RiserPlan, shift_m: float) -> None:
    """Two outlets in the roof, one over the riser and one beside it."""
    x, y = riser.at[0] + shift_m, riser.at[1]
    up = (fit("tee", "RW-T", x, y, 0.2), fit("roof_outlet", "RO1", x, y, 0.4))
    d.rising("rainwater", riser.pipe, "RW1", *up, slope=DRAIN_SLOPE)
    away = (x - 1.5, y)
    d.rising(
        "rainwater", riser.pipe, "RW-T.branch", away, fit("roof_outlet", "RO2", *away, 0.4), slope=DRAIN_SLOPE
    )


def _roof_supply(d: Drawing, shaft: Shaft) -> None:
    """Cold and non-potable end in taps, hot turns into its return; each top has an air vent."""
    for name, port in (("CW", "cold"), ("NP", "non_potable")):
        riser = shaft.riser(name)
        x, y = riser.at
        d.insulation_mm = riser.insulation_mm
        d.fixture(f"{name}-TAP", "tap", (x - 0.4, y, 0.5), "public")
        air = fit("air_vent", f"{name}-AV", x, y, 0.7)
        d.line(riser.system, riser.pipe, f"{name}1", fit("tee", f"{name}-T", x, y, 0.6), air)
        stop = valve(f"{name}-V", x - 0.2, y, 0.6)
        d.line(riser.system, "CU22", f"{name}-T.branch", stop, (x - 0.4, y, 0.6), f"{name}-TAP.{port}")
    d.insulation_mm = 25.0
    (x, y), (_, back) = AT["HW"], AT["HR"]
    d.line(
        "hot",
        shaft.riser("HW").pipe,
        "HW1",
        fit("tee", "HW-T", x, y, 0.6),
        fit("air_vent", "HW-AV", x, y, 0.7),
    )
    d.line("hot_return", shaft.riser("HR").pipe, "HW-T.branch", (x, back, 0.6), "HR1")
    d.insulation_mm = 0.0
