# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
from rich.console import Console

from riser.joints.findings import findings
from riser.network.model import Model
from riser.network.tables import JobTables
from riser.records.state import State
from riser.reports.floor_sheet import FloorSheet, floor_sheet
from riser.reports.floor_sheet_terminal import floor_sheet_terminal
from tests.building import model_of, two_storeys, with_cells


def shown(sheet: FloorSheet, width: int, **options: Any) -> str:
    out = io.StringIO()
    Console(width=width, file=out, **options).print(floor_sheet_terminal(sheet))
    return out.getvalue()


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [80, 120])
def test_every_joint_stands_on_the_screen_whole_at_any_usual_width(
    tower_job: Callable[..., JobTables], width: int
) -> None:
    model = model_of(tower_job(S1SOIL=0.012))
    sheet = floor_sheet(model, State(), findings(model), (), "A", "01")
    text = shown(sheet, width)
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width
    assert "…" not in text
    for line in sheet.joints:
        assert line.id in text
        for part in (line.make_up, line.next_words, line.covering_words):
            assert words(part) in words(text)


def test_nothing_is_said_by_colour_or_by_a_sign_alone(tower: Model) -> None:
    sheet = floor_sheet(tower, State(), [], (), "A", "01")
    plain = shown(sheet, 100)
    coloured = shown(sheet, 100, force_terminal=True, color_system="truecolor")
    assert "\x1b[3" not in coloured.replace("\x1b[1m", "")
    assert plain.isascii()
    assert "not yet seen" in plain


def test_a_joint_that_does_not_fit_says_by_how_much_and_what_to_do(
    tower_job: Callable[..., JobTables],
) -> None:
    model = model_of(tower_job(S1SOIL=0.012))
    text = words(shown(floor_sheet(model, State(), findings(model), (), "A", "01"), 100))
    assert "does not fit as drawn (10 mm too far across); across 12 mm, takes 1.7 mm" in text
    assert "J12 error: Joint J01-S1-SOIL" in text


def test_what_people_wrote_is_shown_and_not_obeyed() -> None:
    job = with_cells(two_storeys(), "pipes", {"pipe": "CI100"}, material="[red]cast[/red] \x1b[2Jiron")
    text = shown(floor_sheet(model_of(job), State(), [], (), "A", "01"), 100, force_terminal=True)
    assert "[red]cast[/red] [2Jiron" in text
    assert "\x1b[2J" not in text


def test_a_floor_without_joints_says_so() -> None:
    text = shown(floor_sheet(model_of(two_storeys()), State(), [], (), "A", "RF"), 80)
    assert "No joint is made from this floor." in text
