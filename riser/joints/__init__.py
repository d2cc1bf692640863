# SPDX-License-Identifier: Apache-2.0
"""Joints between parts: which stubs belong together, what is missing, whether they fit.

Words: a *stub* is a pipe end at a part's face; a *joint* is everything site people put between two stubs; its
*make-up* is the ordered couplings and pieces; each coupling is a *connection*.
"""

from riser.joints.findings import findings
from riser.joints.kinds import KINDS
from riser.joints.schedule import joints_of

__all__ = ["KINDS", "findings", "joints_of"]
