# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import io
import json
from collections.abc import Callable

import pytest
from rich.console import Console

from riser.network.model import Model
from riser.network.tables import JobTables
from riser.records.state import State
from riser.reports.stage import Stage
from riser.reports.status_table import StatusRow, StatusTable, status_table
from riser.reports.status_terminal import status_terminal
from tests.building import model_of, two_storeys, with_cells


def row(table: StatusTable, floor: str, system: str) -> StatusRow:
    return next(r for r in table.rows if (r.floor, r.system_word) == (floor, system))


def test_every_joint_is_counted_once_and_unseen_ones_as_not_yet_seen(tower: Model) -> None:
    table = status_table(tower, State())
    assert table.total.joints == len(tower.joints) == 69
    assert table.total.count(Stage.NOT_YET_SEEN) == 69
    assert sum(r.joints for r in table.rows if r.shaft == "S1") == 36


def test_a_joint_counts_at_its_worst_connection(recorded: Callable[..., State]) -> None:
    model = model_of(two_storeys())
    half = status_table(model, recorded(("made", "J4.1", {})))
    whole = status_table(model, recorded(("made", "J4.1", {}), ("made", "J4.2", {})))
    assert row(half, "01", "soil").count(Stage.MADE) == 0
    assert row(whole, "01", "soil").count(Stage.MADE) == 1
    assert row(whole, "01", "soil").count(Stage.NOT_YET_SEEN) == 1


def test_proven_and_stale_connections_are_counted_where_they_are_made(recorded: Callable[..., State]) -> None:
    state = recorded(("made", "J5.1", {}), ("made", "J2.1", {}))
    every = frozenset({"J5.1", "J2.1", "J6.1"})
    table = status_table(model_of(two_storeys()), state, proven=every, stale=frozenset({"J2.1"}))
    cold = row(table, "01", "cold")
    assert (cold.count(Stage.PROVEN), cold.count(Stage.STALE)) == (1, 1)
    assert row(table, "01", "fire").count(Stage.PROVEN) == 0


def test_covered_without_a_release_is_counted_apart_and_is_no_progress(
    recorded: Callable[..., State],
) -> None:
    table = status_table(model_of(two_storeys()), recorded(("made", "J5.1", {}), ("covered", "J5.1", {})))
    cold = row(table, "01", "cold")
    assert (cold.count(Stage.COVERED), cold.covered_without_release) == (0, 1)


def test_a_joint_that_can_not_be_made_as_drawn_is_counted_apart() -> None:
    table = status_table(
        model_of(with_cells(two_storeys(), "joints", {"joint": "J4"}, stub_b="M2/X")), State()
    )
    assert row(table, "01", "soil").cannot_be_made == 1
    assert table.total.joints == 9


def test_rows_go_by_floor_from_below_then_shaft_then_working_order(tower: Model) -> None:
    rows = status_table(tower, State()).rows
    assert [r.floor for r in rows] == sorted(r.floor for r in rows)
    first = [r.system_word for r in rows if (r.floor, r.shaft) == ("01", "S2")]
    assert first == ["fire", "rainwater", "soil", "waste", "vent", "cold", "hot"]


def test_an_empty_job_has_no_rows_and_a_total_of_nothing() -> None:
    assert StatusTable(()).total.joints == 0
    assert StatusTable(()).as_json()["states"] == []


def test_the_status_as_json_has_one_list_of_states(tower: Model) -> None:
    data = json.loads(json.dumps(status_table(tower, State()).as_json()))
    assert data["states"][0]["not_yet_seen"] == data["states"][0]["joints"]
    assert {"made", "inspected", "proven", "stale", "covered"} <= set(data["states"][0])
    assert data["total"]["joints"] == 69


@pytest.mark.parametrize("width", [80, 120])
def test_the_status_on_a_screen_fits_and_adds_up(
    tower_job: Callable[..., JobTables], recorded: Callable[..., State], width: int
) -> None:
    state = recorded(("made", "J02-S2-HOT.1", {}), ("made", "J02-S2-HOT.2", {}))
    table = status_table(model_of(tower_job(S2COLD=0.1)), state)
    out = io.StringIO()
    Console(width=width, file=out).print(status_terminal(table))
    text = out.getvalue()
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width
    assert "…" not in text
    assert "non potable" in text
    assert "69 joints, 1 seen, 68 not yet seen." in text
    assert "1 cannot be made as drawn" in text
