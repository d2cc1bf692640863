# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from riser.audit.finding import Finding, Severity
from riser.errors import InputErrors
from riser.joints.findings import findings
from riser.network.model import Model
from riser.network.tables import JobTables
from riser.records.state import State
from riser.reports.floor_sheet import FloorSheet, floor_sheet
from riser.reports.joint_line import JointLine
from riser.reports.stage import Stage
from tests.building import model_of, two_storeys, with_cells, with_rows

REVISION = {"type_revision": "A"}
PLACED = [("placed", part, REVISION) for part in ("BG", "M1", "M2", "RV")]


def sheet_of(job: JobTables, state: State, floor: str = "01", **more: Any) -> FloorSheet:
    model = model_of(job)
    return floor_sheet(model, state, findings(model), (), "A", floor, **more)


def line_of(sheet: FloorSheet, joint: str) -> JointLine:
    return next(line for line in sheet.joints if line.id == joint)


def test_a_floor_lists_every_joint_that_is_made_from_it_and_no_other() -> None:
    ids = {
        floor: {line.id for line in sheet_of(two_storeys(), State(), floor).joints} for floor in ("01", "02")
    }
    assert ids == {"01": {"J1", "J2", "J3", "J4", "J5", "J6"}, "02": {"J7", "J8", "J9"}}


def test_without_an_order_in_the_job_the_fire_riser_comes_first_and_joints_are_numbered_through() -> None:
    lines = sheet_of(two_storeys(), State()).joints
    assert [line.number for line in lines] == [1, 2, 3, 4, 5, 6]
    assert [line.system_word for line in lines] == ["fire", "fire", "soil", "soil", "cold", "cold"]


def test_the_order_of_the_job_goes_before_the_usual_one() -> None:
    job = with_cells(two_storeys(), "systems", {"network": "soil-A"}, order=1)
    assert sheet_of(job, State()).joints[0].system_word == "soil"
    job = with_rows(job, "systems", {"network": "cold-A", "system": "cold", "order": 0.5})
    words = [line.system_word for line in sheet_of(job, State()).joints]
    assert words == ["cold", "cold", "soil", "soil", "fire", "fire"]


def test_a_joint_nobody_has_seen_is_not_yet_seen_and_may_not_be_covered() -> None:
    for line in sheet_of(two_storeys(), State()).joints:
        assert line.stage is Stage.NOT_YET_SEEN
        assert not line.may_be_covered
        assert line.covering_words == "do not cover: not yet placed, made, inspected, proven, released"


def test_a_joint_shows_the_worst_of_its_connections_and_names_what_is_lacking(
    recorded: Callable[..., State],
) -> None:
    state = recorded(*PLACED, ("made", "J4.1", {}))
    line = line_of(sheet_of(two_storeys(), state), "J4")
    assert [c.stage for c in line.connections] == [Stage.MADE, Stage.NOT_YET_SEEN]
    assert line.stage is Stage.NOT_YET_SEEN
    assert line.next_words == "G4 by foreman (self), lacks made (J4.2)"


def test_a_joint_may_be_covered_only_when_every_connection_is_released(
    recorded: Callable[..., State],
) -> None:
    def said(connection: str) -> list[tuple[str, str, dict[str, Any]]]:
        looked_at = ("inspected", connection, {"passed": True})
        return [("made", connection, {}), looked_at, ("released", connection, {"number": 1})]

    half = line_of(sheet_of(two_storeys(), recorded(*PLACED, *said("J4.1"))), "J4")
    whole = line_of(sheet_of(two_storeys(), recorded(*PLACED, *said("J4.1"), *said("J4.2"))), "J4")
    assert half.why_not_covered == ("made", "inspected", "proven", "released")
    assert whole.may_be_covered
    state = recorded(*PLACED, *said("J4.1"), *said("J4.2"))
    stale = line_of(sheet_of(two_storeys(), state, stale=frozenset({"J4.2"})), "J4")
    assert "proven again, its proof is stale" in stale.why_not_covered


def test_covering_without_a_release_stands_in_the_first_words(recorded: Callable[..., State]) -> None:
    line = line_of(sheet_of(two_storeys(), recorded(("made", "J2.1", {}), ("covered", "J2.1", {}))), "J2")
    assert line.covering_words.startswith("covered without a release: not yet ")
    assert line.stage is Stage.MADE


def test_the_gates_of_the_job_replace_the_usual_ones() -> None:
    model = model_of(two_storeys())
    gate = {"id": "X7", "work": "soil", "kind": "hold", "needs": ["photographed"], "role": "engineer"}
    sheet = floor_sheet(model, State(), [], [gate], "A", "01")
    assert line_of(sheet, "J4").next_words == "X7 by engineer (hold), lacks photographed"
    assert line_of(sheet, "J5").next_words == "all gates passed"
    assert not line_of(sheet, "J5").may_be_covered


def test_what_a_gate_asks_for_in_the_jobs_own_words_is_lacking_until_it_is_recorded(
    recorded: Callable[..., State],
) -> None:
    gate = {"id": "X8", "work": "joint", "kind": "hold", "needs": ["released", "sleeve stopped"]}
    sheet = floor_sheet(model_of(two_storeys()), State(), [], [gate], "A", "01")
    assert line_of(sheet, "J5").why_not_covered[-2:] == ("sleeve stopped", "released")


def test_gates_that_ask_for_little_do_not_make_covering_easier_and_trays_need_no_test(tower: Model) -> None:
    gate = {"id": "X1", "work": "joint", "kind": "self", "needs": ["released"]}
    sheet = floor_sheet(tower, State(), [], [gate], "A", "01")
    wet = ("made", "inspected", "proven", "released")
    assert line_of(sheet, "J01-S1-SOIL").why_not_covered == wet
    assert line_of(sheet, "J01-S1-POWE").why_not_covered == ("made", "inspected", "released")


def test_a_gate_may_ask_for_the_fire_riser_up_to_the_floor_to_be_made(
    recorded: Callable[..., State], tower: Model
) -> None:
    gate = {"id": "X3", "work": "soil", "kind": "hold", "needs": ["fire riser made"]}
    parts = [("placed", f"S{k}-{floor}", REVISION) for k in (1, 2, 3) for floor in ("01", "02")]
    fire: list[tuple[str, str, dict[str, Any]]] = [
        ("made", f"J02-{shaft}-FIRE.{n}", {}) for shaft in ("S1", "S2") for n in (1, 2)
    ]
    half = floor_sheet(tower, recorded(*parts, *fire[:3]), [], [gate], "A", "01")
    made = floor_sheet(tower, recorded(*parts, *fire), [], [gate], "A", "01")
    assert line_of(half, "J02-S3-SOIL").next_words == "X3 (hold), lacks fire riser made up to here"
    assert line_of(made, "J02-S3-SOIL").next_words == "all gates passed"
    # The joint to floor 03 waits for its part: the fire riser is made as far as it can be.
    assert (
        line_of(floor_sheet(tower, recorded(*parts, *fire), [], [gate], "A", "02"), "J03-S3-SOIL").gate
        is None
    )


def test_a_gate_may_ask_for_measured_stubs() -> None:
    gate = {"id": "X1", "work": "joint", "kind": "self", "needs": ["measured"]}
    at = {"measured_at": "2031-03-02T10:15+01:00", "x_m": 0.5, "y_m": 0.5, "z_m": 0.1, "uncertainty_m": 0.001}
    one = model_of(with_rows(two_storeys(), "survey", {"stub": "BG/SP1", **at}))
    both = model_of(with_rows(two_storeys(), "survey", {"stub": "BG/SP1", **at}, {"stub": "M1/SP1", **at}))
    said = [line_of(floor_sheet(m, State(), [], [gate], "A", "01"), "J1").next_words for m in (one, both)]
    assert said == ["X1 (self), lacks measured", "all gates passed"]


def test_a_stack_that_stands_has_no_invert_and_a_drain_that_lies_has_half_a_bore_below_its_axis() -> None:
    nodes = with_rows(
        two_storeys(),
        "nodes",
        {"type": "MA", "revision": "A", "node": "SB", "kind": "stub", "x_m": 3.0, "y_m": 0.5, "z_m": 0.3,
         "facing": "+x", "pipe": "CI100", "system": "soil", "end": "plain"},
    )  # fmt: skip
    job = with_rows(nodes, "joints", {"joint": "J20", "stub_a": "M1/SB"})
    sheet = sheet_of(job, State())
    assert [c.invert_m for c in line_of(sheet, "J4").connections] == [None, None]
    lying = line_of(sheet, "J20").connections[0]
    # The bore of CI100 in the test building is 103 mm; the stub's axis lies 0.3 m above the module's zero.
    assert lying.invert_m == pytest.approx(0.15 + 0.3 - 0.103 / 2)
    assert lying.level_words == "+0.450, invert +0.398"


def test_the_level_of_each_connection_is_its_own() -> None:
    line = line_of(sheet_of(two_storeys(), State()), "J4")
    # Stubs at 2.700 and 3.200 m, a 497 mm spool: two gaps of 1.5 mm, their middles 0.75 mm from the stubs.
    assert [c.level_m for c in line.connections] == pytest.approx([2.70075, 3.19925])


def test_a_joint_that_can_not_be_made_as_drawn_is_on_the_sheet_and_says_why() -> None:
    sheet = sheet_of(with_cells(two_storeys(), "joints", {"joint": "J4"}, stub_b="M2/NONE"), State())
    line = line_of(sheet, "J4")
    assert line.barred == "a stub of this joint is not drawn"
    assert line.stubs == ("M1/SP2", "M2/NONE")
    assert [f.code for f in line.findings] == ["J02"]
    assert line.stage is Stage.NOT_YET_SEEN


def finding(code: str, *items: str, floor: str = "01", because: str | None = None) -> Finding:
    rests = (("M1/SP2", "0123"),)
    return Finding(
        code, "", Severity.ERROR, items, floor, "A", "soil", "", f"{code}.", "Do it.", "", because, rests
    )


def test_findings_stand_with_the_joint_they_are_about_whatever_they_name_it_by() -> None:
    found = [
        finding("J11", "J4"),
        finding("J15", "J4.2"),
        finding("J19", "M1/SP2"),
        finding("J06", "M1/OTHER"),
    ]
    sheet = floor_sheet(model_of(two_storeys()), State(), found, (), "A", "01")
    assert [f.code for f in line_of(sheet, "J4").findings] == ["J11", "J15", "J19"]
    assert [f.code for f in sheet.others] == ["J06"]


def test_a_consequence_is_left_out_where_its_cause_is_shown() -> None:
    found = [
        finding("J11", "J4"),
        finding("J12", "J4", because="J11:J4"),
        finding("D04", "J5", because="J03:J9"),
    ]
    sheet = floor_sheet(model_of(two_storeys()), State(), found, (), "A", "01")
    assert [f.code for f in line_of(sheet, "J4").findings] == ["J11"]
    assert [f.code for f in line_of(sheet, "J5").findings] == ["D04"]


@pytest.mark.parametrize(("held", "shown"), [("0123", "accepted by A. Foreman: "), ("9999", "")])
def test_an_acceptance_shows_only_while_it_rests_on_the_same_things(
    recorded: Callable[..., State], held: str, shown: str
) -> None:
    said = ("accepted", "M1/SP2", {"finding": "J11:J4", "rests_on": {"M1/SP2": held}})
    sheet = floor_sheet(model_of(two_storeys()), recorded(said), [finding("J11", "J4")], (), "A", "01")
    assert line_of(sheet, "J4").findings[0].accepted == shown


def test_a_bare_floor_is_enough_where_one_building_has_it_and_a_foreign_one_is_an_input_error() -> None:
    model = model_of(two_storeys())
    assert floor_sheet(model, State(), [], (), "", "02").floor == "02"
    with pytest.raises(InputErrors):
        floor_sheet(model, State(), [], (), "A", "77")


def test_a_sheet_without_records_says_what_it_takes_for_granted(recorded: Callable[..., State]) -> None:
    assert len(sheet_of(two_storeys(), State()).notes) == 2
    assert sheet_of(two_storeys(), recorded(*PLACED)).notes == ()


def test_the_sheet_as_json_has_its_joints_under_one_name_and_units_in_its_keys(tower: Model) -> None:
    data = json.loads(json.dumps(floor_sheet(tower, State(), [], (), "A", "01").as_json(), allow_nan=False))
    assert len(data["joints"]) == 46
    joint = data["joints"][0]
    assert {"x_m", "y_m"} <= set(joint)
    assert {"level_m", "invert_m", "state"} <= set(joint["connections"][0])
    assert {"offset_mm", "offset_takes_mm", "gap_mm"} <= set(joint["fit"])
    assert joint["next_gate"]["id"] == "G2"
    assert {joint["state"] for joint in data["joints"]} == {"not yet seen"}


def test_the_same_sheet_is_made_from_findings_in_any_order() -> None:
    found = [finding("J11", "J4"), finding("J15", "J4.2"), finding("J19", "M1/SP2")]
    model = model_of(two_storeys())
    one, other = (floor_sheet(model, State(), f, (), "A", "01") for f in (found, found[::-1]))
    assert one.as_json() == other.as_json()
