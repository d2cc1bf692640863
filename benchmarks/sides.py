# SPDX-License-Identifier: Apache-2.0
"""The sides of each ratio, run in turn as processes of their own."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from benchmarks.figures import ROOT, Figure, exponent, ratios
from benchmarks.tower import write_tower

CHECK = "from riser.cli import main; main()"
FLOORS, MODULES_PER_FLOOR = 60, 24
HEIGHTS = (10, 20, 40, 60)
# Whole towers of sixty floors, twenty stubs to a part.
STUBS = 1_000_800


def _output(words: Sequence[str]) -> str:
    done = subprocess.run(
        [sys.executable, *words],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        check=True,
    )
    return done.stdout


def _seconds(words: Sequence[str]) -> float:
    start = time.perf_counter()
    _output(words)
    return time.perf_counter() - start


def check_against_yardstick(folder: Path, times: int = 7) -> Figure:
    """`riser check` on a faultless tower, from start to end, against plain pandas and scipy on its files."""
    write_tower(folder, FLOORS, MODULES_PER_FLOOR)
    check, yardstick = (
        ["-c", CHECK, "check", str(folder), "--json"],
        ["-m", "benchmarks.yardstick", str(folder)],
    )
    _seconds(check), _seconds(yardstick)
    pairs = [(_seconds(check), _seconds(yardstick)) for _ in range(times)]
    mine, other = (median(side) for side in zip(*pairs, strict=True))
    name = f"`riser check` on {FLOORS} floors of {MODULES_PER_FLOOR} modules"
    nodes, runs, _ = _output(yardstick).split()
    detail = f"{mine:.2f} s against {other:.2f} s, {nodes} nodes and {runs} runs, {times} pairs."
    return Figure(name, "`benchmarks/yardstick.py`, import and reading included", ratios(pairs), 4.0, detail)


def growth_of_check(folder: Path, times: int = 5) -> Figure:
    """How the time of a check in one process grows with the height of the tower."""
    for height in HEIGHTS:
        write_tower(folder / str(height), height, MODULES_PER_FLOOR)
    rounds = [
        [float(text) for text in _output(["-m", "benchmarks.growth", *_folders(folder)]).split()]
        for _ in range(times)
    ]
    seconds = [median(column) for column in zip(*rounds, strict=True)]
    told = ", ".join(f"{height} floors {took:.2f} s" for height, took in zip(HEIGHTS, seconds, strict=True))
    name = "growth of reading and checking with the floors, as a power"
    values = tuple(exponent(HEIGHTS, each) for each in rounds)
    return Figure(name, "10, 20, 40 and 60 floors", values, 1.1, f"{told}; {times} processes.")


def _folders(folder: Path) -> list[str]:
    return [str(folder / str(height)) for height in HEIGHTS]


def stubs_against_sketch(times: int = 3) -> list[Figure]:
    """A million stubs placed, matched and checked for missing joints: time and memory."""

    def measured(side: str) -> tuple[float, float]:
        seconds, mebibytes = _output(["-m", "benchmarks.stubs", side, str(STUBS)]).split()
        return float(seconds), float(mebibytes)

    pairs = [(measured("riser"), measured("sketch")) for _ in range(times)]
    seconds, memory = ([(mine[n], other[n]) for mine, other in pairs] for n in (0, 1))
    told = [tuple(median(side) for side in zip(*column, strict=True)) for column in (seconds, memory)]
    sketch = "bare numpy and scipy on the same points"
    times_told = (
        f"{told[0][0]:.2f} s against {told[0][1]:.2f} s, {times} pairs; "
        "the imports of riser and pandas are in the first."
    )
    memory_told = f"{told[1][0]:.0f} MiB against {told[1][1]:.0f} MiB at their peak, {times} pairs."
    return [
        Figure("a million stubs: time", sketch, ratios(seconds), 10.0, times_told),
        Figure("a million stubs: memory", sketch, ratios(memory), 4.0, memory_told),
    ]


def solver_figures(times: int = 5) -> list[Figure]:
    """The network solver against the least such a solver must do, and against a general root-finder."""
    rounds = [
        dict(line.split(" ", 1) for line in _output(["-m", "benchmarks.solver"]).splitlines())
        for _ in range(times)
    ]

    def every(name: str) -> tuple[float, ...]:
        return tuple(float(each[name]) for each in rounds)

    def told(name: str) -> str:
        return f"{median(every(name)) * 1e3:.0f} ms"

    pipes, passes = rounds[0]["pipes"], rounds[0]["passes"]
    passes_told = (
        f"{told('cold_s')} in {passes} passes, {told('factor_s')} to factorise once; {times} processes."
    )
    warm_told = f"{told('warm_s')} after {told('cold_s')}; {times} processes."
    root_told = f"{told('small_s')} against {told('root_s')} on {rounds[0]['small_pipes']} pipes."
    return [
        Figure(
            f"solver: {pipes} pipes of a building, cold", "its passes times one bare sparse factorisation",
            every("cold_ratio"), None, passes_told,
        ),
        Figure(
            "solver: growth with the pipes, as a power", "1 000 to 100 000 pipes", every("growth"), None, ""
        ),
        Figure(
            "solver: what if demand were 5 % more", "the cold solution", every("warm_ratio"), None, warm_told
        ),
        Figure("solver: 300 pipes", "a general root-finder (scipy)", every("root_ratio"), None, root_told),
    ]  # fmt: skip
