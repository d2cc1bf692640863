# SPDX-License-Identifier: Apache-2.0
"""The riser diagram: what stands on it, and where."""

from dataclasses import replace

import pytest

from riser.joints import findings
from riser.network.systems import System
from riser.records import State
from riser.reports.riser_columns import columns_of
from riser.reports.riser_diagram import DiagramHead, Style, floor_lines, riser_diagram
from riser.reports.scene import groups, overlapping_texts, texts
from riser.reports.stage import Standing
from tests.building import frame, model_of, two_storeys, with_cells

HEAD = DiagramHead("Two storeys", "2031-03-02", "revision 1", "")
STYLES = {System.SOIL: Style("#000000", "black")}


def drawn(job, system=System.SOIL):
    model = model_of(job)
    return riser_diagram(model, system, Standing(State()), findings(model), STYLES, HEAD)


def tower(storeys):
    """One stack of bath modules of any height."""
    job = two_storeys()
    floors = [
        {
            "building": "A",
            "floor": f"{n:02d}",
            "order": n,
            "level_m": 3.0 * (n - 1),
            "slab_top_m": 3.0 * (n - 1),
        }
        for n in range(1, storeys + 2)
    ]
    part = job.parts[job.parts["part"] == "M1"].iloc[0].drop("row").to_dict()
    parts = job.parts[job.parts["part"].isin(["BG"])].drop(columns="row").to_dict("records")
    for n in range(1, storeys + 1):
        parts.append(
            {**part, "part": f"M{n}", "floor": f"{n:02d}", "z_m": 0.15 + 3.0 * (n - 1), "hoist_order": n}
        )
    roof = job.parts[job.parts["part"] == "RV"].iloc[0].drop("row").to_dict()
    parts.append({**roof, "floor": f"{storeys + 1:02d}", "z_m": 3.0 * storeys, "hoist_order": storeys + 1})
    absent = job.absent | {"joints.csv"}
    job = replace(job, floors=frame("floors", floors), parts=frame("parts", parts))
    return replace(job, joints=job.joints.iloc[:0], absent=absent)


def test_a_column_has_the_stacks_name_joints_in_order_and_branches_with_what_they_serve():
    model = model_of(two_storeys())
    column = columns_of(model, System.SOIL, Standing(State()), [])[0]
    assert (column.name, column.shaft, column.building) == ("SS-1", "S1", "A")
    assert [joint.id for joint in column.joints] == ["J1", "J4", "J7"]
    assert [(b.size, b.serves) for b in column.branches] == [("DN100", "1 wc cistern")] * 2
    assert column.top == "vent terminal"


def test_every_joint_is_a_link_target_and_every_finding_is_flagged():
    job = with_cells(two_storeys(), "nodes", {"type": "MA", "node": "SP2"}, x_m=0.52)
    page = drawn(job)[0]
    names = {group.id: group for group in groups(page.items)}
    assert {"J1", "J4", "J7"} <= set(names)
    assert names["J4"].link == "#J4"
    assert "J12" in [text.words for text in texts(names["J4"].items)]


def test_floors_on_one_level_share_a_line():
    floors = model_of(
        with_cells(two_storeys(), "floors", {"floor": "RF"}, building="B", level_m=3.0)
    ).placed.floors
    assert [line.label for line in floor_lines(floors)] == ["01", "02, RF"]


@pytest.mark.parametrize("storeys", [2, 9, 60])
def test_no_text_lies_over_another_or_leaves_the_page_at_any_height(storeys):
    for page in drawn(tower(storeys)):
        assert overlapping_texts(page) == []


def test_sixty_storeys_are_spread_over_pages_and_no_joint_is_lost_or_shown_twice():
    pages = drawn(tower(60))
    assert len(pages) > 5
    shown = [group.id for page in pages for group in groups(page.items)]
    model = model_of(tower(60))
    wanted = [j.id for j in columns_of(model, System.SOIL, Standing(State()), [])[0].joints]
    assert sorted(shown) == sorted(wanted)


def test_an_offset_stack_is_drawn_sideways():
    job = with_cells(two_storeys(), "nodes", {"type": "RV", "node": "VT"}, x_m=1.0)
    column = columns_of(model_of(job), System.SOIL, Standing(State()), [])[0]
    assert column.pieces[-1].end[0] == pytest.approx(0.5)


def test_a_job_without_risers_of_a_system_gives_one_page_that_says_so():
    pages = drawn(two_storeys(), System.RAINWATER)
    assert len(pages) == 1
    assert "Two storeys: rainwater risers" in [t.words for t in texts(pages[0].items)]


def test_findings_about_nodes_of_the_riser_itself_are_flagged():
    job = two_storeys()
    job = replace(job, joints=job.joints[job.joints["joint"] != "J9"])
    page = drawn(job, System.FIRE)[0]
    assert "J06" in [text.words for text in texts(page.items)]


def test_a_column_is_left_off_pages_it_does_not_reach():
    model = model_of(two_storeys())
    column = columns_of(model, System.SOIL, Standing(State()), [])[0]
    levels = [z for piece in column.pieces for z in (piece.start[1], piece.end[1])]
    assert max(levels) == pytest.approx(6.6)
    assert all("SS-1" in [t.words for t in texts(p.items)] for p in drawn(two_storeys()))
