# SPDX-License-Identifier: Apache-2.0
"""`make soak`: the full counts, and docs/soak.md written from what was run."""

from __future__ import annotations

import platform
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "docs" / "soak.md"


def commit() -> str:
    """The commit the counts are of; marked where files differ from it."""
    head = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    changed = subprocess.run(
        ["git", "status", "--porcelain"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return (head.stdout.strip() or "unknown") + (" and changes on top" if changed.stdout.strip() else "")


def rows(report: Path) -> list[tuple[str, str, float, str]]:
    """Name, what it counted, seconds and outcome of each test of a JUnit report."""
    found = []
    for case in ET.parse(report).getroot().iter("testcase"):
        counted = "; ".join(
            f"{p.get('name')} {p.get('value')}" for p in case.iter("property") if p.get("name") != "outcome"
        )
        outcome = "passed"
        for tag in ("failure", "error", "skipped"):
            if case.find(tag) is not None:
                outcome = "failed" if tag != "skipped" else "skipped"
        name = f"{case.get('classname', '').removeprefix('tests.')}: {case.get('name', '').replace('_', ' ')}"
        found.append((name, counted, float(case.get("time", "0")), outcome))
    return found


def page(found: list[tuple[str, str, float, str]], seconds: float) -> str:
    """docs/soak.md."""
    lines = [
        "# Soak",
        "",
        "Written by `make soak`; do not edit. The same tests run with seeded samples in `make test`.",
        "",
        f"Commit {commit()}, {datetime.now(UTC).date().isoformat()}, Python {platform.python_version()},"
        f" {len(found)} tests, {seconds:.0f} s in all.",
        "",
        "| test | counts | seconds | outcome |",
        "|---|---|---|---|",
        *(f"| {name} | {counted} | {took:.1f} | {outcome} |" for name, counted, took, outcome in found),
    ]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Run every test marked `soak` and write the page; the exit code is pytest's."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        start = time.monotonic()
        code = subprocess.call(
            [
                sys.executable,
                "-m",
                "pytest",
                "-m",
                "soak",
                f"--junit-xml={report}",
                "-o",
                "junit_family=xunit1",
            ],
            cwd=ROOT,
        )
        found = rows(report)
    PAGE.write_text(page(found, time.monotonic() - start), encoding="utf-8")
    return code


if __name__ == "__main__":
    sys.exit(main())
