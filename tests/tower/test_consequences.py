# SPDX-License-Identifier: Apache-2.0
"""What one fault brings about elsewhere in a tower is folded under it, and hides no other fault."""

from __future__ import annotations

from functools import cache

import pytest

from benchmarks.spoilable import Files, Job, Spoilt, Target
from benchmarks.spoilings import checked, spoilt_apart, targets, tower_job
from riser.audit.finding import Finding

SIZE = (11, 12)


@cache
def job() -> Job:
    return tower_job(*SIZE)


@cache
def places() -> dict[str, list[Target]]:
    return targets(job())


def target(kind: str, at: str) -> Target:
    return next(place for place in places()[kind] if place.at == at)


def spoilt(*wanted: tuple[str, str]) -> Files:
    job_spoilt = Spoilt(job())
    for kind, at in wanted:
        target(kind, at).spoil(job_spoilt)
    return job_spoilt.files()


def found(*wanted: tuple[str, str]) -> list[Finding]:
    return checked(spoilt(*wanted)).findings


def roots(*wanted: tuple[str, str]) -> set[str]:
    return {finding.key for finding in found(*wanted) if finding.because is None}


def test_a_hot_riser_that_is_cut_leaves_taps_without_circulation_because_of_the_joint() -> None:
    taps = [f for f in found(("stub_misspelt", "A06-HW1")) if f.code == "S03"]
    assert taps
    assert {f.because for f in taps} == {"J02:A06-HW1"}


@pytest.mark.parametrize("joint", ["A06-HR1", "CM-HRB-P01-01", "CM-HRB-P01-03", "P02-HW2"])
def test_a_circuit_that_is_cut_lacks_no_valve_and_no_drain_cock(joint: str) -> None:
    assert roots(("stub_misspelt", joint)) == {f"J02:{joint}"}


def test_a_stub_of_a_circuit_that_is_turned_brings_no_other_fault() -> None:
    assert roots(("stub_turned", "A06-HR1")) == {"J04:A06-HR1"}


def test_a_missing_valve_is_told_behind_a_main_that_is_cut() -> None:
    assert "S04:P01-02/CW-B" in roots(("stub_misspelt", "CM-CWB-P01-03"), ("no_foot_valve", "P01-02 CW-V"))


def test_a_drain_joint_scheduled_twice_is_a_ring_because_of_the_second_row() -> None:
    again = found(("joint_twice", "A06-02-SO"))
    ring = next(f for f in again if f.code == "D08")
    assert ring.because in {f.key for f in again if f.code == "J07"}


def test_a_second_row_for_a_joint_lacks_a_panel_only_because_it_is_one_too_many() -> None:
    lacking = [f for f in found(("joint_twice", "P02-HR1")) if f.code == "J15"]
    assert lacking
    assert all(f.because is not None and f.because.startswith("J07:") for f in lacking)


def test_a_pair_nobody_scheduled_lies_in_a_slab_only_because_its_make_up_is_not_told() -> None:
    inside = [f for f in found(("row_missing", "P02-VS1")) if f.code == "J16"]
    assert [f.because for f in inside] == ["J01:A03-01/VS1+P02-01/VS2"]


def test_a_stack_closed_at_its_top_still_has_the_vents_that_are_drawn() -> None:
    assert roots(("vents_capped", "ARF-01 SS-VT WS-VT VS-VT")) == {"D06:ARF-01/SS-VT:ARF-01/WS-VT"}


def test_a_trap_too_far_from_its_vent_is_told_under_a_closed_stack() -> None:
    both = roots(("vents_capped", "ARF-01 SS-VT WS-VT VS-VT"), ("trap_far_from_vent", "A08-04 SINK"))
    assert "D11:A08-04/SINK" in both


def test_a_sleeve_is_judged_where_a_main_with_corners_comes_up_through_it() -> None:
    assert roots(("sleeve_narrow", "SL-P01-CWI")) == {"J18:SL-P01-CWI"}


def test_a_stub_that_leans_hides_no_pair_from_geometry() -> None:
    joint = "J01:A03-01/VS1+P02-01/VS2"
    assert joint in roots(("row_missing", "P02-VS1"), ("stub_leaning", "A06-FR1"))


def test_spoilings_that_touch_a_joint_in_common_are_not_chosen_together() -> None:
    picks = [("stub_turned", 0), ("wrong_family", 0)]
    assert places()["stub_turned"][0].joints == places()["wrong_family"][0].joints
    assert len(spoilt_apart(job(), places(), picks)[1]) == 1
