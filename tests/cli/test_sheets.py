# SPDX-License-Identifier: Apache-2.0
"""`riser floor`, `set-out`, `status`, `diagram` and `demo` as their users run them."""

import csv
import io

import pytest


def test_the_floor_sheet_lists_joints_in_working_order_with_state_gate_and_fit(riser, demo_at):
    answer = riser("floor", demo_at("floor_7_placed"), "7", "--json").json
    systems = [joint["system"] for joint in answer["joints"]]
    assert systems[0] == "fire"
    assert systems.index("rainwater") < systems.index("soil") < systems.index("cold")
    assert {"made", "not yet seen"} <= {joint["state"] for joint in answer["joints"]}


def test_a_floor_may_be_said_as_people_say_it(riser, demo_at):
    said = [
        riser("floor", demo_at("floor_7_placed"), name, "--json").json["joints"]
        for name in ("7", "07", "A/07", "A/7")
    ]
    assert said[0] == said[1] == said[2] == said[3]


def test_a_bare_floor_in_two_buildings_is_an_error_naming_both(riser, demo_at):
    answer = riser("floor", demo_at("floor_7_placed"), "4")
    assert answer.code == 2
    assert "A/04" in answer.err
    assert "B/04" in answer.err


def test_the_floor_sheet_prints_to_a_pdf_that_is_the_same_every_time(riser, demo_at, tmp_path):
    files = [tmp_path / "a.pdf", tmp_path / "b.pdf"]
    for file in files:
        answer = riser("floor", demo_at("floor_7_placed"), "A/07", "--print", file, "--day", "2031-04-02")
        assert answer.code == 0, answer.err
    assert files[0].read_bytes().startswith(b"%PDF")
    assert files[0].read_bytes() == files[1].read_bytes()


def test_a_place_that_cannot_be_written_is_an_input_error(riser, demo_at, tmp_path):
    (tmp_path / "file").write_text("")
    answer = riser("floor", demo_at("floor_7_placed"), "7", "--print", tmp_path / "file" / "x.pdf")
    assert answer.code == 2


def test_the_setting_out_list_as_table_csv_and_paper(riser, demo_at, tmp_path):
    job = demo_at("before_first_lift")
    assert "BG/SS1" in riser("set-out", job).out
    table, paper = tmp_path / "s.csv", tmp_path / "s.pdf"
    assert riser("set-out", job, "--csv", table, "--print", paper, "--day", "2031-03-01").code == 0
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8-sig"))))
    assert any("BG/SS1" in row for row in rows)
    assert paper.read_bytes().startswith(b"%PDF")


def test_the_site_grid_is_added_to_every_position(riser, demo_at):
    job = demo_at("before_first_lift")
    plain = riser("set-out", job, "--json").out
    moved = riser("set-out", job, "--grid", "1000,2000", "--json").out
    assert "10.0" in plain
    assert "1010.0" in moved
    assert riser("set-out", job, "--grid", "here").code == 2


def test_status_counts_every_joint_once(riser, demo_at):
    states = riser("status", demo_at("floor_7_placed"), "--json").json["states"]
    assert sum(row["joints"] for row in states) == 942


@pytest.mark.parametrize("system", ["soil", "fire", "cold"])
def test_a_diagram_is_written_as_svg_and_pdf(riser, demo_at, tmp_path, system):
    job = demo_at("floor_7_placed")
    answer = riser("diagram", job, system, "-o", tmp_path / f"{system}.svg", "--json")
    assert answer.code == 0, answer.err
    pages = sorted(tmp_path.glob(f"{system}*.svg"))
    assert len(pages) == len(answer.json["files"])
    assert all("<svg" in page.read_text() for page in pages)
    assert riser("diagram", job, system, "-o", tmp_path / "x.pdf", "--day", "2031-04-02").code == 0
    assert (tmp_path / "x.pdf").read_bytes().startswith(b"%PDF")


def test_a_diagram_of_an_unknown_system_names_the_systems(riser, demo_at, tmp_path):
    answer = riser("diagram", demo_at("floor_7_placed"), "gas", "-o", tmp_path / "x.svg")
    assert answer.code == 2
    assert "rainwater" in answer.err


def test_demo_writes_the_project_and_runs_the_main_job(riser, tmp_path):
    answer = riser("demo", tmp_path / "d")
    assert answer.code == 0, answer.err
    assert "riser check" in answer.out
    assert (tmp_path / "d" / "sheets" / "floor-A-07.pdf").exists()
    assert (tmp_path / "d" / "records.sqlite").exists()
    assert not list((tmp_path / "d").rglob("*.py"))


def test_demo_does_not_write_over_somebody_elses_folder(riser, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("years of work")
    assert riser("demo", tmp_path / "mine").code == 2
    assert riser("demo", tmp_path / "mine", "--again").code == 2
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["thesis.txt"]


def test_help_names_every_command(riser):
    out = riser("--help").out
    for command in (
        "check",
        "floor",
        "set-out",
        "record",
        "verify",
        "status",
        "revise",
        "diff",
        "diagram",
        "demo",
    ):
        assert command in out
    assert riser("--version").out.startswith("riser 0")
