# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from pathlib import Path

import pytest

from riser.errors import InputErrors
from riser.project import floor_named, read_job


@pytest.mark.parametrize(("name", "floor"), [("01", ("N", "01")), ("02", ("S", "02")), ("S/00", ("S", "00"))])
def test_a_floor_is_found_by_its_name(name: str, floor: tuple[str, str], job: Path) -> None:
    assert floor_named(read_job(job).floors, name) == floor


def test_a_bare_floor_of_two_buildings_names_both(job: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        floor_named(read_job(job).floors, "00")
    assert caught.value.errors[0].expected == "N/00 or S/00"


@pytest.mark.parametrize(
    ("name", "near"), [("1", "'01'"), ("N/1", "'N/01'"), ("penthouse", "Choose a floor")]
)
def test_an_unknown_floor_is_an_input_error_with_the_nearest(name: str, near: str, job: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        floor_named(read_job(job).floors, name)
    assert near in caught.value.errors[0].remedy
