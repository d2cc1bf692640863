# SPDX-License-Identifier: Apache-2.0
"""A rule set as a page: every clause that is in it, how sure each is, and what is knowingly left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from riser.audit import Status
from riser.rules.cell import Cell, Row
from riser.rules.rule_set import RuleSet
from riser.rules.table import Table

_READ_BY = {
    "exact": "exactly",
    "first_row_not_less": "first row not less",
    "linear": "straight between rows",
    "bracket": "by range",
}
_LISTED_ROW_BY_ROW = ("limits", "clauses", "severities")


def rule_page(rule_set: RuleSet) -> str:
    """The page of one rule set in Markdown."""
    sections = [
        _opening(rule_set),
        _tables(rule_set),
        _limits(rule_set),
        _procedures(rule_set),
        _conflicts(rule_set),
        _fixtures(rule_set),
        _left_out(rule_set),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _opening(rule_set: RuleSet) -> str:
    counts = rule_set.certainty()
    covers = ", ".join(rule_set.subjects) or "what other sets leave open"
    lines = [
        f"# {rule_set.title}",
        f"`{rule_set.id}` covers {covers}.",
        f"Figures: {counts[Status.READ]} read in this edition, {counts[Status.MEMORY]} unverified, "
        f"{counts[Status.CONFLICT]} where published readings differ"
        + (f", {counts[Status.LOCAL]} local." if counts[Status.LOCAL] else "."),
        f"Hash `{rule_set.hash}`.",
    ]
    if rule_set.extends:
        lines.insert(
            2, f"It extends `{rule_set.extends}`; what was read only there counts here as unverified."
        )
    for lender, names in rule_set.takes.items():
        lines.append(f"From `{lender}` it takes {', '.join(f'`{name}`' for name in names)}.")
    if rule_set.serves:
        lines.append(f"It serves jobs in {', '.join(rule_set.serves)} that choose none.")
    if rule_set.amended_by:
        lines.append(f"Amended by {', '.join(rule_set.amended_by)}.")
    return "\n\n".join(lines)


def _tables(rule_set: RuleSet) -> str:
    rows = [
        (
            table.clause,
            f"`{table.name}`",
            table.title,
            _READ_BY[table.lookup],
            str(len(table.rows)),
            *_sure(table),
        )
        for table in sorted(rule_set.tables.values(), key=lambda t: (_clause_order(t.clause), t.name))
        if table.name not in _LISTED_ROW_BY_ROW
    ]
    heads = (
        "clause",
        "table",
        "what it gives",
        "read",
        "rows",
        "read here",
        "unverified",
        "conflict",
        "local",
    )
    return _section("Tables", heads, rows)


def _limits(rule_set: RuleSet) -> str:
    rows = [
        (cell.clause.text, f"`{row.cell('limit').value}`", cell.printed, _certainty(cell), row.note)
        for row, cell in _rows(rule_set, "limits", "value")
    ]
    return _section("Single figures and demands", ("clause", "limit", "figure", "certainty", "note"), rows)


def _procedures(rule_set: RuleSet) -> str:
    rows = [
        (str(row.cell("number").value), str(cell.value), _certainty(cell))
        for row, cell in _rows(rule_set, "clauses", "says")
    ]
    return _section("Procedures", ("clause", "what it asks", "certainty"), rows)


def _conflicts(rule_set: RuleSet) -> str:
    rows = [
        (
            cell.clause.text,
            f"`{table.name}`, {row.label}",
            cell.printed,
            "; ".join(f"{other.printed} ({other.source})" for other in cell.alternatives),
            cell.why,
        )
        for table in rule_set.tables.values()
        for row in table.rows
        for cell in row.cells.values()
        if cell.alternatives
    ]
    return _section("Where published readings differ", ("clause", "row", "used", "others", "why"), rows)


def _fixtures(rule_set: RuleSet) -> str:
    rows = [
        (
            entry.kind,
            entry.use or "any",
            entry.control or "any",
            "; ".join(
                f"`{name}`: {rule_set.table(name).exact(**key).label}" for name, key in entry.rows.items()
            ),
        )
        for entry in rule_set.fixtures
    ]
    return _section("Fixtures", ("kind", "use", "control", "rows"), rows)


def _left_out(rule_set: RuleSet) -> str:
    return "\n".join(["## Left out", "", *(f"- {item}" for item in rule_set.left_out)])


def _section(title: str, heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    body = [_line(row) for row in rows]
    if not body:
        return ""
    return "\n".join([f"## {title}", "", _line(heads), _line(("---",) * len(heads)), *body])


def _line(cells: Iterable[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _rows(rule_set: RuleSet, table: str, column: str) -> Iterator[tuple[Row, Cell]]:
    if rule_set.has(table):
        yield from ((row, row.cell(column)) for row in rule_set.table(table).rows)


def _certainty(cell: Cell) -> str:
    told = {"read": "read", "memory": "unverified", "conflict": "conflict", "local": "local"}[
        cell.status.value
    ]
    return f"{told}: {cell.clause.source}"


def _sure(table: Table) -> tuple[str, ...]:
    counts = table.certainty()
    return tuple(
        str(counts[status]) for status in (Status.READ, Status.MEMORY, Status.CONFLICT, Status.LOCAL)
    )


def _clause_order(clause: str) -> tuple[int, ...]:
    """Clauses in the order of the printed code: by their numbers, so that 709 comes before 1106."""
    digits = "".join(c if c.isdigit() else " " for c in clause)
    return tuple(int(number) for number in digits.split())
