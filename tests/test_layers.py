# SPDX-License-Identifier: Apache-2.0
"""The house holds together: imports go down only, and the lower layers are pure."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import riser

ROOT = Path(riser.__file__).parent
LAYERS = [
    {"errors"},
    {"units"},
    {"audit"},
    {"network", "hydraulics", "rules"},
    {"joints", "layout", "sizing", "pressures"},
    {"proving"},
    {"project", "records"},
    {"work", "reports", "exchange"},
    {"cli", "site"},
]
LAYER = {name: number for number, names in enumerate(LAYERS) for name in names}
IMPURE = {
    "csv",
    "datetime",
    "io",
    "logging",
    "os",
    "pathlib",
    "random",
    "rich",
    "secrets",
    "shutil",
    "socket",
    "sqlalchemy",
    "sqlite3",
    "subprocess",
    "tempfile",
    "time",
    "tomllib",
    "typer",
    "typst",
    "uuid",
}
READS_ITS_OWN_DATA = {"rules/loader.py"}
HEAVY = (
    "pandas",
    "scipy",
    "networkx",
    "sqlalchemy",
    "numpy",
    "fluids",
    "pint",
    "typst",
    "cryptography",
    "segno",
)
FILES = sorted(ROOT.rglob("*.py"))


def imports(path):
    """(module, whether it is only for type checking) of every import in a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    typing_only = {
        id(child)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for child in ast.walk(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, id(node) in typing_only) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names = (
                [f"{node.module}.{alias.name}" for alias in node.names]
                if node.module == "riser"
                else [node.module]
            )
            yield from ((name, id(node) in typing_only) for name in names)


def package_of(path):
    parts = path.relative_to(ROOT).parts
    return parts[0] if len(parts) > 1 else Path(parts[0]).stem


@pytest.mark.parametrize("path", FILES, ids=[str(f.relative_to(ROOT)) for f in FILES])
def test_imports_go_down_only(path):
    own = package_of(path)
    if own in ("__init__", "__main__"):
        return
    for module, _ in imports(path):
        pieces = module.split(".")
        if pieces[0] != "riser" or len(pieces) == 1 or pieces[1] in (own, "__version__"):
            continue
        assert pieces[1] in LAYER, f"{path} imports {module}, which stands on no layer"
        assert LAYER[pieces[1]] < LAYER[own], f"{path} ({own}) imports {module}: not below it"


@pytest.mark.parametrize("path", FILES, ids=[str(f.relative_to(ROOT)) for f in FILES])
def test_lower_layers_are_pure(path):
    own = package_of(path)
    if LAYER.get(own, 9) > LAYER["proving"] or str(path.relative_to(ROOT)) in READS_ITS_OWN_DATA:
        return
    used = {module.split(".")[0] for module, typing_only in imports(path) if not typing_only}
    assert not used & IMPURE, f"{path} uses {used & IMPURE}"


def test_every_package_stands_on_a_layer():
    packages = {p.name for p in ROOT.iterdir() if p.is_dir() and p.name != "__pycache__"}
    assert packages <= set(LAYER)


def test_help_starts_without_heavy_libraries():
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom riser.cli import app\n"
        "result = CliRunner().invoke(app, ['--help'])\nassert result.exit_code == 0, result.output\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert answer.stdout.strip() == "[]", answer.stdout + answer.stderr
