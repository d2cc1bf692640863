# SPDX-License-Identifier: Apache-2.0
"""A network that cannot be solved is told in one sentence that names the element."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from riser.errors import RiserError
from riser.hydraulics.devices import PowerCurve
from riser.hydraulics.pipe_network import (
    InvalidNetwork,
    Link,
    LinkKind,
    check_valve,
    device,
    pipe,
    pipe_network,
    pump,
    reducing_valve,
    valve,
)
from riser.hydraulics.solver import solve

GOOD = pipe("P1", "tank", "A", 10.0, 0.05, roughness_m=1e-4)

BAD_LINKS = [
    (pipe("P7", "A", "B", 0.0, 0.05, roughness_m=1e-4), "pipe P7 has length 0 m"),
    (pipe("P7", "A", "B", -3.0, 0.05, roughness_m=1e-4), "pipe P7 has length -3 m"),
    (pipe("P7", "A", "B", np.inf, 0.05, roughness_m=1e-4), "pipe P7 has length inf m"),
    (pipe("P7", "A", "B", np.nan, 0.05, roughness_m=1e-4), "pipe P7 has length nan m"),
    (pipe("P7", "A", "B", 3.0, 0.0, roughness_m=1e-4), "pipe P7 has bore 0 m"),
    (pipe("P7", "A", "B", 3.0, 0.05), "pipe P7 needs either a roughness or a Hazen-Williams C"),
    (pipe("P7", "A", "B", 3.0, 0.05, roughness_m=0.0, hazen_williams_c=120.0), "and not both"),
    (pipe("P7", "A", "B", 3.0, 0.05, roughness_m=-1e-4), "pipe P7 has roughness -0.0001 m"),
    (pipe("P7", "A", "B", 3.0, 0.05, roughness_m=0.06), "less than the bore"),
    (pipe("P7", "A", "B", 3.0, 0.05, hazen_williams_c=0.0), "pipe P7 has C = 0"),
    (
        pipe("P7", "A", "B", 3.0, 0.05, roughness_m=0.0, loss_coefficient=-1.0),
        "pipe P7 has loss coefficient -1",
    ),
    (pipe("P7", "A", "A", 3.0, 0.05, roughness_m=0.0), "pipe P7 starts and ends at the same node"),
    (valve("V7", "A", "B", 0.05, 0.0), "valve V7 has loss coefficient 0"),
    (valve("V7", "A", "B", np.nan, 1.0), "valve V7 has bore nan m"),
    (check_valve("C7", "A", "B", 0.05, -2.0), "check valve C7 has loss coefficient -2"),
    (reducing_valve("R7", "A", "B", 0.05, np.nan, 5.0), "reducing valve R7 has no setting"),
    (reducing_valve("R7", "A", "tank", 0.05, 20.0, 5.0), "reducing valve R7 discharges into a fixed head"),
    (Link(LinkKind.PUMP, "U7", "A", "B"), "pump U7 has no curve"),
    (pump("U7", "A", "B", PowerCurve(0.0, 1e4)), "pump U7 has a curve without head at zero flow"),
    (Link(LinkKind.DEVICE, "M7", "A", "B"), "device M7 has no curve"),
    (Link(LinkKind.ONE_WAY_DEVICE, "M7", "A", "B"), "one-way device M7 has no curve"),
]  # fmt: skip


@pytest.mark.parametrize(("bad", "says"), BAD_LINKS, ids=[says for _, says in BAD_LINKS])
def test_a_bad_link_is_named_with_what_it_needs(bad: Link, says: str) -> None:
    network = pipe_network([GOOD, bad], demand_m3s={"A": 1e-4}, fixed_head_m={"tank": 30.0})
    with pytest.raises(InvalidNetwork) as told:
        solve(network)
    assert says in str(told.value)
    assert isinstance(told.value, RiserError)


def test_a_network_without_a_source_says_so() -> None:
    with pytest.raises(InvalidNetwork, match="no source"):
        solve(pipe_network([GOOD], demand_m3s={"A": 1e-4}, fixed_head_m={}))
    with pytest.raises(InvalidNetwork, match="no nodes"):
        solve(pipe_network([], demand_m3s={}, fixed_head_m={}))


def test_two_links_of_one_name_are_told() -> None:
    again = pipe("P1", "A", "B", 10.0, 0.05, roughness_m=1e-4)
    with pytest.raises(InvalidNetwork, match="2 links are called P1"):
        solve(pipe_network([GOOD, again], demand_m3s={}, fixed_head_m={"tank": 30.0}))


def test_two_reducing_valves_holding_one_head_at_one_node_are_told() -> None:
    twins = [reducing_valve(name, "A", "B", 0.03, 20.0, 5.0) for name in ("R1", "R2")]
    with pytest.raises(InvalidNetwork, match="R1 and R2 hold the same head"):
        solve(pipe_network([GOOD, *twins], demand_m3s={"B": 1e-4}, fixed_head_m={"tank": 30.0}))


def test_bad_arrays_are_told() -> None:
    network = pipe_network([GOOD], demand_m3s={"A": 1e-4}, fixed_head_m={"tank": 30.0})
    with pytest.raises(InvalidNetwork, match="length_m has 2 values for 1 links"):
        solve(replace(network, length_m=np.ones(2)))
    with pytest.raises(InvalidNetwork, match="P1 starts or ends at a node that does not exist"):
        solve(replace(network, end=np.array([9])))
    with pytest.raises(InvalidNetwork, match="kind 11 is not known"):
        solve(replace(network, kind=np.array([11])))
    with pytest.raises(InvalidNetwork, match="node A: the demand is not a number"):
        solve(replace(network, demand_m3s=np.array([0.0, np.nan])))
    with pytest.raises(InvalidNetwork, match="node A: the fixed head is infinite"):
        solve(replace(network, fixed_head_m=np.array([30.0, np.inf])))
    with pytest.raises(InvalidNetwork, match="viscosity"):
        solve(replace(network, kinematic_viscosity_m2s=0.0))


def test_a_good_network_with_every_kind_of_link_is_not_refused() -> None:
    links = [
        GOOD,
        valve("V", "A", "B", 0.05, 1.0),
        check_valve("C", "B", "D", 0.05, 1.0),
        reducing_valve("R", "D", "E", 0.05, 20.0, 5.0),
        pump("U", "E", "F", PowerCurve(-10.0, 1e4)),
        device("M", "F", "G", PowerCurve(0.0, 1e4)),
        device("BP", "G", "H", PowerCurve(2.0, 1e4), one_way=True),
    ]
    solution = solve(pipe_network(links, demand_m3s={"H": 1e-3}, fixed_head_m={"tank": 50.0}))
    assert solution.supplied.all()
    np.testing.assert_allclose(solution.flow_m3s, 1e-3, atol=1e-9)
