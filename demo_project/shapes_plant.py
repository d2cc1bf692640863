# SPDX-License-Identifier: Apache-2.0
"""The plant module: mains in, break tank and booster, two heaters, and the fire main.

Axes: the mains arrive through the floor at the back, everything leaves under the ceiling through the front,
y = 0. `MAINS` says what leaves where.
"""

from __future__ import annotations

from . import shaft_plan as plan
from .drawing import Drawing, Fit, fit, valve
from .shaft_plan import COPPER_REACH_M, STANDARD_SHAFT, Shaft

LEVEL = plan.MAINS_LEVEL_M
WIDTH_M, DEPTH_M = 5.0, 4.0

# Mains that leave the plant: stub, riser it feeds, zone (b boosted, m mains; fire water goes both ways), x.
MAINS: tuple[tuple[str, str, str, float], ...] = (
    ("CWB", "CW", "b", 0.6),
    ("HWB", "HW", "b", 1.0),
    ("HRB", "HR", "b", 1.4),
    ("NPB", "NP", "b", 1.8),
    ("FRB", "FR", "b", 2.4),
    ("CWM", "CW", "m", 2.9),
    ("HWM", "HW", "m", 3.3),
    ("HRM", "HR", "m", 3.7),
    ("NPM", "NP", "m", 4.1),
    ("FRM", "FR", "m", 4.5),
)
X = {name: x for name, _, _, x in MAINS}
MAIN_X, MAIN_Y = 4.5, 3.6
FIRE_Y = 3.1
HEATER_M = 1.1


def plant_module(
    storey_m: float, shaft: Shaft = STANDARD_SHAFT, *, both_zones: bool = True, revision: str = "A"
) -> Drawing:
    """The plant module; without both zones all is boosted. Mains are as large as the risers they feed."""
    d = Drawing("PL", revision, "module", (WIDTH_M, DEPTH_M, storey_m - 0.2), "plant: tank, booster, heaters")
    d.hidden = False
    d.stub("CWI", (MAIN_X, MAIN_Y, 0.35), "down", "cold", "CU54")
    d.stub("FRI", (MAIN_X, FIRE_Y, 0.35), "down", "fire", "ST100")
    for name, main, zone, x in MAINS:
        riser, reach = shaft.riser(main), 0.0 if main == "FR" else COPPER_REACH_M
        if both_zones or zone == "b":
            d.stub(name, (x, -reach, LEVEL[main]), "-y", riser.system, riser.pipe)
    _mains_header(d, shaft, both_zones=both_zones)
    _tank_and_pump(d)
    _boosted_header(d, shaft)
    _heater(d, shaft, "B", (1.2, 1.3))
    if both_zones:
        _heater(d, shaft, "M", (3.5, 1.3))
    _fire(d, both_zones=both_zones)
    return d


def cock(d: Drawing, system: str, tee: str, name: str, *at: float) -> None:
    """A drain cock on the branch of a tee."""
    d.line(system, "CU15" if system != "fire" else "ST50", f"{tee}.branch", fit("drain_cock", name, *at))


def _mains_header(d: Drawing, shaft: Shaft, *, both_zones: bool) -> None:
    """From the street: stop valve, drain cock, strainer, meter, check valve, then a header with branches."""
    x, y, z = MAIN_X, MAIN_Y, LEVEL["CW"]
    inlet: tuple[Fit, ...] = (
        valve("V1", x, y, 0.5),
        fit("tee", "D1", x, y, 0.7),
        fit("strainer", "STR", x, y, 0.9),
        fit("meter", "MET", x, y, 1.1),
        fit("check_valve", "CH1", x, y, 1.3),
    )
    d.insulation_mm = 13
    places = (4.2, 3.4, 3.0, 2.6) if both_zones else (4.2,)
    header = [fit("tee", f"K{n}", px, y, z) for n, px in enumerate(places, start=1)]
    d.line(
        "cold",
        "CU54",
        "CWI",
        *inlet,
        (x, y, z),
        *header,
        fit("air_vent", "AV1", places[-1] - 0.1, y, z + 0.1),
    )
    cock(d, "cold", "D1", "DC1", x - 0.1, y, 0.65)
    d.node("tank", "TK", (4.2, 2.4, 1.6))
    d.line("cold", "CU42", "K1.branch", valve("V2", 4.2, 3.3, z), (4.2, 2.4, z), "TK.in")
    if both_zones:
        _mains_branches(d, shaft)
    d.insulation_mm = 0


def _mains_branches(d: Drawing, shaft: Shaft) -> None:
    """From the header to the heater of the mains zone, to its non-potable water, and to its shafts."""
    z, cold, other = LEVEL["CW"], shaft.riser("CW").pipe, shaft.riser("NP").pipe
    d.line("cold", "CU42", "K2.branch", valve("V4", 3.4, 3.3, z))
    d.line(
        "cold", other, "K3.branch", valve("V5", 3.0, 3.3, z), fit("backflow_preventer", "BF2", 3.0, 3.0, z)
    )
    corners = ((2.6, 2.9, z), (X["CWM"], 2.9, z))
    d.line("cold", cold, "K4.branch", valve("V6", 2.6, 3.2, z), *corners, "CWM")
    d.line(
        "non_potable",
        other,
        "BF2.out",
        (3.0, 2.7, z),
        (3.0, 2.7, LEVEL["NP"]),
        (X["NPM"], 2.7, LEVEL["NP"]),
        "NPM",
    )


def _tank_and_pump(d: Drawing) -> None:
    """Break tank, booster pump, and the way up to the boosted header; the tank overflows to the gully."""
    y, z = 2.4, 0.8
    d.line(
        "cold", "CU54", "TK.out", (3.9, y, 1.6), (3.9, y, z), valve("V7", 3.7, y, z),
        fit("pump", "PU", 3.4, y, z), fit("check_valve", "CH2", 3.1, y, z),
        valve("V8", 2.9, y, z), fit("tee", "D2", 2.7, y, z),
        (2.3, y, z), (2.3, y, LEVEL["CW"]), fit("tee", "H1", 2.1, y, LEVEL["CW"]),
    )  # fmt: skip
    cock(d, "cold", "D2", "DC2", 2.7, y, z - 0.12)


def _boosted_header(d: Drawing, shaft: Shaft) -> None:
    """Branches for the tower's cold water, its heater, its non-potable water, and the pressure vessel."""
    y, z = 2.4, LEVEL["CW"]
    cold, other = shaft.riser("CW").pipe, shaft.riser("NP").pipe
    d.insulation_mm = 13
    d.line("cold", "CU54", "H1.b", fit("tee", "H2", 1.7, y, z), fit("tee", "H3", 1.3, y, z),
           fit("tee", "H4", 0.9, y, z), fit("air_vent", "AV2", 0.8, y, z + 0.1))  # fmt: skip
    d.line("cold", cold, "H1.branch", valve("V9", 2.1, 2.2, z), (2.1, 0.4, z), (X["CWB"], 0.4, z), "CWB")
    d.line("cold", "CU54", "H2.branch", valve("V10", 1.7, 2.2, z))
    d.line(
        "cold", other, "H3.branch", valve("V11", 1.3, 2.65, z), fit("backflow_preventer", "BF1", 1.3, 2.85, z)
    )
    corners = ((1.3, 3.1, z), (0.3, 3.1, z), (0.3, 3.1, LEVEL["NP"]), (0.3, 0.2, LEVEL["NP"]))
    d.line("non_potable", other, "BF1.out", *corners, (X["NPB"], 0.2, LEVEL["NP"]), "NPB")
    d.line("cold", "CU28", "H4.branch", fit("expansion_vessel", "EV1", 0.9, 2.2, z))
    d.insulation_mm = 0


def _heater(d: Drawing, shaft: Shaft, zone: str, at: tuple[float, float]) -> None:
    """A heater of one zone: cold in, hot out to the mains with an air vent at the top, and the return."""
    (x, y), name, hot_z = at, f"HE{zone}", LEVEL["HW"]
    d.node("heater", name, (x, y, HEATER_M), setting="60 C")
    valve_name, pipe, feed_at = {"B": ("V10", "CU54", (1.7, y)), "M": ("V4", "CU42", (3.4, y + 0.5))}[zone]
    d.insulation_mm = 13
    _heater_feed(d, name, f"{valve_name}.out", pipe, feed_at)
    d.insulation_mm = 25
    hot = shaft.riser("HW").pipe
    d.line("hot", hot, f"{name}.out", (x, y, hot_z - 0.1), fit("tee", f"{name}-T", x, y, hot_z),
           fit("air_vent", f"{name}-AV", x, y, hot_z + 0.1))  # fmt: skip
    d.line("hot", hot, f"{name}-T.branch", valve(f"{name}-V", x, y - 0.3, hot_z), (x, 0.6, hot_z),
           (X[f"HW{zone}"], 0.6, hot_z), f"HW{zone}")  # fmt: skip
    _return(d, name, zone, shaft.riser("HR").pipe)
    d.insulation_mm = 0


def _heater_feed(d: Drawing, name: str, start: str, pipe: str, at: tuple[float, float]) -> None:
    """Cold water down to the heater: check valve, vessel, drain cock."""
    x, y = at
    d.line(
        "cold", pipe, start, (x, y, LEVEL["CW"]), fit("check_valve", f"{name}-CH", x, y, 2.0),
        fit("tee", f"{name}-E", x, y, 1.7), fit("tee", f"{name}-D", x, y, 0.9), f"{name}.in",
    )  # fmt: skip
    d.line("cold", "CU28", f"{name}-E.branch", fit("expansion_vessel", f"{name}-EV", x + 0.15, y, 1.7))
    cock(d, "cold", f"{name}-D", f"{name}-DC", x, y, 0.8)


def _return(d: Drawing, name: str, zone: str, pipe: str) -> None:
    """The return: valve, air vent where it turns down, drain cock, pump and check valve."""
    x, z = X[f"HR{zone}"], LEVEL["HR"]
    top = fit("tee", f"{name}-RT", x, 0.8, z)
    d.line("hot_return", pipe, f"HR{zone}", valve(f"{name}-RV", x, 0.3, z))
    d.line("hot_return", pipe, d.node("air_vent", f"{name}-RA", (x, 0.8, z + 0.1)), top)
    d.line("hot_return", pipe, f"{name}-RV.out", f"{name}-RT.branch")
    d.line(
        "hot_return", pipe, f"{name}-RT.b", (x, 0.8, 0.8), fit("tee", f"{name}-RD", x, 0.9, 0.8),
        fit("pump", f"{name}-RP", x, 1.0, 0.8), fit("check_valve", f"{name}-RC", x, 1.15, 0.8),
        f"{name}.return",
    )  # fmt: skip
    cock(d, "hot_return", f"{name}-RD", f"{name}-RDC", x, 0.9, 0.7)


def _fire(d: Drawing, *, both_zones: bool) -> None:
    """The fire main: valve, drain cock and check valve; a small pump keeps it full from the break tank."""
    x, y, z = MAIN_X, FIRE_Y, LEVEL["FR"]
    to_mains_zone = [fit("tee", "FT2", 3.8, y, z)] if both_zones else []
    d.line(
        "fire", "ST100", "FRI", valve("FV1", x, y, 0.6), fit("tee", "FD", x, y, 0.8),
        fit("check_valve", "FC", x, y, 1.1), (x, y, z), fit("tee", "FT1", 4.1, y, z), *to_mains_zone,
        fit("tee", "FT3", X["FRB"], y, z), fit("air_vent", "FAV", X["FRB"] - 0.1, y, z + 0.1),
    )  # fmt: skip
    cock(d, "fire", "FD", "FDC", x - 0.1, y, 0.75)
    if both_zones:
        d.line("fire", "ST100", "FT2.branch", (3.8, 0.9, z), (X["FRM"], 0.9, z), "FRM")
    d.line("fire", "ST100", "FT3.branch", "FRB")
    d.line(
        "fire", "ST50", "TK.out_2", valve("FV2", 4.35, 2.5, 1.4), fit("pump", "JP", 4.35, 2.7, 1.4),
        fit("check_valve", "FC2", 4.35, 2.85, 1.4), (4.1, 2.95, 1.4), (4.1, 2.95, z), "FT1.branch",
    )  # fmt: skip
