# SPDX-License-Identifier: Apache-2.0
"""The demo building, made once, and its findings."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from demo_project.build import Demo
from demo_project.build import demo as demo_of_code
from riser import joints, layout, sizing
from riser.audit import Finding
from riser.joints.schedule import joints_of
from riser.network.model import Model, design_model
from riser.network.placing import placed
from riser.project import read_contents
from riser.rules import choose_rules
from riser.work.check import folded

Files = Mapping[str, str]
Check = Callable[[Files], dict[str, Finding]]


def job_contents(files: Files) -> dict[str, bytes]:
    """The files riser reads, as bytes."""
    return {name: text.encode() for name, text in files.items() if name.endswith((".csv", ".toml"))}


@pytest.fixture(scope="session")
def demo() -> Demo:
    """The sound and the planted files, and the faults between them."""
    return demo_of_code()


@pytest.fixture(scope="session")
def model_of() -> Callable[[Files], Model]:
    """The design model of a job's files."""

    def model(files: Files) -> Model:
        where = placed(read_contents(job_contents(files)))
        return design_model(where, joints_of(where))

    return model


@pytest.fixture(scope="session")
def check(model_of: Callable[[Files], Model]) -> Check:
    """All findings of the design check by key, consequences under their roots."""

    def found(files: Files) -> dict[str, Finding]:
        model = model_of(files)
        tables = model.placed.tables
        rules = choose_rules(tables.settings, tables.amendments)
        every = [*joints.findings(model), *layout.findings(model, rules), *sizing.findings(model, rules)]
        return {f.key: f for f in folded(list({f.key: f for f in every}.values()))}

    return found


@pytest.fixture(scope="session")
def planted_findings(demo: Demo, check: Check) -> dict[str, Finding]:
    """The findings of the demo as it is delivered."""
    return check(demo.planted)
