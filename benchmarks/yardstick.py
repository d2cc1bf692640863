# SPDX-License-Identifier: Apache-2.0
"""The yardstick for `riser check`: the same libraries, the same files, plain pandas and scipy, and no riser.

It reads every table of a job folder, expands parts into placed nodes and runs, and labels what hangs together
through runs, devices and scheduled joints. It checks nothing. Prints nodes, runs and connected pieces.
"""

from __future__ import annotations

import sys
import tomllib
from importlib import import_module
from pathlib import Path

import numpy as np
import pandas as pd
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

# What else the check imports: a yardstick with less to load would be no fair one.
ALSO_IMPORTED = ("fluids", "networkx", "scipy.linalg", "scipy.spatial", "scipy.special", "typer")


def table(path: Path) -> pd.DataFrame:
    """A CSV file as text, headers without their units."""
    frame = pd.read_csv(path, dtype=str, keep_default_na=False)
    return frame.rename(columns=lambda name: name.partition(" [")[0])


def typed(folder: Path, name: str) -> pd.DataFrame:
    """The nodes or runs of all type revisions in one table."""
    frames = [
        table(path).assign(type=path.parts[-3], type_revision=path.parts[-2])
        for path in sorted(folder.glob(f"types/*/*/{name}.csv"))
    ]
    return pd.concat(frames, ignore_index=True)


def placed(parts: pd.DataFrame, nodes: pd.DataFrame) -> pd.DataFrame:
    """Every node of every part, with its place in the building."""
    both = parts.merge(nodes, on=["type", "type_revision"], suffixes=("_part", ""))
    x, y, z = (both[axis].astype(float) for axis in "xyz")
    x = x.where(both["mirror"] != "x", -x)
    yaw = np.deg2rad(both["yaw"].astype(float))
    both["wx"] = x * np.cos(yaw) - y * np.sin(yaw) + both["x_part"].astype(float)
    both["wy"] = x * np.sin(yaw) + y * np.cos(yaw) + both["y_part"].astype(float)
    both["wz"] = z + both["z_part"].astype(float)
    return both


def ends(runs: pd.DataFrame, kinds: pd.Series, end: str) -> pd.Series:
    """The place at which each run ends: `PART/NODE`, at fixtures with the port, for those mix no waters."""
    node = runs["part"] + "/" + runs[end]
    return node.where(kinds.reindex(node).to_numpy() != "fixture", node + ":" + runs[f"{end}_port"])


def pieces(folder: Path) -> tuple[int, int, int]:
    """Numbers of placed nodes, placed runs, and connected pieces with a run in them."""
    tables = {path.stem: table(path) for path in sorted(folder.glob("*.csv"))}
    for path in folder.glob("*.toml"):
        tomllib.loads(path.read_text(encoding="utf-8"))
    nodes = placed(tables["parts"], typed(folder, "nodes"))
    runs = tables["parts"].merge(typed(folder, "runs"), on=["type", "type_revision"])
    kinds = pd.Series(nodes["kind"].to_numpy(), index=nodes["part"] + "/" + nodes["node"])
    joints = tables["joints"].query("stub_b != ''")
    u = np.concatenate([ends(runs, kinds, "from"), joints["stub_a"]])
    v = np.concatenate([ends(runs, kinds, "to"), joints["stub_b"]])
    codes, names = pd.factorize(np.concatenate([u, v]))
    weights = np.ones(len(u), np.int8)
    graph = csr_array((weights, (codes[: len(u)], codes[len(u) :])), shape=(len(names), len(names)))
    return len(nodes), len(runs), connected_components(graph, directed=False)[0]


for module in ALSO_IMPORTED:
    import_module(module)

if __name__ == "__main__":
    print(*pieces(Path(sys.argv[1])))
