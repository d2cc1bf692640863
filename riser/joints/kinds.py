# SPDX-License-Identifier: Apache-2.0
"""The kinds of joint finding: family J."""

from __future__ import annotations

from riser.audit.finding import COMMON_PRACTICE, FindingKind, Severity

E, W = Severity.ERROR, Severity.WARNING


def _kind(code: str, name: str, severity: Severity, meaning: str, remedy: str) -> FindingKind:
    return FindingKind(code, name, severity, COMMON_PRACTICE, meaning, remedy)


NOT_SCHEDULED = _kind(
    "J01",
    "joint missing from the schedule",
    E,
    "Two stubs face each other closely enough to belong together, and no row of joints.csv mentions either.",
    "Add the pair to joints.csv with its make-up, or draw a closed end on both.",
)
NO_STUB = _kind(
    "J02",
    "scheduled joint without a stub",
    E,
    "joints.csv names a stub that its part does not have.",
    "Draw the stub on the part's type, or correct the id in joints.csv.",
)
APART = _kind(
    "J03",
    "stubs too far apart",
    E,
    "The two stubs of a scheduled joint are farther from each other than any make-up of the job reaches.",
    "Move the stub or the part, or schedule the right pair.",
)
NOT_FACING = _kind(
    "J04",
    "stubs do not face each other",
    E,
    "The two stubs of a scheduled joint look in directions that no joint can bring together.",
    "Turn the stub in its type, or schedule the right pair.",
)
TIE = _kind(
    "J05",
    "two equally good partners",
    E,
    "A stub without a schedule row has two partners that geometry cannot tell apart.",
    "Say in joints.csv which of them belongs to it.",
)
OPEN_END = _kind(
    "J06",
    "open stub not capped",
    E,
    "A stub has no partner and no closed end in joints.csv: it would stay open in the finished building.",
    "Draw its partner, or schedule a closed end with a cap.",
)
TWO_JOINTS = _kind(
    "J07",
    "stub with two joints",
    E,
    "joints.csv uses the same stub in more than one row.",
    "Keep one row; three or more ends are a piece of site work with its own stubs.",
)
WRONG_SYSTEM = _kind(
    "J08",
    "wrong system joined",
    E,
    "A joint, or a node inside a part, ties two systems that may not meet.",
    "Join each system to its own; prove identity at both ends before making the joint.",
)
SIZE_DIFFERS = _kind(
    "J09",
    "size differs without a reducer",
    E,
    "The pipes on both sides of a connection differ in size and the make-up has no reducer between them.",
    "Put a reducer into the make-up, or draw both sides in one size.",
)
TRANSITION = _kind(
    "J10",
    "materials need a transition",
    E,
    "The pipes on both sides of a connection are of different material and its coupling does not tie them.",
    "Use a transition coupling or an adapter listed for the two pipes.",
)
GAP = _kind(
    "J11",
    "make-up cannot take the gap",
    E,
    "The distance between the stubs, less the laying lengths, is outside what the couplings allow.",
    "Change the spool length by the figure given, or move the stub.",
)
OFFSET = _kind(
    "J12",
    "make-up cannot take the offset",
    E,
    "The stubs stand beside each other by more than couplings and spool together can take.",
    "Use a longer spool, an offset piece or a coupling with more deflection, or correct the position.",
)
ANGLE = _kind(
    "J13",
    "make-up cannot take the angle",
    E,
    "The stubs are turned against each other by more than the couplings can take.",
    "Use a coupling with more deflection, or correct the stub.",
)
MAKEUP = _kind(
    "J14",
    "make-up does not suit",
    E,
    "The make-up leaves something out, or a coupling does not suit the pipes or their ends.",
    "Complete the make-up in closures.csv, or choose a family that couplings.csv lists for these pipes.",
)
NO_ACCESS = _kind(
    "J15",
    "hidden joint without access",
    E,
    "A connection that needs access for repair lies behind a lining and no access panel serves it.",
    "Place an access panel within reach and list it in access.csv.",
)
IN_SLEEVE = _kind(
    "J16",
    "joint inside a slab sleeve",
    E,
    "A connection lies inside the slab, where it can be neither seen, tested nor repaired.",
    "Move the connection out of the slab by changing the spool or the stub.",
)
WAITING = _kind(
    "J17",
    "stub waiting without a temporary cap",
    E,
    "Site check: the part that will stand on this stub is not yet placed, and no cap is recorded.",
    "Cap the stub and record it.",
)
ANNULUS = _kind(
    "J18",
    "sleeve annulus outside the detail",
    W,
    "The space between pipe and sleeve is outside the range of the named fire-stopping detail.",
    "Choose a detail tested for this annulus, or another sleeve bore.",
)
OFF_PLACE = _kind(
    "J19",
    "measured stub off its drawn place",
    E,
    "A stub was measured farther from its drawn place than the job allows.",
    "Have the engineer decide: correct the stub, or change the make-up to suit.",
)
KINDS: tuple[FindingKind, ...] = (
    NOT_SCHEDULED,
    NO_STUB,
    APART,
    NOT_FACING,
    TIE,
    OPEN_END,
    TWO_JOINTS,
    WRONG_SYSTEM,
    SIZE_DIFFERS,
    TRANSITION,
    GAP,
    OFFSET,
    ANGLE,
    MAKEUP,
    NO_ACCESS,
    IN_SLEEVE,
    WAITING,
    ANNULUS,
    OFF_PLACE,
)
