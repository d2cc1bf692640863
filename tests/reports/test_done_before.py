# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from collections.abc import Callable

from riser.network.model import Model
from riser.records.state import State
from riser.reports.floor_sheet import floor_sheet

REVISION = {"type_revision": "A"}


def said(model: Model, state: State, floor: str) -> list[str]:
    return [item.says for item in floor_sheet(model, state, [], (), "A", floor).before]


def test_the_joints_lower_down_a_riser_come_first_and_the_lowest_is_named(
    tower: Model, recorded: Callable[..., State]
) -> None:
    sentences = said(tower, State(), "02")
    assert "soil riser SO-S1: joint J02-S1-SOIL on floor 01 is not recorded as made." in sentences
    made = recorded(("made", "J02-S1-SOIL.1", {}), ("made", "J02-S1-SOIL.2", {}))
    assert not any("riser SO-S1" in sentence for sentence in said(tower, made, "02"))


def test_a_half_made_joint_lower_down_still_comes_first(tower: Model, recorded: Callable[..., State]) -> None:
    half = recorded(("made", "J02-S1-SOIL.1", {}))
    assert any("riser SO-S1: joint J02-S1-SOIL" in sentence for sentence in said(tower, half, "02"))


def test_the_part_that_joints_wait_for_is_named_with_its_floor(
    tower: Model, recorded: Callable[..., State]
) -> None:
    sentences = said(tower, recorded(("placed", "BG", REVISION), ("placed", "S1-01", REVISION)), "01")
    waiting = next(s for s in sentences if s.startswith("S1-02"))
    assert waiting.startswith("S1-02 (floor 02) is not recorded as placed; J02-S1-FIRE")
    assert waiting.endswith("and 8 more wait on it.")
    assert not any(s.startswith("S1-01") for s in sentences)


def test_the_lowest_floor_waits_for_no_joint_below(tower: Model) -> None:
    assert said(tower, State(), "01") == []
