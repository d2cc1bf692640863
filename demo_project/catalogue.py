# SPDX-License-Identifier: Apache-2.0
"""The pipes and couplings of the invented building: plausible dimensions, invented makers and figures."""

from __future__ import annotations

from dataclasses import dataclass

Row = dict[str, str]
INVENTED = "invented for this demo"


@dataclass(frozen=True)
class Pipe:
    """A pipe of the catalogue; `ratings` are pairs of highest temperature [C] and rating [bar]."""

    name: str
    standard: str
    series: str
    material: str
    nominal: str
    od_mm: float
    bore_mm: float
    roughness_mm: float
    ends: str
    ratings: tuple[tuple[float, float], ...]


def _iron(nominal: int, od_mm: float, bore_mm: float) -> Pipe:
    name = f"CI{nominal}"
    return Pipe(name, "EN 877", "SML", "cast iron", f"DN{nominal}", od_mm, bore_mm, 0.25, "plain", ((95, 5),))


def _copper(od_mm: int, wall_mm: float) -> Pipe:
    ratings = ((30.0, 40.0), (65.0, 32.0), (110.0, 25.0))
    nominal, bore = f"{od_mm}x{wall_mm:g}", od_mm - 2 * wall_mm
    return Pipe(f"CU{od_mm}", "EN 1057", "R250", "copper", nominal, od_mm, bore, 0.0015, "plain", ratings)


def _steel(nominal: int, od_mm: float, bore_mm: float) -> Pipe:
    material = "galvanised steel"
    ratings = ((120.0, 25.0),)
    name, size = f"ST{nominal}", f"DN{nominal}"
    return Pipe(name, "EN 10255", "medium", material, size, od_mm, bore_mm, 0.1, "grooved", ratings)


def _abs(nominal: int, od_mm: float, bore_mm: float) -> Pipe:
    ratings = ((70.0, 1.0),)
    name = f"AB{nominal}"
    return Pipe(name, "EN 1455-1", "B", "ABS", f"DN{nominal}", od_mm, bore_mm, 0.01, "spigot", ratings)


def _containment(name: str, material: str, nominal: str, od_mm: float) -> Pipe:
    return Pipe(name, "site standard", "", material, nominal, od_mm, od_mm - 4, 0.0, "plain", ((60.0, 0.0),))


PIPES: tuple[Pipe, ...] = (
    _iron(50, 58, 51),
    _iron(80, 83, 77),
    _iron(100, 110, 103),
    _iron(125, 135, 127),
    _iron(150, 160, 152.5),
    _iron(200, 210, 203),
    _iron(250, 274, 262),
    Pipe("PE110", "EN 1519-1", "S12.5", "PE-HD", "DN100", 110, 102, 0.01, "spigot", ((60.0, 2.0),)),
    _abs(32, 36.5, 33),
    _abs(40, 43, 39),
    _abs(50, 56, 50.8),
    _copper(15, 0.7),
    _copper(22, 0.9),
    _copper(28, 0.9),
    _copper(42, 1.2),
    _copper(54, 1.2),
    _steel(50, 60.3, 53),
    _steel(65, 76.1, 68.7),
    _steel(100, 114.3, 105.3),
    _containment("TR100", "steel tray", "100x60", 100),
    _containment("CD50", "steel conduit", "50", 50),
)
BY_NAME = {pipe.name: pipe for pipe in PIPES}


@dataclass(frozen=True)
class Family:
    """A family of couplings: what it ties and what it takes. `laid_gap_mm` is the gap the fitters aim at."""

    name: str
    pipes: tuple[str, ...]
    end: str
    angle_max_deg: float
    gap_min_mm: float
    gap_max_mm: float
    insertion_mm: float
    offset_max_mm: float
    axial_max_mm: float
    rating_bar: float
    wait_min: float
    restrained: bool
    needs_access: bool
    laid_gap_mm: float


IRON = ("CI50", "CI80", "CI100", "CI125", "CI150", "CI200", "CI250")
COPPER = ("CU15", "CU22", "CU28", "CU42", "CU54")
STEEL = ("ST50", "ST65", "ST100")
PLASTIC = ("AB32", "AB40", "AB50")
CONTAINMENT = ("TR100", "CD50")
NO_HUB = Family(
    "NH", IRON, "plain", 2, 0, 3, 0, 0, 0, 1, 0, restrained=False, needs_access=True, laid_gap_mm=1.5
)
PRESS = Family(
    "PR", COPPER, "plain", 0, 0, 2, 20, 0, 0, 16, 0, restrained=True, needs_access=False, laid_gap_mm=1
)
SLIP = Family(
    "SL", COPPER, "plain", 1, 5, 30, 20, 2, 0, 16, 0, restrained=True, needs_access=True, laid_gap_mm=20
)
GROOVED = Family(
    "GF",
    STEEL,
    "grooved",
    1.19,
    0,
    3.2,
    0,
    0,
    2.4,
    25,
    0,
    restrained=True,
    needs_access=True,
    laid_gap_mm=1.5,
)
PUSH = Family(
    "PF", PLASTIC, "spigot", 1, 5, 15, 40, 0, 5, 1, 0, restrained=False, needs_access=True, laid_gap_mm=10
)
FUSION = Family("EF", ("PE110",), "spigot", 0.5, 0, 4, 60, 0, 0, 2, 30, restrained=True, needs_access=False,
                laid_gap_mm=2)  # fmt: skip
LINK = Family(
    "CC", CONTAINMENT, "plain", 2, 0, 10, 0, 5, 0, 0, 0, restrained=True, needs_access=False, laid_gap_mm=5
)
FAMILIES: tuple[Family, ...] = (NO_HUB, PRESS, SLIP, GROOVED, PUSH, FUSION, LINK)
SITE_FAMILY = {pipe: family for family in FAMILIES if family is not PRESS for pipe in family.pipes}


def inside_family(pipe: str) -> str:
    """The family by which the factory joins this pipe to a fitting; containment is bolted and has none."""
    if pipe in COPPER:
        return PRESS.name
    family = SITE_FAMILY[pipe]
    return "" if family is LINK else family.name


def pipe_rows() -> list[Row]:
    """Rows of pipes.csv, one for each temperature."""
    return [
        {
            "pipe": pipe.name,
            "standard": pipe.standard,
            "series": pipe.series,
            "material": pipe.material,
            "nominal": pipe.nominal,
            "od [mm]": f"{pipe.od_mm:g}",
            "bore [mm]": f"{pipe.bore_mm:g}",
            "roughness [mm]": f"{pipe.roughness_mm:g}",
            "ends": pipe.ends,
            "max_temperature [C]": f"{temperature:g}",
            "rating [bar]": f"{rating:g}" if rating else "",
            "source": INVENTED,
        }
        for pipe in PIPES
        for temperature, rating in pipe.ratings
    ]


def _coupling_row(family: Family, pipe_a: str, pipe_b: str) -> Row:
    return {
        "family": family.name,
        "pipe_a": pipe_a,
        "pipe_b": pipe_b,
        "end_a": family.end,
        "end_b": family.end,
        "angle_max [deg]": f"{family.angle_max_deg:g}",
        "gap_min [mm]": f"{family.gap_min_mm:g}",
        "gap_max [mm]": f"{family.gap_max_mm:g}",
        "insertion [mm]": f"{family.insertion_mm:g}",
        "offset_max [mm]": f"{family.offset_max_mm:g}",
        "axial_max [mm]": f"{family.axial_max_mm:g}",
        "rating [bar]": f"{family.rating_bar:g}" if family.rating_bar else "",
        "wait [min]": f"{family.wait_min:g}",
        "restrained": "yes" if family.restrained else "no",
        "needs_access": "yes" if family.needs_access else "no",
        "source": INVENTED,
    }


def coupling_rows() -> list[Row]:
    """Rows of couplings.csv."""
    return [_coupling_row(family, pipe, pipe) for family in FAMILIES for pipe in family.pipes]
