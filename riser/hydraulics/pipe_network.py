# SPDX-License-Identifier: Apache-2.0
"""A network of full pipes as arrays: what the solver is given.

Nodes have a demand (water taken out) or a fixed head (a tank, still mains). Links run from a start to an end;
flow is positive that way. Heads are in metres of the water flowing, above one datum for the whole network.

    pipe               friction by Darcy-Weisbach (roughness) or Hazen-Williams (C), plus fittings as K
    valve              K of the open valve; a shut valve is `closed`
    check valve        lets water through from start to end only
    reducing valve     holds a head at its end, opens fully when the supply is too low, never flows back
    pump               a curve; lets water through from start to end only
    device             a loss curve both ways: a meter, a strainer, mains by flow test
    one-way device     a loss curve and no flow back: a backflow preventer
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from riser.errors import RiserError
from riser.hydraulics.devices import Curve
from riser.hydraulics.quantity import BoolArray, FloatArray, IntArray
from riser.units import STANDARD_GRAVITY_MS2

WATER_AT_20_C_M2S = 1.0035e-6
"""Kinematic viscosity of water at 20 degC (IAPWS SR6-08), used where a network is given none."""


class InvalidNetwork(RiserError):
    """A network that cannot be solved; the sentence names the element and says what it needs."""


class NotSolved(RiserError):
    """No flows and heads were found; the sentence names the links or valves where it hangs."""


class LinkKind(IntEnum):
    """What a link is."""

    PIPE = 0
    VALVE = 1
    CHECK_VALVE = 2
    REDUCING_VALVE = 3
    PUMP = 4
    DEVICE = 5
    ONE_WAY_DEVICE = 6

    @property
    def words(self) -> str:
        """The kind as people say it."""
        return self.name.lower().replace("_", " ").replace("one way", "one-way")


ONE_WAY = (LinkKind.CHECK_VALVE, LinkKind.PUMP, LinkKind.ONE_WAY_DEVICE)
BY_CURVE = (LinkKind.PUMP, LinkKind.DEVICE, LinkKind.ONE_WAY_DEVICE)


@dataclass(frozen=True, eq=False)
class PipeNetwork:
    """All nodes and links, one array element each; NaN where a column does not apply to the kind of link.

    `fixed_head_m` is NaN at nodes whose head is sought. A pipe has either `roughness_m` or
    `hazen_williams_c`. `curve` is a place in `curves`, -1 where there is none. `closed` links pass nothing.
    `kinematic_viscosity_m2s` is one number or one per link (hot and cold water in one network).
    """

    node_names: Sequence[str]
    demand_m3s: FloatArray
    fixed_head_m: FloatArray
    link_names: Sequence[str]
    kind: IntArray
    start: IntArray
    end: IntArray
    length_m: FloatArray
    diameter_m: FloatArray
    roughness_m: FloatArray
    hazen_williams_c: FloatArray
    loss_coefficient: FloatArray
    set_head_m: FloatArray
    curve: IntArray
    closed: BoolArray
    curves: Sequence[Curve] = ()
    kinematic_viscosity_m2s: float | FloatArray = WATER_AT_20_C_M2S
    gravity_ms2: float = STANDARD_GRAVITY_MS2

    @property
    def area_m2(self) -> FloatArray:
        """Bore area of each link; NaN where a link has no diameter."""
        area: FloatArray = np.pi / 4 * self.diameter_m**2
        return area


@dataclass(frozen=True, slots=True)
class Link:
    """One link by the names of its nodes; make it with `pipe`, `valve`, `pump` and so on below."""

    kind: LinkKind
    name: str
    start: str
    end: str
    length_m: float = float("nan")
    diameter_m: float = float("nan")
    roughness_m: float = float("nan")
    hazen_williams_c: float = float("nan")
    loss_coefficient: float = 0.0
    set_head_m: float = float("nan")
    curve: Curve | None = None
    closed: bool = False


def pipe(
    name: str,
    start: str,
    end: str,
    length_m: float,
    diameter_m: float,
    *,
    roughness_m: float = float("nan"),
    hazen_williams_c: float = float("nan"),
    loss_coefficient: float = 0.0,
    closed: bool = False,
) -> Link:
    """A pipe with its fittings as one loss coefficient; give either roughness or C."""
    return Link(
        LinkKind.PIPE, name, start, end, length_m, diameter_m, roughness_m, hazen_williams_c,
        loss_coefficient, closed=closed,
    )  # fmt: skip


def valve(
    name: str, start: str, end: str, diameter_m: float, loss_coefficient: float, *, closed: bool = False
) -> Link:
    """A stop or regulating valve, with the loss coefficient of its setting."""
    return Link(
        LinkKind.VALVE, name, start, end,
        diameter_m=diameter_m, loss_coefficient=loss_coefficient, closed=closed,
    )  # fmt: skip


def check_valve(name: str, start: str, end: str, diameter_m: float, loss_coefficient: float) -> Link:
    """A check valve that opens towards `end`."""
    return Link(
        LinkKind.CHECK_VALVE, name, start, end, diameter_m=diameter_m, loss_coefficient=loss_coefficient
    )


def reducing_valve(
    name: str, start: str, end: str, diameter_m: float, set_head_m: float, loss_coefficient: float
) -> Link:
    """A valve holding `set_head_m` at its end; the loss coefficient is that of the valve full open."""
    return Link(
        LinkKind.REDUCING_VALVE, name, start, end,
        diameter_m=diameter_m, loss_coefficient=loss_coefficient, set_head_m=set_head_m,
    )  # fmt: skip


def pump(name: str, start: str, end: str, curve: Curve, *, closed: bool = False) -> Link:
    """A pump; a pump that stands still is `closed`."""
    return Link(LinkKind.PUMP, name, start, end, curve=curve, closed=closed)


def device(name: str, start: str, end: str, curve: Curve, *, one_way: bool = False) -> Link:
    """A meter, strainer or mains flow test by its loss curve; `one_way` for a backflow preventer."""
    kind = LinkKind.ONE_WAY_DEVICE if one_way else LinkKind.DEVICE
    return Link(kind, name, start, end, curve=curve)


def pipe_network(
    links: Sequence[Link],
    *,
    demand_m3s: Mapping[str, float],
    fixed_head_m: Mapping[str, float],
    kinematic_viscosity_m2s: float = WATER_AT_20_C_M2S,
    gravity_ms2: float = STANDARD_GRAVITY_MS2,
) -> PipeNetwork:
    """A network from links written one by one; nodes are all names that occur."""
    ends = [name for link in links for name in (link.start, link.end)]
    names = list(dict.fromkeys([*fixed_head_m, *ends, *demand_m3s]))
    place = {name: i for i, name in enumerate(names)}
    curves = list({id(link.curve): link.curve for link in links if link.curve is not None}.values())
    curve_place = {id(curve): i for i, curve in enumerate(curves)}

    def column(what: str) -> FloatArray:
        return np.array([getattr(link, what) for link in links], dtype=float)

    return PipeNetwork(
        node_names=tuple(names),
        demand_m3s=np.array([demand_m3s.get(name, 0.0) for name in names], dtype=float),
        fixed_head_m=np.array([fixed_head_m.get(name, np.nan) for name in names], dtype=float),
        link_names=tuple(link.name for link in links),
        kind=np.array([int(link.kind) for link in links], dtype=np.int64),
        start=np.array([place[link.start] for link in links], dtype=np.int64),
        end=np.array([place[link.end] for link in links], dtype=np.int64),
        length_m=column("length_m"),
        diameter_m=column("diameter_m"),
        roughness_m=column("roughness_m"),
        hazen_williams_c=column("hazen_williams_c"),
        loss_coefficient=column("loss_coefficient"),
        set_head_m=column("set_head_m"),
        curve=np.array([curve_place.get(id(link.curve), -1) for link in links], dtype=np.int64),
        closed=np.array([link.closed for link in links], dtype=bool),
        curves=tuple(curves),
        kinematic_viscosity_m2s=kinematic_viscosity_m2s,
        gravity_ms2=gravity_ms2,
    )
