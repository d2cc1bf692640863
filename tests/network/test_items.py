# SPDX-License-Identifier: Apache-2.0
"""Item hashes: what makes a test stale, and what does not."""

from dataclasses import replace

import pytest

from riser.network.inside import inside_connections
from riser.network.items import joint_hash, node_hash, rests_on, run_hash
from riser.network.where import joint_place, level_words, node_place, run_place
from tests.building import model_of, two_storeys, with_cells


def hashes(job):
    model = model_of(job)
    joint = {str(i): joint_hash(model, n) for n, i in enumerate(model.joints.id)}
    runs = {model.placed.run_id(n): run_hash(model, n) for n in range(len(model.placed.run_type))}
    nodes = {model.placed.node_id(n): node_hash(model, n) for n in range(len(model.placed.node_type))}
    return {**joint, **runs, **nodes}


def changed(job):
    before, after = hashes(two_storeys()), hashes(job)
    return {key for key in before if before[key] != after.get(key)}


def test_a_shift_below_a_twentieth_of_a_millimetre_changes_nothing():
    assert changed(with_cells(two_storeys(), "parts", {"part": "M2"}, z_m=3.15004)) == set()


def test_a_shift_of_a_millimetre_changes_the_part_and_its_joints_and_nothing_else():
    moved = changed(with_cells(two_storeys(), "parts", {"part": "M2"}, z_m=3.151))
    assert {"M2/SP1", "M2/S2", "J4", "J7"} <= moved
    assert not any(key.startswith(("M1/", "BG/")) for key in moved)
    assert "J1" not in moved


@pytest.mark.parametrize("cells", [{"note": "x"}, {"source": "another leaflet"}])
def test_notes_and_sources_change_nothing(cells):
    job = two_storeys()
    if "note" in cells:
        job.joints["note"] = "seen on site"
    else:
        job = with_cells(job, "couplings", {"family": "NH"}, **cells)
    assert changed(job) == set()


def test_another_spool_length_changes_its_joint_only():
    assert changed(with_cells(two_storeys(), "closures", {"joint": "J4", "order": 2}, length_m=0.480)) == {
        "J4"
    }


def test_another_coupling_row_changes_every_joint_made_with_it():
    moved = changed(with_cells(two_storeys(), "couplings", {"family": "GF"}, gap_max_m=0.004))
    assert moved == {"J3", "J6"}


def test_row_order_changes_nothing():
    job = two_storeys()
    shuffled = job.closures.sort_values(["order", "joint"], ignore_index=True)
    assert changed(replace(job, closures=shuffled)) == set()


def test_what_a_finding_rests_on_is_sorted_and_without_repeats():
    model = model_of(two_storeys())
    pairs = rests_on(model, joints=(3, 0, 3))
    assert [name for name, _ in pairs] == ["J1", "J4"]


def test_places_are_said_with_floor_id_and_level():
    model = model_of(two_storeys())
    node = int(model.placed.node_numbers(["M2/WC"])[0])
    assert node_place(model, node).words == "floor 02, M2/WC, level +3.570 m"
    assert joint_place(model, 3).floor == "01"
    assert run_place(model, 0).system == "soil"
    assert level_words(-0.8) == "-0.800 m"


def test_inside_connections_are_named_by_run_and_end():
    job = with_cells(two_storeys(), "runs", {"run": "S3"}, joined_from="NH", joined_to="NH")
    names = inside_connections(model_of(job).placed).id.tolist()
    assert names == ["M1/S3.from", "M1/S3.to", "M2/S3.from", "M2/S3.to"]
