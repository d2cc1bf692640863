# SPDX-License-Identifier: Apache-2.0
"""The demo written once, copied for each test that writes; and the command line called in this process."""

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from riser.cli import app
from riser.work.demo import write_demo


@dataclass
class Answer:
    """What a command answered."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@pytest.fixture(scope="session")
def demo_at(tmp_path_factory):
    """A function giving the demo with its records at a state; not to be written to."""
    made: dict[str, Path] = {}

    def at(state: str) -> Path:
        if state not in made:
            made[state] = tmp_path_factory.mktemp("demo") / state
            write_demo(made[state], state, again=False)
        return made[state]

    return at


@pytest.fixture
def demo(demo_at, tmp_path):
    """A copy of the demo at floor 7 placed, free to be changed."""
    folder = tmp_path / "job"
    shutil.copytree(demo_at("floor_7_placed"), folder)
    return folder


@pytest.fixture
def riser():
    """Call a command: `riser("check", folder, "--json")`."""

    def call(*words: object) -> Answer:
        result = CliRunner().invoke(app, [str(word) for word in words])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    return call
