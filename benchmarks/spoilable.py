# SPDX-License-Identifier: Apache-2.0
"""A faultless job as rows that can be spoilt: cells set, rows put in or taken out, parts drawn anew.

A `Job` is read once; a `Spoilt` is a copy that remembers what was written, so that two spoilings that would
undo each other are told apart from two that both stand.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache, cached_property

Files = dict[str, str]
Row = dict[str, str]
Key = tuple[str, ...]
Table = dict[Key, Row]

# The columns by which a row of each table is known.
KEYS: dict[str, tuple[str, ...]] = {
    "parts.csv": ("part",),
    "types.csv": ("type", "revision"),
    "joints.csv": ("joint",),
    "closures.csv": ("joint", "order"),
    "sleeves.csv": ("sleeve",),
    "access.csv": ("panel",),
    "survey.csv": ("stub",),
    "nodes": ("node",),
    "runs": ("run",),
}


class Clash(Exception):
    """Two spoilings write the same cell: only one of them would stand."""


@dataclass(frozen=True)
class Target:
    """A place at which a fault of one kind can be made.

    `keys` are the root findings it must give, `joints` the joints it touches: its own, or those of the piece
    of pipework that is drawn wrong. Two spoilings are at least one joint apart when they touch no joint in
    common. `items` are the ids of what is spoilt; a finding can name it by these or by its joints.
    """

    kind: str
    at: str
    keys: frozenset[str]
    items: frozenset[str]
    joints: frozenset[str]
    spoil: Callable[[Spoilt], None]

    def is_named_by(self, ids: Iterable[str]) -> bool:
        """Whether one of these ids names what is spoilt; `J4.1` is a connection of the joint `J4`."""
        names = self.items | self.joints
        return any(name in names or name.rpartition(".")[0] in names for name in ids)


@dataclass(frozen=True)
class Joint:
    """A row of joints.csv with its make-up; `b` is empty for a closed end."""

    id: str
    a: str
    b: str
    pieces: tuple[Row, ...]

    @property
    def stubs(self) -> tuple[str, ...]:
        """The stubs it ties, as `PART/STUB`."""
        return (self.a, self.b) if self.b else (self.a,)


def rows_of(text: str) -> list[Row]:
    """The rows of a CSV text."""
    return list(csv.DictReader(io.StringIO(text)))


def table_of(name: str, text: str) -> Table:
    """A CSV text by its key."""
    key = KEYS[name.rpartition("/")[2].removesuffix(".csv") if name.startswith("types/") else name]
    return {tuple(row[column] for column in key): row for row in rows_of(text)}


def text_of(rows: Iterable[Row], columns: list[str]) -> str:
    """Rows as CSV text."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def columns_of(text: str) -> list[str]:
    """The header of a CSV text."""
    return next(csv.reader([text.partition("\n")[0]]))


class Job:
    """A faultless job: its files, their rows, and who is joined to whom."""

    def __init__(self, files: Files) -> None:
        self.files = files
        self.table = cache(self._table)
        self.inside = cache(self._inside)

    def _table(self, name: str) -> Table:
        return table_of(name, self.files[name])

    @cached_property
    def joints(self) -> dict[str, Joint]:
        """Every joint by its id."""
        pieces: dict[str, list[Row]] = defaultdict(list)
        for row in self.table("closures.csv").values():
            pieces[row["joint"]].append(row)
        rows = self.table("joints.csv").values()
        return {
            row["joint"]: Joint(row["joint"], row["stub_a"], row["stub_b"], tuple(pieces[row["joint"]]))
            for row in rows
        }

    @cached_property
    def joint_of(self) -> dict[str, str]:
        """The joint of each stub, both as ids."""
        return {stub: joint.id for joint in self.joints.values() for stub in joint.stubs}

    @cached_property
    def parts_of_type(self) -> dict[str, list[str]]:
        """The parts of each type, in order."""
        parts: dict[str, list[str]] = defaultdict(list)
        for row in self.table("parts.csv").values():
            parts[row["type"]].append(row["part"])
        return parts

    def drawing(self, part: str, name: str) -> str:
        """The file of a part's nodes or runs."""
        row = self.table("parts.csv")[part,]
        return f"types/{row['type']}/{row['type_revision']}/{name}.csv"

    def node(self, place: str) -> Row:
        """The row of a node named `PART/NODE`."""
        part, _, node = place.partition("/")
        return self.table(self.drawing(part, "nodes"))[node,]

    def runs_at(self, part: str, node: str) -> list[Row]:
        """The runs of a part that end at one of its nodes."""
        runs = self.table(self.drawing(part, "runs")).values()
        return [row for row in runs if node in (row["from"], row["to"])]

    def touched(self, part: str, *nodes: str) -> frozenset[str]:
        """The joints of a part that pipework leads to from these nodes without leaving the part."""
        stubs = self.inside(self.drawing(part, "nodes"))
        names = {f"{part}/{stub}" for node in nodes for stub in stubs[node]}
        return frozenset(self.joint_of[name] for name in names if name in self.joint_of)

    def joints_of_part(self, part: str) -> frozenset[str]:
        """All joints of a part."""
        return self.touched(part, *(key[0] for key in self.table(self.drawing(part, "nodes"))))

    def _inside(self, nodes_file: str) -> dict[str, frozenset[str]]:
        """For each node of a drawing the stubs that hang together with it; waters meet in no fixture."""
        nodes = self.table(nodes_file)
        runs = self.table(nodes_file.replace("/nodes.csv", "/runs.csv"))
        group = {key[0]: {key[0]} for key in nodes}
        for row in runs.values():
            if "fixture" not in (nodes[row["from"],]["kind"], nodes[row["to"],]["kind"]):
                one, other = group[row["from"]], group[row["to"]]
                if one is not other:
                    one |= other
                    group |= dict.fromkeys(other, one)
        for row in runs.values():
            for end, far in (("from", "to"), ("to", "from")):
                if nodes[row[end],]["kind"] == "fixture":
                    group[row[end]] = group[row[end]] | group[row[far]]
        stubs = {key[0] for key, row in nodes.items() if row["kind"] == "stub"}
        return {node: frozenset(members & stubs) for node, members in group.items()}


class Spoilt:
    """A job while it is being spoilt; `written` holds the cells and rows that some spoiling stands in."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.tables: dict[str, Table] = {}
        self.written: set[tuple[str, Key, str]] = set()

    def copy(self) -> Spoilt:
        """A copy that can be spoilt further without this one."""
        other = Spoilt(self.job)
        other.tables = {name: dict(table) for name, table in self.tables.items()}
        other.written = set(self.written)
        return other

    def table(self, name: str) -> Table:
        """A table of this copy."""
        if name not in self.tables:
            self.tables[name] = dict(self.job.table(name))
        return self.tables[name]

    def _claim(self, name: str, key: Key, column: str) -> None:
        """Raise Clash where another spoiling has written this cell or this row; a row's column is `*`."""
        clashes = [(name, key, c) for c in (column, "*")]
        whole = column == "*" and any(n == name and k == key for n, k, _ in self.written)
        if whole or any(cell in self.written for cell in clashes):
            raise Clash(f"{name} {key} {column}")
        self.written.add((name, key, column))

    def set(self, name: str, key: Key, column: str, value: str) -> None:
        """Another value in one cell."""
        if key not in self.table(name):
            raise Clash(f"{name} {key} is gone")
        self._claim(name, key, column)
        self.tables[name][key] = self.tables[name][key] | {column: value}

    def remove(self, name: str, key: Key) -> Row:
        """A row taken out."""
        if key not in self.table(name):
            raise Clash(f"{name} {key} is gone")
        self._claim(name, key, "*")
        return self.tables[name].pop(key)

    def add(self, name: str, row: Row) -> None:
        """A row put in at the end; cells not named are empty."""
        table = self.table(name)
        columns = KEYS[name.rpartition("/")[2].removesuffix(".csv") if name.startswith("types/") else name]
        key = tuple(row[column] for column in columns)
        if key in table:
            raise Clash(f"{name} {key} is there")
        self._claim(name, key, "*")
        table[key] = dict.fromkeys(columns_of(self.job.files[self._original(name)]), "") | row

    def keep(self, name: str, key: Key) -> None:
        """This row must stay for a spoiling to be one."""
        if key not in self.table(name):
            raise Clash(f"{name} {key} is gone")
        self.written.add((name, key, "kept"))

    def remove_joint(self, joint: str) -> None:
        """A joint taken out of the schedule, with its make-up, and off the lists of the panels."""
        self.remove("joints.csv", (joint,))
        for piece in self.job.joints[joint].pieces:
            self.remove("closures.csv", (joint, piece["order"]))
        for key, panel in self.table("access.csv").items():
            listed = panel["serves"].split()
            if joint in listed:
                listed.remove(joint)
                self.tables["access.csv"][key] = panel | {"serves": " ".join(listed)}

    def revised(self, part: str, name: str) -> str:
        """The file of a part's nodes or runs, in a type revision of its own."""
        row = self.table("parts.csv")[part,]
        file = f"types/{row['type']}/{part}/{name}.csv"
        if row["type_revision"] != part:
            kind = self.job.table("types.csv")[row["type"], row["type_revision"]]
            self.table("types.csv")[row["type"], part] = kind | {"revision": part}
            self.tables["parts.csv"][part,] = row | {"type_revision": part}
            for each in ("nodes", "runs"):
                own = f"types/{row['type']}/{part}/{each}.csv"
                self.tables[own] = dict(self.job.table(self.job.drawing(part, each)))
        return file

    def _original(self, name: str) -> str:
        """The file in the faultless job whose header a table has."""
        if name in self.job.files:
            return name
        part, table = name.split("/")[2], name.rpartition("/")[2].removesuffix(".csv")
        return self.job.drawing(part, table)

    def files(self) -> Files:
        """The files of the spoilt job."""
        changed = {
            name: text_of(table.values(), columns_of(self.job.files[self._original(name)]))
            for name, table in self.tables.items()
        }
        return self.job.files | changed
