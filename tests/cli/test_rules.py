# SPDX-License-Identifier: Apache-2.0
"""`riser rules` as its user runs it: sets, tables, what is left to compare, and what was compared."""

import pytest

from riser.rules import load_set, set_names

SEEN = "print of 2020, pages 7-8, office copy"
DRAIN = ("ipc_2021", "branches_and_stacks", "2 in")


def confirm(riser, demo, *row, by="E. Engineer", evidence=SEEN, more=()):
    return riser("rules", "confirm", demo, *row, "--by", by, "--evidence", evidence, *more)


def todo(riser, demo):
    return riser("rules", "todo", demo, "--json").json


def narrow(text):
    return all(len(line) <= 100 for line in text.splitlines())


def test_list_names_every_set_with_what_it_covers_and_how_sure_it_is(riser):
    answer = riser("rules", "list")
    assert answer.code == 0
    assert all(f"{name} " in answer.out for name in set_names())
    assert "identification: 21 read, 18 unverified" in answer.out
    assert narrow(answer.out)


def test_list_as_json_carries_the_hash_to_pin(riser):
    rows = {row["set"]: row for row in riser("rules", "list", "--json").json["rules"]}
    assert set(rows) == set(set_names())
    assert rows["ipc_2021"]["hash"] == load_set("ipc_2021").hash
    assert rows["ipc_2021"]["extends"] == "ipc_2018"
    assert rows["bs_1710"]["serves"] == ["UK", "EU"]
    assert set(rows["nfpa_14"]["takes"]) == {"nfpa_13"}


def test_show_tells_tables_certainty_and_what_is_left_out(riser):
    answer = riser("rules", "show", "gb_7231")
    assert "identification" in answer.out
    assert "Left out:" in answer.out
    assert "Serves jobs in CN" in answer.out


def test_show_table_marks_what_was_not_read_and_gives_both_readings_of_a_conflict(riser):
    answer = riser("rules", "show", "uk_adh_bs_9990", "limits")
    assert "value 1.3 m !" in answer.out
    assert "elsewhere value 1.5 m: the British annex" in answer.out
    assert "used because the guidance in force, and the stricter of the two" in answer.out


def test_show_table_as_json_has_printed_figure_si_value_and_source(riser):
    answer = riser("rules", "show", "upc_2021", "trap_to_vent", "--json").json
    cell = answer["rules"][0]["cells"]["distance"]
    assert (cell["printed"], cell["unit"], cell["certainty"]) == ("2.5 ft", "m", "unverified")
    assert cell["value"] == pytest.approx(0.762)
    assert "boulderlibrary" in cell["source"]


def test_an_unknown_set_or_table_is_an_input_error_naming_those_there_are(riser):
    answer = riser("rules", "show", "ipc_1066")
    assert answer.code == 2
    assert "choose one of" in answer.err
    answer = riser("rules", "show", "ipc_2021", "building_drains", "--json")
    assert answer.code == 2
    assert answer.json["errors"][0]["remedy"].startswith("Did you mean building_drain")


def test_diff_tells_figures_that_differ_and_rows_only_one_has(riser):
    answer = riser("rules", "diff", "gb_50015_2019", "gb_50015_2009")
    assert "vent stack 100, every floor, 100 mm, flow: a 10.0 L/s; b 8.8 L/s" in answer.out
    assert "stack vent, kitchen, 75 mm: a flow 1.0 L/s; b nothing" in answer.out
    assert narrow(answer.out)
    rows = riser("rules", "diff", "gb_50015_2019", "gb_50015_2009", "--json").json["rules"]
    assert {"table", "row", "column", "a", "b"} == set(rows[0])
    assert f"{len(rows)} differences." in answer.out


def test_diff_of_equal_sets_says_so(riser):
    assert "All figures are the same." in riser("rules", "diff", "nfpa_14", "nfpa_14").out


def test_todo_lists_the_rows_that_decide_most_first_and_says_what_was_counted(riser, demo_at):
    folder = demo_at("before_first_lift")
    answer = riser("rules", "todo", folder)
    assert answer.code == 0
    assert narrow(answer.out)
    assert "sizes of drains and vents the row decides" in answer.out
    assert "Not counted: supply, fire, tests: no derivations to count yet." in " ".join(answer.out.split())
    found = todo(riser, folder)
    rows = found["rules"]
    counts = [row["decides"] for row in rows]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1] == 0
    assert found["figures_counted"] >= counts[0]
    assert found["chosen"]["drainage"] == "ipc_2021"
    names = [(row["set"], row["table"], row["row"]) for row in rows]
    assert len(set(names)) == len(names)
    assert {row["status"] for row in rows} == {"unverified", "conflict"}
    assert {"ipc_2021", "nfpa_14", "good_practice", "asme_a13_1"} == {row["set"] for row in rows}


def test_a_confirmed_row_leaves_the_list_until_it_is_amended(riser, demo):
    before = todo(riser, demo)
    said = confirm(riser, demo, *DRAIN, more=["--json"]).json["rules"][0]
    assert said["row"] == "ipc_2021:branches_and_stacks:2 in"
    line = said["line"]
    assert (line["kind"], line["about"], line["author"]) == ("confirmed", said["row"], "E. Engineer")
    assert line["data"]["evidence"] == SEEN
    assert line["data"]["figures"]["branch"] == "6 dfu"
    after = todo(riser, demo)
    assert len(after["rules"]) == len(before["rules"]) - 1
    assert (before["confirmed"], after["confirmed"]) == (0, 1)
    shown = riser("rules", "show", "ipc_2021", "branches_and_stacks", "--job", demo).out
    assert "confirmed by E. Engineer, 20" in shown
    assert SEEN in " ".join(shown.split())
    assert "confirmed by" not in riser("rules", "show", "ipc_2021", "branches_and_stacks").out

    (demo / "rules").mkdir(exist_ok=True)
    (demo / "rules" / "town.toml").write_text(
        'extends = "ipc_2021"\nsource = "town bylaw 4"\n'
        '[branches_and_stacks]\nrows = [{ size = 2, branch = 5, status = "memory" }]\n',
        encoding="utf-8",
    )
    rows = {(row["table"], row["row"]): row for row in todo(riser, demo)["rules"]}
    row = rows["branches_and_stacks", "2 in"]
    assert row["confirmed_for_other_figures"]
    assert row["figures"]["branch"] == "5 dfu"
    assert "but for other figures" in riser("rules", "todo", demo, "--all").out
    assert riser("verify", demo).code == 0


def test_confirming_twice_is_recorded_and_said(riser, demo):
    first = confirm(riser, demo, "ipc_2021", "drainage_fixture_units", "  LAVATORY ")
    assert "ipc_2021:drainage_fixture_units:lavatory confirmed by E. Engineer" in first.out
    answer = confirm(riser, demo, "ipc_2021", "drainage_fixture_units", "lavatory", by="S. Second")
    assert answer.code == 0
    assert "was already confirmed by E. Engineer" in answer.err


def test_what_cannot_be_confirmed_is_refused_and_nothing_is_written(riser, demo):
    before = riser("verify", demo).out
    wrong = {
        ("ipc_2018", "building_drain", "x"): "a set that the job uses",
        ("ipc_2021", "drains", "x"): "a table of ipc_2021",
        ("ipc_2021", "branches_and_stacks", "2in"): "Did you mean 2 in",
    }
    for row, says in wrong.items():
        answer = confirm(riser, demo, *row)
        assert answer.code == 2
        assert says in answer.err
    answer = confirm(riser, demo, *DRAIN, evidence=" ")
    assert answer.code == 2
    assert "evidence" in answer.err
    assert riser("rules", "confirm", demo, *DRAIN, "--by", "E. Engineer").code == 2
    assert riser("verify", demo).out == before
