# SPDX-License-Identifier: Apache-2.0
"""What the laws of this package take and give: a number, or an array of numbers of one shape."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

# One law serves one pipe on a sheet and a hundred thousand pipes in a network; a union of float and array
# would make every caller narrow it again, so the type says nothing and the name says the unit.
Quantity: TypeAlias = Any

FloatArray: TypeAlias = npt.NDArray[np.float64]
IntArray: TypeAlias = npt.NDArray[np.int64]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
