# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riser.network.tables import JobTables
from riser.project import Difference, differences, read_job
from riser.project.compare import Change, key_columns
from riser.project.schema import TABLES

Files = dict[str, str]
Write = Callable[[Files], Path]


def changed(files: Files, written: Write, file: str, old: str, new: str) -> list[Difference]:
    before = read_job(written(files))
    assert old in files[file]
    after = read_job(written({**files, file: files[file].replace(old, new, 1)}))
    return differences(before, after)


def test_a_job_does_not_differ_from_itself(job: Path) -> None:
    tables = read_job(job)
    assert differences(tables, tables) == []


@pytest.mark.parametrize(
    ("file", "old", "new", "expected"),
    [
        (
            "parts.csv",
            "POD3,POD,B,S,00,,20",
            "POD3,POD,B,S,00,,21.5",
            Difference("parts", ("POD3",), Change.CHANGED, "x_m", 20.0, 21.5),
        ),
        (
            "pipes.csv",
            "plain,65,16",
            "plain,65,14",
            Difference("pipes", ("C22", "65"), Change.CHANGED, "rating_pa", 1.6e6, 1.4e6),
        ),
        (
            "types/POD/B/nodes.csv",
            "K2,stub,700,500,2600",
            "K2,stub,700,500,2610",
            Difference("nodes", ("POD", "B", "K2"), Change.CHANGED, "z_m", 2.6, 2.61),
        ),
        (
            "survey.csv",
            "GR/S1,2026-03-02T10:15+01:00,0.506,0.496,0.101,2,Ola Fenn,tape\n",
            "",
            Difference("survey", ("GR/S1", "2026-03-02T10:15:00+01:00"), Change.REMOVED),
        ),
        (
            "curves.csv",
            "TOWN,1.5,3.0\n",
            "TOWN,1.5,3.0\nTOWN,2,2\n",
            Difference("curves", ("TOWN", "0.002"), Change.ADDED),
        ),
        (
            "project.toml",
            '"0.5 in"',
            '"20 mm"',
            Difference("settings", ("tolerance.stub_plan_m",), Change.CHANGED, "value", 0.0127, 0.02),
        ),
        (
            "gates.toml",
            '"foreman"',
            '"fitter"',
            Difference("gates", ("G1",), Change.CHANGED, "role", "foreman", "fitter"),
        ),
        (
            "rules/yard.toml",
            "[[change]]",
            "year = 2026\n[[change]]",
            Difference("amendments", ("yard", "year"), Change.ADDED, after=2026),
        ),
    ],
)
def test_one_change_is_one_difference(
    file: str, old: str, new: str, expected: Difference, files: Files, written: Write
) -> None:
    assert changed(files, written, file, old, new) == [expected]


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("types/GROUND/A/nodes.csv", "x,y,z", "x [m],y (m),z"),
        ("pipes.csv", "110,103,0.007", "110.0,103.000,7e-3"),
        ("curves.csv", "TOWN,0,3.5", "\nTOWN,0.0,3.5"),
        ("types.csv", "below slab", "BELOW-SLAB"),
        ("couplings.csv", "yes,invented", "Y,invented"),
    ],
)
def test_another_way_of_writing_the_same_is_no_difference(
    file: str, old: str, new: str, files: Files, written: Write
) -> None:
    assert changed(files, written, file, old, new) == []


def test_a_figure_that_comes_or_goes_is_a_change(files: Files, written: Write) -> None:
    found = changed(files, written, "catchments.csv", "40,3,0.9", "40,,0.9")
    assert [(d.column, d.after) for d in found] == [("slope_rad", 0.0)]
    found = changed(files, written, "floors.csv", "N,00,0,0.0,0.0,200,2.8", "N,00,0,0.0,0.0,200,")
    assert [(d.key, d.column, d.before) for d in found] == [(("N", "00"), "ceiling_m", 2.8)]
    assert found[0].as_json()["after"] is None


def test_differences_are_plain_json(files: Files, written: Write) -> None:
    before = read_job(written(files))
    after = replace(before, settings={}, gates=(), amendments={}, parts=before.parts.iloc[:0])
    found = [d.as_json() for d in differences(before, after)]
    assert json.loads(json.dumps(found)) == found
    assert {d["table"] for d in found} == {"parts", "settings", "gates", "amendments"}


def shuffled(tables: JobTables, seed: int) -> JobTables:
    """The same job with the rows of every table in another order."""
    rng = random.Random(seed)
    frames = {}
    for name in TABLES:
        frame = getattr(tables, name)
        order = rng.sample(range(len(frame)), len(frame))
        frames[name] = frame.iloc[order].reset_index(drop=True).assign(row=range(2, len(frame) + 2))
    return replace(tables, **frames, gates=tuple(reversed(tables.gates)))


@given(seeds=st.tuples(st.integers(0, 10**6), st.integers(0, 10**6)), drop=st.integers(0, 3))
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_order_of_rows_does_not_matter(seeds: tuple[int, int], drop: int, job: Path) -> None:
    tables = read_job(job)
    fewer = replace(tables, parts=tables.parts.drop(index=drop))
    one, other = shuffled(tables, seeds[0]), shuffled(fewer, seeds[1])
    assert differences(tables, one) == []
    gone = str(tables.parts["part"].iloc[drop])
    assert differences(one, other) == [Difference("parts", (gone,), Change.REMOVED)]
    assert differences(other, one) == [Difference("parts", (gone,), Change.ADDED)]


def test_every_table_has_a_key_that_stands_among_its_columns() -> None:
    for table in TABLES.values():
        assert set(key_columns(table)) <= set(table.inner_columns)
