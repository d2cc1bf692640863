# SPDX-License-Identifier: Apache-2.0
"""The sheet of a figure and the figure of the table are one: values to 1e-12, sizes and clauses alike."""

import json
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from riser.audit import Derived, decided_by, node_from_json, replay_differences, sheet_text
from riser.errors import InputErrors, NotInRules
from riser.rules import Rules
from riser.sizing import PipeKind, explain
from riser.sizing.fixture_units import BuildingSizes, building_sizes, explained, size_table

FIGURES = {
    "size": "least_m",
    "load": "load",
    "drawn": "drawn_m",
    "capacity": "capacity",
    "margin": "margin",
    "length": "length_m",
    "fall": "fall_m_per_m",
    "flow": "flow_m3s",
    "velocity": "velocity_ms",
}


def several(build: SimpleNamespace) -> Any:
    bathroom = ["wc", "lav", "bath"]
    kitchen = ["sink", "floor_drain"]
    rooms = [
        {"fixture": f"P/X0_{f}_{n}", "room": "bath", "dwelling": str(f)} for f in range(3) for n in range(3)
    ]
    design = {"design": {"ipc_2021": {"bathroom_groups": True, "continuous_flows": {"P/X1_2_0": "0.2 L/s"}}}}
    yield build.tower(6, stacks=2)
    yield build.stacked([[bathroom] * 3, [kitchen, kitchen, ["fan_coil"]]], fixtures=rooms, settings=design)
    yield build.stacked([[kitchen * 3, *[bathroom * 2] * 5]], offset_above=1, vent_stacks=True)
    yield build.stacked(
        [[["wc"] * 16 + ["bath"] * 12, ["lav"], ["lav"], bathroom], [["lav"] * 3]],
        fall=1 / 30,
        vent_stacks=True,
        pipes={"stack": "P3", "branch": "DN100", "fixture": "ODD"},
    )
    yield header(build)
    yield build.relieved(13, [3])
    # Two stacks whose tops are alike and whose feet are not; two like drains, one of them below a flat one.
    yield build.stacked([[["sink"] * 3, ["lav"], ["lav"]], [["bath", "shower", "sink"], ["lav"], ["lav"]]])
    yield two_drains(build)


def two_drains(build: SimpleNamespace) -> Any:
    """Two drains with 200 dfu each that end alike; one of them begins flatter."""
    lines, drawn, flows = [], [], {}
    for drain, fall in ((0, 1 / 96), (1, 1 / 48)):
        y = drain * 20.0
        lines += [f"A{drain} tee 0 {y} 0", f"B{drain} bend 6 {y} {-6 * fall}", f"L{drain} fx:lav -1 {y} 0.1"]
        lines.append(f"O{drain} outfall 9 {y} {-6 * fall - 3 / 48}")
        drawn += [f"F{drain} soil A{drain}.a B{drain} P6", f"G{drain} soil B{drain} O{drain} P6"]
        drawn.append(f"D{drain} soil L{drain}.waste A{drain}.b P6")
        flows[f"P/L{drain}"] = "100 gpm"
    settings = {"design": {"ipc_2021": {"continuous_flows": flows}}}
    return build.one_part("\n".join(lines), "\n".join(drawn), settings=settings)


def header(build: SimpleNamespace) -> Any:
    """Two stacks and a branch vent on one header to one terminal."""
    job = build.stacked([[["wc", "bath"]] * 4, [["lav"] * 2] * 4], roof_vents=False)
    more = """
        H0 bend 0 0 13
        H1 tee 6 0 13.1
        HT vent_terminal 6 0 15
        BV bend 1 0 12.9
        BT tee 0.5 0 13
        CO cleanout 8 0 3.5
    """
    drawn = """
        V0 soil T0_3.a BT.a P4
        V0b vent BT.b H0 P3
        V0c vent H0 H1.branch P3
        V1 soil T1_3.a H1.a P4
        VH vent H1.b HT P4
        BW vent B0_1.branch BV P1.5
        BX vent BV BT.branch P1.5
        CX soil B1_1.branch CO P2
    """
    return build.extended(job, more, drawn)


@pytest.fixture(scope="module")
def buildings(build: SimpleNamespace, rules: Rules) -> Any:
    rule_set = rules.subject("drainage")
    return [building_sizes(build.model_of(job), rule_set) for job in several(build)]


def each_row(buildings: list[BuildingSizes]) -> Any:
    for building in buildings:
        table = size_table(building)
        for n, item in enumerate(table.id.tolist()):
            yield building, table, n, item


def test_the_buildings_tell_apart_what_a_pipe_needs_itself_and_what_it_takes_over(
    buildings: list[BuildingSizes],
) -> None:
    tops, drains = (size_table(building) for building in buildings[-2:])
    assert tops.row("P/S0_2")["least_m"] == tops.row("P/S1_2")["least_m"]
    assert drains.row("P/G0")["least_text"] == "5 in (DN 125)"
    assert drains.row("P/G1")["least_text"] == "4 in (DN 100)"


def test_every_kind_of_pipe_is_met(buildings: list[BuildingSizes]) -> None:
    kinds = {PipeKind(k) for b in buildings for k in b.kind.tolist()}
    assert kinds >= set(PipeKind) - {PipeKind.PUMPED, PipeKind.RING, PipeKind.LOST}


@pytest.mark.parametrize("figure", FIGURES)
def test_a_sheet_gives_the_figure_of_the_table(buildings: list[BuildingSizes], figure: str) -> None:
    seen = 0
    for building, table, n, item in each_row(buildings):
        value = float(getattr(table, FIGURES[figure])[n])
        if np.isnan(value) or (table.is_joint[n] and figure in ("capacity", "margin")):
            continue
        if figure in ("size", "capacity", "margin", "drawn") and table.why[n].startswith("the table ends"):
            continue
        tree = explained(building, item, figure)
        if figure in ("size", "drawn"):
            assert tree.number == value, item
        else:
            assert tree.number == pytest.approx(value, rel=1e-12, abs=1e-15), item
        seen += 1
    assert seen > 10


def test_clause_and_deciding_rows_of_the_table_are_those_of_the_sheet(buildings: list[BuildingSizes]) -> None:
    for building, table, n, item in each_row(buildings):
        if np.isnan(table.least_m[n]) or table.why[n].startswith("the table ends"):
            continue
        tree = explained(building, item)
        assert tree.basis == table.clause[n], item
        counts = decided_by(tree)
        told = (table.read[n], table.unverified[n], table.conflict[n], table.local[n])
        assert (counts.read, counts.unverified, counts.conflict, counts.local) == told, item


def test_every_sheet_can_be_replayed_from_what_it_stores(buildings: list[BuildingSizes]) -> None:
    for building, table, n, item in each_row(buildings):
        if np.isnan(table.least_m[n]) or table.why[n].startswith("the table ends"):
            continue
        tree = explained(building, item)
        assert replay_differences(tree) == []
        assert node_from_json(json.loads(json.dumps(tree.as_json()))) == tree


def test_a_sheet_shows_the_rows_passed_over_and_who_decided(build: SimpleNamespace, rules: Rules) -> None:
    text = sheet_text(explain(build.model_of(build.tower(12)), rules, "G0/D2"))
    assert "passed over: 1/4 in/ft, 3 in: 42 dfu (less than 48 dfu)" in text
    assert "building_drain fixture_units = 216 dfu ?" in text
    assert "decided by: 0 rows read, 4 unverified, 0 conflicts" in text


def test_a_stack_and_a_fixture_can_be_asked_for_by_name(build: SimpleNamespace, rules: Rules) -> None:
    model = build.model_of(build.tower(4))
    assert explain(model, rules, "SS-0", "load").number == 16
    assert explain(model, rules, "M0-02/WC", "load").number == 3
    assert explain(model, rules, "S2", "load").number == 12


def test_an_id_or_figure_that_does_not_exist_is_an_input_error(build: SimpleNamespace, rules: Rules) -> None:
    model = build.model_of(build.tower(2))
    with pytest.raises(InputErrors, match="M9/X"):
        explain(model, rules, "M9/X")
    with pytest.raises(InputErrors, match="colour"):
        explain(model, rules, "SS-0", "colour")


def test_a_figure_a_pipe_does_not_have_is_refused_with_its_kind(build: SimpleNamespace, rules: Rules) -> None:
    model = build.model_of(build.tower(2))
    with pytest.raises(NotInRules, match="stack: it has no developed length"):
        explain(model, rules, "SS-0", "length")


def test_a_load_beyond_the_table_is_refused_with_the_table_and_the_load(
    build: SimpleNamespace, rules: Rules
) -> None:
    flow = {"design": {"ipc_2021": {"continuous_flows": {"P/X0_1_0": "4000 gpm"}}}}
    model = build.model_of(build.stacked([[["wc"], ["lav"], ["lav"]]], settings=flow))
    with pytest.raises(NotInRules, match=r"Table 710\.1\(2\): branch 8000 dfu: no row is as large"):
        explain(model, rules, "P/R0_1")
    assert isinstance(explain(model, rules, "P/R0_1", "load"), Derived)
