# SPDX-License-Identifier: Apache-2.0
"""Towers of any height and width are without a fault, and drawn from all shapes of the demo."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmarks.spoilings import checked
from benchmarks.tower import MOST_FLOORS, tower, tower_files, tower_plan, write_tower
from riser.work.check import check
from riser.work.job import open_job

SHAPES = {"BG", "PS", "PV", "PL", "PT", "TM", "CM", "TE", "SM", "ST", "SR", "BA", "SH", "KL", "CO", "RF"}


@pytest.mark.parametrize(("floors", "modules"), [(1, 6), (2, 12), (5, 30), (12, 6), (26, 6)])
def test_a_tower_gives_no_finding(floors: int, modules: int) -> None:
    assert checked(tower_files(tower(floors, modules))).findings == []


def test_a_tower_of_sixty_floors_and_twenty_four_modules_gives_no_finding(tmp_path: Path) -> None:
    write_tower(tmp_path, 60, 24)
    job = open_job(tmp_path)
    parts = job.tables.parts
    assert len(parts[(parts["building"] == "A") & (parts["floor"] == "33")]) in range(20, 25)
    assert check(job).findings == []


def test_a_tower_draws_from_all_shapes_of_the_demo() -> None:
    site = tower(14, 18).site
    assert {name.rstrip("0123456789") for name, _ in site.drawings} >= SHAPES
    places = [part.place for part in site.parts.values()]
    assert any(place.mirrored for place in places)
    assert any(part.to_floor is not None for part in site.parts.values())


@pytest.mark.parametrize(("floors", "modules"), [(0, 6), (4, 0), (4, 7), (MOST_FLOORS + 1, 6)])
def test_a_tower_that_cannot_be_drawn_is_refused(floors: int, modules: int) -> None:
    with pytest.raises(ValueError, match=f"{floors} floors"):
        tower_plan(floors, modules)


@pytest.mark.soak
def test_towers_of_every_height_and_many_widths_give_no_finding(
    record_property: Callable[[str, object], None],
) -> None:
    sizes = [(floors, 6 * (1 + floors % 8)) for floors in range(1, MOST_FLOORS + 1)]
    for floors, modules in sizes:
        found = checked(tower_files(tower(floors, modules))).findings
        assert found == [], f"{floors} floors of {modules}: {[f.key for f in found[:5]]}"
    record_property("count", len(sizes))
