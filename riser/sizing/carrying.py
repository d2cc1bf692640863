# SPDX-License-Identifier: Apache-2.0
"""What a drain carries by physics, beside what the code allows: flow and velocity at a stated filling.

Codes by fixture units give no flow for a load, so none is invented here: the figures are those of the drawn
bore and fall at the filling for which such tables are usually explained, half full for drains, 7/24 of the
section for stacks.
"""

from __future__ import annotations

import numpy as np
from fluids.open_flow import n_closed_conduit

from riser.audit import Assumed, Derived, Given, Node
from riser.hydraulics.gravity_flow import flow_manning, hydraulic_radius, mean_velocity_manning
from riser.hydraulics.quantity import Quantity
from riser.hydraulics.stack_flow import stack_capacity, terminal_velocity

# Chow 1959, Open-channel hydraulics, table 5-6, through fluids: a drain in use is lined with slime, whatever
# it is made of.
_SLIMED = "Sanitary sewers coated with sewage slime with bends and connections"
MANNING_N = float(n_closed_conduit["Other"][_SLIMED][1])
MANNING_SOURCE = "Chow 1959, table 5-6: sanitary sewers coated with slime, normal value; through fluids"
HALF_FULL = 0.5
HALF_FULL_REASON = "drains run half full at most: common practice in US design guides, no clause"
STACK_SHARE = 7.0 / 24.0
STACK_REASON = "water fills 7/24 of a stack: NSPC 2006, table 13.6.1, usual for sanitary stacks"


def half_full_flow(bore_m: Quantity, fall_m_per_m: Quantity) -> Quantity:
    """Flow of a drain that runs half full [m3/s], by Manning with n = 0.013.

    >>> f"{half_full_flow(0.1, 0.02) * 1000:.2f} L/s"
    '3.65 L/s'
    """
    return flow_manning(bore_m, HALF_FULL, fall_m_per_m, MANNING_N)


def half_full_velocity(bore_m: Quantity, fall_m_per_m: Quantity) -> Quantity:
    """Mean velocity of a drain that runs half full [m/s], by Manning with n = 0.013."""
    return mean_velocity_manning(hydraulic_radius(bore_m, HALF_FULL), fall_m_per_m, MANNING_N)


def falling_flow(bore_m: Quantity) -> Quantity:
    """Flow of a stack whose section is filled to 7/24 [m3/s], by Wyly and Eaton.

    Published: NSPC 2006, table 13.6.1, 144 gpm in a 4 in stack.

    >>> f"{falling_flow(4 * 0.0254) / 6.30902e-5:.0f} gpm"
    '144 gpm'
    """
    return stack_capacity(bore_m, STACK_SHARE)


def falling_velocity(bore_m: Quantity) -> Quantity:
    """Terminal velocity in a stack at that flow [m/s]."""
    return terminal_velocity(falling_flow(bore_m), bore_m)


def carried(
    bore_m: Quantity, fall_m_per_m: Quantity, is_stack: Quantity
) -> tuple[Quantity, Quantity, Quantity]:
    """Filling [-], flow [m3/s] and velocity [m/s] of drains and stacks together; NaN where a drain
    rises, lies level or stands upright.
    """
    drawn = np.asarray(fall_m_per_m)
    fall = np.where((drawn > 0.0) & (drawn < 1.0), drawn, np.nan)
    filling = np.where(is_stack, STACK_SHARE, np.where(np.isnan(fall), np.nan, HALF_FULL))
    flow = np.where(is_stack, falling_flow(bore_m), half_full_flow(bore_m, fall))
    velocity = np.where(is_stack, falling_velocity(bore_m), half_full_velocity(bore_m, fall))
    return filling, flow, velocity


def drain_flow_derived(bore: Node, fall: Node) -> Derived:
    """`half_full_flow` with its derivation."""
    return flow_manning.derive(bore, _half(), fall, _manning(), name="flow half full")


def drain_velocity_derived(bore: Node, fall: Node) -> Derived:
    """`half_full_velocity` with its derivation."""
    radius = hydraulic_radius.derive(bore, _half())
    return mean_velocity_manning.derive(radius, fall, _manning(), name="velocity half full")


def stack_flow_derived(bore: Node) -> Derived:
    """`falling_flow` with its derivation."""
    share = Given("share of the section filled with water", STACK_SHARE, "-", Assumed(STACK_REASON))
    return stack_capacity.derive(bore, share, name="flow of the stack")


def stack_velocity_derived(bore: Node) -> Derived:
    """`falling_velocity` with its derivation."""
    return terminal_velocity.derive(stack_flow_derived(bore), bore, name="terminal velocity")


def _half() -> Given:
    return Given("filling", HALF_FULL, "-", Assumed(HALF_FULL_REASON))


def _manning() -> Given:
    return Given("Manning's n", MANNING_N, "s/m^(1/3)", Assumed(MANNING_SOURCE))
