# SPDX-License-Identifier: Apache-2.0
"""The cautions that stand beside every planned test. Common practice; own words."""

from __future__ import annotations

ABOVE_ALL = "Follow the local code, the maker's instructions and the licensed engineer."

ALWAYS = (
    ABOVE_ALL,
    "No pressure without a permit. Barrier up; nobody in the shaft below: it is a drop zone.",
    "Stand clear of plugs, caps and hoses. Never tighten or strike a joint under pressure.",
    "Two people, one at the gauge and one at the top, in touch with each other.",
    "Stop at any fall, bulge or noise that nobody can explain.",
    "Let the pressure off at the gauge you can see, then open the vent.",
    "Count plugs, caps and blanks in, and count them out.",
    "No water above open, live cable trays.",
)
FOR_DRAINS = (
    "Tie every plug. A plug that lets go empties the stack as a jet: never stand over it or face an opening.",
    "Draw the water down through a bleed before a plug is taken out, from the top downwards.",
    "Let the water down slowly, with a way in for air, to a place that can take it.",
)
FOR_PUMPING = (
    "Supports, anchors and restraints stand in place before pressure is put on.",
    "Fill from below, slowly, and see water without air at every vent. Air left in stores energy.",
    "A relief valve on the pump, set below the lowest rating. Nobody near ends and bends that are not held.",
)
FOR_DRINKING_WATER = (
    "Drinking water only, through clean hoses. Do not leave it standing; disinfect and flush by the rules.",
)
