# SPDX-License-Identifier: Apache-2.0
"""A million stubs: placed, matched and checked for missing joints, against a bare numpy sketch.

Each side runs in a process of its own, so that peak memory can be read; the sketch does placement, KD-tree
pairs and connected components on the same points and nothing else.
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

STUBS_A_PART = 20


def layout(stubs: int) -> tuple[np.ndarray, np.ndarray]:
    """Local stub positions of the one type (a grid of pipes, below and above) and the parts' origins."""
    pipes = STUBS_A_PART // 2
    plan = np.stack([0.3 * (np.arange(pipes) % 5), 0.3 * (np.arange(pipes) // 5)], axis=1)
    local = np.vstack(
        [np.column_stack([plan, np.zeros(pipes)]), np.column_stack([plan, np.full(pipes, 2.95)])]
    )
    parts = stubs // STUBS_A_PART
    floors = 60
    tower = np.arange(parts) // floors
    origin = np.column_stack([4.0 * (tower % 100), 4.0 * (tower // 100), 3.0 * (np.arange(parts) % floors)])
    return local, origin


def sketch(stubs: int) -> None:
    """Plain numpy and scipy: place, pair, label."""
    local, origin = layout(stubs)
    xyz = (local[None, :, :] + origin[:, None, :]).reshape(-1, 3)
    pairs = cKDTree(xyz).query_pairs(0.15, output_type="ndarray")
    runs = np.arange(len(xyz)).reshape(len(origin), 2, -1)
    u = np.concatenate([pairs[:, 0], runs[:, 0].ravel()])
    v = np.concatenate([pairs[:, 1], runs[:, 1].ravel()])
    count, _ = connected_components(
        csr_array((np.ones(len(u), np.int8), (u, v)), shape=(len(xyz),) * 2), directed=False
    )
    assert count == stubs // STUBS_A_PART // 60 * (STUBS_A_PART // 2), count


def program(stubs: int) -> None:
    """riser: place, match, and check for missing joints."""
    from benchmarks.stub_job import stub_job
    from riser.joints import joints_of
    from riser.joints.matching import not_scheduled
    from riser.network.model import design_model
    from riser.network.placing import placed
    from riser.network.tracing import labels_of

    where = placed(stub_job(*layout(stubs)))
    model = design_model(where, joints_of(where))
    assert not not_scheduled(model)
    floors = 60
    towers = stubs // STUBS_A_PART // floors
    pipes = STUBS_A_PART // 2
    assert len(model.joints) == towers * pipes * (floors - 1), len(model.joints)
    ends = model.joints.partner[where.stubs] < 0
    assert np.count_nonzero(ends) == towers * pipes * 2
    label = labels_of(model, np.arange(len(model.edges.u)))
    assert label.max() + 1 == towers * pipes


def measured(side: str, stubs: int) -> None:
    """Run one side and print seconds and peak memory in MiB."""
    start = time.perf_counter()
    {"sketch": sketch, "riser": program}[side](stubs)
    took = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{took:.3f} {peak:.0f}")


if __name__ == "__main__":
    measured(sys.argv[1], int(sys.argv[2]))
