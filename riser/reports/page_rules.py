# SPDX-License-Identifier: Apache-2.0
"""What a page says once for all its joints, so that a row says only where it differs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from riser.reports.joint_line import JointLine

T = TypeVar("T")


ENOUGH_FOR_THE_HEAD = 3
"""A reason that so many joints share stands once above the rows, with their numbers."""


@dataclass(frozen=True)
class PageRules:
    """What holds for most joints of the pages of a shaft, as one page with its `rows` says it.

    `reasons` are what joints lack before covering: first what most of them lack, then what several others do;
    `next_words` tell the next gate by its id; `fit` is the verdict of most that fit.
    """

    rows: tuple[JointLine, ...]
    reasons: tuple[tuple[str, ...], ...]
    next_words: dict[str, str]
    fit: str

    @property
    def nothing_may_be_covered(self) -> bool:
        """Whether no joint of these has a release that holds."""
        return all(not row.may_be_covered for row in self.rows)

    @property
    def covering(self) -> list[str]:
        """What may not be covered, and why: one line for most joints, then each reason several share."""
        if not self.reasons:
            return []
        nothing = "NOTHING ON THIS PAGE MAY BE COVERED"
        head = nothing if self.nothing_may_be_covered else "DO NOT COVER, unless the row allows it"
        shared = {reason: self._numbers(reason) for reason in self.reasons[1:]}
        others = [
            f"Joints {numbers}: not yet {', '.join(why)}." for why, numbers in shared.items() if numbers
        ]
        return [f"{head}: not yet {', '.join(self.reasons[0])}.", *others]

    def _numbers(self, reason: tuple[str, ...]) -> str:
        return ", ".join(str(row.number) for row in self.rows if row.why_not_covered == reason)

    @property
    def lines(self) -> list[tuple[str, str]]:
        """Head and text of each further line: the next gates, the fit, the parts that joints wait for."""
        found = [(f"Next {gate}:", f"{words}.") for gate, words in self.next_words.items()]
        if self.fit:
            found.append(("Fit:", f"{self.fit}."))
        return found + [(f"Wait for {part}:", f"{numbers}.") for part, numbers in self.waits.items()]

    @property
    def waits(self) -> dict[str, str]:
        """The numbers of the joints that wait for each part not yet placed."""
        parts = dict.fromkeys(part for row in self.rows for part in row.waits_for)
        return {
            part: ", ".join(str(row.number) for row in self.rows if part in row.waits_for) for part in parts
        }


def page_rules(lines: Sequence[JointLine], rows: Sequence[JointLine]) -> PageRules:
    """What all these lines have in common, for the page with these rows.

    Of equally frequent things the first counts. A page never says more than all pages together would, so that
    rows keep the pages on which they were found to fit.
    """
    by_gate: dict[str, list[str]] = {}
    for row in lines:
        if row.gate is not None:
            by_gate.setdefault(row.gate.id, []).append(gate_words(row))
    return PageRules(
        rows=tuple(rows),
        reasons=_reasons(lines),
        next_words={gate: _usual(words, "") for gate, words in sorted(by_gate.items())},
        fit=_usual((row.fit.verdict for row in lines if row.fit.fits), ""),
    )


def gate_words(row: JointLine) -> str:
    """The next gate of a joint: who passes it, of which kind, what it lacks."""
    if row.gate is None:
        return ""
    by = f" by {row.gate.role}" if row.gate.role else ""
    return f"{row.gate.kind}{by}, lacks {', '.join(row.lacking)}"


def _reasons(rows: Sequence[JointLine]) -> tuple[tuple[str, ...], ...]:
    ranked = Counter(row.why_not_covered for row in rows if row.why_not_covered).most_common()
    return tuple(why for n, (why, count) in enumerate(ranked) if n == 0 or count >= ENOUGH_FOR_THE_HEAD)


def _usual(values: Iterable[T], none: T) -> T:
    ranked = Counter(values).most_common(1)
    return ranked[0][0] if ranked else none
