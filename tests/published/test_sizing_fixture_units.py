# SPDX-License-Identifier: Apache-2.0
"""Published answers for drains and vents by fixture units. Each check value stands beside its source."""

from typing import Any

import numpy as np
import pytest

from riser.hydraulics.stack_flow import stack_capacity, terminal_velocity
from riser.rules import load_set
from riser.sizing import branch_size, branch_vent_size, building_drain_size, stack_size, stack_vent_size
from riser.sizing.carrying import falling_flow, half_full_flow

INCH, FOOT = 0.0254, 0.3048
GPM = 231 * INCH**3 / 60
IPC = load_set("ipc_2021")

# W1: http://www.terrylove.com/forums/showthread.php?2977-DWV-Sizing (IPC 2003): stack A takes 7, 13 and 5 dfu
# on three floors and needs 3 in, stack B 4 and 6 and needs 2 in, stack C 10. The same as a drawn building
# stands in tests/sizing/test_drawn_examples.py.


def inches(size_m: Any) -> Any:
    return round(float(size_m) / INCH, 6)


def test_w1_stacks_by_total_and_by_one_interval() -> None:
    assert inches(stack_size(IPC, 25, 3, 13)) == 3
    assert inches(stack_size(IPC, 10, 2, 6)) == 2


def test_w1_building_drain_at_two_falls() -> None:
    assert inches(building_drain_size(IPC, 35, 1 / 8 / 12)) == 3
    assert inches(building_drain_size(IPC, 45, 1 / 8 / 12)) == 4
    assert inches(building_drain_size(IPC, 45, 1 / 2 / 12)) == 3


def test_w1_a_branch_of_the_building_drain_is_not_a_branch_off_a_stack() -> None:
    # Stack C's 10 dfu at 1/4 in/ft: 2 in by Table 710.1(1) (21 dfu), 2-1/2 in by Table 710.1(2) (6 in 2 in,
    # 12 in 2-1/2 in); both as printed in the 2018 edition and in SBC 701.
    assert inches(building_drain_size(IPC, 10, 1 / 4 / 12)) == 2
    assert inches(branch_size(IPC, 10)) == 2.5


def test_w2_building_drain_of_a_restroom() -> None:
    # https://designjoaquin.netlify.app/plumbing-vent-pipe-size: 44 dfu at 1/8 in/ft need 4 in.
    assert inches(building_drain_size(IPC, 44, 1 / 8 / 12)) == 4


def test_w3_vent_of_a_4_in_stack() -> None:
    # https://www.tcp.taxchambers.com/what-size-is-residential-vent-pipe.html: 4 in stack, 44 dfu, 25 ft need
    # 2 in.
    # 44 is one over the 43 dfu row, so the 140 dfu row with its 27 ft holds.
    assert inches(stack_vent_size(IPC, 4 * INCH, 44, 25 * FOOT)) == 2
    assert inches(stack_vent_size(IPC, 4 * INCH, 44, 28 * FOOT)) == 2.5
    assert inches(stack_vent_size(IPC, 4 * INCH, 43, 35 * FOOT)) == 2


def test_x13_a_3_in_stack_of_three_intervals_carries_48() -> None:
    # https://ircp1.passetra.com/question/what-is-the-maximum-number-725afc34bf08da15
    assert inches(stack_size(IPC, 48, 3, 16)) == 3
    assert inches(stack_size(IPC, 48.5, 3, 16)) == 4


@pytest.mark.parametrize(
    ("size", "one", "short", "tall"),
    # SBC 701 Table 4.10.1(2) (IPC-derived), https://pdfcoffee.com/pages-from-sbc-701-sanitary-105-pdf-free.html
    [(2, 6, 10, 24), (3, 20, 48, 72), (4, 90, 240, 500), (6, 350, 960, 1900), (8, 600, 2200, 3600)],
)
def test_stack_columns_hold_up_to_their_printed_figure(
    size: float, one: Any, short: float, tall: float
) -> None:
    assert inches(stack_size(IPC, short, 3, 1)) == size
    assert inches(stack_size(IPC, tall, 4, 1)) == size
    assert inches(stack_size(IPC, 1, 3, one)) == size
    assert inches(stack_size(IPC, short + 1, 3, 1)) > size
    assert inches(stack_size(IPC, tall + 1, 4, 1)) > size
    assert inches(stack_size(IPC, 1, 3, one + 1)) > size


@pytest.mark.parametrize(
    ("size", "eighth", "quarter", "half"),
    # IPC 2018 print, p. 68, http://online.flipbuilder.com/mewf/tjyt/files/basic-html/page85.html
    [(3, 36, 42, 50), (4, 180, 216, 250), (6, 700, 840, 1000), (12, 4600, 5600, 6700)],
)
def test_building_drain_holds_up_to_its_printed_figure(
    size: float, eighth: float, quarter: float, half: float
) -> None:
    for fall, most in ((1 / 8, eighth), (1 / 4, quarter), (1 / 2, half)):
        assert inches(building_drain_size(IPC, most, fall / 12)) == size
        assert inches(building_drain_size(IPC, most + 1, fall / 12)) > size


def test_below_3_in_no_capacity_is_printed_at_an_eighth() -> None:
    # The same page: the column for 1/8 in/ft begins at 3 in.
    assert inches(building_drain_size(IPC, 1, 1 / 8 / 12)) == 3
    assert np.isnan(building_drain_size(IPC, 1, 1 / 20 / 12))


def test_other_vents_are_half_the_drain_and_one_size_more_beyond_40_ft() -> None:
    # IPC 906.2 as quoted at https://designjoaquin.netlify.app/plumbing-vent-pipe-size
    assert inches(branch_vent_size(IPC, 1.5 * INCH, 10 * FOOT)) == 1.25
    assert inches(branch_vent_size(IPC, 3 * INCH, 40 * FOOT)) == 1.5
    assert inches(branch_vent_size(IPC, 3 * INCH, 40.5 * FOOT)) == 2


@pytest.mark.parametrize(
    ("size", "gpm"),
    # NSPC 2006 Table 13.6.1, 7/24 full, https://scribd.com/document/661947769
    [(2, 23), (3, 67), (4, 144), (5, 261), (6, 424), (8, 913), (10, 1655), (12, 2692), (15, 4880)],
)
def test_w19_stack_at_7_24_of_its_section(size: float, gpm: float) -> None:
    assert round(falling_flow(size * INCH) / GPM) == gpm


def test_terminal_velocity_goes_with_continuity() -> None:
    # The coefficient 3.0 of the velocity law goes with 27.8 of the flow law: 12.57 and 12.59 ft/s at 4 in,
    # 7/24 (worked out from both laws; NBS Monograph 31 through a public research note).
    flow = stack_capacity(4 * INCH, 7 / 24)
    by_area = flow / (7 / 24 * np.pi / 4 * (4 * INCH) ** 2)
    assert terminal_velocity(flow, 4 * INCH) / FOOT == pytest.approx(12.57, abs=0.01)
    assert by_area / FOOT == pytest.approx(12.59, abs=0.01)


def test_half_full_flow_is_half_of_manning_at_full_bore() -> None:
    # A round pipe half full has the hydraulic radius of a full one, so half its flow: textbook geometry; the
    # full flow by V = R^(2/3) S^(1/2) / n (Manning, SI) with n = 0.013 (Chow 1959, table 5-6).
    full = np.pi / 4 * 0.1**2 * (0.1 / 4) ** (2 / 3) * np.sqrt(0.02) / 0.013
    assert half_full_flow(0.1, 0.02) == pytest.approx(full / 2, rel=1e-12)
