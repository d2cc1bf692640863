# SPDX-License-Identifier: Apache-2.0
"""`riser size` and `riser explain` as the engineer runs them."""

import pytest


def test_size_gives_load_required_drawn_margin_clause_and_how_sure(riser, demo_at):
    answer = riser("size", demo_at("floor_7_placed"), "--json")
    rows = {row["id"]: row for row in answer.json["sizes"]}
    assert answer.code == 0
    foot = next(row for row in rows.values() if row["kind"] == "stack" and row["load"] and row["load"] > 100)
    assert foot["least_text"]
    assert foot["clause"].startswith("IPC 2021")
    assert foot["unverified"] + foot["read"] > 0
    assert foot["margin"] is not None


def test_the_tests_a_riser_needs_have_pressures_at_top_bottom_and_gauge(riser, demo_at):
    tests = riser("size", demo_at("floor_7_placed"), "--tests", "--json").json["tests"]
    water = [t for t in tests if t["system"] == "soil" and t["medium"] == "water"]
    assert water
    for test in water:
        rise = test["top_level_m"] - test["bottom_level_m"]
        # 9.78 to 9.83 m/s2 over the earth, 998 to 1000 kg/m3: 9.76 to 9.83 kPa a metre. Own arithmetic.
        assert test["bottom_kpa_gauge"] - test["top_kpa_gauge"] == pytest.approx(9.795 * rise, rel=0.004)


def test_explain_prints_the_row_that_decided_and_the_rows_passed_over(riser, demo_at):
    out = riser("explain", demo_at("floor_7_placed"), "SS-1").out
    assert "Table 710.1(2)" in out
    assert "passed over" in out
    assert "decided by:" in out
    assert "nodes.csv, row" in out


@pytest.mark.parametrize("figure", ["load", "size", "capacity", "margin"])
def test_every_figure_of_a_stack_can_be_asked_for(riser, demo_at, figure):
    answer = riser("explain", demo_at("floor_7_placed"), "SS-1", "--figure", figure, "--json")
    assert answer.code == 0, answer.err
    assert answer.json["derivation"]["inputs"]


def test_an_unknown_id_or_figure_is_an_input_error(riser, demo_at):
    assert riser("explain", demo_at("floor_7_placed"), "SS-99").code == 2
    assert riser("explain", demo_at("floor_7_placed"), "SS-1", "--figure", "colour").code == 2


def test_a_drain_drawn_too_small_is_said_so_and_exits_with_1(riser, demo):
    pipes = demo / "pipes.csv"
    head, *rows = pipes.read_text().splitlines()
    heads = [cell.split(" [")[0] for cell in head.split(",")]
    nominal, name = heads.index("nominal"), heads.index("pipe")
    changed = []
    for row in rows:
        cells = row.split(",")
        if cells[name] == "CI150":
            cells[nominal] = "DN65"
        changed.append(",".join(cells))
    assert changed != rows
    pipes.write_text("\n".join([head, *changed]) + "\n")
    answer = riser("size", demo)
    assert answer.code == 1
    assert "TOO SMALL" in answer.out
