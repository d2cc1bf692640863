# SPDX-License-Identifier: Apache-2.0
"""`riser record`, `verify`, `revise` and `diff` as their users run them."""

import sqlite3

import pytest


def test_a_joint_id_stands_for_all_its_connections(riser, demo):
    answer = riser("record", demo, "made", "A07-FR1", "--by", "Bram Oakhill", "--json").json
    assert [line["about"] for line in answer["lines"]] == ["A07-FR1.1", "A07-FR1.2"]
    assert all(line["author"] == "Bram Oakhill" for line in answer["lines"])


def test_a_single_connection_may_be_named(riser, demo):
    answer = riser("record", demo, "made", "A07-FR1.2", "--by", "Bram Oakhill", "--json").json
    assert [line["about"] for line in answer["lines"]] == ["A07-FR1.2"]


def test_making_the_missing_joint_joins_the_fire_riser_up(riser, demo):
    def lagging():
        return {
            f["key"] for f in riser("check", demo, "--site", "--json").json["findings"] if f["code"] == "F01"
        }

    assert lagging() == {"F01:A05-07/FR2"}
    riser("record", demo, "made", "A05-FR2", "--by", "Bram Oakhill")
    assert lagging() != {"F01:A05-07/FR2"}


def test_a_cap_settles_a_waiting_stub(riser, demo):
    keys = {f["key"] for f in riser("check", demo, "--site", "--json").json["findings"]}
    assert "J17:A07-07/RW2" in keys
    riser("record", demo, "capped", "A07-07/RW2", "--by", "Bram Oakhill")
    keys = {f["key"] for f in riser("check", demo, "--site", "--json").json["findings"]}
    assert "J17:A07-07/RW2" not in keys


def test_covered_is_always_recorded_and_without_a_release_is_a_finding(riser, demo):
    answer = riser("record", demo, "covered", "A06-SS1", "--by", "Bram Oakhill")
    assert answer.code == 0
    assert "covered without a release" in answer.err
    codes = {f["key"] for f in riser("check", demo, "--json").json["findings"]}
    assert {"R01:A06-SS1.1", "R01:A06-SS1.2"} <= codes
    riser("record", demo, "opened", "A06-SS1", "--by", "Bram Oakhill")
    codes = {f["key"] for f in riser("check", demo, "--json").json["findings"]}
    assert "R01:A06-SS1.1" not in codes


@pytest.mark.parametrize(
    ("kind", "about"),
    [("placed", "Z99"), ("capped", "A07-07/XX"), ("made", "NO-SUCH"), ("accepted", "J99:X")],
)
def test_an_id_the_job_does_not_have_is_refused_and_nothing_is_recorded(riser, demo, kind, about):
    before = riser("verify", demo, "--json").json["verification"]["lines"]
    answer = riser("record", demo, kind, about, "--by", "Bram Oakhill", "--reason", "x")
    assert answer.code == 2
    assert about in answer.err
    assert riser("verify", demo, "--json").json["verification"]["lines"] == before


def test_a_typing_slip_is_answered_with_the_nearest_ids(riser, demo):
    assert "A07-FR1" in riser("record", demo, "made", "A07-FRI", "--by", "Bram Oakhill").err


def test_an_unknown_kind_names_the_kinds(riser, demo):
    answer = riser("record", demo, "finished", "", "--by", "Bram Oakhill")
    assert answer.code == 2
    assert "placed" in answer.err


def test_the_same_entry_key_records_once(riser, demo):
    first = riser(
        "record", demo, "made", "A07-FR1", "--by", "Bram Oakhill", "--key", "phone-1", "--json"
    ).json
    again = riser(
        "record", demo, "made", "A07-FR1", "--by", "Bram Oakhill", "--key", "phone-1", "--json"
    ).json
    assert [line["sequence"] for line in first["lines"]] == [line["sequence"] for line in again["lines"]]


def test_a_correction_names_the_line_it_replaces_and_why(riser, demo):
    line = riser("record", demo, "capped", "A07-07/RW2", "--by", "Bram Oakhill", "--json").json["lines"][0]
    answer = riser(
        "record", demo, "correction", "A07-07/RW2", "--by", "Bram Oakhill", "--replaces", line["sequence"],
        "--reason", "wrong stub", "--data", "withdrawn=true",
    )  # fmt: skip
    assert answer.code == 0, answer.err
    keys = {f["key"] for f in riser("check", demo, "--site", "--json").json["findings"]}
    assert "J17:A07-07/RW2" in keys


def test_a_measured_stub_moves_the_judgement(riser, demo):
    data = ["x_m=10.0", "y_m=9.75", "z_m=0.1", "uncertainty_m=0.002", "measured_at=2031-06-01T08:00+02:00"]
    words = [word for pair in data for word in ("--data", pair)]
    assert riser("record", demo, "measured", "BG/SS1", "--by", "Ada Finch", *words).code == 0
    keys = {f["key"] for f in riser("check", demo, "--json").json["findings"]}
    assert "J19:BG/SS1" not in keys


def test_verify_says_whole_and_after_tampering_names_the_line(riser, demo):
    assert riser("verify", demo).code == 0
    with sqlite3.connect(demo / "records.sqlite") as database:
        for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            database.execute(f'DROP TRIGGER "{name}"')
        database.execute(
            "UPDATE lines SET body = CAST(replace(CAST(body AS TEXT), 'Oakhill', 'Oakhall') AS BLOB)"
            " WHERE sequence = 20"
        )
    database.close()
    answer = riser("verify", demo)
    assert answer.code != 0
    assert "20" in answer.out + answer.err


def test_verify_without_records_says_so(riser, tmp_path):
    (tmp_path / "empty").mkdir()
    assert riser("verify", tmp_path / "empty").code == 2


def test_revise_keeps_the_files_and_refuses_when_nothing_changed(riser, demo):
    assert riser("revise", demo, "--by", "Ines Calder", "--note", "again").code == 3
    notes = demo / "gauges.csv"
    notes.write_text(notes.read_text() + "G-77,spring,0,16,0.1,1.0,2031-01-10,2032-01-10,C-77\n")
    answer = riser("revise", demo, "--by", "Ines Calder", "--note", "one more gauge", "--json")
    assert answer.code == 0, answer.out + answer.err
    assert answer.json["revision"] == 3
    changes = riser("diff", demo, "2", "3", "--json").json["changes"]
    assert [(c["table"], c["key"], c["change"]) for c in changes] == [("gauges", ["G-77"], "added")]


def test_diff_shows_what_revision_2_changed(riser, demo_at):
    out = riser("diff", demo_at("floor_7_placed"), "1", "2").out
    assert "closures A08-RW1 2: length_m was 0.397, is 0.36" in out
    assert "parts A07-11: type_revision was A, is B" in out
    assert riser("diff", demo_at("floor_7_placed"), "2", "files", "--json").json["changes"] == []


def test_diff_with_an_unknown_revision_names_those_there_are(riser, demo_at):
    answer = riser("diff", demo_at("floor_7_placed"), "1", "9")
    assert answer.code == 2
    assert "1, 2, files" in answer.err
