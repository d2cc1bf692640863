# SPDX-License-Identifier: Apache-2.0
"""Networks that cannot be solved, told in one sentence that names the element."""

from __future__ import annotations

from collections import Counter

import numpy as np

from riser.hydraulics.pipe_network import BY_CURVE, InvalidNetwork, LinkKind, PipeNetwork
from riser.hydraulics.quantity import BoolArray, FloatArray

_BY_COEFFICIENT = (LinkKind.VALVE, LinkKind.CHECK_VALVE, LinkKind.REDUCING_VALVE)


def refuse_invalid(network: PipeNetwork) -> None:
    """Raises InvalidNetwork for the first fault found."""
    _refuse_uneven(network)
    _refuse_bad_nodes(network)
    _refuse_bad_ends(network)
    _refuse_bad_pipes(network)
    _refuse_bad_fittings(network)
    _refuse_bad_reducing_valves(network)


def refuse_unusable(network: PipeNetwork, demand_m3s: FloatArray, fixed_head_m: FloatArray) -> None:
    """Raises InvalidNetwork where demands or heads given for one solution are not one number per node."""
    for what, values in (("demand", demand_m3s), ("fixed head", fixed_head_m)):
        if np.shape(values) != (len(network.node_names),):
            raise InvalidNetwork(f"{np.size(values)} values of {what} for {len(network.node_names)} nodes")
    lost = ~np.isfinite(fixed_head_m) & ~np.isnan(network.fixed_head_m)
    for place in np.flatnonzero(~np.isfinite(demand_m3s) | lost)[:1]:
        raise InvalidNetwork(f"node {network.node_names[int(place)]}: demand or fixed head is not a number")


def _refuse_uneven(network: PipeNetwork) -> None:
    nodes, links = len(network.node_names), len(network.link_names)
    if not nodes:
        raise InvalidNetwork("the network has no nodes")
    per_node = ("demand_m3s", "fixed_head_m")
    per_link = (
        "kind", "start", "end", "length_m", "diameter_m", "roughness_m", "hazen_williams_c",
        "loss_coefficient", "set_head_m", "curve", "closed",
    )  # fmt: skip
    for names, count, what in ((per_node, nodes, "nodes"), (per_link, links, "links")):
        for name in names:
            if len(getattr(network, name)) != count:
                raise InvalidNetwork(
                    f"{name} has {len(getattr(network, name))} values for {count} {what}; give one for each"
                )
    for every, what in ((network.node_names, "nodes"), (network.link_names, "links")):
        if len(set(every)) < len(every):
            name, times = Counter(every).most_common(1)[0]
            raise InvalidNetwork(f"{times} {what} are called {name}; give each its own name")


def _refuse_bad_nodes(network: PipeNetwork) -> None:
    for place in np.flatnonzero(~np.isfinite(network.demand_m3s))[:1]:
        raise InvalidNetwork(
            f"node {network.node_names[int(place)]}: the demand is not a number; give 0 for none"
        )
    for place in np.flatnonzero(np.isinf(network.fixed_head_m))[:1]:
        raise InvalidNetwork(
            f"node {network.node_names[int(place)]}: the fixed head is infinite; give a head in m"
        )
    if np.isnan(network.fixed_head_m).all():
        raise InvalidNetwork("the network has no source: no node has a fixed head; add the mains or a tank")
    viscosity = np.asarray(network.kinematic_viscosity_m2s)
    if not (np.all(viscosity > 0) and np.all(np.isfinite(viscosity))):
        raise InvalidNetwork("the kinematic viscosity must be above 0 m2/s")


def _refuse_bad_ends(network: PipeNetwork) -> None:
    nodes = len(network.node_names)
    outside = (np.minimum(network.start, network.end) < 0) | (np.maximum(network.start, network.end) >= nodes)
    _refuse(network, outside, "starts or ends at a node that does not exist; connect it to two nodes")
    _refuse(
        network, network.start == network.end, "starts and ends at the same node; connect it to two nodes"
    )
    known = np.isin(network.kind, [int(kind) for kind in LinkKind])
    for place in np.flatnonzero(~known)[:1]:
        raise InvalidNetwork(
            f"link {network.link_names[int(place)]}: kind {network.kind[place]} is not known"
        )


def _refuse_bad_pipes(network: PipeNetwork) -> None:
    pipes = network.kind == LinkKind.PIPE
    length, bore = network.length_m, network.diameter_m
    _refuse(
        network, pipes & ~_positive(length),
        "has length {value:g} m; a pipe needs a length above 0 (join the two nodes, or use a valve)", length,
    )  # fmt: skip
    _refuse(network, pipes & ~_positive(bore), "has bore {value:g} m; a pipe needs a bore above 0", bore)
    rough, c = network.roughness_m, network.hazen_williams_c
    neither = pipes & (np.isnan(rough) == np.isnan(c))
    _refuse(network, neither, "needs either a roughness or a Hazen-Williams C, and not both")
    with np.errstate(invalid="ignore"):
        too_rough = pipes & ~np.isnan(rough) & ~((rough >= 0) & (rough < bore))
    _refuse(
        network, too_rough, "has roughness {value:g} m; it must be 0 or more and less than the bore", rough
    )
    _refuse(
        network, pipes & ~np.isnan(c) & ~_positive(c), "has C = {value:g}; a Hazen-Williams C is above 0", c
    )


def _refuse_bad_fittings(network: PipeNetwork) -> None:
    coefficient, bore = network.loss_coefficient, network.diameter_m
    needs = np.isin(network.kind, [int(kind) for kind in _BY_COEFFICIENT])
    _refuse(
        network, needs & ~_positive(coefficient),
        "has loss coefficient {value:g}; give that of the valve full open, above 0", coefficient,
    )  # fmt: skip
    _refuse(
        network, needs & ~_positive(bore), "has bore {value:g} m; give the bore its coefficient is for", bore
    )
    pipes = network.kind == LinkKind.PIPE
    negative = pipes & ~((coefficient >= 0) & np.isfinite(coefficient))
    _refuse(network, negative, "has loss coefficient {value:g}; it must be 0 or more", coefficient)
    by_curve = np.isin(network.kind, [int(kind) for kind in BY_CURVE])
    missing = by_curve & ((network.curve < 0) | (network.curve >= len(network.curves)))
    _refuse(network, missing, "has no curve; give its points of flow and head")
    pumps = np.flatnonzero((network.kind == LinkKind.PUMP) & ~missing)
    adds_nothing = np.zeros(len(network.kind), dtype=bool)
    adds_nothing[pumps] = [network.curves[network.curve[p]].at_rest_m >= 0 for p in pumps]
    _refuse(network, adds_nothing, "has a curve without head at zero flow; give the head the pump adds")


def _refuse_bad_reducing_valves(network: PipeNetwork) -> None:
    reducing = network.kind == LinkKind.REDUCING_VALVE
    set_head = network.set_head_m
    _refuse(network, reducing & ~np.isfinite(set_head), "has no setting; give the head it holds at its end")
    at_source = reducing & ~np.isnan(network.fixed_head_m[network.end])
    _refuse(network, at_source, "discharges into a fixed head, which it cannot hold; put a pipe between")
    seen: dict[tuple[int, float], str] = {}
    for place in np.flatnonzero(reducing):
        key = int(network.end[place]), float(set_head[place])
        if key in seen:
            raise InvalidNetwork(
                f"reducing valves {seen[key]} and {network.link_names[int(place)]} hold the same head at the "
                f"same node, so the share of each is not determined; set one lower or put pipes between"
            )
        seen[key] = network.link_names[int(place)]


def _refuse(network: PipeNetwork, faulty: BoolArray, what: str, values: FloatArray | None = None) -> None:
    for place in np.flatnonzero(faulty)[:1]:
        words = LinkKind(int(network.kind[place])).words
        value = float("nan") if values is None else float(values[place])
        raise InvalidNetwork(f"{words} {network.link_names[int(place)]} {what.format(value=value)}")


def _positive(values: FloatArray) -> BoolArray:
    return np.isfinite(values) & (values > 0)
