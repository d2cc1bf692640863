# SPDX-License-Identifier: Apache-2.0
"""Planted faults in the schedule of joints, in make-ups, panels, sleeves and measurements."""

from __future__ import annotations

from .planting import Plan, cell, fault, with_row, without_joint

JOINT_FAULTS: list[Plan] = [
    fault(
        "J01:A05-07/CWL+A05-09/CW",
        "tower A, floor 05: cold water of the east bathroom at shaft S2",
        "The row was lost when two workbooks were put together; nobody would make this joint.",
        without_joint("A05-09-CW"),
    ),
    fault(
        "J02:A09-CW1",
        "tower A, between floors 09 and 10: cold riser CW-1",
        "CW3 was typed for CW1. Everything above on this riser stays dry: its consequences fold under it.",
        cell("joints.csv", "A09-CW1", "stub_b", "A10-01/CW3"),
    ),
    fault(
        "J03:A09-06-FR",
        "tower A, floor 09: sprinkler branch of the corridor at shaft S1",
        "Revision B of the corridor moved the branch by 300 mm to clear a light, and nobody told the shaft.",
        cell("types/CO/B/nodes.csv", "FR", "x [m]", "-0.75"),
    ),
    fault(
        "J04:A07-11-EP",
        "tower A, floor 07: power tray of the east kitchen at shaft S2",
        "In revision B of the kitchen the end of the tray was turned towards the living room.",
        cell("types/KL/B/nodes.csv", "EP", "facing", "+x"),
    ),
    fault(
        "J06:P01-01/VKL",
        "podium, floor 01: vent for a later shop at the foot of shaft S1",
        "The closed end of the pair was scheduled on the east side only.",
        without_joint("P01-01-VKL"),
    ),
    fault(
        "J07:A06-05/HW",
        "tower A, floor 06: hot water of the west kitchen at shaft S1",
        "A cap was ordered for a stub that is joined; both rows stand in the schedule.",
        with_row("joints.csv", joint="A06-05-HW-X", stub_a="A06-05/HW", note="cap ordered twice"),
        with_row("closures.csv", joint="A06-05-HW-X", order="1", kind="cap", family="SL"),
    ),
    fault(
        "J08:A08-03-NP",
        "tower A, floor 08: closet of the west bathroom at shaft S1",
        "Revision B of the bathroom feeds the closet with drinking water; the shaft brings the other.",
        cell("types/BA/B/nodes.csv", "NP", "system", "cold"),
        cell("types/BA/B/runs.csv", "non_potable-1", "system", "cold"),
        cell("types/BA/B/runs.csv", "non_potable-1", "to_port", "cold"),
    ),
    fault(
        "J09:P01-RW2",
        "podium, between floors 01 and 02: rainwater riser RW-2",
        "The reducer was struck out as a duplicate and a piece of DN125 written in its place.",
        cell("closures.csv", "P01-RW2 2", "kind", "pipe"),
        cell("closures.csv", "P01-RW2 2", "to_pipe", ""),
    ),
    fault(
        "J10:A10-08-SO",
        "tower A, floor 10: soil branch of the shower room at shaft S2",
        "The adapter from PE to cast iron was out of stock, and a piece of iron was scheduled instead.",
        cell("closures.csv", "A10-08-SO 2", "kind", "pipe"),
        cell("closures.csv", "A10-08-SO 2", "to_pipe", ""),
    ),
    fault(
        "J11:A08-RW1",
        "tower A, between floors 08 and 09: rainwater riser RW-1",
        "With the second revision the spool was cut to the length of another storey.",
        cell("closures.csv", "A08-RW1 2", "length [mm]", "360"),
    ),
    fault(
        "J12:A12-RW2",
        "tower A, under the roof: rainwater riser RW-2",
        "The offset piece was ordered with half its offset.",
        cell("closures.csv", "A12-RW2 2", "offset [mm]", "30"),
    ),
    fault(
        "J13:P00-RW3",
        "podium, ground slab: stub-up of rainwater riser RW-3",
        "The stub-up was drawn leaning, as it had been bent to pass a bar of the reinforcement.",
        cell("types/BG/A/nodes.csv", "RW3", "facing", "0.07 0 1"),
    ),
    fault(
        "J14:A07-NP1",
        "tower A, between floors 07 and 08: non-potable riser NP-1",
        "A grooved coupling was picked from the list for a copper pipe.",
        cell("closures.csv", "A07-NP1 1", "family", "GF"),
    ),
    fault(
        "J15:A04-03-HW.1",
        "tower A, floor 04: panel to the west bathroom at shaft S1",
        "The panel was made lower to suit a tile joint; the hot water joint lies above it.",
        cell("access.csv", "A04-S1-W", "z_max [m]", "12.55"),
    ),
    fault(
        "J16:P00-CD1.1",
        "podium, ground slab: stub-up of condensate riser CD-1",
        "The stub-up was cut off while the slab was finished; its coupling would lie in the concrete.",
        cell("types/BG/A/nodes.csv", "CD1", "z [m]", "-0.1"),
        cell("survey.csv", "BG/CD1", "z [m]", "-0.099"),
        cell("closures.csv", "P00-CD1 2", "length [mm]", "430"),
    ),
    fault(
        "J18:SL-A03-FR1",
        "tower A, transfer slab: sleeve of fire riser FR-1",
        "A smaller sleeve was cast in than the fire-stopping detail was tested with.",
        cell("sleeves.csv", "SL-A03-FR1", "bore [mm]", "130"),
    ),
    fault(
        "J19:BG/SS1",
        "podium, ground slab: stub-up of soil stack SS-1",
        "The template slipped during the pour: the stub-up stands 14 mm too far east.",
        cell("survey.csv", "BG/SS1", "x [m]", "10.014"),
    ),
]
