# SPDX-License-Identifier: Apache-2.0
"""`riser check` as its user runs it."""

import shutil

import pytest


def test_check_prints_findings_by_floor_with_remedy_and_key_and_exits_with_1(riser, demo_at):
    answer = riser("check", demo_at("floor_7_placed"))
    assert answer.code == 1
    assert "A floor 08" in answer.out
    assert "Do: " in answer.out
    assert "Key: D03:A08-03/soil-2:A08-03/soil-3" in answer.out
    assert "Because of this: 48 more" in answer.out


def test_json_is_one_object_with_version_job_rules_and_findings(riser, demo_at):
    answer = riser("check", demo_at("floor_7_placed"), "--json").json
    assert set(answer) == {"riser", "job", "rules", "check", "counts", "findings"}
    assert answer["job"] == "Larkspur Quay"
    assert answer["rules"]["drainage"] == "ipc_2021"
    first = answer["findings"][0]
    assert {
        "key",
        "code",
        "severity",
        "floor",
        "where",
        "says",
        "remedy",
        "basis",
        "because",
        "rests_on",
    } <= set(first)


def test_the_site_check_asks_other_questions_than_the_design_check(riser, demo_at):
    design = {f["code"] for f in riser("check", demo_at("floor_7_placed"), "--json").json["findings"]}
    site = {f["code"] for f in riser("check", demo_at("floor_7_placed"), "--site", "--json").json["findings"]}
    assert {"F01", "J17"} <= site
    assert not {"F01", "J17"} & design
    assert not {"D05", "D06", "S04"} & site


def test_before_the_first_lift_nothing_stands_and_the_site_check_is_content(riser, demo_at):
    answer = riser("check", demo_at("before_first_lift"), "--site", "--json").json
    assert {f["code"] for f in answer["findings"] if f["severity"] == "error"} <= {"J17", "J19"}


def test_an_accepted_finding_is_shown_as_accepted_and_does_not_count(riser, demo):
    key = "J16:P00-CD1.1"
    before = riser("check", demo, "--json").json["counts"]
    answer = riser(
        "record", demo, "accepted", key, "--by", "Ines Calder", "--reason", "sleeve left open for good"
    )
    assert answer.code == 0
    after = riser("check", demo, "--json").json
    assert after["counts"]["error"] == before["error"] - 1
    assert after["counts"]["accepted"] == before["accepted"] + 1
    finding = next(f for f in after["findings"] if f["key"] == key)
    assert finding["accepted"]["reason"] == "sleeve left open for good"


def test_an_acceptance_lapses_when_what_it_rests_on_changes_and_not_before(riser, demo):
    key = "J11:A08-RW1"
    riser("record", demo, "accepted", key, "--by", "Ines Calder", "--reason", "the crew has longer spools")

    def now():
        findings = riser("check", demo, "--json").json["findings"]
        return next(f for f in findings if f["key"] == key)

    closures = demo / "closures.csv"
    head, *rows = closures.read_text().splitlines()
    closures.write_text("\n".join([head, *reversed(rows)]) + "\n")
    assert now()["accepted"]["by"] == "Ines Calder"
    closures.write_text(
        closures.read_text().replace("A08-RW1,2,pipe,,CI100,360", "A08-RW1,2,pipe,,CI100,361")
    )
    assert "accepted" not in now()
    assert now()["acceptance_lapsed"]["line"] > 0


def test_a_consequence_cannot_be_accepted_instead_of_its_cause(riser, demo):
    findings = riser("check", demo, "--json").json["findings"]
    consequence = next(f for f in findings if f["because"])
    answer = riser("record", demo, "accepted", consequence["key"], "--by", "Ines Calder", "--reason", "no")
    assert answer.code == 2
    assert consequence["because"] in answer.err


def test_other_rules_replace_only_the_subjects_they_cover(riser, demo_at):
    answer = riser("check", demo_at("floor_7_placed"), "--rules", "ipc_2018", "--json").json
    assert answer["rules"]["drainage"] == "ipc_2018"
    assert answer["rules"]["fire"] == "nfpa_14"


def test_an_unknown_rule_set_is_named(riser, demo_at):
    answer = riser("check", demo_at("floor_7_placed"), "--rules", "abc_1999")
    assert answer.code == 2
    assert "abc_1999" in answer.err


def test_a_missing_job_is_an_input_error(riser, tmp_path):
    answer = riser("check", tmp_path / "nowhere", "--json")
    assert answer.code == 2
    assert answer.json["errors"]


def test_all_input_errors_come_at_once_and_nothing_is_written(riser, demo):
    shutil.rmtree(demo / "types")
    (demo / "joints.csv").write_text("joint,stub_a\nX,Y\n")
    before = sorted(p.name for p in demo.iterdir())
    answer = riser("check", demo, "--json")
    assert answer.code == 2
    assert len(answer.json["errors"]) > 3
    assert {"file", "row", "column", "found", "expected", "remedy"} <= set(answer.json["errors"][0])
    assert sorted(p.name for p in demo.iterdir()) == before


@pytest.mark.parametrize("command", ["check", "status", "set-out", "verify"])
def test_a_spoilt_file_never_shows_a_traceback(riser, demo, command):
    (demo / "parts.csv").write_bytes(b"\x00\xff" * 100)
    answer = riser(command, demo)
    assert answer.code in (0, 2)
    assert "Traceback" not in answer.out + answer.err
