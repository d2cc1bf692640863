# SPDX-License-Identifier: Apache-2.0
"""A derivation on the terminal."""

from __future__ import annotations

from riser.audit import Assumed, Clause, Derived, Given, InFile, InRules, Rejected, Status, sheet_text


def test_the_sheet_shows_formula_numbers_clause_certainty_and_rows_passed_over() -> None:
    clause = Clause("IPC", "2021", "Table 710.1(1)", "invented page", Status.MEMORY)
    load = Given("load of drain D1", 44.0, "dfu", InFile("fixtures.csv", 2, "kind"))
    cell = Given("allowed at 1/8 in/ft", 180.0, "dfu", InRules("ipc", "drains", "4 in", "e", "180", clause))
    size = Derived(
        "size of drain D1",
        0.1016,
        "m",
        "first row whose allowance is not less than the load",
        (load, cell),
        "IPC 2021, Table 710.1(1)",
        rejected=(Rejected("3 in: 36 dfu", "less than 44 dfu"),),
    )
    ratio = Derived(
        "use",
        44 / 180,
        "-",
        "use = load / allowed",
        (load, cell),
        "definition",
        "0 < load",
        symbols=("load", "allowed"),
    )
    assert sheet_text(size) == (
        "size of drain D1 = 0.1016 m\n"
        "  by first row whose allowance is not less than the load   [IPC 2021, Table 710.1(1)]\n"
        "  passed over: 3 in: 36 dfu (less than 44 dfu)\n"
        "  load of drain D1 = 44 dfu   <- fixtures.csv, row 2, kind\n"
        "  allowed at 1/8 in/ft = 180 dfu ?   <- IPC 2021, Table 710.1(1), row 4 in (prints 180)\n"
        "? not yet read in the edition named   ! published readings differ   * local amendment\n"
        "decided by: 0 rows read, 1 unverified, 0 conflicts\n"
    )
    lines = sheet_text(ratio).splitlines()
    assert lines[0] == "use = 0.244444"
    assert lines[2] == "  with load = 44 dfu, allowed = 180 dfu"
    assert lines[3] == "  valid for 0 < load"
    assert lines[4].startswith("  load: load of drain D1 = 44 dfu")


def test_a_sheet_without_rule_figures_claims_nothing_about_rules() -> None:
    assert (
        sheet_text(Given("hold", 900.0, "s", Assumed("no entry"))) == "hold = 900 s   <- assumed: no entry\n"
    )
