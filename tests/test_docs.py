# SPDX-License-Identifier: Apache-2.0
"""Documentation says what is true: generated pages are current and links lead somewhere."""

import doctest
import re
from pathlib import Path

import pytest

from docs.generate import DOCS, pages
from riser.work.kinds import FAMILIES, all_kinds

ROOT = DOCS.parent
HAND_WRITTEN = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    ROOT / "demo_project" / "README.md",
    *DOCS.rglob("*.md"),
]


@pytest.mark.parametrize("name", sorted(pages()))
def test_generated_pages_are_what_the_program_says_now(name):
    assert (DOCS / name).read_text(encoding="utf-8") == pages()[name], "run `make docs`"


def test_no_page_is_left_over():
    assert {p.name for p in (DOCS / "rules").glob("*.md")} == {
        Path(n).name for n in pages() if n.startswith("rules/")
    }


@pytest.mark.parametrize("page", HAND_WRITTEN, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_between_pages_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        assert (page.parent / target).exists(), f"{page.name} links to {target}"


@pytest.mark.parametrize("page", sorted((DOCS / "start").glob("*.md")), ids=lambda page: page.name)
def test_examples_in_the_guides_give_what_they_print(page):
    failed, _ = doctest.testfile(str(page), module_relative=False)
    assert failed == 0


def test_codes_are_unique_and_of_a_known_family():
    codes = [kind.code for kind in all_kinds()]
    assert len(set(codes)) == len(codes)
    assert {code[0] for code in codes} <= set(FAMILIES)
    assert all(re.fullmatch(r"[A-Z]\d\d", code) for code in codes)


def test_decisions_have_their_four_parts():
    for page in (DOCS / "decisions").glob("*.md"):
        text = page.read_text(encoding="utf-8")
        for part in ("**Status**", "**Context**", "**Decision**", "**Consequences**"):
            assert part in text, f"{page.name} lacks {part}"
