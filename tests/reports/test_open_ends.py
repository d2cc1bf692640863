# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from collections.abc import Callable
from typing import Any

from riser.network.model import Model
from riser.records.state import State
from riser.reports.floor_sheet import floor_sheet
from riser.reports.open_ends import OpenEnd
from tests.building import model_of, two_storeys, without_rows

REVISION = {"type_revision": "A"}


def ends_of(model: Model, state: State, floor: str = "01") -> dict[str, OpenEnd]:
    return {end.stub: end for end in floor_sheet(model, state, [], (), "A", floor).open_ends}


def placed(*parts: str) -> list[tuple[str, str, dict[str, Any]]]:
    return [("placed", part, REVISION) for part in parts]


def test_a_stub_that_faces_a_part_not_yet_placed_is_open(recorded: Callable[..., State]) -> None:
    ends = ends_of(model_of(two_storeys()), recorded(*placed("BG")))
    assert set(ends) == {"BG/SP1", "BG/CW1", "BG/FR1"}
    assert ends["BG/SP1"].why == "waits for M1 (J1)"


def test_both_ends_stay_open_until_every_connection_between_them_is_made(
    recorded: Callable[..., State],
) -> None:
    model = model_of(two_storeys())
    half = ends_of(model, recorded(*placed("BG", "M1"), ("made", "J1.1", {})))
    done = ends_of(model, recorded(*placed("BG", "M1"), ("made", "J1.1", {}), ("made", "J1.2", {})))
    assert {"BG/SP1", "M1/SP1"} <= set(half)
    assert half["M1/SP1"].why == "J1 is not made"
    assert not {"BG/SP1", "M1/SP1"} & set(done)
    assert "M1/SP2" in done


def test_a_recorded_cap_does_not_take_an_end_off_the_list_and_is_counted(
    recorded: Callable[..., State],
) -> None:
    state = recorded(*placed("BG"), ("capped", "BG/SP1", {}))
    sheet = floor_sheet(model_of(two_storeys()), state, [], (), "A", "01")
    assert (len(sheet.open_ends), sheet.uncapped) == (3, 2)
    off = recorded(*placed("BG"), ("capped", "BG/SP1", {}), ("uncapped", "BG/SP1", {}))
    assert floor_sheet(model_of(two_storeys()), off, [], (), "A", "01").uncapped == 3


def test_a_stub_without_any_joint_is_open(recorded: Callable[..., State]) -> None:
    model = model_of(without_rows(two_storeys(), "joints", joint="J9"))
    end = ends_of(model, recorded(*placed("BG", "M1", "M2")), "02")["M2/FR2"]
    assert (end.why, end.has_joint) == ("no joint is drawn here", False)


def test_a_closed_end_is_open_until_its_cap_is_made(recorded: Callable[..., State]) -> None:
    model = model_of(two_storeys())
    before = ends_of(model, recorded(*placed("BG", "M1", "M2")), "02")
    after = ends_of(model, recorded(*placed("BG", "M1", "M2"), ("made", "J8.1", {})), "02")
    assert before["M2/CW2"].why == "its closed end J8 is not made"
    assert "M2/CW2" not in after


def test_trays_and_conduits_are_no_open_ends(tower: Model) -> None:
    words = {end.system_word for end in ends_of(tower, State()).values()}
    assert not words & {"power", "data"}
    assert {"soil", "fire", "hot return"} <= words


def test_without_records_the_building_is_taken_to_stand_up_to_the_floor() -> None:
    ends = ends_of(model_of(two_storeys()), State())
    assert ends["M1/SP2"].why == "waits for M2 (J4)"
    assert ends["M1/SP1"].why == "J1 is not made"
    assert not any(stub.startswith("M2/") for stub in ends)
