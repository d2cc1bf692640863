# SPDX-License-Identifier: Apache-2.0
"""The pipe catalogue as the checks of a layout read it: one pipe, one size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.layout.nominal_sizes import NominalSize, nominal_size
from riser.network.tables import JobTables
from riser.network.types import Floats


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe of the catalogue: `name` is its nominal size as people say it, `size` what that name means."""

    name: str
    size: NominalSize | None
    bore_m: float
    od_m: float
    material: str


def catalogue_pipes(tables: JobTables) -> list[Pipe]:
    """All pipes, in the order in which they are numbered."""
    rows = tables.pipes.drop_duplicates("pipe")
    return [
        Pipe(nominal or name, nominal_size(nominal), float(bore), float(od), material)
        for name, nominal, bore, od, material in zip(
            rows["pipe"], rows["nominal"], rows["bore_m"], rows["od_m"], rows["material"], strict=True
        )
    ]


def bores_m(pipes: list[Pipe]) -> Floats:
    """The bore of each pipe."""
    return np.array([pipe.bore_m for pipe in pipes])
