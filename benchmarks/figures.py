# SPDX-License-Identifier: Apache-2.0
"""What a benchmark finds, and the page it is written to."""

from __future__ import annotations

import os
import platform
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import numpy as np

ROOT = Path(__file__).parent.parent


@dataclass(frozen=True)
class Figure:
    """One figure: what was measured, against what, every single value, and the most it may be.

    Without a limit it is told for what it is worth. `detail` says how the median came about.
    """

    name: str
    yardstick: str
    values: tuple[float, ...]
    limit: float | None
    detail: str

    @property
    def value(self) -> float:
        """The median."""
        return median(self.values)

    @property
    def verdict(self) -> str:
        """Whether the figure keeps to its limit."""
        if self.limit is None:
            return ""
        return "kept" if self.value <= self.limit else "MISSED"


def ratios(pairs: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Each pair of the side measured and its yardstick, as a ratio."""
    return tuple(mine / other for mine, other in pairs)


def exponent(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """The power of the size with which time grows: the slope of the straight line through the logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


def commit() -> str:
    """The commit the figures are of; marked where files differ from it."""
    head = _git("rev-parse", "--short", "HEAD") or "unknown"
    return head + (" and changes on top" if _git("status", "--porcelain") else "")


def _git(*words: str) -> str:
    done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout.strip()


def facts() -> list[str]:
    """What the figures were measured with."""
    from importlib.metadata import version

    libraries = ", ".join(f"{name} {version(name)}" for name in ("numpy", "pandas", "scipy", "networkx"))
    cores = os.cpu_count()
    return [
        f"Commit {commit()}, {datetime.now(UTC).date().isoformat()}.",
        f"{platform.system()} on {platform.machine()}, {cores} cores, Python {platform.python_version()}, "
        f"{libraries}.",
    ]


def page(about: Sequence[str], figures: Sequence[Figure]) -> str:
    """docs/benchmarks.md."""
    lines = [
        "# Benchmarks",
        "",
        "Written by `make bench`; do not edit. Every ratio is of two sides measured in turn in the same run,",
        "each in a process of its own; the figure is the median of the pairs. No test is timed.",
        "",
        *about,
        "",
        "| figure | against | median | from | to | at most | |",
        "|---|---|---|---|---|---|---|",
        *(_row(figure) for figure in figures),
        "",
        *(f"- {figure.name}: {figure.detail}" for figure in figures if figure.detail),
    ]
    return "\n".join(lines) + "\n"


def _row(figure: Figure) -> str:
    low, high = min(figure.values), max(figure.values)
    limit = "" if figure.limit is None else f"{figure.limit:g}"
    cells = (figure.name, figure.yardstick, *map(_short, (figure.value, low, high)), limit)
    return f"| {' | '.join(cells)} | {figure.verdict} |"


def _short(value: float) -> str:
    """Three digits, no more behind the point than a reader wants."""
    return f"{value:.2f}" if value >= 0.1 else f"{value:.3f}"
