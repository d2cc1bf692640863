# SPDX-License-Identifier: Apache-2.0
"""The yardstick is a fair one: it loads what the check loads and finds what hangs together as riser does."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np

from benchmarks.tower import write_tower
from benchmarks.yardstick import pieces
from riser.network.tracing import labels_of
from riser.work.job import open_job

ROOT = Path(__file__).parents[2]
LIBRARIES = """
import contextlib, io, runpy, sys
with contextlib.suppress(SystemExit), contextlib.redirect_stdout(io.StringIO()):
    {run}
names = (name.split(".")[:2] for name in sys.modules)
print(*sorted({{".".join(n) if n[0] == "scipy" else n[0] for n in names if n[0] in {asked}}}))
"""
ASKED = ("numpy", "pandas", "scipy", "networkx", "fluids", "typer")


def libraries(run: str) -> set[str]:
    code = LIBRARIES.format(run=run, asked=ASKED)
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    public = (name for name in done.stdout.split() if not name.partition(".")[2].startswith("_"))
    return set(public)


def test_the_yardstick_imports_the_libraries_that_the_check_imports(tmp_path: Path) -> None:
    write_tower(tmp_path, 1, 6)
    check = f"sys.argv = ['riser', 'check', {str(tmp_path)!r}, '--json']; from riser.cli import main; main()"
    yardstick = (
        f"sys.argv = ['yardstick', {str(tmp_path)!r}];"
        " runpy.run_module('benchmarks.yardstick', run_name='__main__')"
    )
    mine, other = libraries(check), libraries(yardstick)
    assert mine >= {*ASKED, "scipy.sparse", "scipy.spatial"}
    assert other == mine


def test_the_yardstick_finds_the_pieces_that_riser_finds(tmp_path: Path) -> None:
    write_tower(tmp_path, 5, 18)
    model = open_job(tmp_path).design
    edges = model.edges
    with_a_pipe = labels_of(model, np.arange(len(edges.u)))[edges.u]
    nodes, runs, count = pieces(tmp_path)
    assert nodes == len(model.placed.node_part)
    assert runs == len(model.placed.run_part)
    assert count == len(np.unique(with_a_pipe))
