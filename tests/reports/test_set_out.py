# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console

from riser.network.model import Model
from riser.network.tables import JobTables
from riser.reports.edition import Edition
from riser.reports.layout_check import layout_faults, pdf_pages
from riser.reports.set_out import SetOut, set_out
from riser.reports.set_out_csv import HEADINGS, set_out_csv
from riser.reports.set_out_line import SetOutLine, Verdict
from riser.reports.set_out_pdf import set_out_pdf
from riser.reports.set_out_terminal import set_out_terminal
from tests.building import model_of, two_storeys, with_cells, with_rows, without_rows

MEASURED_AT = "2031-03-02T10:15+01:00"


def lines_of(job: JobTables, **options: Any) -> dict[str, SetOutLine]:
    return {line.stub: line for found in set_out(model_of(job), **options) for line in found.lines}


def moved(stub: str, **cells: float) -> JobTables:
    return with_cells(two_storeys(), "nodes", {"type": "BG", "node": stub}, **cells)


def measured(stub: str, x_m: float, y_m: float, z_m: float, uncertainty_m: float = 0.0) -> JobTables:
    row = {"stub": stub, "measured_at": MEASURED_AT, "x_m": x_m, "y_m": y_m, "z_m": z_m}
    return with_rows(two_storeys(), "survey", {**row, "uncertainty_m": uncertainty_m})


def test_every_stub_cast_into_the_ground_is_on_the_list_with_what_it_is() -> None:
    lines = lines_of(two_storeys())
    assert set(lines) == {"BG/SP1", "BG/CW1", "BG/FR1"}
    line = lines["BG/SP1"]
    assert (line.joint, line.above, line.system_word, line.size, line.facing, line.shaft) == (
        "J1", "M1/SP1", "soil", "DN100 cast iron", "up", "S1",
    )  # fmt: skip
    assert line.target_m == pytest.approx((0.5, 0.5, 0.1))
    assert line.drawing_words == "drawn as needed"


def test_the_needed_place_follows_from_the_stub_above_and_the_make_up() -> None:
    # Above: 0.5, 0.5, 0.200 m facing down. Make-up: a 97 mm spool and two gaps of 0 to 3 mm. So the end may
    # lie between 0.097 and 0.103 m below; drawn 0.100 m below it stays, drawn 0.150 m below the middle is
    # needed.
    assert lines_of(two_storeys())["BG/SP1"].level_range_m == pytest.approx((-0.003, 0.003))
    short = lines_of(moved("SP1", z_m=0.05))["BG/SP1"]
    assert short.needed_m == pytest.approx((0.5, 0.5, 0.200 - 0.097 - 0.003))
    assert short.drawn_off_m == pytest.approx((0.0, 0.0, -0.05))
    assert short.drawing_words == "drawn off what the pipe above needs: stop, ask the engineer"
    within = lines_of(moved("SP1", z_m=0.102))["BG/SP1"]
    assert within.needed_m == pytest.approx((0.5, 0.5, 0.102))
    assert within.level_range_m == pytest.approx((-0.005, 0.001))


@pytest.mark.parametrize(
    ("x_m", "words"),
    [
        (0.5005, "drawn as needed"),
        (0.506, "drawn a little off what the pipe above needs: set out as needed, tell the engineer"),
        (0.512, "drawn off what the pipe above needs: stop, ask the engineer"),
        (0.800, "drawn off what the pipe above needs: stop, ask the engineer"),
    ],
)
def test_a_drawing_off_what_is_needed_is_shown_with_both_places(x_m: float, words: str) -> None:
    line = lines_of(moved("SP1", x_m=x_m))["BG/SP1"]
    assert line.drawing_words == words
    assert line.target_m[0] == pytest.approx(0.5)
    assert line.drawn_m[0] == pytest.approx(x_m)
    assert line.drawn_off_m[0] == pytest.approx(x_m - 0.5)


def test_a_stub_needed_from_above_and_not_drawn_is_on_the_list() -> None:
    scheduled = lines_of(with_cells(two_storeys(), "joints", {"joint": "J1"}, stub_a="BG/LOST"))["BG/LOST"]
    assert not scheduled.is_drawn
    assert scheduled.above == "M1/SP1"
    assert scheduled.drawing_words == "needed from above, not drawn below: stop, ask the engineer"
    assert scheduled.target_m[:2] == pytest.approx((0.5, 0.5))
    nodes = without_rows(two_storeys(), "runs", type="BG", run="S1")
    nothing = without_rows(without_rows(nodes, "joints", joint="J1"), "nodes", type="BG", node="SP1")
    assert "(below M1/SP1)" in lines_of(nothing)


def test_a_stub_to_which_nothing_above_is_drawn_is_set_out_as_drawn_and_asked_about() -> None:
    job = without_rows(two_storeys(), "joints", joint="J1")
    line = lines_of(with_cells(job, "nodes", {"type": "MA", "node": "SP1"}, x_m=2.0))["BG/SP1"]
    assert line.above == ""
    assert line.target_m == pytest.approx((0.5, 0.5, 0.1))
    assert "ask the engineer" in line.drawing_words


def test_a_joint_without_a_make_up_says_where_and_not_how_high() -> None:
    line = lines_of(without_rows(moved("SP1", x_m=0.506), "closures", joint="J1"))["BG/SP1"]
    assert line.needed_m[:2] == pytest.approx((0.5, 0.5))
    assert math.isnan(line.level_range_m[0])
    assert line.target_m[2] == pytest.approx(0.1)


def test_each_stub_is_taped_to_its_two_nearest_neighbours_and_the_two_nearest_corners() -> None:
    checks = {check.to: check.distance_m for check in lines_of(two_storeys())["BG/SP1"].checks}
    # Shaft corners at 0.3 0.3, 1.1 0.3, 1.1 0.7, 0.3 0.7; stubs at 0.5, 0.7 and 0.9 along y 0.5. By hand.
    assert checks == pytest.approx(
        {"BG/CW1": 0.2, "BG/FR1": 0.4, "S1 corner 1": math.sqrt(0.08), "S1 corner 4": math.sqrt(0.08)}
    )


def test_the_project_grid_is_added_to_places_and_never_to_differences() -> None:
    here = lines_of(moved("SP1", x_m=0.512))["BG/SP1"]
    there = lines_of(moved("SP1", x_m=0.512), grid_m=(1000.0, 500.0))["BG/SP1"]
    assert there.target_m == pytest.approx((1000.5, 500.5, 0.1))
    assert there.drawn_off_m == pytest.approx(here.drawn_off_m)
    assert there.checks == here.checks


@pytest.mark.parametrize(
    ("off_m", "sure_m", "verdict"),
    [
        ((0.006, -0.004, 0.001), 0.002, Verdict.WITHIN),
        ((0.009, 0.0, 0.0), 0.002, Verdict.TOO_CLOSE),
        ((0.011, 0.0, 0.0), 0.002, Verdict.TOO_CLOSE),
        ((0.013, 0.0, 0.0), 0.002, Verdict.OUTSIDE),
        ((0.0, -0.013, 0.0), 0.002, Verdict.OUTSIDE),
        ((0.0, 0.0, 0.013), 0.002, Verdict.OUTSIDE),
        ((0.010, 0.010, -0.010), 0.0, Verdict.WITHIN),
    ],
)
def test_a_measurement_is_judged_axis_by_axis_and_near_the_limit_its_uncertainty_speaks(
    off_m: tuple[float, float, float], sure_m: float, verdict: Verdict
) -> None:
    x, y, z = off_m
    line = lines_of(measured("BG/SP1", 0.5 + x, 0.5 + y, 0.1 + z, sure_m))["BG/SP1"]
    assert line.measured_off_m == pytest.approx(off_m)
    assert line.verdict is verdict


def test_the_tolerance_of_the_job_goes_before_the_usual_ten_millimetres() -> None:
    job = measured("BG/SP1", 0.506, 0.5, 0.1)
    strict = with_tolerance(job, stub_plan_m=0.005)
    assert lines_of(job)["BG/SP1"].verdict is Verdict.WITHIN
    assert lines_of(strict)["BG/SP1"].verdict is Verdict.OUTSIDE


def with_tolerance(job: JobTables, **limits: float) -> JobTables:
    from dataclasses import replace

    return replace(job, settings={**job.settings, "tolerance": limits})


def test_what_was_not_measured_has_no_verdict() -> None:
    line = lines_of(measured("BG/SP1", 0.5, 0.5, 0.1))["BG/CW1"]
    assert line.verdict is Verdict.NOT_MEASURED
    assert line.as_json()["measured_x_m"] is None


@settings(max_examples=15, deadline=None)
@given(st.floats(-0.05, 0.05), st.floats(-0.05, 0.05), st.floats(-180, 180))
def test_wherever_the_first_module_stands_the_needed_place_is_straight_below_its_stub(
    x_m: float, y_m: float, yaw_deg: float
) -> None:
    job = with_cells(two_storeys(), "parts", {"part": "M1"}, x_m=x_m, y_m=y_m, yaw_rad=math.radians(yaw_deg))
    model = model_of(job)
    line = next(line for line in set_out(model)[0].lines if line.stub == "BG/SP1")
    above = model.placed.node_xyz_m[model.placed.node_numbers(["M1/SP1"])[0]]
    assert line.needed_m[:2] == pytest.approx(above[:2].tolist(), abs=1e-9)


def test_a_building_without_cast_in_stubs_has_no_list(tower: Model) -> None:
    assert [found.building for found in set_out(tower)] == ["A"]
    assert set_out(tower, "B") == []
    job = with_cells(two_storeys(), "types", {"type": "BG"}, kind="module")
    assert set_out(model_of(job)) == []


def test_the_list_as_json_has_points_with_units_in_their_keys() -> None:
    data = json.loads(json.dumps(set_out(model_of(two_storeys()))[0].as_json(), allow_nan=False))
    assert {"x_m", "y_m", "level_m", "drawn_off_x_mm", "checks", "verdict"} <= set(data["points"][0])
    assert data["plan_tolerance_mm"] == 10.0


def test_the_list_as_csv_can_be_read_back_and_starts_no_formula() -> None:
    parts = with_cells(two_storeys(), "parts", {"part": "BG"}, part="=1+1")
    job = with_cells(parts, "joints", {"joint": "J1"}, stub_a="=1+1/SP1")
    text = set_out_csv(set_out(model_of(job)))
    rows = list(csv.DictReader(io.StringIO(text)))
    assert tuple(rows[0]) == HEADINGS
    soil = next(row for row in rows if row["system"] == "soil")
    assert soil["stub"] == "'=1+1/SP1"
    assert (float(soil["x [m]"]), soil["measured x [m]"]) == (0.5, "")
    for row in rows:
        for heading, cell in row.items():
            if not heading.endswith(("[m]", "[mm]")) or heading.startswith("checks"):
                assert not cell.startswith(("=", "+", "-", "@"))
            elif cell:
                assert math.isfinite(float(cell))


def shown(found: SetOut, width: int) -> str:
    out = io.StringIO()
    Console(width=width, file=out).print(set_out_terminal(found))
    return out.getvalue()


@pytest.mark.parametrize("width", [80, 120])
def test_the_list_on_a_screen_says_everything_in_words(
    tower_job: Callable[..., JobTables], width: int
) -> None:
    found = set_out(model_of(tower_job(S1SOIL=0.012)), grid_m=(100.0, 50.0))[0]
    text = shown(found, width)
    words = " ".join(text.split())
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width
    assert "…" not in text
    assert all(line.stub in text for line in found.lines)
    assert "drawn less needed: x +12 y 0 level 0 mm" in words
    assert "the make-up takes 3 mm lower and 3 mm higher" in words
    assert "Project grid: x +100.000 m, y +50.000 m added." in words


@pytest.mark.usefixtures("poppler")
def test_the_list_on_paper_is_complete_legible_and_the_same_each_time(
    tower_job: Callable[..., JobTables],
) -> None:
    job = with_rows(
        tower_job(S1SOIL=0.012),
        "survey",
        {"stub": "BG/S1FIRE", "measured_at": MEASURED_AT, "x_m": 0.22, "y_m": 0.2, "z_m": 0.1},
        {"stub": "BG/S1VENT", "measured_at": MEASURED_AT, "x_m": 0.801, "y_m": 0.2, "z_m": 0.1},
    )
    found = set_out(model_of(job))[0]
    pdf = set_out_pdf(found, Edition("4", "2031-03-02"))
    assert pdf == set_out_pdf(found, Edition("4", "2031-03-02"))
    pages = pdf_pages(pdf)
    assert [layout_faults(page) for page in pages] == [[]] * len(pages)
    texts = [" ".join(text.words for text in page.texts) for page in pages]
    whole = " ".join(texts)
    assert all(line.stub in whole for line in found.lines)
    assert "OUT OF PLACE, measured off by x +20 y 0 level 0 mm: outside tolerance." in whole
    assert "Measured: off by x +1 y 0 level 0 mm: within tolerance." in whole
    assert "STOP: drawn off what the pipe above needs" in whole
    assert all(
        "Allowed: 10 mm along x and along y, 10 mm in level." in " ".join(text.split()) for text in texts
    )
    assert all("licensed engineer" in text for text in texts)
