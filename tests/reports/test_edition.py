# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from riser.reports.edition import Edition, sheet_id


def test_a_sheet_says_what_it_was_printed_from_and_that_there_were_no_records() -> None:
    assert Edition("4", "2031-03-02", "12 7c31f9").words == (
        "Revision 4, printed for 2031-03-02, records up to mark 12 7c31f9"
    )
    assert Edition("4", "2031-03-02").words.endswith("no records")


def test_the_number_of_a_sheet_stands_for_all_that_is_on_it() -> None:
    first = sheet_id("FLOOR", {"joints": [1]}, Edition("4", "2031-03-02", "a"))
    others = [
        sheet_id("FLOOR", {"joints": [2]}, Edition("4", "2031-03-02", "a")),
        sheet_id("FLOOR", {"joints": [1]}, Edition("5", "2031-03-02", "a")),
        sheet_id("FLOOR", {"joints": [1]}, Edition("4", "2031-03-03", "a")),
        sheet_id("FLOOR", {"joints": [1]}, Edition("4", "2031-03-02", "b")),
    ]
    assert first not in others
    assert first == sheet_id("FLOOR", {"joints": [1]}, Edition("4", "2031-03-02", "a"))
    assert first.startswith("FLOOR-")
