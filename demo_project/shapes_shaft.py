# SPDX-License-Identifier: Apache-2.0
"""Shaft modules: the risers of one storey or two, and their branches to bathrooms, kitchens and corridor."""

from __future__ import annotations

from . import shaft_plan as plan
from .drawing import Drawing, Fit, fit, valve
from .shaft_plan import AT, DRAIN_SLOPE, SMALL_DRAIN_SLOPE, STANDARD_SHAFT, VENT_SLOPE, RiserPlan, Shaft

DEPTH = plan.SHAFT_DEPTH_M
SIDE = plan.SIDE_M
REACH = plan.COPPER_REACH_M


def shaft_module(
    name: str,
    storeys: int,
    storey_m: float,
    shaft: Shaft = STANDARD_SHAFT,
    *,
    relief: bool = False,
    revision: str = "A",
) -> Drawing:
    """A shaft module of one or more storeys. Its left side is drawn as the mirror of its right.

    With `relief` its lowest storey ties soil and waste stack to the vent stack, as tall stacks need.
    """
    height = storeys * storey_m - 0.15
    d = Drawing(name, revision, "module", (plan.SHAFT_WIDTH_M, DEPTH, height), f"shaft, {storeys} storey(s)")
    levels = [(storey * storey_m, "" if storey == 0 else f"-{storey + 1}") for storey in range(storeys)]
    for riser in shaft.risers:
        bottom_and_top(d, riser, plan.BOTTOM_M, plan.top_m(riser.system, storeys * storey_m))
    for level, tag in levels:
        _stubs(d, level, tag)
    for riser in shaft.risers:
        fittings = [tee for level, tag in levels for tee in _fittings(riser, level, tag)]
        upright(d, riser, sorted(fittings + _relief_tees(riser, relief), key=lambda tee: tee.at[2]))
    for level, tag in levels:
        _branches(d, level, tag)
    if relief:
        _relief(d, shaft.riser("VS").pipe)
    return d


def bottom_and_top(d: Drawing, riser: RiserPlan, bottom_m: float, top_m: float) -> None:
    """The two ends of a riser, straight above each other."""
    d.stub(f"{riser.name}1", (*riser.at, bottom_m), "down", riser.system, riser.pipe)
    d.stub(f"{riser.name}2", (*riser.at, top_m), "up", riser.system, riser.pipe)


def upright(d: Drawing, riser: RiserPlan, fittings: list[Fit]) -> None:
    """The upright line of a riser between its ends, in the direction of flow; fittings are given upwards."""
    d.insulation_mm = riser.insulation_mm
    if riser.falls:
        d.line(riser.system, riser.pipe, f"{riser.name}2", *fittings[::-1], f"{riser.name}1")
    else:
        d.line(riser.system, riser.pipe, f"{riser.name}1", *fittings, f"{riser.name}2")
    d.insulation_mm = 0.0


# Tees on each riser of a storey: name and height above the floor.
_TEES: dict[str, tuple[tuple[str, float], ...]] = {
    "SS": (("ST", 0.368),),
    "WS": (("WT", 0.3963),),
    "VS": (("VTB", 1.79), ("VTK", 2.015)),
    "CD": (("DT", 2.255),),
    "CW": (("CT", plan.COLD_FACE_M),),
    "HW": (("HT", plan.HOT_FACE_M),),
    "NP": (("NT", plan.NON_POTABLE_FACE_M),),
    "FR": (("FH", 1.2), ("FT", plan.SPRINKLER_FACE_M)),
    "EP": (("ET", plan.POWER_FACE_M),),
    "ED": (("XT", plan.DATA_FACE_M),),
}


def _fittings(riser: RiserPlan, level_m: float, tag: str) -> list[Fit]:
    return [fit("tee", name + tag, *riser.at, level_m + height) for name, height in _TEES.get(riser.name, ())]


# Relief: tees below the branches of soil and waste, and well above the floor on the vent stack.
_RELIEF_TEES = {"SS": (("SR", 0.2),), "WS": (("WR", 0.2),), "VS": (("VRS", 1.36), ("VRW", 1.51))}


def _relief_tees(riser: RiserPlan, relief: bool) -> list[Fit]:
    tees = _RELIEF_TEES.get(riser.name, ()) if relief else ()
    return [fit("tee", name, *riser.at, height) for name, height in tees]


def _relief(d: Drawing, pipe: str) -> None:
    """From below the branches up to the vent stack, outside the stacks."""
    x, y = AT["VS"]
    d.rising(
        "vent",
        pipe,
        "SR.branch",
        (x, AT["SS"][1]),
        (x, 1.45),
        (x, 1.45, 1.35),
        "VRS.branch",
        slope=VENT_SLOPE,
    )
    beside = x / 2
    corners = ((beside, AT["WS"][1]), (beside, AT["WS"][1], 1.5), (beside, y))
    d.rising("vent", pipe, "WR.branch", *corners, "VRW.branch", slope=VENT_SLOPE)


def side_stub_height(face_m: float, slope: float) -> float:
    """The height at which a fall meets the shaft module, when the neighbour's end lies at `face_m`."""
    return face_m - slope * plan.GAP_M


def _stubs(d: Drawing, level: float, tag: str) -> None:
    for side, sign in (("R", 1.0), ("L", -1.0)):
        _bath_stubs(d, level, tag, side, sign)
        _kitchen_stubs(d, level, tag, side, sign)
    d.stub(f"FRC{tag}", (AT["FR"][0], 0.0, level + plan.SPRINKLER_FACE_M), "-y", "fire", "ST50")
    d.stub(f"EDC{tag}", (AT["ED"][0], 0.0, level + plan.DATA_FACE_M), "-y", "data", "CD50")


def _bath_stubs(d: Drawing, level: float, tag: str, side: str, sign: float) -> None:
    soil = level + side_stub_height(plan.SOIL_FACE_M, DRAIN_SLOPE)
    vent = level + side_stub_height(plan.BATH_VENT_FACE_M, -VENT_SLOPE)
    edge, out, word = sign * SIDE, sign * (SIDE + REACH), "+x" if sign > 0 else "-x"
    d.stub(f"SO{side}{tag}", (edge, plan.SOIL_Y, soil), (sign, 0, DRAIN_SLOPE), "soil", "CI100")
    d.stub(f"VT{side}{tag}", (edge, plan.BATH_VENT_Y, vent), (sign, 0, -VENT_SLOPE), "vent", "CI50")
    d.stub(f"CW{side}{tag}", (out, plan.COLD_Y, level + plan.COLD_FACE_M), word, "cold", "CU22")
    d.stub(f"HW{side}{tag}", (out, plan.HOT_Y, level + plan.HOT_FACE_M), word, "hot", "CU22")
    height = level + plan.NON_POTABLE_FACE_M
    d.stub(f"NP{side}{tag}", (out, plan.NON_POTABLE_Y, height), word, "non_potable", "CU22")


def _kitchen_stubs(d: Drawing, level: float, tag: str, side: str, sign: float) -> None:
    waste = level + side_stub_height(plan.WASTE_FACE_M, SMALL_DRAIN_SLOPE)
    vent = level + side_stub_height(plan.KITCHEN_VENT_FACE_M, -VENT_SLOPE)
    drip = level + side_stub_height(plan.CONDENSATE_FACE_M, SMALL_DRAIN_SLOPE)
    falls, rises = (0, 1, SMALL_DRAIN_SLOPE), (0, 1, -VENT_SLOPE)
    out = DEPTH + REACH
    d.stub(f"WA{side}{tag}", (sign * plan.WASTE_X, DEPTH, waste), falls, "waste", "CI50")
    d.stub(f"VK{side}{tag}", (sign * plan.KITCHEN_VENT_X, DEPTH, vent), rises, "vent", "CI50")
    d.stub(f"CD{side}{tag}", (sign * plan.CONDENSATE_X, DEPTH, drip), falls, "condensate", "AB32")
    d.stub(f"CK{side}{tag}", (sign * plan.COLD_X, out, level + plan.COLD_FACE_M), "+y", "cold", "CU22")
    d.stub(f"HK{side}{tag}", (sign * plan.HOT_X, out, level + plan.HOT_FACE_M), "+y", "hot", "CU22")
    d.stub(
        f"EP{side}{tag}",
        (sign * plan.POWER_X, DEPTH + plan.TRAY_REACH_M, level + plan.POWER_FACE_M),
        "+y",
        "power",
        "TR100",
    )


def _branches(d: Drawing, level: float, tag: str) -> None:
    for side, sign, port in (("R", 1.0, "branch_2"), ("L", -1.0, "branch")):
        _drains(d, level, tag, side, sign, port)
        _vents(d, level, tag, side, sign, port)
        _supply(d, level, tag, side, sign, port)
    _fire(d, level, tag)
    _containment(d, level, tag)


def _drains(d: Drawing, level: float, tag: str, side: str, sign: float, port: str) -> None:
    d.rising("soil", "CI100", f"ST{tag}.{port}", f"SO{side}{tag}", slope=DRAIN_SLOPE)
    corner = (sign * plan.WASTE_X, AT["WS"][1])
    d.rising("waste", "CI50", f"WT{tag}.{port}", corner, f"WA{side}{tag}", slope=SMALL_DRAIN_SLOPE)
    x, y = AT["CD"]
    height = level + _TEES["CD"][0][1]
    if sign > 0:
        d.rising(
            "condensate", "AB32", f"DT{tag}.{port}", (plan.CONDENSATE_X, y), f"CD{side}{tag}", slope=0.045
        )
        return
    back = 2.2
    slope = (side_stub_height(plan.CONDENSATE_FACE_M, SMALL_DRAIN_SLOPE) + level - height) / (
        (back - y) + (x + plan.CONDENSATE_X) + (DEPTH - back)
    )
    around = ((x, back), (-plan.CONDENSATE_X, back))
    d.rising("condensate", "AB32", f"DT{tag}.{port}", *around, f"CD{side}{tag}", slope=slope)


def _vents(d: Drawing, level: float, tag: str, side: str, sign: float, port: str) -> None:
    """Vents rise from the rooms to the vent stack."""
    d.rising("vent", "CI50", f"VT{side}{tag}", f"VTB{tag}.{port}", slope=VENT_SLOPE)
    x, y = AT["VS"]
    height = level + _TEES["VS"][1][1]
    if sign > 0:
        around: tuple[tuple[float, float], ...] = ((plan.KITCHEN_VENT_X, y),)
        length = (DEPTH - y) + (plan.KITCHEN_VENT_X - x)
    else:
        around = ((-plan.KITCHEN_VENT_X, 2.05), (x, 2.05))
        length = (DEPTH - 2.05) + (plan.KITCHEN_VENT_X + x) + (2.05 - y)
    slope = (height - d.at[f"VK{side}{tag}"][2]) / length
    d.rising("vent", "CI50", f"VK{side}{tag}", *around, f"VTK{tag}.{port}", slope=slope)


def _supply(d: Drawing, level: float, tag: str, side: str, sign: float, port: str) -> None:
    """One branch with its valve for each dwelling and system; the dwelling's rooms part behind the valve."""
    stop = 1.0 if sign < 0 else 0.9
    for letter, system, y, height, split, thick in (
        ("C", "cold", plan.COLD_Y, plan.COLD_FACE_M, plan.COLD_X, 13.0),
        ("H", "hot", plan.HOT_Y, plan.HOT_FACE_M, plan.HOT_X, 25.0),
    ):
        z = level + height
        d.insulation_mm = thick
        d.line(
            system, "CU22", f"{letter}T{tag}.{port}",
            valve(f"{letter}V{side}{tag}", sign * (stop - 0.1), y, z),
            fit("tee", f"{letter}T{side}{tag}", sign * split, y, z), f"{letter}W{side}{tag}",
        )  # fmt: skip
        d.line(system, "CU22", f"{letter}T{side}{tag}.branch", f"{letter}K{side}{tag}")
    d.insulation_mm = 13.0
    z = level + plan.NON_POTABLE_FACE_M
    d.line(
        "non_potable", "CU22", f"NT{tag}.{port}", valve(f"NV{side}{tag}", sign * stop, plan.NON_POTABLE_Y, z),
        f"NP{side}{tag}",
    )  # fmt: skip
    d.insulation_mm = 0.0


def _fire(d: Drawing, level: float, tag: str) -> None:
    x, _ = AT["FR"]
    hose = fit("hose_valve", f"HV{tag}", x, 0.25, level + 1.2, normally="closed", may_bound_test="yes")
    d.line("fire", "ST65", f"FH{tag}.branch", hose)
    stop = valve(f"SV{tag}", x, 0.25, level + plan.SPRINKLER_FACE_M)
    d.line("fire", "ST50", f"FT{tag}.branch", stop, f"FRC{tag}")


def _containment(d: Drawing, level: float, tag: str) -> None:
    x, z, back = AT["EP"][0], level + plan.POWER_FACE_M, 2.2
    d.line(
        "power",
        "TR100",
        f"ET{tag}.branch",
        fit("tee", f"EB{tag}", x, back, z),
        (x + 0.15, back, z),
        f"EPR{tag}",
    )
    d.line("power", "TR100", f"EB{tag}.branch", (-plan.POWER_X, back, z), f"EPL{tag}")
    d.line("data", "CD50", f"XT{tag}.branch", f"EDC{tag}")
