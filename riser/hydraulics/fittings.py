# SPDX-License-Identifier: Apache-2.0
"""Fittings and valves: loss coefficients K by Crane and Rennels, flow coefficients, equivalent lengths.

K belongs to a bore: head lost = K v2/(2g) with v in that bore. The correlations come from the library
`fluids`; Crane's use the friction factor of fully rough flow in clean steel of the same bore. K of a tee
depends on how the flow divides, can be negative, and belongs to the velocity of the joined flow.
"""

from __future__ import annotations

from enum import StrEnum

from fluids import fittings
from fluids.friction import ft_Crane

from riser.audit import formula
from riser.hydraulics.quantity import Quantity
from riser.units import KV_PER_CV, STANDARD_GRAVITY_MS2

CRANE = "Crane TP-410, by the library fluids"
RENNELS = "Rennels and Hudson 2012, Pipe Flow, by the library fluids"
KV = "Kv: m3/h of water (1000 kg/m3) at a loss of 1 bar"


class Fitting(StrEnum):
    """Fittings and fully open valves whose K follows from the bore alone (Crane TP-410)."""

    ELBOW_45 = "elbow 45"
    ELBOW_90 = "elbow 90"
    LONG_ELBOW_90 = "long elbow 90"
    TEE_RUN = "tee, run"
    TEE_BRANCH = "tee, branch"
    GATE_VALVE = "gate valve"
    GLOBE_VALVE = "globe valve"
    ANGLE_VALVE = "angle valve"
    BALL_VALVE = "ball valve"
    BUTTERFLY_VALVE = "butterfly valve"
    SWING_CHECK_VALVE = "swing check valve"
    ENTRANCE = "sharp entrance"
    EXIT = "exit"


# Crane TP-410, standard threaded fittings as multiples of the fully rough friction factor; from memory, and
# for the elbows equal to the library's "Crane standard".
_MULTIPLES = {Fitting.ELBOW_45: 16, Fitting.ELBOW_90: 30, Fitting.TEE_RUN: 20, Fitting.TEE_BRANCH: 60}
_LONG_RADIUS_DIAMETERS = 1.5


def loss_coefficient(fitting: Fitting, bore_m: float) -> float:
    """Loss coefficient K of a fitting or fully open valve of full bore [-].

    >>> f"{loss_coefficient(Fitting.ELBOW_90, 0.0525):.2f}"
    '0.56'
    """
    rough = ft_Crane(bore_m)
    match fitting:
        case Fitting.LONG_ELBOW_90:
            k = fittings.bend_rounded(
                bore_m, 90.0, fd=rough, bend_diameters=_LONG_RADIUS_DIAMETERS, method="Crane"
            )
        case Fitting.GATE_VALVE:
            k = fittings.K_gate_valve_Crane(bore_m, bore_m, 0.0, rough)
        case Fitting.GLOBE_VALVE:
            k = fittings.K_globe_valve_Crane(bore_m, bore_m, rough)
        case Fitting.ANGLE_VALVE:
            k = fittings.K_angle_valve_Crane(bore_m, bore_m, rough)
        case Fitting.BALL_VALVE:
            k = fittings.K_ball_valve_Crane(bore_m, bore_m, 0.0, rough)
        case Fitting.BUTTERFLY_VALVE:
            k = fittings.K_butterfly_valve_Crane(bore_m, rough)
        case Fitting.SWING_CHECK_VALVE:
            k = fittings.K_swing_check_valve_Crane(fd=rough)
        case Fitting.ENTRANCE:
            k = fittings.entrance_sharp(method="Crane")
        case Fitting.EXIT:
            k = fittings.exit_normal()
        case _:
            k = _MULTIPLES[fitting] * rough
    return float(k)


def bend_loss_coefficient(
    bore_m: float, angle_deg: float, radius_m: float, reynolds: float, roughness_m: float
) -> float:
    """K of a smooth bend by Rennels [-], friction along the bend included."""
    return float(
        fittings.bend_rounded(
            bore_m, angle_deg, rc=radius_m, Re=reynolds, roughness=roughness_m, method="Rennels"
        )
    )


def reducer_loss_coefficient(
    from_bore_m: float, to_bore_m: float, length_m: float, friction_factor: float
) -> float:
    """K of a conical reducer or increaser by Rennels [-], for the velocity in the smaller bore."""
    if to_bore_m <= from_bore_m:
        return float(fittings.contraction_conical(from_bore_m, to_bore_m, l=length_m, fd=friction_factor))
    return float(fittings.diffuser_conical(from_bore_m, to_bore_m, l=length_m, fd=friction_factor))


def tee_loss_coefficients(
    run_bore_m: float, branch_bore_m: float, run_flow_m3s: float, branch_flow_m3s: float, *, converging: bool
) -> tuple[float, float]:
    """K along the run and through the branch of a right-angled tee by Crane [-], for the joined flow.

    >>> run, branch = tee_loss_coefficients(0.1023, 0.1023, 0.018927, 0.006309, converging=True)
    >>> f"{run:.3f} {branch:.4f}"
    '0.325 -0.0422'
    """
    sizes = (run_bore_m, branch_bore_m, run_flow_m3s, branch_flow_m3s)
    if converging:
        return float(fittings.K_run_converging_Crane(*sizes)), float(
            fittings.K_branch_converging_Crane(*sizes)
        )
    return float(fittings.K_run_diverging_Crane(*sizes)), float(fittings.K_branch_diverging_Crane(*sizes))


@formula(
    "loss_m = loss_coefficient * velocity_ms ** 2 / (2 * gravity_ms2)",
    unit="m",
    basis="definition of the loss coefficient",
)
def head_loss_of_fitting(
    loss_coefficient: Quantity, velocity_ms: Quantity, gravity_ms2: Quantity = STANDARD_GRAVITY_MS2
) -> Quantity:
    """Head lost in a fitting [m]."""
    return loss_coefficient * velocity_ms**2 / (2 * gravity_ms2)


@formula("k = 1.6e9 * diameter_m ** 4 / kv_m3h ** 2", unit="", basis=KV)
def loss_coefficient_from_kv(kv_m3h: Quantity, diameter_m: Quantity) -> Quantity:
    """K for a bore from a flow coefficient [-], by the library `fluids`.

    >>> f"{loss_coefficient_from_kv(10.0, 0.05):.0f}"
    '100'
    """
    return fittings.Kv_to_K(kv_m3h, diameter_m)


@formula("kv_m3h = 4e4 * diameter_m ** 2 / loss_coefficient ** 0.5", unit="m3/h", basis=KV)
def kv_from_loss_coefficient(loss_coefficient: Quantity, diameter_m: Quantity) -> Quantity:
    """Flow coefficient Kv from K for a bore [m3/h]."""
    return 4e4 * diameter_m**2 / loss_coefficient**0.5


def kv_from_cv(cv_gpm: Quantity) -> Quantity:
    """Flow coefficient Kv [m3/h at 1 bar] from Cv [US gpm at 1 psi]."""
    return cv_gpm * KV_PER_CV


@formula("loss_pa = 1e5 * density_kgm3 / 1000 * (3600 * flow_m3s / kv_m3h) ** 2", unit="Pa", basis=KV)
def pressure_loss_by_kv(flow_m3s: Quantity, kv_m3h: Quantity, density_kgm3: Quantity) -> Quantity:
    """Pressure lost through a valve [Pa].

    >>> f"{pressure_loss_by_kv(0.001, 3.6, 1000.0) / 1e5:.2f} bar"
    '1.00 bar'
    """
    return 1e5 * density_kgm3 / 1000 * (3600 * flow_m3s / kv_m3h) ** 2


@formula(
    "length_m = loss_coefficient * diameter_m / friction_factor",
    unit="m",
    basis="same head lost in straight pipe at that friction factor",
)
def equivalent_length(
    loss_coefficient: Quantity, diameter_m: Quantity, friction_factor: Quantity
) -> Quantity:
    """Straight pipe that loses as much head as a fitting [m]."""
    return loss_coefficient * diameter_m / friction_factor


@formula(
    "k = equivalent_length_m * friction_factor / diameter_m",
    unit="",
    basis="same head lost in straight pipe at that friction factor",
)
def loss_coefficient_from_length(
    equivalent_length_m: Quantity, diameter_m: Quantity, friction_factor: Quantity
) -> Quantity:
    """K of a fitting from its equivalent length [-]."""
    return equivalent_length_m * friction_factor / diameter_m
