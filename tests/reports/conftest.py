# SPDX-License-Identifier: Apache-2.0
"""What the tests of the sheets share: a tower with many risers, and records without a store."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from riser.network.model import Model
from riser.network.tables import JobTables
from riser.records.standing import Event
from riser.records.state import STEPS, State
from tests.building import COUPLINGS, PIPES, model_of, of_type, run, stub, tables

Said = tuple[str, str, Mapping[str, Any]]

PIPE = {"fire": "ST100", "cold": "CU22", "hot": "CU22", "hot_return": "CU22", "non_potable": "CU22"}
FAMILY = {"ST100": "GF", "CU22": "SL", "CI100": "NH"}
TWELVE = (
    "fire", "rainwater", "soil", "waste", "vent", "cold", "hot", "hot_return", "non_potable", "condensate",
    "power", "data",
)  # fmt: skip
SHAFTS = {"S1": TWELVE, "S2": TWELVE[:7], "S3": TWELVE[2:6]}
FLOORS = ("01", "02", "03")


def _pipe(system: str) -> str:
    return PIPE.get(system, "TRAY" if system in ("power", "data") else "CI100")


def _places(shaft: str) -> list[tuple[str, str, float, float]]:
    """Stub name, system, x and y in the module of each riser of a shaft."""
    return [
        (f"{system.upper()}", system, 0.2 + 0.15 * (n % 6), 0.2 + 0.2 * (n // 6))
        for n, system in enumerate(SHAFTS[shaft])
    ]


def _makeup(joint: str, pipe: str, gap_m: float) -> list[dict[str, Any]]:
    if pipe == "TRAY":
        return []
    family, left = FAMILY[pipe], 0.040 if pipe == "CU22" else 0.003
    coupling = {"joint": joint, "kind": "coupling", "family": family}
    spool = {"joint": joint, "order": 2, "kind": "pipe", "pipe": pipe, "length_m": round(gap_m - left, 4)}
    return [{**coupling, "order": 1}, spool, {**coupling, "order": 3}]


def _module(shaft: str) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    nodes, runs = [], []
    for name, system, x, y in _places(shaft):
        nodes += [
            stub(f"{name}1", x, y, 0.05, "down", _pipe(system), system),
            stub(f"{name}2", x, y, 2.55, "up", _pipe(system), system),
        ]
        runs.append(run(f"R-{name}", system, _pipe(system), f"{name}2", f"{name}1"))
    return nodes, runs


def _joints(off_m: Mapping[str, float]) -> tuple[list[dict[str, Any]], list[dict[str, Any]], list[Any]]:
    """Joint rows, closure rows and the stubs cast into the ground; `off_m` moves a ground stub in x."""
    joints, closures, cast = [], [], []
    for k, shaft in enumerate(SHAFTS):
        for name, system, x, y in _places(shaft):
            at = x + 4.0 * k + off_m.get(f"{shaft}{name}", 0.0)
            cast.append(stub(f"{shaft}{name}", at, y, 0.10, "up", _pipe(system), system))
            for n, floor in enumerate(FLOORS):
                below = f"BG/{shaft}{name}" if n == 0 else f"{shaft}-{FLOORS[n - 1]}/{name}2"
                joint = f"J{floor}-{shaft}-{name[:4]}{'R' if system == 'hot_return' else ''}"
                joints.append({"joint": joint, "stub_a": below, "stub_b": f"{shaft}-{floor}/{name}1"})
                closures += _makeup(joint, _pipe(system), 0.10 if n == 0 else 0.50)
    return joints, closures, cast


def _part(name: str, kind: str, floor: str, x: float, z: float, hoist: int) -> dict[str, Any]:
    place = {
        "building": "A",
        "floor": floor,
        "x_m": x,
        "y_m": 0.0,
        "z_m": z,
        "yaw_rad": 0.0,
        "mirror": "none",
    }
    return {"part": name, "type": kind, "type_revision": "A", "hoist_order": hoist, **place}


def tower_tables(off_m: Mapping[str, float]) -> JobTables:
    joints, closures, cast = _joints(off_m)
    modules = {shaft: _module(shaft) for shaft in SHAFTS}
    parts = [_part("BG", "BG", "01", 0.0, 0.0, 0)]
    for n, floor in enumerate(FLOORS):
        parts += [
            _part(f"{shaft}-{floor}", f"M{shaft}", floor, 4.0 * k, 0.15 + 3.0 * n, 1 + 3 * n + k)
            for k, shaft in enumerate(SHAFTS)
        ]
    tray = {
        "pipe": "TRAY",
        "material": "tray",
        "nominal": "100x60",
        "od_m": 0.1,
        "bore_m": 0.09,
        "ends": "plain",
    }
    levels = enumerate(FLOORS)
    return tables(
        settings={"name": "Three shafts at Alder Yard"},
        floors=[
            {"building": "A", "floor": f, "order": n, "level_m": 3.0 * n, "slab_top_m": 3.0 * n}
            for n, f in levels
        ],
        shafts=[
            {
                "shaft": shaft,
                "building": "A",
                "outline_m": "; ".join(
                    f"{4 * k + x} {y}" for x, y in ((0, 0), (1.2, 0), (1.2, 0.6), (0, 0.6))
                ),
            }
            for k, shaft in enumerate(SHAFTS)
        ],
        risers=[
            {
                "riser": f"{name[:2]}-{shaft}",
                "system": system,
                "shaft": shaft,
                "through": f"{shaft}-01/{name}1",
            }
            for shaft in SHAFTS
            for name, system, *_ in _places(shaft)
        ],
        systems=[{"network": "fire-A", "system": "fire", "order": 1, "end_kind": "", "end": ""}],
        pipes=[*PIPES, tray],
        couplings=COUPLINGS,
        types=[
            {"type": "BG", "revision": "A", "kind": "below_slab"},
            *({"type": f"M{shaft}", "revision": "A", "kind": "module"} for shaft in SHAFTS),
        ],
        nodes=[
            *of_type("BG", "A", cast),
            *(row for s, (nodes, _) in modules.items() for row in of_type(f"M{s}", "A", nodes)),
        ],
        runs=[row for s, (_, runs) in modules.items() for row in of_type(f"M{s}", "A", runs)],
        parts=parts,
        joints=joints,
        closures=closures,
    )


@pytest.fixture(scope="session")
def tower_job() -> Callable[..., JobTables]:
    """The tables of a tower of three floors and three shafts with 12, 7 and 4 risers."""

    def job(**off_m: float) -> JobTables:
        return tower_tables(off_m)

    return job


@pytest.fixture(scope="session")
def tower() -> Model:
    """The sound tower as a model."""
    return model_of(tower_tables({}))


@pytest.fixture(scope="session")
def recorded() -> Callable[..., State]:
    """The state of the job after these events: (kind, about, data)."""

    def state(*said: Said) -> State:
        found = State(lines=len(said))
        for place, (kind, about, data) in enumerate(said, start=1):
            time = f"2031-05-04T09:{place // 60:02d}:{place % 60:02d}Z"
            event = Event(place, place, kind, about, time, None, "A. Foreman", "stated", data, "", None)
            STEPS[kind](found, event)
        return found

    return state


@pytest.fixture
def poppler() -> None:
    """Skips where poppler is not installed, or fails where nothing may be skipped."""
    if shutil.which("pdftotext") and shutil.which("pdftoppm"):
        return
    if os.environ.get("RISER_NOTHING_SKIPPED") == "1":
        pytest.fail("poppler-utils is not installed, and nothing may be skipped here")
    pytest.skip("poppler-utils is not installed")
