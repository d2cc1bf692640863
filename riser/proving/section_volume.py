# SPDX-License-Identifier: Apache-2.0
"""The water in a section, how its walls give, and what its bends and ends push with."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from riser.hydraulics.pipe_materials import PipeMaterial, material
from riser.hydraulics.pipe_wall import Restraint, expansion_of_bore_volume, stretch_factor, wall_compliance
from riser.network.types import Flags, Floats
from riser.proving.reading_notes import WetPipe
from riser.proving.section_heads import pressures_pa
from riser.proving.section_pipework import WATER_KGM3, Pipework

# Words in a catalogue's material -> the material whose elasticity is known; the first that fits holds.
MATERIAL_WORDS = (
    ("ductile", "ductile iron"),
    ("cast iron", "cast iron"),
    ("stainless", "stainless steel"),
    ("steel", "carbon steel"),
    ("copper", "copper"),
    ("cpvc", "CPVC"),
    ("pvc", "PVC"),
    ("abs", "ABS"),
    ("pex", "PEX"),
    ("pe-x", "PEX"),
    ("polypropylene", "PP"),
    ("pp", "PP"),
    ("polyethylene", "PE"),
    ("pe", "PE"),
    ("hdpe", "PE"),
)
# A bend is taken to turn by a right angle: its thrust is then the largest a usual bend has.
RIGHT_ANGLE_RAD = math.pi / 2


@dataclass(frozen=True)
class Water:
    """Volume of a section [m3], how far up it is wet [m], and its wall; `pipe` is None without materials.

    `unknown` are the materials that elasticity is not known of; `creeps` tells whether plastic is among them.
    """

    volume_m3: float
    top_m: float
    bottom_m: float
    pipe: WetPipe | None
    unknown: tuple[str, ...]
    creeps: bool


@dataclass(frozen=True, slots=True)
class Thrust:
    """What a full pipe under pressure pushes with at a bend or an end [N]."""

    at: str
    kind: str
    thrust_n: float


def material_of(words: str) -> PipeMaterial | None:
    """The material a catalogue means; None where its elasticity is not known.

    >>> material_of("galvanised steel").name
    'carbon steel'
    """
    text = words.lower()
    for word, name in MATERIAL_WORDS:
        if word in text:
            return material(name)
    return None


def wet_lengths_m(pipes: Pipework, cells: Flags, line_m: float) -> Floats:
    """The length of each edge that stands in the water [m]; of one that leaves it, the share below."""
    span = np.maximum(pipes.edge_high_m - pipes.edge_low_m, 1e-9)
    share = np.clip((line_m - pipes.edge_low_m) / span, 0.0, 1.0)
    length = pipes.model.edges.length_m[pipes.edge]
    found: Floats = np.where(cells[pipes.edge_cell], length * share, 0.0)
    return found


def water_of(pipes: Pipework, cells: Flags, line_m: float) -> Water:
    """The water of a section under a line. The lengths of joints count with the pipe beside them left out."""
    frame = pipes.model.placed.tables.pipes.drop_duplicates("pipe")
    wet = wet_lengths_m(pipes, cells, line_m)
    runs = (pipes.edge_pipe >= 0) & (wet > 0)
    bore, od = frame["bore_m"].to_numpy(float), frame["od_m"].to_numpy(float)
    area = np.pi / 4 * np.nan_to_num(bore) ** 2
    volume = np.bincount(pipes.edge_pipe[runs], weights=wet[runs], minlength=len(area)) * area
    here = cells[pipes.edge_cell] & (pipes.edge_low_m < line_m)
    top = min(float(pipes.edge_high_m[here].max()), line_m)
    used = np.flatnonzero(volume > 0)
    found = {int(p): material_of(str(frame["material"].iloc[p])) for p in used}
    unknown = tuple(sorted({str(frame["material"].iloc[p]) for p, m in found.items() if m is None}))
    total = float(volume.sum())
    wall = growth = 0.0
    for p, known in found.items():
        if known is not None and not np.isnan(od[p]):
            factor = stretch_factor(Restraint.FREE, known.poisson)
            wall += volume[p] * wall_compliance(od[p], bore[p], known.elasticity_pa, known.poisson, factor)
            expansion = expansion_of_bore_volume(Restraint.FREE, known.linear_expansion_per_k, known.poisson)
            growth += volume[p] * expansion
    pipe = WetPipe(total, float(wall / total), float(growth / total)) if total > 0 and not unknown else None
    creeps = any(m is not None and m.creeps for m in found.values())
    return Water(total, top, float(pipes.edge_low_m[here].min()), pipe, unknown, creeps)


def end_thrust_n(od_m: float, pressure_pa: float) -> float:
    """Thrust on a closed end [N], on the outside diameter: the larger, so the safe side.

    >>> f"{end_thrust_n(0.1143, 1.379e6) / 1000:.1f} kN on a DN 100 end at 200 psi"
    '14.1 kN on a DN 100 end at 200 psi'
    """
    return math.pi / 4 * od_m**2 * pressure_pa


def bend_thrust_n(od_m: float, pressure_pa: float, angle_rad: float = RIGHT_ANGLE_RAD) -> float:
    """Thrust on a bend that turns by an angle [N]: 2 p A sin(angle / 2), of momentum at rest."""
    return 2 * end_thrust_n(od_m, pressure_pa) * math.sin(angle_rad / 2)


def thrusts(pipes: Pipework, cells: Flags, line_m: float, ends: list[tuple[str, int]]) -> list[Thrust]:
    """The thrust on every closed end (id and point) and every bend under water, the largest first."""
    placed = pipes.model.placed
    od = placed.tables.pipes.drop_duplicates("pipe")["od_m"].to_numpy(float)
    widest = _widest_m(pipes, od)
    bends = pipes.model.nodes_of_kind("bend")
    points = placed.point0[bends]
    inside = (pipes.cell[points] >= 0) & cells[np.maximum(pipes.cell[points], 0)]
    names = placed.node_ids(bends[inside])
    found = []
    for name, point in ends:
        pressure = _pressure_pa(pipes, point, line_m)
        found.append(Thrust(name, "end", end_thrust_n(float(widest[point]), pressure)))
    for name, point in zip(names, points[inside].tolist(), strict=True):
        pressure = _pressure_pa(pipes, point, line_m)
        found.append(Thrust(name, "bend", bend_thrust_n(float(widest[point]), pressure)))
    return sorted((t for t in found if t.thrust_n > 0), key=lambda t: (-t.thrust_n, t.at))


def _widest_m(pipes: Pipework, od_m: Floats) -> Floats:
    """The widest pipe at each point [m]; zero where none ends."""
    widest = np.zeros(len(pipes.cell))
    runs = pipes.edge_pipe >= 0
    chosen = pipes.edge[runs]
    size = np.nan_to_num(od_m[pipes.edge_pipe[runs]])
    for ends in (pipes.model.edges.u[chosen], pipes.model.edges.v[chosen]):
        np.maximum.at(widest, ends, size)
    for cut in pipes.cuts:
        widest[cut.other] = max(widest[cut.other], widest[cut.point])
    return widest


def _pressure_pa(pipes: Pipework, point: int, line_m: float) -> float:
    placed = pipes.model.placed
    if point >= len(placed.point_node):
        point = next(cut.point for cut in pipes.cuts if cut.other == point)
    level = placed.node_xyz_m[placed.point_node[point], 2:3]
    return float(pressures_pa(level, line_m, WATER_KGM3)[0])
