# SPDX-License-Identifier: Apache-2.0
"""What a job holds that can be referred to: ids by table, nodes by type, drawings by part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riser.project.faults import Faults, did_you_mean
from riser.project.text_table import Texts
from riser.project.typed import TypedTable

Flags = NDArray[np.bool_]
MARK = "\x1f"
_DRAWINGS = {
    "types": ("type", "revision"),
    "nodes": ("node", "kind"),
    "parts": ("part", "type", "type_revision"),
}


def joined_keys(*columns: Iterable[str]) -> Texts:
    """Several columns of ids as one column of keys."""
    return np.array([MARK.join(key) for key in zip(*columns, strict=True)], dtype=object)


def part_names(values: Texts) -> Texts:
    """The part in front of each `PART/NODE`."""
    return np.array([text.partition("/")[0] for text in values], dtype=object)


def is_among(values: Iterable[str], known: Iterable[str]) -> Flags:
    """Which values are known."""
    return pd.Series(values, dtype=object).isin(pd.Index(known, dtype=object)).to_numpy(bool)


def filled(values: Texts) -> Flags:
    """Which cells hold anything."""
    return np.asarray(values != "", dtype=bool)


@dataclass
class KnownIds:
    """The tables of a job as far as they could be read; `absent` and `broken` name the others."""

    typed: Mapping[str, TypedTable]
    absent: frozenset[str]
    broken: frozenset[str]
    faults: Faults
    _names: dict[tuple[str, str], pd.Index] = field(default_factory=dict)

    def readable(self, table: str, *columns: str) -> TypedTable | None:
        """A table with these columns, None where it is absent or could not be read."""
        found = self.typed.get(table)
        return found if found is not None and found.usable(*columns) else None

    def names(self, table: str, column: str) -> pd.Index | None:
        """The ids of a table, None where it could not be read."""
        source = self.readable(table, column)
        if source is None:
            return None
        if (table, column) not in self._names:
            self._names[table, column] = pd.Index(source.frame[column].unique(), dtype=object)
        return self._names[table, column]

    @cached_property
    def nodes_whole(self) -> bool:
        """Whether every drawing could be read, so that a node that is not found does not exist."""
        return not self.broken & set(_DRAWINGS) and all(
            self.readable(name, *columns) is not None for name, columns in _DRAWINGS.items()
        )

    @cached_property
    def kind_of_node(self) -> pd.Series:
        """Node kind by the key of type, revision and node."""
        frame = self.typed["nodes"].frame
        keys = joined_keys(frame["type"], frame["revision"], frame["node"])
        kinds = pd.Series(frame["kind"].to_numpy(object), index=pd.Index(keys, dtype=object), dtype=object)
        return kinds[~kinds.index.duplicated()]

    @cached_property
    def drawing_of_part(self) -> pd.Series:
        """The key of type and revision by part."""
        frame = self.typed["parts"].frame
        keys = joined_keys(frame["type"], frame["type_revision"])
        drawings = pd.Series(keys, index=pd.Index(frame["part"], dtype=object), dtype=object)
        return drawings[~drawings.index.duplicated()]

    @cached_property
    def building_of_part(self) -> dict[str, str]:
        """The building by part; empty where parts could not be read."""
        parts = self.readable("parts", "part", "building")
        return dict(zip(parts.frame["part"], parts.frame["building"], strict=True)) if parts else {}

    def blame(
        self,
        table: TypedTable,
        column: str,
        bad: Flags,
        expected: str,
        known: Iterable[str],
        otherwise: str = "Correct the id, or add what it names.",
    ) -> None:
        """Faults in the marked rows; the remedy names the nearest id there is, or says what else to do."""
        if not bad.any():
            return
        words = list(known)
        cells = table.cells(column)

        def remedy(value: str) -> str:
            return did_you_mean(value, words, otherwise)

        self.faults.add_rows(cells.places, bad, column, cells.values, expected, remedy)
