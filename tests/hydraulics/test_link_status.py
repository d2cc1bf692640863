# SPDX-License-Identifier: Apache-2.0
"""The rules by which states are contradicted, each at its edge."""

from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics.devices import PowerCurve
from riser.hydraulics.link_laws import LinkLaws
from riser.hydraulics.link_status import LinkState, LinkStates
from riser.hydraulics.pipe_network import Link, check_valve, pipe_network, pump, reducing_valve

OPEN, CLOSED, HOLDING = LinkState.OPEN, LinkState.CLOSED, LinkState.HOLDING


def wanted(
    link: Link, state: LinkState, flow: float, before: float, after: float, *, wet: str = "ab"
) -> LinkState:
    """The state that fits a single link between nodes a and b."""
    network = pipe_network([link], demand_m3s={}, fixed_head_m={"a": 1.0})
    rules = LinkStates(network, LinkLaws(network))
    supplied = np.array([name in wet for name in network.node_names])
    links, states = rules.contradictions(
        np.array([int(state)]),
        np.array([False]),
        np.array([flow]),
        np.array([before, after]),
        supplied,
        np.zeros(1),
    )
    return LinkState(int(states[0])) if links.size else state


CHECK = check_valve("C", "a", "b", 0.05, 2.0)
PUMP = pump("U", "a", "b", PowerCurve(-20.0, 1e4))
REDUCING = reducing_valve("R", "a", "b", 0.05, 30.0, 10.0)

CASES = [
    (CHECK, OPEN, 1e-3, 20.0, 19.0, OPEN),
    (CHECK, OPEN, -1e-3, 20.0, 21.0, CLOSED),
    (CHECK, OPEN, -1e-10, 20.0, 20.0, OPEN),
    (CHECK, CLOSED, 0.0, 20.0, 21.0, CLOSED),
    (CHECK, CLOSED, 0.0, 20.0, 19.9, OPEN),
    (PUMP, CLOSED, 0.0, 0.0, 20.1, CLOSED),
    (PUMP, CLOSED, 0.0, 0.0, 19.9, OPEN),
    (PUMP, OPEN, -1e-3, 0.0, 25.0, CLOSED),
    (REDUCING, HOLDING, 1e-3, 50.0, 30.0, HOLDING),
    (REDUCING, HOLDING, -1e-3, 50.0, 30.0, CLOSED),
    (REDUCING, HOLDING, 1e-3, 29.0, 30.0, OPEN),
    # 1e-3 m3/s in 50 mm at K 10 loses 0.13 m: 30.1 m before cannot hold 30 m after.
    (REDUCING, HOLDING, 1e-3, 30.1, 30.0, OPEN),
    (REDUCING, OPEN, 1e-3, 29.0, 28.87, OPEN),
    (REDUCING, OPEN, 1e-3, 31.0, 30.5, HOLDING),
    (REDUCING, OPEN, -1e-3, 31.0, 31.5, CLOSED),
    (REDUCING, CLOSED, 0.0, 50.0, 31.0, CLOSED),
    (REDUCING, CLOSED, 0.0, 50.0, 29.0, HOLDING),
    (REDUCING, CLOSED, 0.0, 28.0, 27.0, OPEN),
    (REDUCING, CLOSED, 0.0, 26.0, 27.0, CLOSED),
]


@pytest.mark.parametrize(("link", "state", "flow", "before", "after", "fits"), CASES)
def test_a_state_is_contradicted_exactly_where_the_valve_would_move(
    link: Link, state: LinkState, flow: float, before: float, after: float, fits: LinkState
) -> None:
    assert wanted(link, state, flow, before, after) is fits


def test_a_link_into_a_dry_part_opens_and_a_valve_without_supply_closes() -> None:
    assert wanted(CHECK, CLOSED, 0.0, 20.0, 0.0, wet="a") is OPEN
    assert wanted(REDUCING, CLOSED, 0.0, 50.0, 0.0, wet="a") is HOLDING
    assert wanted(REDUCING, HOLDING, 0.0, 0.0, 40.0, wet="b") is CLOSED
    assert wanted(CHECK, CLOSED, 0.0, 20.0, 0.0, wet="") is CLOSED


def test_of_valves_holding_one_node_only_the_highest_setting_starts_holding() -> None:
    settings = {"low": 20.0, "high": 40.0, "middle": 30.0}
    links = [reducing_valve(name, "a", "b", 0.05, head, 5.0) for name, head in settings.items()]
    network = pipe_network(links, demand_m3s={}, fixed_head_m={"a": 50.0})
    rules = LinkStates(network, LinkLaws(network))
    assert rules.first_states(np.zeros(3, dtype=bool)).tolist() == [CLOSED, HOLDING, CLOSED]
    # With the highest shut, the next holds.
    assert rules.first_states(np.array([False, True, False])).tolist() == [CLOSED, CLOSED, HOLDING]
    both = rules.changed(np.array([0, 1, 0]), np.array([0, 2]), np.array([2, 2]))
    assert both.tolist() == [CLOSED, OPEN, HOLDING]
