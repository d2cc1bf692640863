# SPDX-License-Identifier: Apache-2.0
"""Published answers for supply pressures. Each check value stands beside its source."""

import numpy as np
import pytest

from riser.pressures import pressures_under_test_pa
from riser.pressures.design_load import least_load, peak_demand
from riser.rules import load_set

GPM = 231 * 0.0254**3 / 60
PSI, FOOT = 6894.757293168361, 0.3048
IPC = load_set("ipc_2021")


def test_peak_demand_of_systems_with_flush_tanks() -> None:
    # http://www.engineeringtoolbox.com/wsfu-gpm-d_1074.html: 1 wsfu 3 gpm, 2 5, 4 8, 8 12.8.
    # Illinois Plumbing Code Table N: 100 43.5, 140 52.5
    # (https://ilga.gov/commission/jcar/admincode/077/07700890ZZ9996anR.html).
    loads = np.array([1.0, 2.0, 4.0, 8.0, 100.0, 140.0])
    flow, _ = peak_demand(IPC, loads, np.zeros(6))
    assert flow / GPM == pytest.approx([3, 5, 8, 12.8, 43.5, 52.5])


def test_peak_demand_of_systems_with_flush_valves() -> None:
    # http://www.engineeringtoolbox.com/wsfu-gpm-d_1074.html: 5 wsfu 15 gpm, 10 27, 20 35, 50 50.
    loads = np.array([5.0, 10.0, 20.0, 50.0])
    flow, by_valves = peak_demand(IPC, loads, loads)
    assert flow / GPM == pytest.approx([15, 27, 35, 50])
    assert by_valves.all()


def test_between_rows_the_demand_is_read_straight() -> None:
    # Between 100 wsfu 43.5 gpm and 120 wsfu 48 gpm (Illinois Table N): half way 45.75.
    flow, _ = peak_demand(IPC, np.array([110.0]), np.zeros(1))
    assert flow[0] / GPM == pytest.approx(45.75)


def test_the_table_begins_at_one_unit_with_tanks_and_five_with_valves() -> None:
    assert least_load(IPC, "flush_tank") == 1
    assert least_load(IPC, "flush_valve") == 5


def test_a_foot_of_water_is_0_433_psi() -> None:
    # 0.433 psi/ft: New York 2008 Appendix E, https://www.scribd.com/document/321547660.
    low, high = pressures_under_test_pa(np.array([0.0, 100 * FOOT]), 0.0, 100 * PSI)
    assert (low - high) / PSI / 100 == pytest.approx(0.433, abs=0.0005)
