# SPDX-License-Identifier: Apache-2.0
"""Cautions that stand on sheets. Common practice; they replace no code, no maker and no engineer."""

from __future__ import annotations

ABOVE_ALL = "Follow the local code, the maker's instructions and the licensed engineer."

JOINTING = (
    "The shaft is a drop zone: nobody below you while you work.",
    "Cap every open end before you leave it: rain and tools go down.",
    "Same system at both ends? Look at label, colour, tone or flow.",
    "Do not pull pipes into line by the coupling: ask the engineer.",
)
TESTING = (
    "No pressure without a permit. Stand clear of plugs and hoses.",
    "Never tighten, strike or face anything under pressure.",
    "No air test on plastic pipe. No water above open live trays.",
    "Stop at any fall, bulge or noise. Count plugs in and out.",
)
SETTING_OUT = (
    "Measure from the project grid; check distances only check.",
    "Stubs stay capped and marked until the first module stands.",
    "Guard upright stubs: they trip and they pierce.",
    "A stub that is off is not bent: ask the engineer first.",
)
