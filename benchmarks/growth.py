# SPDX-License-Identifier: Apache-2.0
"""Seconds that reading and checking takes in one process, for each job folder named."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from riser.work.check import check
from riser.work.job import open_job

TIMES = 3


def seconds(folder: Path) -> float:
    """The least of a few times, after one to warm up."""
    check(open_job(folder))
    taken = []
    for _ in range(TIMES):
        start = time.perf_counter()
        check(open_job(folder))
        taken.append(time.perf_counter() - start)
    return min(taken)


if __name__ == "__main__":
    print(*(f"{seconds(Path(name)):.4f}" for name in sys.argv[1:]))
