# SPDX-License-Identifier: Apache-2.0
"""The joints of a building as arrays: who is joined to whom, with which make-up, on which floor.

`riser.joints` fills these tables; they stand here because the network hangs together through them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np

from riser.network.types import Flags, Floats, Ints, Texts


class JointState(IntEnum):
    """What schedule and geometry together make of a joint."""

    JOINED = 0
    CLOSED = 1
    NO_STUB = 2
    APART = 3
    NOT_FACING = 4


STATE_CODE = {JointState.NO_STUB: "J02", JointState.APART: "J03", JointState.NOT_FACING: "J04"}


class PieceKind(IntEnum):
    """The pieces of a make-up. Couplings and caps are connections; the others lie between them."""

    COUPLING = 0
    CAP = 1
    PIPE = 2
    REDUCER = 3
    ADAPTER = 4
    OFFSET = 5


@dataclass(frozen=True)
class Pieces:
    """The make-ups of all joints, sorted by joint and order.

    `pipe` and `to_pipe` are rows of the pipe catalogue (-1 none); `position_m` is the distance of the piece's
    near end from stub a along the joint.
    """

    joint: Ints
    order: Ints
    kind: Ints
    family: Texts
    pipe: Ints
    to_pipe: Ints
    length_m: Floats
    offset_m: Floats
    angle_rad: Floats
    file_row: Ints


@dataclass(frozen=True)
class Connections:
    """Every coupling and cap of every joint, made and proven on its own; `coupling` is its catalogue row.

    `pipe_before` and `pipe_after` are the pipe rows it ties (-1 for the open side of a cap). `piece` is its
    row in `Pieces`, -1 where the make-up is not given and one connection stands for the whole joint.
    """

    id: Texts
    joint: Ints
    piece: Ints
    coupling: Ints
    pipe_before: Ints
    pipe_after: Ints
    xyz_m: Floats


@dataclass(frozen=True)
class Joints:
    """All joints. Node and floor numbers are those of `Placed`; -1 means none.

    `axial_m` runs along stub a's facing from its end to stub b's; `lateral_m` is the offset across it;
    `angle_rad` how far stub b is from facing stub a squarely. `file_row` is the row in joints.csv, -1 for a
    pair found by geometry alone.
    """

    id: Texts
    stub_a: Ints
    stub_b: Ints
    text_a: Texts
    text_b: Texts
    state: Ints
    scheduled: Flags
    works_on: Ints
    tests_with: Ints
    axial_m: Floats
    lateral_m: Floats
    angle_rad: Floats
    file_row: Ints
    pieces: Pieces
    connections: Connections
    partner: Ints
    rival: Ints

    def __len__(self) -> int:
        return len(self.id)

    @cached_property
    def joined(self) -> Ints:
        """The numbers of joints through which water passes in the finished building."""
        return np.flatnonzero(self.state == JointState.JOINED).astype(np.int32)

    @cached_property
    def broken(self) -> Ints:
        """The numbers of scheduled joints that cannot come to be as drawn."""
        bad = (JointState.NO_STUB, JointState.APART, JointState.NOT_FACING)
        return np.flatnonzero(np.isin(self.state, bad)).astype(np.int32)

    def fault_key(self, joint: int) -> str | None:
        """The key of the finding that says why a broken joint cannot come to be; None if it can."""
        code = STATE_CODE.get(JointState(int(self.state[joint])))
        return None if code is None else f"{code}:{self.id[joint]}"

    @cached_property
    def number(self) -> dict[str, int]:
        """Joint id -> number."""
        return {name: n for n, name in enumerate(self.id.tolist())}
