# SPDX-License-Identifier: Apache-2.0
"""Ids as people type them: looked up in the job, or answered with the nearest ones."""

from __future__ import annotations

from difflib import get_close_matches

import pandas as pd

from riser.errors import InputError, InputErrors
from riser.network.inside import inside_connections
from riser.network.model import Model
from riser.network.systems import SYSTEMS
from riser.project import floor_named

TYPED = "what was typed"


def unknown(what: str, typed: str, known: list[str], expected: str) -> InputErrors:
    """The error for an id the job does not have, naming the nearest that it has."""
    near = get_close_matches(typed, known, n=3, cutoff=0.5)
    remedy = f"Did you mean {', '.join(near)}?" if near else f"The job has {len(known)} of them."
    return InputErrors([InputError(TYPED, None, what, repr(typed), expected, remedy)])


def part_named(model: Model, typed: str) -> int:
    """The number of a part."""
    number = model.placed.part_number.get(typed)
    if number is None:
        raise unknown("part", typed, list(model.placed.part_number), "a part of parts.csv")
    return number


def stub_named(model: Model, typed: str) -> int:
    """The node number of a stub `PART/NODE`."""
    node = int(model.placed.node_numbers([typed])[0])
    if node < 0 or node not in set(model.placed.stubs.tolist()):
        known = model.placed.node_ids(model.placed.stubs)
        raise unknown("stub", typed, known, "a stub, written PART/NODE")
    return node


def connections_named(model: Model, typed: str) -> list[str]:
    """The connections meant by a connection id, or by a joint id for all of its connections."""
    joints = model.joints
    if typed in joints.number:
        wanted = joints.number[typed]
        return [
            str(c)
            for c, j in zip(joints.connections.id, joints.connections.joint, strict=True)
            if j == wanted
        ]
    if typed in set(joints.connections.id.tolist()):
        return [typed]
    if typed in set(inside_connections(model.placed).id.tolist()):
        return [typed]
    known = [*joints.connections.id.tolist(), *joints.id.tolist()]
    raise unknown("connection", typed, known, "a joint, a connection of one, or PART/RUN.from")


def floor_said(floors: pd.DataFrame, typed: str) -> tuple[str, str]:
    """Building and floor of `7` or `A/7`, which people say for floor `07`.

    Raises InputErrors for a floor that does not exist, and for a bare one that several buildings have.
    """
    building, slash, name = typed.rpartition("/")
    if name not in set(floors["floor"]) and name.zfill(2) in set(floors["floor"]):
        typed = f"{building}{slash}{name.zfill(2)}"
    return floor_named(floors, typed)


def system_said(typed: str) -> int:
    """The code of a system as people say it: `hot return` or `hot_return`."""
    word = typed.strip().lower().replace(" ", "_").replace("-", "_")
    if word not in SYSTEMS:
        raise unknown("system", typed, list(SYSTEMS), f"one of {', '.join(SYSTEMS)}")
    return SYSTEMS.index(word)
