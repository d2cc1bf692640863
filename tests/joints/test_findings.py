# SPDX-License-Identifier: Apache-2.0
"""Joint findings: each fault alone in a sound building, with its figures; and none in the sound one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.joints import KINDS, findings, joints_of
from riser.network.model import site_model
from riser.network.placing import placed
from tests.building import model_of, node, run, two_storeys, with_cells, with_rows, without_rows

BASE = two_storeys()


def found(job):
    return {f.key: f for f in findings(model_of(job))}


def only(job):
    """The one root finding of a job."""
    roots = [f for f in findings(model_of(job)) if f.because is None]
    assert len(roots) == 1, [f.key for f in roots]
    return roots[0]


def test_a_sound_building_has_no_joint_finding():
    assert found(BASE) == {}


def test_j01_names_all_three_witnesses():
    finding = only(without_rows(BASE, "joints", joint="J5"))
    assert finding.key == "J01:M1/CW2+M2/CW1"
    assert "20 mm apart" in finding.says
    assert "joints.csv does not mention them" in finding.says
    assert "the network needs it" in finding.says
    assert "1 fixtures on the smaller" in finding.says


def test_j02_says_which_stub_is_missing_and_whom_geometry_finds():
    job = with_cells(BASE, "joints", {"joint": "J4"}, stub_b="M2/SP9")
    finding = only(job)
    assert finding.key == "J02:J4"
    assert "M2/SP9, which is no stub" in finding.says
    assert "geometry finds M2/SP1 in its place" in finding.says
    assert found(job)["J06:M2/SP1"].because == "J02:J4"


def test_j03_gives_both_distances_and_what_the_job_reaches():
    finding = found(with_cells(BASE, "parts", {"part": "RV"}, y_m=0.2))["J03:J7"]
    assert "200 mm across" in finding.says
    assert "547 mm along and 40 mm across" in finding.says


def test_j04_gives_the_angle():
    finding = found(with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, facing="+x"))["J04:J7"]
    assert "turned 90 degrees" in finding.says


def tie_job():
    """Roof pipes in two parts, each as near to the stack as the other, and no schedule row for it."""
    job = without_rows(without_rows(BASE, "joints", joint="J7"), "closures", joint="J7")
    other = {
        **job.parts[job.parts["part"] == "RV"].iloc[0].drop("row").to_dict(),
        "part": "RW",
        "x_m": -0.005,
    }
    return with_rows(with_cells(job, "parts", {"part": "RV"}, x_m=0.005), "parts", other)


def test_j05_a_tie_is_the_root_of_the_ends_it_leaves_open():
    keys = found(tie_job())
    assert "J05:M2/SP2" in keys
    assert keys["J06:M2/SP2"].because == "J05:M2/SP2"


def test_j06_an_open_end_is_named():
    finding = only(without_rows(BASE, "joints", joint="J9"))
    assert finding.key == "J06:M2/FR2"
    assert "(fire) has no partner and no cap" in finding.says


def test_j07_names_both_joints():
    finding = found(with_rows(BASE, "joints", {"joint": "J20", "stub_a": "M1/SP2", "stub_b": "M2/SP1"}))
    assert "J4, J20" in finding["J07:M1/SP2"].says


def test_j08_a_joint_between_systems_and_a_tee_between_systems():
    job = with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, system="rainwater")
    keys = found(with_cells(job, "runs", {"type": "RV"}, system="rainwater"))
    assert "(soil)" in keys["J08:J7"].says
    assert "(rainwater)" in keys["J08:J7"].says
    job = with_rows(BASE, "nodes", {**node("X", "cap", 0.7, 1.0, 0.3), "type": "MA", "revision": "A"})
    extra = {**run("XR", "fire", "CU22", "X", "CT.branch_2"), "type": "MA", "revision": "A"}
    assert "cold and fire meet" in found(with_rows(job, "runs", extra))["J08:M1/CT"].says


def test_j09_other_sizes_want_a_reducer():
    job = with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, pipe="CI75")
    finding = only(with_cells(job, "runs", {"type": "RV"}, pipe="CI75"))
    assert finding.key == "J09:J7"
    assert "110 mm and 83 mm outside" in finding.says


def reducer_job():
    job = with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, pipe="CI75")
    job = with_cells(job, "runs", {"type": "RV"}, pipe="CI75")
    return with_cells(job, "closures", {"joint": "J7", "order": 2}, kind="reducer", to_pipe="CI75")


def test_a_reducer_in_the_make_up_settles_the_size():
    assert found(reducer_job()) == {}


def test_a_reducer_the_wrong_way_round_does_not():
    job = with_cells(reducer_job(), "closures", {"joint": "J7", "order": 2}, pipe="CI75", to_pipe="CI100")
    assert only(job).code == "J09"


def test_j10_other_materials_want_a_transition():
    job = with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, pipe="PP110")
    job = with_cells(job, "runs", {"type": "RV"}, pipe="PP110")
    finding = only(job)
    assert finding.key == "J10:J7"
    assert "cast iron meets PP" in finding.says
    row = BASE.couplings.iloc[0].drop("row").to_dict()
    tied = with_rows(job, "couplings", {**row, "family": "TR", "pipe_b": "PP110"})
    tied = with_cells(tied, "closures", {"joint": "J7", "order": 3}, family="TR")
    assert found(tied) == {}


def test_j11_says_by_how_much_to_change_the_make_up():
    finding = only(with_cells(BASE, "closures", {"joint": "J4", "order": 2}, length_m=0.480))
    assert finding.key == "J11:J4"
    assert (
        "leaves 20 mm of gap; the couplings take 0 mm to 6 mm: lengthen the make-up by at least 14 mm"
        in finding.says
    )
    finding = only(with_cells(BASE, "closures", {"joint": "J4", "order": 2}, length_m=0.505))
    assert "shorten the make-up by at least 5 mm" in finding.says


@pytest.mark.parametrize(("shift_mm", "fits"), [(8, True), (9, False)])
def test_j12_a_spool_takes_its_length_times_the_tangent(shift_mm, fits):
    # 497 mm between two couplings of 1 degree each: 497 tan 1 = 8.7 mm. Own arithmetic.
    job = with_cells(BASE, "nodes", {"type": "MA", "node": "SP2"}, x_m=0.5 + shift_mm / 1000)
    assert ("J12:J4" not in found(job)) is fits


def test_j13_gives_both_angles():
    lean = f"{np.sin(np.deg2rad(2))} 0 {-np.cos(np.deg2rad(2))}"
    finding = found(with_cells(BASE, "nodes", {"type": "MA", "node": "CW1"}, facing=lean))["J13:J5"]
    assert "turned 2.00 degrees" in finding.says
    assert "the couplings take 0.50 degrees" in finding.says


@pytest.mark.parametrize(
    "job",
    [
        without_rows(BASE, "closures", joint="J7", order=3),
        without_rows(BASE, "closures", joint="J7", order=2),
        with_cells(BASE, "closures", {"joint": "J3"}, family="SL"),
        with_cells(BASE, "nodes", {"type": "MA", "node": "FR1"}, end="plain"),
        with_cells(BASE, "closures", {"joint": "J9"}, family="NH"),
    ],
    ids=["one coupling left out", "spool left out", "foreign family", "other ends", "foreign cap"],
)
def test_j14_make_ups_that_do_not_suit(job):
    assert {f.code for f in findings(model_of(job))} == {"J14"}


def test_a_scheduled_joint_without_a_make_up_cannot_be_judged():
    finding = only(without_rows(BASE, "closures", joint="J7"))
    assert finding.key == "M03:J7"
    assert finding.severity == "note"


def hidden_job():
    job = with_cells(BASE, "runs", {"system": "cold"}, hidden="yes")
    return with_cells(job, "couplings", {"family": "SL"}, needs_access="yes")


def panel(**cells):
    box = {"x_min_m": 0.3, "x_max_m": 1.1, "y_min_m": 0.3, "y_max_m": 0.7, "z_min_m": 2.9, "z_max_m": 3.3}
    return {"panel": "AP1", "building": "A", "floor": "01", **box, **cells}


def test_j15_hidden_joints_want_a_panel_by_box_or_by_name():
    everything = with_rows(hidden_job(), "access", panel(serves="J2"))
    assert found(everything) == {}
    elsewhere = with_rows(hidden_job(), "access", panel(serves="J2", z_min_m=3.2))
    assert list(found(elsewhere)) == ["J15:J5.1"]
    other_building = with_rows(hidden_job(), "access", panel(serves="J2", building="B"))
    assert list(found(other_building)) == ["J15:J5.1"]


def test_j15_without_access_csv_says_once_that_it_cannot_be_judged():
    assert list(found(hidden_job())) == ["M03:access.csv"]


def test_j16_a_coupling_in_the_slab():
    job = with_cells(BASE, "floors", {"floor": "02"}, slab_thickness_m=0.20)
    keys = found(job)
    assert not any(k.startswith("J16") for k in keys)
    job = with_cells(BASE, "floors", {"floor": "02"}, slab_top_m=3.15, slab_thickness_m=0.30)
    keys = found(job)
    assert {"J16:J5.1", "J16:J6.1"} == {k for k in keys if k.startswith("J16")}
    assert "+2.850 to +3.150 m" in keys["J16:J5.1"].says


def sleeve(**cells):
    base = {"sleeve": "SL1", "building": "A", "floor": "02", "x_m": 0.5, "y_m": 0.5, "bore_m": 0.160}
    detail = {"top_m": 3.0, "length_m": 0.2, "detail": "FS-1", "annulus_min_m": 0.010, "annulus_max_m": 0.040}
    return {**base, **detail, **cells}


def test_j18_space_around_the_pipe_against_the_detail():
    assert found(with_rows(BASE, "sleeves", sleeve())) == {}
    finding = found(with_rows(BASE, "sleeves", sleeve(x_m=0.52)))["J18:SL1"]
    assert "20 mm off centre, leaves 5 mm to 45 mm" in finding.says


def survey(**cells):
    at = {"stub": "BG/SP1", "measured_at": "2031-03-02T10:15+01:00", "x_m": 0.5, "y_m": 0.5, "z_m": 0.1}
    return {**at, "uncertainty_m": 0.002, "by": "Setter", "instrument": "T1", **cells}


def test_j19_a_measured_stub_spoils_its_joint_and_is_the_root():
    keys = found(with_rows(BASE, "survey", survey(x_m=0.515)))
    assert "15 mm in x" in keys["J19:BG/SP1"].says
    assert keys["J12:J1"].because == "J19:BG/SP1"


def test_the_later_measurement_holds_across_time_zones():
    early = survey(x_m=0.6, measured_at="2031-03-02T10:30+02:00")
    late = survey(measured_at="2031-03-02T09:00Z")
    assert found(with_rows(BASE, "survey", late, early)) == {}


def site(job, parts, capped=()):
    where = placed(job)
    joints = joints_of(where)
    standing = np.isin(where.part_name, parts)
    return site_model(where, joints, standing, np.zeros(len(joints), bool), where.node_numbers(list(capped)))


def test_j17_stubs_that_wait_want_a_cap():
    waiting = ["M1/SP2", "M1/CW2", "M1/FR2"]
    keys = {f.key for f in findings(site(BASE, ["BG", "M1"]))}
    assert keys == {f"J17:{name}" for name in waiting}
    assert findings(site(BASE, ["BG", "M1"], waiting)) == []


def test_what_is_not_placed_is_not_judged_on_site():
    broken = with_cells(BASE, "parts", {"part": "RV"}, y_m=0.2)
    capped = ["M2/SP2"]
    assert findings(site(broken, ["BG", "M1", "M2"], capped)) == []
    assert [f.code for f in findings(site(broken, ["BG", "M1", "M2", "RV"]))] == ["J03"]


def test_every_kind_has_a_distinct_code_and_says_what_to_do():
    codes = [kind.code for kind in KINDS]
    assert len(set(codes)) == len(codes) == 19
    assert all(kind.remedy and kind.meaning and kind.basis for kind in KINDS)


@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_a_joint_written_the_other_way_round_is_the_same_joint(data):
    shift = data.draw(st.floats(-0.03, 0.03)), data.draw(st.floats(-0.03, 0.03))
    job = with_cells(BASE, "parts", {"part": "M2"}, x_m=shift[0], y_m=shift[1])
    turned = job.joints.copy()
    pairs = turned["stub_b"] != ""
    turned.loc[pairs, ["stub_a", "stub_b"]] = turned.loc[pairs, ["stub_b", "stub_a"]].to_numpy()
    first = {(f.key, f.severity) for f in findings(model_of(job))}
    assert first == {(f.key, f.severity) for f in findings(model_of(replace(job, joints=turned)))}


@settings(max_examples=15, deadline=None)
@given(yaw=st.floats(-3, 3), mirror=st.sampled_from(["none", "x"]))
def test_a_turned_or_mirrored_building_has_the_same_findings(yaw, mirror):
    job = with_cells(BASE, "nodes", {"type": "MA", "node": "SP2"}, x_m=0.52)
    turned = with_cells(job, "parts", {}, yaw_rad=yaw, mirror=mirror)
    assert {f.key for f in findings(model_of(job))} == {f.key for f in findings(model_of(turned))}


@settings(max_examples=25, deadline=None)
@given(shift=st.floats(0, 0.039), more=st.floats(0, 0.4))
def test_a_longer_spool_never_takes_less_offset(shift, more):
    def job(length):
        moved = with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, x_m=0.5 + shift, z_m=length - 0.297)
        return with_cells(moved, "closures", {"joint": "J7", "order": 2}, length_m=length)

    if "J12:J7" not in found(job(0.297)):
        assert "J12:J7" not in found(job(0.297 + more))
