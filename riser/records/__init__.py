# SPDX-License-Identifier: Apache-2.0
"""The records of a job: an append-only table of lines, each hashed and chained to the one before.

Words: an *entry* is what somebody wants recorded; a *line* is what it becomes, with the server's number and
time; the *latest mark* is the newest line's number and hash, signed; *what stands* is the lines after their
corrections; the *state* is what they add up to. What all this proves, and what not, is docs/evidence.md.

    with open_store(job_folder, clock=utc_now) as store:
        store.append([Entry("made", "J-07-SP1", author="A. Foreman")])
        state = state_of(store.lines())
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from riser.records.backup import back_up, move, restore
    from riser.records.chain import Fault
    from riser.records.export import export_bytes, export_rows
    from riser.records.keys import change_key, introduce_key, make_key
    from riser.records.kinds import KINDS, Kind
    from riser.records.line import AUTHOR_KNOWN, Entry, Line
    from riser.records.marks import Mark, latest_mark, mark_entry, mark_from_json
    from riser.records.opening import open_store
    from riser.records.printed_mark import mark_from_text, mark_text
    from riser.records.standing import Event, standing_events
    from riser.records.state import State, state_of
    from riser.records.store import Store
    from riser.records.times import utc_now
    from riser.records.verification import Verification, verify

_HOME = {
    "backup": ("back_up", "move", "restore"),
    "chain": ("Fault",),
    "export": ("export_bytes", "export_rows"),
    "keys": ("change_key", "introduce_key", "make_key"),
    "kinds": ("KINDS", "Kind"),
    "line": ("AUTHOR_KNOWN", "Entry", "Line"),
    "marks": ("Mark", "latest_mark", "mark_entry", "mark_from_json"),
    "opening": ("open_store",),
    "printed_mark": ("mark_from_text", "mark_text"),
    "standing": ("Event", "standing_events"),
    "state": ("State", "state_of"),
    "store": ("Store",),
    "times": ("utc_now",),
    "verification": ("Verification", "verify"),
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names}

__all__ = [
    "AUTHOR_KNOWN",
    "KINDS",
    "Entry",
    "Event",
    "Fault",
    "Kind",
    "Line",
    "Mark",
    "State",
    "Store",
    "Verification",
    "back_up",
    "change_key",
    "export_bytes",
    "export_rows",
    "introduce_key",
    "latest_mark",
    "make_key",
    "mark_entry",
    "mark_from_json",
    "mark_from_text",
    "mark_text",
    "move",
    "open_store",
    "restore",
    "standing_events",
    "state_of",
    "utc_now",
    "verify",
]


def __getattr__(name: str) -> Any:
    """Load a name from its module when it is first used: reading a state needs no database library."""
    if name not in _MODULE_OF:
        raise AttributeError(f"riser.records has no {name}")
    return getattr(import_module(f"riser.records.{_MODULE_OF[name]}"), name)
