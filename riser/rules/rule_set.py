# SPDX-License-Identifier: Apache-2.0
"""One standard and edition as data, and the sets a project has chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from riser.audit import Clause, Severity, Status
from riser.errors import NotInRules, RuleSetError
from riser.rules.cell import Cell
from riser.rules.fixture_map import FixtureEntry, FixtureRow
from riser.rules.table import Table

SUBJECTS = ("drainage", "supply", "fire", "tests", "identification")


@dataclass(frozen=True, slots=True)
class RuleSet:
    """The tables of one standard and edition, with local amendments applied.

    `hash` covers every figure, source and amendment. `left_out` lists what is knowingly not in the set.
    `amended_by` names the local amendments; `takes` the tables that come from another set, by its id;
    `serves` the countries whose jobs the set serves where they choose none for its subject.
    """

    id: str
    title: str
    document: str
    edition: str
    country: str
    subjects: tuple[str, ...]
    hash: str
    tables: Mapping[str, Table]
    fixtures: tuple[FixtureEntry, ...] = ()
    left_out: tuple[str, ...] = ()
    amended_by: tuple[str, ...] = ()
    extends: str = ""
    takes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    serves: tuple[str, ...] = ()

    def table(self, name: str) -> Table:
        """The table of that name; NotInRules where the set has none."""
        if name not in self.tables:
            raise NotInRules(f"{self.title} has no table {name}")
        return self.tables[name]

    def has(self, name: str) -> bool:
        """Whether the set has a table of that name."""
        return name in self.tables

    def limit(self, name: str) -> Cell:
        """A single named figure from the table `limits`; NotInRules where the set states none."""
        try:
            return self.table("limits").exact(limit=name).cell("value")
        except NotInRules:
            raise NotInRules(f"{self.title} states no limit {name}") from None

    def clause(self, text: str) -> Clause:
        """A clause by its number, with the source and certainty the table `clauses` records for it.

        A clause that is not listed comes back as not read, so that a finding can still name it.
        """
        if self.has("clauses"):
            for row in self.tables["clauses"].rows:
                if row.cells["number"].value == text:
                    return row.cells["number"].clause
        return Clause(self.document, self.edition, text, "clause not listed in the rule set", Status.MEMORY)

    def severity(self, code: str, default: Severity) -> Severity:
        """How much a finding weighs under this set; the default where the set says nothing."""
        if self.has("severities"):
            for row in self.tables["severities"].rows:
                if row.cells["code"].value == code:
                    return Severity(str(row.cells["severity"].value))
        return default

    def fixture_row(self, kind: str, use: str = "", control: str = "") -> FixtureRow:
        """The rows that stand for a fixture; the entry that names most of use and control wins.

        Raises NotInRules where no entry fits.
        """
        told = " ".join(part for part in (use, kind, f"({control})" if control else "") if part)
        fitting = [
            entry
            for entry in self.fixtures
            if entry.kind == kind and entry.use in ("", use) and entry.control in ("", control)
        ]
        if not fitting:
            raise NotInRules(f"{told} cannot be judged under {self.title}: no entry in its fixture map")
        best = max(fitting, key=lambda e: (bool(e.use) + bool(e.control), bool(e.control)))
        rows = {name: self.tables[name].exact(**key) for name, key in best.rows.items()}
        return FixtureRow(told, self.title, rows)

    def certainty(self) -> dict[Status, int]:
        """How many figures the set holds of each certainty; keys count only where readings of them differ."""
        counts = dict.fromkeys(Status, 0)
        for table in self.tables.values():
            for status, count in table.certainty().items():
                counts[status] += count
        return counts


@dataclass(frozen=True, slots=True)
class Rules:
    """The rule set a project has chosen for each subject, and good practice for what codes leave open.

    `unused_amendments` are the local amendments of sets that the project has not chosen. `by_country` holds
    sets that nobody chose and that serve the country of the drainage set, by subject.
    """

    by_subject: Mapping[str, RuleSet]
    good_practice: RuleSet
    unused_amendments: tuple[str, ...] = ()
    by_country: Mapping[str, RuleSet] = field(default_factory=dict)

    def subject(self, name: str) -> RuleSet:
        """The set for a subject; NotInRules where the project has chosen none."""
        if name not in self.by_subject:
            raise NotInRules(f"project.toml chooses no rule set for {name} under [rules]")
        return self.by_subject[name]

    def has(self, name: str) -> bool:
        """Whether the project has chosen a set for a subject."""
        return name in self.by_subject

    def limit(self, subject: str, name: str) -> Cell:
        """A named figure from the subject's set, else from good practice; NotInRules where neither has it."""
        if self.has(subject):
            try:
                return self.subject(subject).limit(name)
            except NotInRules:
                pass
        return self.good_practice.limit(name)

    def severity(self, subject: str, code: str, default: Severity) -> Severity:
        """How much a finding weighs: the subject's set decides, then good practice, then the default."""
        practice = self.good_practice.severity(code, default)
        return self.subject(subject).severity(code, practice) if self.has(subject) else practice

    @property
    def sets(self) -> tuple[RuleSet, ...]:
        """The chosen sets, each once, by id."""
        return tuple({s.id: s for s in sorted(self.by_subject.values(), key=lambda s: s.id)}.values())

    @property
    def hashes(self) -> dict[str, str]:
        """What a project pins: the hash of each chosen set."""
        return {rule_set.id: rule_set.hash for rule_set in self.sets}


def check_hash(rule_set: RuleSet, pinned: str) -> None:
    """RuleSetError where a project has pinned other figures; at least twelve digits are compared."""
    if len(pinned) < 12 or not rule_set.hash.startswith(pinned.lower()):
        raise RuleSetError(
            "project.toml",
            "rules_hash",
            rule_set.id,
            f"the project pins {pinned!r}, the rule set now is {rule_set.hash}",
            "see what changed with `riser rules diff`, then pin the new hash (12 digits or more)",
        )
