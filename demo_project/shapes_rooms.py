# SPDX-License-Identifier: Apache-2.0
"""Room modules that lean on a shaft: bathroom, shower room, kitchen with living room, corridor.

Each is drawn as the room on the right of its shaft; the left one is its mirror. Bathrooms lie beyond x = 0,
kitchens beyond y = 0.
"""

from __future__ import annotations

from . import shaft_plan as plan
from .drawing import Drawing, fit
from .shaft_plan import COPPER_REACH_M, DRAIN_SLOPE, SMALL_DRAIN_SLOPE, VENT_SLOPE

ROOM_HEIGHT_M = 3.0


def bath_module(revision: str = "A") -> Drawing:
    """Bathroom: closet, basin and bath on one vented branch."""
    d = Drawing("BA", revision, "module", (2.4, 2.4, ROOM_HEIGHT_M), "bathroom")
    _bath_stubs(d, "CI100")
    d.fixture("WC", "wc_cistern", (0.6, 1.75, 0.4225), control="tank")
    d.fixture("LAV", "lavatory", (1.0, 0.75, 0.85))
    d.fixture("BATH", "bath", (1.45, 1.25, 0.55))
    _branch_and_vent(d, "CI100", ("BATH", 1.45))
    _bath_supply(d, ("LAV", 1.0), ("BATH", 1.45))
    return d


def shower_module(revision: str = "A") -> Drawing:
    """Shower room: closet, basin and shower on a branch of PE, with an arm of ABS from the shower's trap."""
    d = Drawing("SH", revision, "module", (2.4, 2.4, ROOM_HEIGHT_M), "shower room")
    _bath_stubs(d, "PE110")
    d.fixture("WC", "wc_cistern", (0.6, 1.75, 0.4225), control="tank")
    d.fixture("LAV", "lavatory", (1.0, 0.75, 0.85))
    d.fixture("SHW", "shower", (1.6, 1.25, 0.55))
    _branch_and_vent(d, "PE110", ("SHW", 1.6))
    _bath_supply(d, ("LAV", 1.0), ("SHW", 1.6))
    return d


def _bath_stubs(d: Drawing, branch: str) -> None:
    d.stub("SO", (0, plan.SOIL_Y, plan.SOIL_FACE_M), (-1, 0, -DRAIN_SLOPE), "soil", branch)
    d.stub("VT", (0, plan.BATH_VENT_Y, plan.BATH_VENT_FACE_M), (-1, 0, VENT_SLOPE), "vent", "CI50")
    d.stub("CW", (-COPPER_REACH_M, plan.COLD_Y, plan.COLD_FACE_M), "-x", "cold", "CU22")
    d.stub("HW", (-COPPER_REACH_M, plan.HOT_Y, plan.HOT_FACE_M), "-x", "hot", "CU22")
    place = (-COPPER_REACH_M, plan.NON_POTABLE_Y, plan.NON_POTABLE_FACE_M)
    d.stub("NP", place, "-x", "non_potable", "CU22")


def _branch_and_vent(d: Drawing, branch: str, last: tuple[str, float]) -> None:
    """The branch from the shaft to the last fixture: vent tee first, then closet, then basin."""
    name, x = last
    y = plan.SOIL_Y
    tees = (fit("tee", "TV", 0.25, y), fit("tee", "T1", 0.6, y), fit("tee", "T2", 1.0, y))
    d.rising("soil", branch, "SO", *tees, slope=DRAIN_SLOPE)
    d.rising("soil", branch, "T1.branch", "WC.waste", slope=DRAIN_SLOPE)
    arm = fit("trap", f"{name}-P", x, y)
    d.rising("soil", "AB50", "T2.a", arm, f"{name}.waste", slope=SMALL_DRAIN_SLOPE)
    d.rising(
        "soil", "AB40", "T2.branch", fit("trap", "LAV-P", 1.0, 0.75), "LAV.waste", slope=SMALL_DRAIN_SLOPE
    )
    # The vent starts above the branch's axis and goes up before it goes along.
    high = plan.BATH_VENT_FACE_M - VENT_SLOPE * (0.25 + plan.BATH_VENT_Y - y)
    corners = ((0.25, y, high), (0.25, plan.BATH_VENT_Y))
    d.rising("vent", "CI50", "TV.branch", *corners, "VT", slope=VENT_SLOPE)


def _bath_supply(d: Drawing, basin: tuple[str, float], last: tuple[str, float]) -> None:
    for letter, system, y, z in (
        ("C", "cold", plan.COLD_Y, plan.COLD_FACE_M),
        ("H", "hot", plan.HOT_Y, plan.HOT_FACE_M),
    ):
        tee, x = fit("tee", f"{letter}1", basin[1], y, z), last[1]
        d.line(system, "CU22", f"{letter}W", tee)
        d.line(system, "CU15", f"{letter}1.branch", (basin[1], 0.75, z), f"{basin[0]}.{system}")
        d.line(system, "CU22", f"{letter}1.b", (x, y, z), (x, plan.SOIL_Y, z), f"{last[0]}.{system}")
    z = plan.NON_POTABLE_FACE_M
    corners = ((0.6, plan.NON_POTABLE_Y, z), (0.6, 1.75, z))
    d.line("non_potable", "CU15", "NP", *corners, "WC.non_potable")


def kitchen_module(revision: str = "A") -> Drawing:
    """Kitchen and living room: sink, dishwasher, washing machine, a fan coil, and a power outlet box."""
    d = Drawing("KL", revision, "module", (3.95, 5.5, ROOM_HEIGHT_M), "kitchen and living room")
    _kitchen_stubs(d)
    d.fixture("SINK", "kitchen_sink", (0.25, 1.4, 0.85))
    d.fixture("DW", "dishwasher", (0.7, 0.6, 0.8))
    d.fixture("WM", "clothes_washer", (0.7, 0.95, 0.9))
    _kitchen_waste(d)
    _kitchen_supply(d)
    d.fixture("FC", "fan_coil", (2.6, 2.0, 2.6))
    coil = (fit("bend", "DB", plan.CONDENSATE_X, 2.0), fit("trap", "FC-P", 2.6, 2.0))
    d.rising("condensate", "AB32", "CD", *coil, "FC.waste", slope=SMALL_DRAIN_SLOPE)
    box = d.node("cap", "BOX", (3.2, 0.4, plan.POWER_FACE_M))
    d.line("power", "TR100", "EP", (plan.POWER_X, 0.4, plan.POWER_FACE_M), box)
    return d


def _kitchen_stubs(d: Drawing) -> None:
    falls, rises = (0, -1, -SMALL_DRAIN_SLOPE), (0, -1, VENT_SLOPE)
    d.stub("WA", (plan.WASTE_X, 0, plan.WASTE_FACE_M), falls, "waste", "CI50")
    d.stub("VT", (plan.KITCHEN_VENT_X, 0, plan.KITCHEN_VENT_FACE_M), rises, "vent", "CI50")
    d.stub("CD", (plan.CONDENSATE_X, 0, plan.CONDENSATE_FACE_M), falls, "condensate", "AB32")
    d.stub("CW", (plan.COLD_X, -COPPER_REACH_M, plan.COLD_FACE_M), "-y", "cold", "CU22")
    d.stub("HW", (plan.HOT_X, -COPPER_REACH_M, plan.HOT_FACE_M), "-y", "hot", "CU22")
    d.stub("EP", (plan.POWER_X, -plan.TRAY_REACH_M, plan.POWER_FACE_M), "-y", "power", "TR100")


def _kitchen_waste(d: Drawing) -> None:
    x, slope = plan.WASTE_X, SMALL_DRAIN_SLOPE
    tees = (fit("tee", "TV", x, 0.25), fit("tee", "T1", x, 0.6), fit("tee", "T2", x, 0.95))
    d.rising("waste", "CI50", "WA", *tees, slope=slope)
    d.rising("waste", "AB40", "T2.a", fit("trap", "SINK-P", x, 1.4), "SINK.waste", slope=slope)
    d.rising("waste", "AB40", "T1.branch", fit("trap", "DW-P", 0.7, 0.6), "DW.waste", slope=slope)
    d.rising("waste", "AB50", "T2.branch", fit("trap", "WM-P", 0.7, 0.95), "WM.waste", slope=slope)
    high = plan.KITCHEN_VENT_FACE_M - VENT_SLOPE * (0.25 + plan.KITCHEN_VENT_X - x)
    d.rising(
        "vent", "CI50", "TV.branch", (x, 0.25, high), (plan.KITCHEN_VENT_X, 0.25), "VT", slope=VENT_SLOPE
    )


def _kitchen_supply(d: Drawing) -> None:
    cold, hot = plan.COLD_FACE_M, plan.HOT_FACE_M
    d.line("cold", "CU22", "CW", fit("tee", "C1", plan.COLD_X, 0.95, cold))
    d.line("cold", "CU15", "C1.branch", (0.7, 0.95, cold), "WM.cold")
    d.line("cold", "CU15", "C1.b", (plan.COLD_X, 1.4, cold), (0.25, 1.4, cold), "SINK.cold")
    d.line("hot", "CU22", "HW", fit("tee", "H1", plan.HOT_X, 0.6, hot))
    d.line("hot", "CU15", "H1.branch", (0.7, 0.6, hot), "DW.hot")
    d.line("hot", "CU15", "H1.b", (plan.HOT_X, 1.3, hot), (0.25, 1.3, hot), (0.25, 1.4, hot), "SINK.hot")


def corridor_module(revision: str = "A") -> Drawing:
    """Corridor: two sprinkler branches and a data box. Drawn behind y = 0 and set turned by 180 degrees."""
    d = Drawing("CO", revision, "module", (8.0, 1.9, ROOM_HEIGHT_M), "corridor")
    x, z = -plan.AT["FR"][0], plan.SPRINKLER_FACE_M
    d.stub("FR", (x, 0, z), "-y", "fire", "ST50")
    d.stub("ED", (-plan.AT["ED"][0], 0, plan.DATA_FACE_M), "-y", "data", "CD50")
    d.hidden = False
    d.line(
        "fire",
        "ST50",
        "FR",
        fit("tee", "F1", x, 1.0, z),
        (2.5, 1.0, z),
        fit("sprinkler_branch", "SP1", 2.5, 1.0, z - 0.1),
    )
    d.line("fire", "ST50", "F1.branch", (-2.5, 1.0, z), fit("sprinkler_branch", "SP2", -2.5, 1.0, z - 0.1))
    box = d.node("cap", "BOX", (-plan.AT["ED"][0], 0.8, plan.DATA_FACE_M))
    d.line("data", "CD50", "ED", box)
    return d
