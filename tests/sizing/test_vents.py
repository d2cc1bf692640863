# SPDX-License-Identifier: Apache-2.0
"""Vents: which drains they serve, how long they are, how large they must be."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from riser.network.tables import JobTables
from riser.rules import Rules
from riser.sizing import PipeKind, SizeTable, explain, findings, sizes

INCH = 0.0254


def table_of(build: SimpleNamespace, rules: Rules, job: JobTables) -> Any:
    return sizes(build.model_of(job), rules)


def inches(table: SizeTable, item: str) -> Any:
    return round(float(table.row(item)["least_m"]) / INCH, 6)


def test_a_stack_vent_is_measured_from_the_highest_branch_to_open_air(
    build: SimpleNamespace, rules: Rules
) -> None:
    row = table_of(build, rules, build.stacked([[["wc", "bath"]] * 4])).row("P/SV0")
    assert row["kind"] == PipeKind.STACK_VENT
    assert row["length_m"] == pytest.approx(13.0 - 9.4, rel=1e-12)
    assert row["load"] == 20


def test_a_vent_stack_is_measured_from_its_foot_and_carries_the_load_of_its_stack(
    build: SimpleNamespace, rules: Rules
) -> None:
    table = table_of(build, rules, build.tower(8))
    row = table.row("M0-03/VU")
    foot = np.hypot(0.3, 0.204167) + np.hypot(0.2, 0.62)
    # 8 storeys of 3 m from the ground stub at 0.02 m to the roof stub at 24.05 m, then 0.3 m across and 0.55
    # up to the stack vent, and 0.6 m on.
    along = 24.05 - 0.02 + np.hypot(0.3, 0.55) + 0.6
    assert row["kind"] == PipeKind.VENT_STACK
    assert row["length_m"] == pytest.approx(foot + along, rel=1e-9)
    assert row["load"] == 32


def test_a_longer_vent_of_the_same_stack_needs_a_larger_size(build: SimpleNamespace, rules: Rules) -> None:
    # Table 906.1, 4 in stack, up to 43 dfu: 35 ft for 2 in, 85 ft for 2-1/2 in, 250 ft for 3 in (as in the
    # 2015 Plumbing Code of Utah, https://pdfcoffee.com/vent-pipe-sizing-upcodes-pdf-free.html).
    one = ["bath"]
    jobs = [build.stacked([[one] * floors], vent_stacks=True) for floors in (2, 7, 12)]
    tables = [table_of(build, rules, job) for job in jobs]
    feet = [table.row("P/VS0")["length_m"] / 0.3048 for table in tables]
    assert feet[0] <= 35 < feet[1] <= 85 < feet[2] <= 250
    assert [inches(table, "P/VS0") for table in tables] == [2, 2.5, 3]


def test_an_individual_vent_is_half_of_the_drain_it_serves(build: SimpleNamespace, rules: Rules) -> None:
    table = table_of(build, rules, build.tower(3))
    row = table.row("M0-02/LV1")
    assert row["kind"] == PipeKind.INDIVIDUAL_VENT
    assert row["length_m"] == pytest.approx(float(np.sqrt(0.4**2 + 0.5**2 + 1.06**2)), rel=1e-12)
    assert inches(table, "M0-02/LV1") == 1.25


def branch_vent(build: SimpleNamespace, across: float) -> Any:
    lines = f"""
        TT tee 1 3 0.43
        B1 bend {across} 3 1.6
        VT vent_terminal {across} 3 6
        X9 fx:wc 2 3 0.5
    """
    drawn = """
        XW soil X9.waste TT.a P3
        XB soil TT.b B0_0.a P3
        V1 vent TT.branch B1 P2
        V2 vent B1 VT P2
    """
    return build.extended(build.stacked([[["wc"], ["wc"]]]), lines, drawn)


def test_a_vent_longer_than_40_ft_goes_up_one_size_as_a_whole(build: SimpleNamespace, rules: Rules) -> None:
    near, far = (table_of(build, rules, branch_vent(build, x)) for x in (3.0, 12.0))
    assert near.row("P/V1")["length_m"] < 40 * 0.3048 < far.row("P/V1")["length_m"]
    assert [inches(near, i) for i in ("P/V1", "P/V2")] == [1.5, 1.5]
    assert [inches(far, i) for i in ("P/V1", "P/V2")] == [2, 2]


def test_a_vent_shared_by_drains_is_sized_as_their_common_branch(
    build: SimpleNamespace, rules: Rules
) -> None:
    # 3 closets of 3 dfu vented together: 9 dfu in one branch are 2-1/2 in, each drain is 3 in: 1-1/2 in.
    # 8 lavatories: each drain 1-1/4 in, together 8 dfu ask for 2-1/2 in: 1-1/4 in is half of it.
    # 22 lavatories: 22 dfu ask for 4 in: 2 in, while each drain alone would ask for 1-1/4 in.
    def shared(kind: str, count: int) -> Any:
        lines, drawn = [], []
        for n in range(count):
            lines += [f"L{n} fx:{kind} 3 {n * 0.3} 0.6", f"LT{n} tee 2 {n * 0.3} 0.5"]
            up = f"H{n - 1}.a" if n else "HT"
            drawn += [f"D{n} waste L{n}.waste LT{n}.a P3", f"E{n} waste LT{n}.b B0_0.a P3"]
            drawn += [f"V{n} vent LT{n}.branch H{n}.branch P2", f"C{n} vent H{n}.b {up} P2"]
            lines.append(f"H{n} tee 2 {n * 0.3} 1.5")
        lines.append("HT vent_terminal 2 -1 4")
        job = build.extended(build.stacked([[["lav"], ["lav"]]]), "\n".join(lines), "\n".join(drawn))
        return table_of(build, rules, job)

    closets, few, many = shared("wc", 3), shared("lav", 8), shared("lav", 22)
    assert closets.row("P/C0")["kind"] == PipeKind.BRANCH_VENT
    assert closets.row("P/C0")["load"] == 9
    assert inches(closets, "P/C0") == 1.5
    assert (few.row("P/C0")["load"], inches(few, "P/C0"), inches(few, "P/V7")) == (8, 1.25, 1.25)
    assert (many.row("P/C0")["load"], many.row("P/V21")["load"]) == (22, 1)
    assert many.row("P/C0")["length_m"] < 40 * 0.3048
    assert (inches(many, "P/C0"), inches(many, "P/V21")) == (2, 1.25)


def test_a_header_carries_all_its_stacks_and_counts_from_the_farthest_foot(
    build: SimpleNamespace, rules: Rules
) -> None:
    job = build.stacked([[["wc", "bath"]] * 4, [["lav"] * 2] * 4], roof_vents=False)
    lines = """
        H0 bend 0 0 13
        H1 tee 6 0 13.1
        HT vent_terminal 6 0 15
    """
    drawn = """
        V0 vent T0_3.a H0 P3
        V0b vent H0 H1.a P3
        V1 vent T1_3.a H1.branch P3
        VH vent H1.b HT P4
    """
    table = table_of(build, rules, build.extended(job, lines, drawn))
    row = table.row("P/VH")
    assert row["kind"] == PipeKind.VENT_HEADER
    assert row["load"] == 20 + 8
    stack = 9.4 + 0.9 - 1 / 96
    assert row["length_m"] == pytest.approx(stack + 3.6 + np.hypot(6, 0.1) + 1.9, rel=1e-9)
    assert table.row("P/V0")["load"] == 20
    assert table.row("P/V1")["load"] == 8


def test_a_vent_stack_shared_by_two_stacks_carries_both(build: SimpleNamespace, rules: Rules) -> None:
    job = build.stacked([[["wc", "bath"]] * 5, [["lav"] * 2] * 5])
    lines = """
        V0 bend 0 1.2 -0.5
        V1 tee 6 1.2 -0.4
        VT vent_terminal 6 1.2 17
    """
    drawn = """
        A vent J0.branch_2 V0 P3
        B vent V0 V1.a P3
        C vent J1.branch_2 V1.branch P3
        D vent V1.b VT P3
    """
    job = build.extended(job, lines, drawn)
    table = table_of(build, rules, job)
    kinds = [PipeKind(int(table.row(f"P/{n}")["kind"])) for n in "ABCD"]
    assert kinds == [PipeKind.VENT_STACK] * 4
    assert [table.row(f"P/{n}")["load"] for n in "ABCD"] == [25, 25, 10, 35]
    assert explain(build.model_of(job), rules, "P/D", "load").number == 35
    assert [f.code for f in findings(build.model_of(job), rules)] == []


def test_a_header_of_many_stacks_uses_the_rows_of_a_larger_stack(
    build: SimpleNamespace, rules: Rules
) -> None:
    # Six stacks of 4 in with 100 dfu each: 600 dfu are more than any row of a 4 in stack (540), so the first
    # row of a 5 in stack that holds them (940 dfu) is used: 2-1/2 in 18 ft, 3 in 53 ft, 4 in 210 ft.
    stacks = [[["wc"] * 8 + ["lav"]] * 4] * 6
    job = build.stacked(stacks, roof_vents=False)
    lines = [f"H{s} tee {s * 6} 0 {13 + s / 10}" for s in range(6)] + ["HT vent_terminal 30 0 15"]
    drawn = [f"V{s} vent T{s}_3.a H{s}.branch P4" for s in range(6)]
    drawn += [f"C{s} vent H{s}.b H{s + 1}.a P4" for s in range(5)] + ["CT vent H5.b HT P4"]
    table = table_of(build, rules, build.extended(job, "\n".join(lines), "\n".join(drawn)))
    row = table.row("P/CT")
    assert row["load"] == 600
    assert 53 * 0.3048 < row["length_m"] <= 210 * 0.3048
    assert inches(table, "P/CT") == 4


def test_a_relief_vent_is_as_large_as_the_vent_stack(build: SimpleNamespace, rules: Rules) -> None:
    table = table_of(build, rules, build.relieved(13, [3]))
    assert table.row("P/YY3")["kind"] == PipeKind.RELIEF_VENT
    assert table.row("P/YY3")["least_m"] == table.row("P/YM3")["least_m"]
    assert table.row("P/YY3")["clause"] == "IPC 2021, 908.2"


def test_a_vent_that_leads_nowhere_is_nothing_to_size(build: SimpleNamespace, rules: Rules) -> None:
    job = build.extended(build.stacked([[["wc"]] * 2]), "C cap 1 0 2", "V vent B0_0.branch C P2")
    row = table_of(build, rules, job).row("P/V")
    assert row["kind"] == PipeKind.DRY
    assert np.isnan(row["least_m"])


def test_an_air_admittance_valve_ends_a_vent(build: SimpleNamespace, rules: Rules) -> None:
    job = build.extended(
        build.stacked([[["wc"]] * 2]), "AV air_admittance_valve 1 0 2", "V vent B0_0.branch AV P2"
    )
    table = table_of(build, rules, job)
    assert inches(table, "P/V") == 1.5
    length = explain(build.model_of(job), rules, "P/V", "length")
    assert length.number == pytest.approx(2 - 0.43, rel=1e-12)


def test_the_margin_of_a_stack_vent_is_the_length_it_could_still_grow(
    build: SimpleNamespace, rules: Rules
) -> None:
    # 4 in stack, 20 dfu in the row of 43: a 4 in vent may be 980 ft (Table 906.1, source as above).
    row = table_of(build, rules, build.stacked([[["wc", "bath"]] * 4])).row("P/SV0")
    assert row["capacity"] == pytest.approx(980 * 0.3048, rel=1e-12)
    assert row["margin"] == pytest.approx(980 * 0.3048 - 3.6, rel=1e-12)
    assert row["margin_unit"] == "m"
