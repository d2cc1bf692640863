# SPDX-License-Identifier: Apache-2.0
"""References to nodes: within one type by their name, in the building as `PART/NODE`.

A stub that its part does not have is no error in joints.csv: the schedule and the drawing disagree, and that
is a finding. Everywhere else a node that does not exist cannot be understood.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from riser.project.columns import Refers
from riser.project.known_ids import MARK, Flags, KnownIds, filled, is_among, joined_keys, part_names
from riser.project.text_table import Texts
from riser.project.typed import TypedTable


def follow_node_of_type(known: KnownIds, table: TypedTable, column: str) -> None:
    """The end of a run: a node in the drawing of the same type revision."""
    if not known.nodes_whole:
        return
    frame = table.frame
    keys = joined_keys(frame["type"], frame["revision"], frame[column])
    bad = filled(frame[column].to_numpy(object)) & ~is_among(keys, known.kind_of_node.index)
    if bad.any():
        nodes = known.typed["nodes"].frame
        same = nodes[nodes["type"].isin(frame["type"][bad])]["node"].unique()
        known.blame(table, column, bad, Refers.NODE_OF_TYPE.value, same)


def follow_stub(known: KnownIds, table: TypedTable, column: str) -> Flags:
    """Which cells have the form `PART/NODE` and name a part that exists; faults for the others."""
    values = table.cells(column).values
    has_form = np.array([t.count("/") == 1 and t[0] != "/" and t[-1] != "/" for t in values], dtype=bool)
    advice = "Write the part, a slash and the node: M07-03/SP1."
    known.blame(table, column, filled(values) & ~has_form, "PART/NODE", (), advice)
    parts = known.names("parts", "part")
    if parts is None:
        return has_form
    exists = is_among(part_names(values), parts)
    missing = has_form & ~exists
    if missing.any():
        known.blame(
            table, column, missing, "a node of a part of parts.csv", _with_nodes(parts, values[missing])
        )
    return has_form & exists


def _with_nodes(parts: pd.Index, values: Texts) -> list[str]:
    """Parts with the node names at hand, to suggest from."""
    nodes = list(dict.fromkeys(text.partition("/")[2] for text in values[:50]))[:3]
    return [f"{part}/{node}" for part in parts[:2000] for node in nodes]


def follow_node(known: KnownIds, table: TypedTable, column: str) -> Texts:
    """The kind of each node named, "" where it does not exist; faults for those."""
    sound = follow_stub(known, table, column)
    kinds = np.full(len(sound), "", dtype=object)
    if not known.nodes_whole or not sound.any():
        return kinds
    values = table.cells(column).values
    drawing = pd.Series(part_names(values[sound]), dtype=object).map(known.drawing_of_part)
    nodes = [text.partition("/")[2] for text in values[sound]]
    kinds[sound] = pd.Series(joined_keys(drawing, nodes), dtype=object).map(known.kind_of_node).fillna("")
    missing = sound & ~filled(kinds)
    if missing.any():
        near = _nodes_of_parts(known, values[missing])
        known.blame(table, column, missing, "a node that the part's type has", near)
    return kinds


def _nodes_of_parts(known: KnownIds, values: Texts) -> list[str]:
    """The nodes of the parts named, to suggest from."""
    words: list[str] = []
    for part in dict.fromkeys(part_names(values[:20]).tolist()):
        start = f"{known.drawing_of_part[part]}{MARK}"
        keys = [key for key in known.kind_of_node.index if key.startswith(start)]
        words += [f"{part}/{key[len(start) :]}" for key in keys]
    return words


def follow_fixture(known: KnownIds, table: TypedTable, column: str) -> None:
    """A node of kind fixture."""
    kinds = follow_node(known, table, column)
    known.blame(table, column, filled(kinds) & (kinds != "fixture"), "a node of kind fixture", ())


def follow_served(known: KnownIds, table: TypedTable, column: str) -> None:
    """Joints, `STUB_A+STUB_B`, or `PART/NODE`, with spaces between."""
    joints, parts = known.names("joints", "joint"), known.names("parts", "part")
    values = table.cells(column).values

    def is_known(word: str) -> bool:
        if "/" in word:
            return parts is None or all(piece.partition("/")[0] in parts for piece in word.split("+"))
        return joints is None or word in joints

    bad = np.array([not all(is_known(word) for word in str(text).split()) for text in values], dtype=bool)
    known.blame(table, column, bad, Refers.SERVED.value, joints if joints is not None else ())
