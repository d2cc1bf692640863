# SPDX-License-Identifier: Apache-2.0
"""What the rule sets in force say about a layout, what they do not say, and findings made of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.errors import NotInRules
from riser.layout.catalogue import Pipe, catalogue_pipes
from riser.network.items import rests_on
from riser.network.model import Model
from riser.network.where import Place
from riser.rules import Cell, Rules, Table

CANNOT_BE_JUDGED = FindingKind(
    "M03",
    "cannot be judged",
    Severity.WARNING,
    COMMON_PRACTICE,
    "The rule set in force, or the absence of one, leaves a question open that this building raises.",
    "Choose a rule set that answers it, or give the figure with its source as a local amendment.",
)

KINDS = (CANNOT_BE_JUDGED,)


@dataclass
class Judging:
    """The model, the rules, and what could not be judged so far, each thing once."""

    model: Model
    rules: Rules
    lacks: dict[tuple[str, str], Finding] = field(default_factory=dict)
    _hashed: dict[tuple[str, int], tuple[str, str]] = field(default_factory=dict)

    @cached_property
    def pipes(self) -> list[Pipe]:
        """The pipe catalogue, in the order in which pipes are numbered."""
        return catalogue_pipes(self.model.placed.tables)

    def set_title(self, subject: str) -> str:
        """The title of the set in force for a subject."""
        return self.rules.subject(subject).title if self.rules.has(subject) else f"no rule set for {subject}"

    def lack(self, subject: str, name: str, question: str, reason: str, system: str = "") -> None:
        """Notes that a question cannot be judged: `name` is what the rule set lacks."""
        under = self.rules.subject(subject).id if self.rules.has(subject) else subject
        if (name, under) in self.lacks:
            return
        self.lacks[name, under] = Finding(
            code=CANNOT_BE_JUDGED.code,
            name=CANNOT_BE_JUDGED.name,
            severity=self.rules.severity(subject, CANNOT_BE_JUDGED.code, CANNOT_BE_JUDGED.severity),
            items=tuple(sorted((name, under))),
            floor="",
            building="",
            system=system,
            where="whole job",
            says=f"{question[:1].upper()}{question[1:]} cannot be judged: {reason}.",
            remedy=CANNOT_BE_JUDGED.remedy,
            basis=CANNOT_BE_JUDGED.basis,
        )

    def limit(self, subject: str, name: str, question: str) -> Cell | None:
        """A figure of the subject's set, else of good practice; None, and noted, where neither has it."""
        has_set = self.has_set(subject, question)
        try:
            return self.rules.limit(subject, name)
        except NotInRules:
            if has_set:
                self.lack(subject, name, question, f"{self.set_title(subject)} states no limit {name}")
            return None

    def demand(self, subject: str, name: str, question: str) -> Cell | None:
        """The figure of a demand that is made; None where it is not made or cannot be judged."""
        cell = self.limit(subject, name, question)
        return cell if cell is not None and cell.required else None

    def stated(self, subject: str, name: str) -> Cell | None:
        """A figure that a set may state or leave out; silence means nothing here."""
        try:
            return self.rules.limit(subject, name)
        except NotInRules:
            return None

    def practice(self, name: str, question: str) -> Cell | None:
        """A figure of good practice that belongs to no subject; None, and noted, where there is none."""
        try:
            return self.rules.good_practice.limit(name)
        except NotInRules:
            title = self.rules.good_practice.title
            self.lack(self.rules.good_practice.id, name, question, f"{title} states no limit {name}")
            return None

    def table(self, subject: str, name: str, question: str) -> Table | None:
        """A table of the subject's set; None, and noted, where there is none."""
        if not self.has_set(subject, question):
            return None
        try:
            return self.rules.subject(subject).table(name)
        except NotInRules:
            self.lack(subject, name, question, f"{self.set_title(subject)} has no table {name}")
            return None

    def has_set(self, subject: str, question: str) -> bool:
        """Whether the project has chosen a set for a subject; noted where it has not."""
        if not self.rules.has(subject):
            reason = f"project.toml chooses no rule set for {subject} under [rules]"
            self.lack(subject, f"rules.{subject}", f"{question} and all else a code says about it", reason)
        return self.rules.has(subject)

    def basis(self, kind: FindingKind, subject: str, cell: Cell | None = None) -> str:
        """The clause of a figure; without one the clause the set names for this kind of fault."""
        if cell is not None and cell.rule_set != self.rules.good_practice.id:
            return cell.clause.text
        return self._named_clause(kind.code, subject) or self._practice(cell) or kind.basis

    def _named_clause(self, code: str, subject: str) -> str:
        if not self.rules.has(subject) or not self.rules.subject(subject).has("severities"):
            return ""
        rows = self.rules.subject(subject).tables["severities"].rows
        row = next((row for row in rows if row.cells["code"].value == code), None)
        return row.cells["severity"].clause.text if row else ""

    def _practice(self, cell: Cell | None) -> str:
        if cell is None or cell.clause.source in ("", COMMON_PRACTICE):
            return ""
        return f"good practice: {cell.clause.source}"

    def finding(
        self,
        kind: FindingKind,
        subject: str,
        place: Place,
        items: Iterable[str],
        says: str,
        *,
        remedy: str = "",
        cell: Cell | None = None,
        because: str | None = None,
        nodes: Iterable[int] = (),
        runs: Iterable[int] = (),
        joints: Iterable[int] = (),
    ) -> Finding:
        """A finding at a place; `nodes`, `runs` and `joints` are what it rests on."""
        return Finding(
            code=kind.code,
            name=kind.name,
            severity=self.rules.severity(subject, kind.code, kind.severity),
            items=tuple(sorted(set(items))),
            floor=place.floor,
            building=place.building,
            system=place.system,
            where=place.words,
            says=says,
            remedy=remedy or kind.remedy,
            basis=self.basis(kind, subject, cell),
            because=because,
            rests_on=self._rests_on(nodes=nodes, runs=runs, joints=joints),
        )

    def _rests_on(self, **items: Iterable[int]) -> tuple[tuple[str, str], ...]:
        """The hashes of items, each worked out once: many findings may rest on one joint."""
        pairs = set()
        for kind, numbers in items.items():
            for number in numbers:
                if (kind, number) not in self._hashed:
                    self._hashed[kind, number] = rests_on(self.model, **{kind: (number,)})[0]
                pairs.add(self._hashed[kind, number])
        return tuple(sorted(pairs))
