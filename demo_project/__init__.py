# SPDX-License-Identifier: Apache-2.0
"""An invented building, drawn by program: two towers on a podium, without a fault and with planted ones.

catalogue     pipes and couplings
drawing       how a part type is drawn: nodes, runs, falls
shapes_*      the drawings of the part types
building_plan what is to be built: towers, columns over shafts, wings around plants
placing       where parts stand, and where their stubs come to lie
joining       make-ups for the distances between stubs
assembly      parts and joints of one building as they are put together
sound         the building without a fault, of any height and width
faults        what is planted, and how it is undone
records_*     the story of the site as record lines, and its replay
towers        faultless towers of any height and width
build         writes the job folder
"""
