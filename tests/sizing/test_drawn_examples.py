# SPDX-License-Identifier: Apache-2.0
"""Small drawn buildings and the sizes, kinds and loads they must have."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from riser.rules import Rules
from riser.sizing import PipeKind, SizeTable, Verdict, explain, findings, sizes

INCH = 0.0254
A = [["wc", "lav", "bath", "lav"], ["wc", "wc", "wc", "bath", "bath"], ["wc", "bath"]]
B = [["bath", "bath"], ["bath", "bath", "bath"]]
C = [["wc", "wc", "wc", "lav"]]


def inches(table: SizeTable, item: str) -> Any:
    return round(float(table.row(item)["least_m"]) / INCH, 6)


@pytest.fixture(scope="module")
def w1(build: SimpleNamespace, rules: Rules) -> Any:
    # http://www.terrylove.com/forums/showthread.php?2977-DWV-Sizing: stack A 7, 13 and 5 dfu, stack B 4 and
    # 6, stack C 10; A needs 3 in, B 2 in; A and B together 3 in at 1/8 in/ft, all three 4 in.
    return sizes(build.model_of(build.stacked([A, B, C])), rules)


def test_the_published_building_gets_its_published_sizes(w1: SizeTable) -> None:
    assert [inches(w1, i) for i in ("P/S0_0", "P/S1_0", "P/BD1", "P/BD2")] == [3, 2, 3, 4]
    assert [w1.row(i)["load"] for i in ("P/S0_0", "P/S1_0", "P/BD1", "P/BD2")] == [25, 10, 35, 45]


def test_steeper_drains_carry_more(build: SimpleNamespace, rules: Rules) -> None:
    # The same source: at 1/2 in/ft all 45 dfu go in 3 in.
    table = sizes(build.model_of(build.stacked([A, B, C], fall=1 / 24)), rules)
    assert inches(table, "P/BD2") == 3


def test_kinds_of_pipe_follow_from_where_they_lie(w1: SizeTable) -> None:
    kinds = {
        "P/D0_1_0": PipeKind.FIXTURE_DRAIN,
        "P/R0_1": PipeKind.BRANCH,
        "P/S0_1": PipeKind.STACK,
        "P/BD0": PipeKind.BUILDING_DRAIN,
        "P/R2_0": PipeKind.BUILDING_BRANCH,
        "P/SV0": PipeKind.STACK_VENT,
    }
    assert {item: w1.row(item)["kind"] for item in kinds} == kinds


def test_a_branch_to_a_stack_and_one_to_the_building_drain_use_different_tables(
    build: SimpleNamespace, rules: Rules
) -> None:
    # 10 dfu of baths: 2-1/2 in by Table 710.1(2) on a stack, 2 in by Table 710.1(1) at 1/4 in/ft below it.
    ten = ["bath"] * 5
    table = sizes(build.model_of(build.stacked([[ten, ten], [ten]], fall=1 / 48)), rules)
    assert inches(table, "P/R0_1") == 2.5
    assert table.row("P/R0_1")["clause"].endswith("Table 710.1(2)")
    assert inches(table, "P/R1_0") == 2
    assert table.row("P/R1_0")["clause"].endswith("Table 710.1(1)")


def test_the_larger_of_both_columns_sizes_a_stack(build: SimpleNamespace, rules: Rules) -> None:
    # 24 dfu on one floor of a tall stack: 2-1/2 in by the total of 42 (Table 710.1(2)), 4 in by one interval
    # (3 in carries 20).
    floors = [["bath"], ["bath"], ["bath"], ["bath"] * 12, ["bath"]]
    table = sizes(build.model_of(build.stacked([floors])), rules)
    assert inches(table, "P/S0_0") == 4
    assert table.row("P/S0_0")["decided_by"] == "load of one branch interval"
    assert table.row("P/S0_0")["load"] == 32


def test_four_intervals_open_the_column_for_tall_stacks(build: SimpleNamespace, rules: Rules) -> None:
    # 3 in carries 48 dfu over three intervals, 72 over more (Table 710.1(2), as printed in SBC 701).
    seventeen = ["bath"] * 8 + ["lav"]
    three = sizes(build.model_of(build.stacked([[seventeen] * 3])), rules)
    four = sizes(build.model_of(build.stacked([[seventeen] * 4])), rules)
    assert three.row("P/S0_0")["load"] == 51
    assert inches(three, "P/S0_0") == 4
    assert four.row("P/S0_0")["load"] == 68
    assert inches(four, "P/S0_0") == 3


def test_storeys_below_8_ft_share_a_branch_interval(build: SimpleNamespace, rules: Rules) -> None:
    low = build.model_of(build.stacked([[["bath"]] * 4], height_m=2.3))
    high = build.model_of(build.stacked([[["bath"]] * 4], height_m=2.5))
    assert explain(low, rules, "P/S0_0", "intervals").value == 2
    assert explain(high, rules, "P/S0_0", "intervals").value == 4


def test_the_top_of_a_stack_is_at_least_half_of_its_foot(build: SimpleNamespace, rules: Rules) -> None:
    # Foot 6 in by one interval of 232 dfu; a bath at the top alone would do with 1-1/2 in (710.1.2).
    floors = [["wc"] * 76 + ["bath"] * 2, ["lav"], ["lav"]]
    table = sizes(build.model_of(build.stacked([floors])), rules)
    assert inches(table, "P/S0_0") == 6
    assert inches(table, "P/S0_2") == 3
    assert table.row("P/S0_2")["decided_by"] == "size at the foot of the stack"


def test_a_drain_never_narrows_downstream(build: SimpleNamespace, rules: Rules) -> None:
    # A floor drain has a 2 in trap, its 2 dfu would go in 1-1/2 in (Tables 709.1, 710.1(2)).
    table = sizes(build.model_of(build.stacked([[["floor_drain"], ["lav", "lav"]]])), rules)
    assert inches(table, "P/R0_0") == 2
    assert inches(table, "P/S0_0") == 2
    assert inches(table, "P/S0_1") == 1.5


def test_an_offset_is_sized_as_a_building_drain_and_what_is_below_as_the_whole_stack(
    build: SimpleNamespace, rules: Rules
) -> None:
    # 60 dfu above: 3 in as a tall stack (72), but 4 in lying at 1/8 in/ft (36 in 3 in).
    fifteen = ["bath"] * 7 + ["lav"]
    job = build.stacked([[["bath"], *[fifteen] * 4]], offset_above=1)
    table = sizes(build.model_of(job), rules)
    assert table.row("P/OF0")["kind"] == PipeKind.OFFSET
    assert inches(table, "P/OF0") == 4
    assert "711.1" in table.row("P/OF0")["clause"]
    assert inches(table, "P/S0_1") == 3
    assert inches(table, "P/S0_0") == 4
    assert explain(build.model_of(job), rules, "P/S0_1", "intervals").value == 4
    assert explain(build.model_of(job), rules, "P/S0_0", "intervals").value == 5


def test_a_short_drop_at_the_top_is_part_of_the_branch_and_no_stack_above_an_offset(
    build: SimpleNamespace, rules: Rules
) -> None:
    lines = """
        OF outfall 0 9 -1.1
        F bend 0 0 -1
        T tee 0 0 3.4
        U bend 0 0 6.2
        V bend 3 0 6.3
        W fx:bath 3 0 6.8
        X fx:bath 1 0 3.5
    """
    drawn = """
        D soil F OF P4
        S soil T.b F P4
        S2 soil U T.a P4
        H soil V U P2
        K soil W.waste V P2
        B soil X.waste T.branch P2
    """
    table = sizes(build.model_of(build.one_part(lines, drawn)), rules)
    assert table.row("P/H")["kind"] == PipeKind.FIXTURE_DRAIN
    assert table.row("P/S2")["kind"] == PipeKind.STACK


def test_a_pumped_riser_is_not_sized_by_gravity_tables(build: SimpleNamespace, rules: Rules) -> None:
    lines = """
        OF outfall 4 9 -0.2
        SU sump 0 0 -3
        PU pump 0 0 -2.9
        T bend 0 0 0.5
        W fx:lav 1 0 -2
    """
    drawn = """
        L soil W.waste SU.in P2
        A soil SU.out PU.in P2
        P soil PU.out T P2
        D soil T OF P4
    """
    flows = {"design": {"ipc_2021": {"continuous_flows": {"P/SU": "10 gpm"}}}}
    table = sizes(build.model_of(build.one_part(lines, drawn, settings=flows)), rules)
    assert table.row("P/P")["kind"] == PipeKind.PUMPED
    assert table.row("P/P")["verdict"] == Verdict.CANNOT_BE_JUDGED
    # IPC 709.3 counts 2 dfu for each gallon a minute of a flow that does not stop (from memory).
    assert table.row("P/D")["load"] == pytest.approx(20.0, rel=1e-12)


def test_a_ring_and_a_piece_without_outfall_are_said_and_not_sized(
    build: SimpleNamespace, rules: Rules
) -> None:
    lines = """
        OF outfall 0 9 -1
        A tee 0 0 0
        B tee 1 0 0.1
        C tee 1 2 0.05
        W fx:wc 2 0 0.2
        Y fx:wc 20 0 0.2
        Z bend 21 0 0.1
    """
    drawn = """
        D soil A.a OF P4
        E soil B.a A.b P4
        G soil C.a A.branch P4
        H soil B.b C.b P4
        K soil W.waste B.branch P4
        M soil Y.waste Z P4
    """
    table = sizes(build.model_of(build.one_part(lines, drawn)), rules)
    assert table.row("P/M")["kind"] == PipeKind.LOST
    assert table.row("P/M")["verdict"] == Verdict.CANNOT_BE_JUDGED
    assert np.count_nonzero(table.kind == PipeKind.RING) == 1
    assert table.row("P/D")["load"] == 3


def test_dn_and_inch_names_are_judged_alike_and_an_unknown_name_not_at_all(
    build: SimpleNamespace, rules: Rules
) -> None:
    sizes_of = {
        name: sizes(build.model_of(build.stacked([[["wc"]]], pipes={"drain": name})), rules).row("P/BD0")
        for name in ("P4", "DN100", "ODD")
    }
    assert sizes_of["P4"]["drawn_m"] == sizes_of["DN100"]["drawn_m"]
    assert sizes_of["DN100"]["verdict"] == Verdict.LARGE_ENOUGH
    assert sizes_of["ODD"]["verdict"] == Verdict.CANNOT_BE_JUDGED


def test_a_joint_is_as_large_as_the_smallest_of_its_pieces(build: SimpleNamespace, rules: Rules) -> None:
    def joint(pipe: str) -> Any:
        spool = [{"joint": "S2", "order": 1.0, "kind": "pipe", "pipe": pipe, "length_m": 0.05}]
        return sizes(build.model_of(build.tower(3, closures=spool)), rules).row("S2")

    assert joint("P2")["drawn_text"] == "2 in"
    assert joint("P2")["verdict"] == Verdict.TOO_SMALL
    assert joint("P6")["drawn_text"] == "4 in"
    assert joint("ODD")["verdict"] == Verdict.CANNOT_BE_JUDGED


def test_margins_are_what_the_drawn_size_could_still_take(w1: SizeTable) -> None:
    # 4 in: 180 dfu at 1/8 in/ft; a stack of three intervals 240 in all and 90 in one; a branch 160.
    assert w1.row("P/BD2")["margin"] == 180 - 45
    assert w1.row("P/S0_0")["margin"] == min(240 - 25, 90 - 13)
    assert w1.row("P/R0_1")["margin"] == 160 - 13
    assert w1.row("P/R0_1")["margin_unit"] == "dfu"


def test_physics_stands_beside_the_code(w1: SizeTable) -> None:
    row = w1.row("P/BD2")
    assert row["filling"] == 0.5
    # Half of V = R^(2/3) S^(1/2) / n over the full bore of 102 mm, n = 0.013 (Chow 1959).
    full = np.pi / 4 * 0.102**2 * (0.102 / 4) ** (2 / 3) * np.sqrt(1 / 96) / 0.013
    assert row["flow_m3s"] == pytest.approx(full / 2, rel=1e-6)
    assert np.isnan(w1.row("P/SV0")["flow_m3s"])
    assert w1.row("P/S0_0")["filling"] == 7 / 24


def test_a_building_without_drains_has_an_empty_table(build: SimpleNamespace, rules: Rules) -> None:
    job = build.one_part("A mains_connection 0 0 0\nB cap 0 0 3", "C cold A B P2")
    model = build.model_of(job)
    assert len(sizes(model, rules)) == 0
    assert len(sizes(model, rules).frame()) == 0
    assert findings(model, rules) == []


def test_a_broken_joint_does_not_change_the_sizes_of_the_building_as_meant(
    build: SimpleNamespace, rules: Rules
) -> None:
    whole = sizes(build.model_of(build.tower(6)), rules)
    parts = build.tower(6)
    moved = parts.parts.copy()
    moved.loc[moved["floor"].isin(["04", "05", "06", "RF"]), "x_m"] += 0.5
    broken_model = build.model_of(type(parts)(**{**parts.__dict__, "parts": moved}))
    assert len(broken_model.joints.broken) == 2
    broken = sizes(broken_model, rules)
    for item in ("G0/D2", "M0-01/D", "M0-05/U", "G0/S"):
        assert broken.row(item)["least_m"] == whole.row(item)["least_m"]
        assert broken.row(item)["load"] == whole.row(item)["load"]
    assert explain(broken_model, rules, "G0/S", "intervals").value == 6
