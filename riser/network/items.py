# SPDX-License-Identifier: Apache-2.0
"""Items: what a test, an acceptance or a finding rests on, each with a hash of what would change it.

The hash covers world position to 0.1 mm, pipe rows, ports, make-up and coupling rows; not names, notes or the
order of rows. It is SHA-256 over one line of text, cut to 16 hex digits: enough to notice a change, short
enough to print.
"""

from __future__ import annotations

import hashlib

import numpy as np

from riser.network.joints import PieceKind
from riser.network.kinds import NODE_KINDS
from riser.network.model import Model
from riser.network.systems import System
from riser.network.tables import row_text
from riser.network.types import Floats


def item_hash(text: str) -> str:
    """The hash of one item's describing text."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _place(xyz_m: Floats) -> str:
    """A position to 0.1 mm; minus zero is zero."""
    return " ".join(str(int(v)) for v in np.round(np.asarray(xyz_m) * 1e4).tolist())


def _pipe_text(model: Model, pipe: int) -> str:
    return "" if pipe < 0 else model.placed.pipe_texts[pipe]


def node_hash(model: Model, node: int) -> str:
    """Hash of a node: kind, place, facing, pipe, end, system and setting."""
    placed = model.placed
    row = placed.types.nodes.iloc[placed.node_type[node]]
    facing = np.nan_to_num(placed.facing(np.array([node]))[0])
    parts = [
        NODE_KINDS[int(model.node_kind[node])],
        _place(placed.node_xyz_m[node]),
        _place(facing),
        _pipe_text(model, int(model.node_pipe[node])),
        *(str(row[c]) for c in ("end", "system", "normally", "may_bound_test", "setting")),
    ]
    return item_hash("/".join(parts))


def run_hash(model: Model, run: int) -> str:
    """Hash of a run: its corners, ports, pipe row, system and inside connections."""
    placed, types = model.placed, model.placed.types
    kind = int(placed.run_type[run])
    row = types.runs.iloc[kind]
    ends = placed.point_node[[placed.run_from_point[run], placed.run_to_point[run]]]
    pieces = np.flatnonzero(types.segment_run == kind)
    inner = types.segment_end_m[pieces[:-1]] if len(pieces) > 1 else np.zeros((0, 3))
    parts = [
        *(_place(placed.node_xyz_m[node]) for node in ends),
        *(_place(corner) for corner in inner),
        _pipe_text(model, int(model.run_pipe[run])),
        System(int(model.run_system[run])).label,
        *(str(row[c]) for c in ("from_port", "to_port", "joined_from", "joined_to")),
    ]
    return item_hash("/".join(parts))


def joint_hash(model: Model, joint: int) -> str:
    """Hash of a joint: both stubs, its make-up and the coupling rows it uses."""
    joints, tables = model.joints, model.placed.tables
    stubs = [n for n in (int(joints.stub_a[joint]), int(joints.stub_b[joint])) if n >= 0]
    pieces = joints.pieces
    makeup = [
        f"{PieceKind(int(pieces.kind[n])).name} {pieces.family[n]} {_pipe_text(model, int(pieces.pipe[n]))}"
        f" {_pipe_text(model, int(pieces.to_pipe[n]))} {pieces.length_m[n]:.4f} {pieces.offset_m[n]:.4f}"
        for n in np.flatnonzero(pieces.joint == joint).tolist()
    ]
    rows = joints.connections.coupling[joints.connections.joint == joint]
    couplings = [row_text(tables.couplings.iloc[n]) if n >= 0 else "" for n in rows.tolist()]
    return item_hash("/".join([*sorted(node_hash(model, n) for n in stubs), *makeup, *couplings]))


def rests_on(
    model: Model, *, nodes: tuple[int, ...] = (), runs: tuple[int, ...] = (), joints: tuple[int, ...] = ()
) -> tuple[tuple[str, str], ...]:
    """The (id, hash) pairs a finding about these items rests on, sorted by id."""
    pairs = [(model.placed.node_id(n), node_hash(model, n)) for n in nodes]
    pairs += [(model.placed.run_id(r), run_hash(model, r)) for r in runs]
    pairs += [(str(model.joints.id[j]), joint_hash(model, j)) for j in joints]
    return tuple(sorted(set(pairs)))
