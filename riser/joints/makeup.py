# SPDX-License-Identifier: Apache-2.0
"""Make-ups: the ordered couplings and pieces between two stubs, and where each connection comes to lie."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riser.network.joints import Connections, JointState, PieceKind, Pieces
from riser.network.placing import Placed
from riser.network.tables import JobTables
from riser.network.types import Flags, Floats, Ints, Texts, codes_of

KIND_NAMES = tuple(kind.name.lower() for kind in PieceKind)
BETWEEN = (PieceKind.PIPE, PieceKind.REDUCER, PieceKind.ADAPTER, PieceKind.OFFSET)


def pipe_names(tables: JobTables) -> list[str]:
    """The pipe catalogue's names, in the order in which pipes are numbered."""
    return list(dict.fromkeys(tables.pipes["pipe"].tolist()))


def pipe_property(tables: JobTables, column: str) -> Floats | Texts:
    """A column of the catalogue, one value per pipe number (the first of its rows)."""
    return tables.pipes.drop_duplicates("pipe")[column].to_numpy()


def pieces_of(tables: JobTables, joint_ids: Texts) -> Pieces:
    """closures.csv as arrays, sorted by joint and order, numbered by the joints they belong to."""
    frame = tables.closures
    joint = pd.Series(np.arange(len(joint_ids)), index=pd.Index(joint_ids, dtype=object))
    number = joint.reindex(frame["joint"]).to_numpy()
    known = ~pd.isna(number)
    frame = frame[known]
    number = number[known].astype(np.int32)
    order = frame["order"].to_numpy(float)
    place = np.lexsort((order, number))
    frame, number = frame.iloc[place], number[place]
    names = pipe_names(tables)
    kind = codes_of(frame["kind"], KIND_NAMES)
    pipe = codes_of(frame["pipe"], names)
    to_pipe = codes_of(frame["to_pipe"], names)
    between = np.isin(kind, BETWEEN)
    return Pieces(
        joint=number,
        order=order[place].astype(np.int32),
        kind=kind,
        family=frame["family"].to_numpy(object),
        pipe=pipe,
        to_pipe=np.where(to_pipe >= 0, to_pipe, np.where(between, pipe, -1)).astype(np.int32),
        length_m=np.where(between, np.nan_to_num(frame["length_m"].to_numpy(float)), 0.0),
        offset_m=np.nan_to_num(frame["offset_m"].to_numpy(float)),
        angle_rad=np.nan_to_num(frame["angle_rad"].to_numpy(float)),
        file_row=frame["row"].to_numpy(np.int32),
    )


def sum_by_joint(pieces: Pieces, values: Floats, count: int) -> Floats:
    """The sum of a piece quantity over each joint."""
    return np.bincount(pieces.joint, weights=values, minlength=count).astype(float)


def pipes_at(pieces: Pieces, pipe_a: Ints, pipe_b: Ints) -> tuple[Ints, Ints]:
    """The pipe before and after each piece (stub a's, stub b's or that of the neighbouring piece).

    -2 where two couplings follow each other with nothing between them.
    """
    count = len(pieces.joint)
    same_before = np.zeros(count, bool)
    same_before[1:] = pieces.joint[1:] == pieces.joint[:-1]
    same_after = np.zeros(count, bool)
    same_after[:-1] = same_before[1:]
    between = np.isin(pieces.kind, BETWEEN)
    before = np.where(same_before, np.where(np.roll(between, 1), np.roll(pieces.to_pipe, 1), -2), -1)
    after = np.where(same_after, np.where(np.roll(between, -1), np.roll(pieces.pipe, -1), -2), -1)
    before = np.where(same_before, before, pipe_a[pieces.joint])
    after = np.where(same_after, after, pipe_b[pieces.joint])
    return before.astype(np.int32), after.astype(np.int32)


def coupling_rows(tables: JobTables, family: Texts, before: Ints, after: Ints) -> Ints:
    """The row of couplings.csv that ties these two pipes by this family, either way round; -1 if none."""
    names = pipe_names(tables)
    frame = tables.couplings
    a, b = codes_of(frame["pipe_a"], names), codes_of(frame["pipe_b"], names)
    rows = pd.DataFrame({"family": frame["family"], "a": np.minimum(a, b), "b": np.maximum(a, b)})
    rows = rows[~rows.duplicated()]
    found = pd.Series(rows.index.to_numpy(), index=pd.MultiIndex.from_frame(rows))
    keys = pd.MultiIndex.from_arrays([family, np.minimum(before, after), np.maximum(before, after)])
    return found.reindex(keys).fillna(-1).to_numpy().astype(np.int32)


def connection_ids(joint_ids: Texts, joint: Ints) -> Texts:
    """`J4.1`, `J4.2` ...: numbered within each joint from stub a."""
    if not len(joint):
        return np.zeros(0, object)
    starts = np.flatnonzero(np.concatenate([[True], joint[1:] != joint[:-1]]))
    counts = np.diff(np.append(starts, len(joint)))
    within = np.arange(len(joint)) - np.repeat(starts, counts) + 1
    names = zip(joint_ids[joint].tolist(), within.tolist(), strict=True)
    return np.array([f"{name}.{n}" for name, n in names], dtype=object)


def connections_of(
    placed: Placed, joint_ids: Texts, stub_a: Ints, stub_b: Ints, state: Ints, pieces: Pieces
) -> Connections:
    """Every connection of every joint, in order, at its place in the world.

    What the laying lengths leave of the distance is shared equally by the couplings, so the level of each
    connection follows the make-up. A joint without a make-up has one connection, half way.
    """
    count = len(joint_ids)
    node_pipe = placed.types.node_pipe[placed.node_type]
    pipe_a = np.where(stub_a >= 0, node_pipe[stub_a], -1)
    pipe_b = np.where(stub_b >= 0, node_pipe[stub_b], -1)
    before, after = pipes_at(pieces, pipe_a, pipe_b)
    ties = np.isin(pieces.kind, (PieceKind.COUPLING, PieceKind.CAP))
    made = np.flatnonzero(ties).astype(np.int32)
    bare = np.flatnonzero(np.bincount(pieces.joint[made], minlength=count) == 0).astype(np.int32)
    joint = np.concatenate([pieces.joint[made], bare])
    piece = np.concatenate([made, np.full(len(bare), -1, np.int32)])
    along = _fraction(placed, stub_a, stub_b, state, pieces, ties)
    fraction = np.concatenate([along[made], _half(state)[bare]])
    order = np.lexsort((piece, joint))
    joint, piece, fraction = joint[order], piece[order], fraction[order]
    start, end = _ends(placed, stub_a, stub_b)
    safe = np.maximum(piece, 0)
    given = piece >= 0
    if not len(pieces.joint):
        before = after = np.full(1, -1, np.int32)
        family: Texts = np.array([""], dtype=object)
    else:
        family = pieces.family
    pair_before = np.where(given, before[safe], pipe_a[joint])
    pair_after = np.where(given, after[safe], pipe_b[joint])
    return Connections(
        id=connection_ids(joint_ids, joint),
        joint=joint,
        piece=piece,
        coupling=coupling_rows(placed.tables, np.where(given, family[safe], ""), pair_before, pair_after),
        pipe_before=pair_before.astype(np.int32),
        pipe_after=pair_after.astype(np.int32),
        xyz_m=start[joint] + (end - start)[joint] * fraction[:, None],
    )


def _half(state: Ints) -> Floats:
    return np.where(state == JointState.JOINED, 0.5, 0.0)


def _ends(placed: Placed, stub_a: Ints, stub_b: Ints) -> tuple[Floats, Floats]:
    """World positions of both ends; a joint with one stub has both there."""
    one = np.where(stub_a >= 0, stub_a, stub_b)
    other = np.where(stub_b >= 0, stub_b, one)
    return placed.node_xyz_m[one], placed.node_xyz_m[other]


def _fraction(placed: Placed, stub_a: Ints, stub_b: Ints, state: Ints, pieces: Pieces, ties: Flags) -> Floats:
    """How far along the joint each piece's middle lies, as a fraction of the distance between the stubs."""
    count = len(stub_a)
    start, end = _ends(placed, stub_a, stub_b)
    distance = np.linalg.norm(end - start, axis=1)
    spare = np.maximum(distance - sum_by_joint(pieces, pieces.length_m, count), 0.0)
    gap = spare / np.maximum(sum_by_joint(pieces, ties.astype(float), count), 1.0)
    size = pieces.length_m + np.where(ties, gap[pieces.joint], 0.0)
    run = np.cumsum(size)
    first = np.flatnonzero(np.concatenate([[True], pieces.joint[1:] != pieces.joint[:-1]]))[: len(size)]
    base = np.zeros(len(size))
    if len(size):
        counts = np.diff(np.append(first, len(size)))
        base = np.repeat((run - size)[first], counts)
    middle = run - size / 2 - base
    joined = state[pieces.joint] == JointState.JOINED
    return np.where(joined, middle / np.maximum(distance[pieces.joint], 1e-9), 0.0).clip(0.0, 1.0)
