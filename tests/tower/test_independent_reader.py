# SPDX-License-Identifier: Apache-2.0
"""A reader that shares no line with the program sees the same joints and the same connected pieces."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

import numpy as np
import pytest

from benchmarks.spoilings import SPOILINGS, spoilt_apart, targets, tower_job
from benchmarks.tower import write_tower
from demo_project.writing import write_files
from riser.network.kinds import KINDS, NODE_KINDS
from riser.network.model import Model
from riser.network.tracing import labels_of
from riser.work.job import open_job
from tests.independent_reader import Reading

DEMO = Path(__file__).parents[2] / "demo_project"


def place_names(model: Model, points: list[int]) -> list[str]:
    """`PART/NODE:PLACE`, the place being the first port of a point where a node has several."""
    placed = model.placed
    ids = placed.node_ids(placed.point_node[points])
    kinds = model.node_kind[placed.point_node[points]].tolist()
    groups = placed.types.point_group[placed.point_type[points]].tolist()
    places = [KINDS[NODE_KINDS[kind]].points for kind in kinds]
    return [
        f"{name}:{ports[group][0] if len(ports) > 1 else ''}"
        for name, ports, group in zip(ids, places, groups, strict=True)
    ]


def pieces_of(model: Model) -> set[frozenset[str]]:
    edges = model.edges
    used = np.concatenate([edges.u, edges.v, model.placed.point0[model.placed.stubs]])
    points = np.unique(used).tolist()
    label = labels_of(model, np.arange(len(edges.u)))
    members: dict[int, set[str]] = {}
    for name, piece in zip(place_names(model, points), label[points].tolist(), strict=True):
        members.setdefault(piece, set()).add(name)
    return {frozenset(names) for names in members.values()}


def joints_of(model: Model) -> dict[str, frozenset[str]]:
    joints, placed = model.joints, model.placed
    return {
        str(joints.id[n]): frozenset(placed.node_id(int(stub[n])) for stub in (joints.stub_a, joints.stub_b))
        for n in joints.joined.tolist()
    }


def expect_agreement(folder: Path) -> int:
    model, reading = open_job(folder).design, Reading(folder)
    assert joints_of(model) == reading.joints
    assert pieces_of(model) == reading.pieces()
    return len(reading.graph)


@pytest.mark.parametrize(("floors", "modules"), [(1, 6), (5, 24), (12, 12)])
def test_both_readers_agree_on_towers(tmp_path: Path, floors: int, modules: int) -> None:
    write_tower(tmp_path, floors, modules)
    assert expect_agreement(tmp_path) > 100 * floors


def test_both_readers_agree_on_the_demo_with_its_faults() -> None:
    assert expect_agreement(DEMO) > 1000


def write_spoilt(folder: Path, size: tuple[int, int], seed: int, count: int) -> int:
    job, chance = tower_job(*size), Random(seed)
    places = targets(job)
    picks = [(chance.choice([*places]), chance.randrange(10**6)) for _ in range(count)]
    files, chosen = spoilt_apart(job, places, picks)
    write_files(files, folder)
    return len(chosen)


@pytest.mark.parametrize("seed", range(3))
def test_both_readers_agree_on_spoilt_towers(tmp_path: Path, seed: int) -> None:
    assert write_spoilt(tmp_path, (6, 12), seed, 12) > 4
    expect_agreement(tmp_path)


def test_every_kind_of_spoiling_has_a_place_in_some_tower() -> None:
    assert set(targets(tower_job(4, 18))) == set(SPOILINGS)


@pytest.mark.soak
def test_both_readers_agree_on_a_tower_of_sixty_floors(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    write_tower(tmp_path, 60, 24)
    record_property("count", expect_agreement(tmp_path))


@pytest.mark.soak
def test_both_readers_agree_on_many_spoilt_towers(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    count = 0
    for seed in range(200):
        folder = tmp_path / str(seed)
        count += write_spoilt(folder, (6, 12), seed + 100, 15)
        expect_agreement(folder)
    record_property("count", count)
