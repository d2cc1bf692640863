# SPDX-License-Identifier: Apache-2.0
"""Neutral fixtures under a rule set."""

from __future__ import annotations

import pytest

from riser.errors import NotInRules
from riser.network.kinds import FIXTURES
from riser.rules import load_set, set_names

IPC = load_set("ipc_2021")


def test_use_and_control_decide_the_row() -> None:
    table = "supply_fixture_units"
    assert IPC.fixture_row("lavatory", "private").row(table).cell("total").printed == "0.7 wsfu"
    assert IPC.fixture_row("lavatory", "public").row(table).cell("total").printed == "2 wsfu"
    tank = IPC.fixture_row("urinal", "public", "flush_tank").row(table)
    assert tank.cell("total").printed == "3 wsfu"


def test_an_unknown_control_falls_back_on_the_entry_without_control() -> None:
    assert (
        IPC.fixture_row("lavatory", "private", "sensor").row("drainage_fixture_units").number("fixture_units")
        == 1.0
    )


def test_the_entry_that_names_the_control_wins_over_the_one_that_names_the_use() -> None:
    found = IPC.fixture_row("wc_cistern", "private", "flushometer_tank").row("drainage_fixture_units")
    assert found.label == "water closet, flushometer tank, public or private"


def test_a_kind_without_entry_cannot_be_judged() -> None:
    with pytest.raises(
        NotInRules, match="private hammock cannot be judged under International Plumbing Code"
    ):
        IPC.fixture_row("hammock", "private")


def test_a_fixture_without_a_row_in_a_table_cannot_be_judged_there() -> None:
    drain = IPC.fixture_row("floor_drain")
    assert not drain.has("supply_fixture_units")
    with pytest.raises(
        NotInRules, match=r"floor_drain cannot be judged under .*: no row in supply_fixture_units"
    ):
        drain.row("supply_fixture_units")


@pytest.mark.parametrize("name", set_names())
def test_fixture_maps_name_only_kinds_that_exist(name: str) -> None:
    assert {entry.kind for entry in load_set(name).fixtures} <= set(FIXTURES)
    assert {entry.use for entry in load_set(name).fixtures} <= {"", "private", "public"}
