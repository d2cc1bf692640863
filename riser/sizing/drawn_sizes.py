# SPDX-License-Identifier: Apache-2.0
"""Drawn sizes: the nominal size of each pipe of the catalogue, of runs and of the pieces between stubs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.joints import PieceKind
from riser.network.model import EdgeKind, Model
from riser.network.types import Floats, Ints, Texts
from riser.rules.nominal import nominal_size_m


@dataclass(frozen=True)
class Catalogue:
    """The pipes of a job by number: name, nominal text, nominal size as the tables name it (NaN where the
    name is of no known family) and bore [m].
    """

    name: Texts
    nominal: Texts
    size_m: Floats
    bore_m: Floats


def catalogue(model: Model, printed_unit: str) -> Catalogue:
    """The pipe catalogue with sizes as a table that prints `in` or `mm` names them."""
    frame = model.placed.tables.pipes.drop_duplicates("pipe")
    texts = frame["nominal"].to_numpy(object)
    sizes = [nominal_size_m(str(text), printed_unit) for text in texts.tolist()]
    return Catalogue(
        name=frame["pipe"].to_numpy(object),
        nominal=texts,
        size_m=np.array([np.nan if s is None else s for s in sizes], dtype=float),
        bore_m=frame["bore_m"].to_numpy(float),
    )


def edge_pipes(model: Model, edges: Ints, pipes: Catalogue) -> Ints:
    """The pipe of each run, and for each joint the smallest pipe of its stubs and pieces; -1 where unknown.

    A piece whose size cannot be told comes before all others: with it the joint cannot be judged.
    """
    kind, ref = model.edges.kind[edges], model.edges.ref[edges]
    found = np.full(len(edges), -1, np.int32)
    runs, joints = kind == EdgeKind.RUN, kind == EdgeKind.JOINT
    found[runs] = model.run_pipe[ref[runs]]
    smallest = _joint_pipes(model, pipes)
    found[joints] = smallest[ref[joints]]
    return found


def _joint_pipes(model: Model, pipes: Catalogue) -> Ints:
    joints, pieces = model.joints, model.joints.pieces
    spool = (pieces.pipe >= 0) & (pieces.kind == PieceKind.PIPE)
    all_joints = np.arange(len(joints), dtype=np.int32)
    owner = np.concatenate([all_joints, all_joints, pieces.joint[spool]])
    stubs = [np.where(s >= 0, model.node_pipe[s], -1) for s in (joints.stub_a, joints.stub_b)]
    pipe = np.concatenate([*stubs, pieces.pipe[spool]])
    owner, pipe = owner[pipe >= 0], pipe[pipe >= 0]
    order = np.lexsort((np.nan_to_num(pipes.size_m[pipe], nan=-1.0), owner))
    owner, pipe = owner[order], pipe[order]
    found = np.full(len(joints), -1, np.int32)
    first = np.flatnonzero(np.diff(owner, prepend=-1) != 0)
    found[owner[first]] = pipe[first]
    return found
