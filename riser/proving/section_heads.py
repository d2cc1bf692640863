# SPDX-License-Identifier: Apache-2.0
"""The pressure at every connection of a test section, from the level of the water or from the gauge.

Still, connected water has one **line**: the level to which it would rise in an open standpipe. A drain's
line is the level of its water; a pumped section's line stands far above it. One line tells the pressure
everywhere.
"""

from __future__ import annotations

import numpy as np

from riser.hydraulics.static_head import head_above_datum, head_of_pressure, pressure_below_head
from riser.network.types import Floats

# Levels nearer to each other than this are one level: a tenth of a millimetre, as in the item hash.
LEVEL_ROUNDING_M = 1e-4


def line_of_gauge_m(gauge_pa: float, gauge_level_m: float, density_kgm3: float) -> float:
    """The line of a section from a gauge and the level at which it hangs [m].

    >>> f"{line_of_gauge_m(1e6, 3.0, 998.2):.2f}"
    '105.16'
    """
    return float(head_above_datum(gauge_pa, gauge_level_m, density_kgm3))


def gauge_pressure_pa(line_m: float, gauge_level_m: float, density_kgm3: float) -> float:
    """What a gauge at that level reads [Pa]; zero where it hangs above the water."""
    return float(pressures_pa(np.array([gauge_level_m]), line_m, density_kgm3)[0])


def heads_m(levels_m: Floats, line_m: float) -> Floats:
    """Head at each level [m]; zero above the line."""
    return np.maximum(line_m - np.asarray(levels_m, float), 0.0)


def pressures_pa(levels_m: Floats, line_m: float, density_kgm3: float) -> Floats:
    """Gauge pressure at each level of still water [Pa]; zero above the line."""
    found: Floats = np.maximum(pressure_below_head(line_m, np.asarray(levels_m, float), density_kgm3), 0.0)
    return found


def highest_line_m(levels_m: Floats, rating_pa: Floats, density_kgm3: float) -> Floats:
    """The highest line that components at these levels bear [m]; infinite where no rating is given."""
    head = head_of_pressure(np.asarray(rating_pa, float), density_kgm3)
    return np.where(np.isnan(head), np.inf, np.asarray(levels_m, float) + head)
