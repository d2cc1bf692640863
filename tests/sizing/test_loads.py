# SPDX-License-Identifier: Apache-2.0
"""Loads: fixtures counted down the tree, bathrooms as groups, flows that do not stop."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from riser.errors import InputErrors
from riser.network.kinds import FIXTURES
from riser.rules import Rules
from riser.sizing import PipeKind, explain, findings, sizes

BATHROOM = ["wc", "lav", "bath"]


def fixture_rows(count: int, room: str = "bath") -> Any:
    return [
        {"fixture": f"P/X0_{f}_{n}", "room": room, "dwelling": str(f)} for f in range(count) for n in range(3)
    ]


def test_every_pipe_carries_the_sum_of_what_drains_through_it(build: SimpleNamespace, rules: Rules) -> None:
    model = build.model_of(build.tower(7, stacks=2))
    table = sizes(model, rules)
    # A private closet of 1.6 gpf is 3 dfu, a lavatory 1 (IPC 709.1 through IRC P3004.1).
    for floor in range(1, 8):
        assert table.row(f"M1-{floor:02d}/D")["load"] == 4.0 * (8 - floor)
    joints = table.load[table.is_joint & (table.system == "soil")]
    assert sorted(joints[~np.isnan(joints)]) == sorted(2 * [4.0 * n for n in range(1, 8)] + [28.0, 28.0])


def test_a_bathroom_counts_as_a_group_where_the_design_asks_for_it(
    build: SimpleNamespace, rules: Rules
) -> None:
    # Bathroom group with 1.6 gpf closet: 5 dfu (IPC 709.1); its fixtures one by one 3 + 1 + 2 = 6.
    group = {"design": {"ipc_2021": {"bathroom_groups": True}}}
    job = build.stacked([[BATHROOM, BATHROOM]], fixtures=fixture_rows(2), settings=group)
    table = sizes(build.model_of(job), rules)
    assert table.row("P/D0_0_0")["load"] == 3
    assert table.row("P/R0_0")["load"] == 5
    assert table.row("P/S0_0")["load"] == 10
    one_by_one = build.stacked([[BATHROOM, BATHROOM]], fixtures=fixture_rows(2))
    assert sizes(build.model_of(one_by_one), rules).row("P/S0_0")["load"] == 12


def test_a_bathroom_of_two_rooms_is_no_group(build: SimpleNamespace, rules: Rules) -> None:
    group = {"design": {"ipc_2021": {"bathroom_groups": True}}}
    rows = fixture_rows(1)
    rows[0]["room"] = "closet"
    job = build.stacked([[BATHROOM]], fixtures=rows, settings=group)
    assert sizes(build.model_of(job), rules).row("P/R0_0")["load"] == 6


def test_fixtures_csv_overrules_the_type(build: SimpleNamespace, rules: Rules) -> None:
    # A public closet of 1.6 gpf is 4 dfu (IPC 709.1).
    rows = [{"fixture": "P/X0_0_0", "use": "public"}]
    table = sizes(build.model_of(build.stacked([[["wc", "lav"]]], fixtures=rows)), rules)
    assert table.row("P/R0_0")["load"] == 5


def test_a_kind_without_a_row_is_never_a_zero(build: SimpleNamespace, rules: Rules) -> None:
    assert "fan_coil" in FIXTURES
    model = build.model_of(build.stacked([[["wc"], ["fan_coil"], ["fan_coil", "lav"]]]))
    table = sizes(model, rules)
    row = table.row("P/S0_0")
    assert row["unjudged_fixtures"] == 2
    assert row["why"] == "fixtures above it have no row in the rule set"
    found = [f for f in findings(model, rules) if f.code == "M03"]
    assert len(found) == 1
    assert found[0].key == "M03:ipc_2021:private fan coil"
    assert found[0].says.startswith("2 fixtures of the kind private fan coil, the first of them P/X0_1_0: ")


def test_a_continuous_flow_counts_in_units_and_settles_a_kind_without_a_row(
    build: SimpleNamespace, rules: Rules
) -> None:
    flows = {"design": {"ipc_2021": {"continuous_flows": {"P/X0_1_0": "0.1 L/s"}}}}
    model = build.model_of(build.stacked([[["wc"], ["fan_coil"]]], settings=flows))
    # 0.1 L/s = 1.585 gpm, 2 dfu each (IPC 709.3, from memory).
    units = 0.1e-3 / (231 * 0.0254**3 / 60) * 2
    row = sizes(model, rules).row("P/S0_0")
    assert row["load"] == pytest.approx(3 + units, rel=1e-12)
    assert row["unjudged_fixtures"] == 0
    assert explain(model, rules, "P/S0_0", "load").number == pytest.approx(row["load"], rel=1e-12)
    assert not [f for f in findings(model, rules) if f.code == "M03"]


def test_a_drain_with_a_continuous_flow_is_sized_by_its_load_not_by_a_trap(
    build: SimpleNamespace, rules: Rules
) -> None:
    # 10 gpm are 20 dfu, for which a branch needs 3 in (Table 710.1(2)); the trap of a lavatory is 1-1/4 in.
    flows = {"design": {"ipc_2021": {"continuous_flows": {"P/X0_1_0": "10 gpm"}}}}
    row = sizes(build.model_of(build.stacked([[["wc"], ["lav"]]], settings=flows)), rules).row("P/D0_1_0")
    assert row["kind"] == PipeKind.BRANCH
    assert row["least_text"] == "3 in (DN 80)"


@pytest.mark.parametrize(
    ("flows", "found"),
    [({"P/XX": "1 L/s"}, "P/XX"), ({"P/X0_0_0": "fast"}, "'fast'"), ("1 L/s", "'1 L/s'")],
)
def test_a_flow_that_cannot_be_understood_is_an_input_error(
    build: SimpleNamespace, rules: Rules, flows: Any, found: Any
) -> None:
    job = build.stacked([[["wc"]]], settings={"design": {"ipc_2021": {"continuous_flows": flows}}})
    with pytest.raises(InputErrors) as error:
        sizes(build.model_of(job), rules)
    assert [e.found for e in error.value.errors] == [found]


def test_the_count_of_fixtures_names_where_they_are_drawn(build: SimpleNamespace, rules: Rules) -> None:
    load: Any = explain(build.model_of(build.tower(9)), rules, "G0/D2", "load")
    closets = load.inputs[0]
    count = closets.inputs[0].inputs[0]
    assert closets.number == 27
    assert (count.value, count.origin.file, count.name) == (9, "types/M/A/nodes.csv", "drawn as WC of type M")
