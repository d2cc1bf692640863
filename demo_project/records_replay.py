# SPDX-License-Identifier: Apache-2.0
"""Replaying the story: statements become record lines with the times they had, as `riser demo` does it."""

from __future__ import annotations

from riser.work.demo import replay

__all__ = ["replay"]
