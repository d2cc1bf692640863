# SPDX-License-Identifier: Apache-2.0
"""`python -m benchmarks`: every figure measured in one run, printed, and written to docs/benchmarks.md."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from benchmarks.figures import ROOT, Figure, facts, page
from benchmarks.sides import check_against_yardstick, growth_of_check, solver_figures, stubs_against_sketch

PAGE = ROOT / "docs" / "benchmarks.md"


def figures(folder: Path) -> Iterator[Figure]:
    """Every figure, as soon as it is known."""
    yield check_against_yardstick(folder / "tower")
    yield growth_of_check(folder / "heights")
    several: tuple[Callable[[], list[Figure]], ...] = (stubs_against_sketch, solver_figures)
    for measured in several:
        yield from measured()


def main() -> int:
    """Measure, print, write the page; 1 where a limit is missed."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for figure in figures(Path(folder)):
            limit = "" if figure.limit is None else f" (at most {figure.limit:g}: {figure.verdict})"
            print(f"{figure.name}: {figure.value:.2f}{limit}. {figure.detail}", flush=True)
            found.append(figure)
    PAGE.write_text(page(facts(), found), encoding="utf-8")
    return int(any(figure.verdict == "MISSED" for figure in found))


if __name__ == "__main__":
    sys.exit(main())
