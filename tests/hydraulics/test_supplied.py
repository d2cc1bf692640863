# SPDX-License-Identifier: Apache-2.0
"""Which nodes have water."""

from __future__ import annotations

import numpy as np

from riser.hydraulics.supplied import supplied_nodes

# 0 source - 1 - 2 =valve= 3 - 4 =valve= 5; 6 - 7 apart; 8 =valve= 6 from a dry node.
START = np.array([0, 1, 2, 3, 4, 6, 8])
END = np.array([1, 2, 3, 4, 5, 7, 6])
OPEN = np.array([True, True, False, True, False, True, False])
HOLDING = ~OPEN
SOURCE = np.arange(9) == 0


def test_open_links_carry_supply_both_ways_and_holding_valves_forwards() -> None:
    assert supplied_nodes(START, END, OPEN, HOLDING, SOURCE).tolist() == [True] * 6 + [False] * 3


def test_a_holding_valve_carries_nothing_backwards() -> None:
    at_five = np.arange(9) == 5
    assert supplied_nodes(START, END, OPEN, HOLDING, at_five).tolist() == [False] * 5 + [True] + [False] * 3


def test_closed_links_carry_nothing() -> None:
    nothing = np.zeros(7, dtype=bool)
    assert supplied_nodes(START, END, nothing, nothing, SOURCE).tolist() == SOURCE.tolist()
