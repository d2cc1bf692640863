# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import riser.records.line
from riser.records import (
    Entry,
    Mark,
    Store,
    change_key,
    export_bytes,
    latest_mark,
    make_key,
    open_store,
    utc_now,
)

SCRIPT = Path(riser.records.line.__file__).with_name("verify_export.py")


def run(*arguments: object) -> tuple[int, str]:
    """The script as somebody without riser runs it: alone in a folder, isolated from this environment."""
    command = [sys.executable, "-I", str(SCRIPT), *map(str, arguments)]
    done = subprocess.run(command, check=False, capture_output=True, text=True)
    assert "Traceback" not in done.stderr, done.stderr
    return done.returncode, done.stdout


@pytest.fixture
def sqlite_store(tmp_path: Path, clock: Callable[[], str], key: Path) -> Store:
    from riser.records import introduce_key

    (tmp_path / "job").mkdir()
    store = open_store(tmp_path / "job", clock=clock)
    introduce_key(store, key, author="Q. Lead")
    digest = store.put_content(b"a picture")
    for n in range(1, 6):
        store.append([Entry("made", f"C{n}", "F. Foreman", data={"note": "é \u2028 \r\n"})])
    store.append([Entry("photo", "C1", "F. Foreman", data={"content": digest})])
    store.append(
        [Entry("correction", "C5", "F. Foreman", data={"withdrawn": True}, replaces=6, reason="slip")]
    )
    return store


@pytest.fixture
def exported(sqlite_store: Store, key: Path, tmp_path: Path) -> tuple[Path, Mark]:
    mark = latest_mark(sqlite_store, key, utc_now)
    file = tmp_path / "records.jsonl"
    file.write_bytes(export_bytes(sqlite_store, [mark]))
    sqlite_store.close()
    return file, mark


def test_the_script_is_short_and_uses_the_standard_library_and_one_package() -> None:
    source = SCRIPT.read_text(encoding="utf-8")
    assert len(source.splitlines()) <= 150
    imported = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            imported |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported.add((node.module or "").split(".")[0])
    assert imported - set(sys.stdlib_module_names) == {"cryptography"}
    assert source.count(".verify(") == 1


def test_an_export_is_one_json_object_per_row_and_is_found_whole(
    exported: tuple[Path, Mark], sqlite_store: Store, tmp_path: Path
) -> None:
    file, mark = exported
    rows = [json.loads(row) for row in file.read_bytes().decode("utf-8").strip("\n").split("\n")]
    assert [row["line"]["sequence"] for row in rows[:-1]] == list(range(1, 9))
    assert rows[-1] == {"mark": mark.as_json()}
    (tmp_path / "mark.json").write_text(json.dumps(mark.as_json()), encoding="utf-8")
    contents = tmp_path / "contents"
    contents.mkdir()
    with open_store(tmp_path / "job") as store:
        for digest in store.content_hashes():
            (contents / digest).write_bytes(store.content(digest))
    options = ["--mark", tmp_path / "mark.json", "--hash", f"8:{mark.hash.upper()}", "--key", mark.public_key]
    assert run(file, *options, "--contents", contents) == (0, f"whole: 8 lines, latest hash {mark.hash}\n")
    (contents / digest).write_bytes(b"another")
    assert run(file, "--contents", contents)[0] == 1
    assert run(file, "--key", "ab" * 32)[0] == 1
    assert run(file, "--hash", f"9:{mark.hash}")[0] == 1


SPOILS: dict[str, Callable[[list[bytes]], list[bytes]]] = {
    "a letter altered": lambda rows: [*rows[:3], rows[3].replace(b"Foreman", b"Somebody"), *rows[4:]],
    "a row removed": lambda rows: rows[:3] + rows[4:],
    "two rows exchanged": lambda rows: [*rows[:3], rows[4], rows[3], *rows[5:]],
    "a row put twice": lambda rows: [*rows[:4], rows[3], *rows[4:]],
    "the last line dropped": lambda rows: rows[:7] + rows[8:],
    "a line after the mark": lambda rows: [*rows, rows[7]],
    "a hash altered": lambda rows: [*rows[:3], b'{"hash":"' + b"0" * 64 + rows[3][73:], *rows[4:]],
    "a row of something else": lambda rows: [*rows[:3], b'{"hello":1}', *rows[3:]],
    "a row that is no JSON": lambda rows: [*rows[:3], b"hello", *rows[3:]],
    "a mark altered": lambda rows: [*rows[:8], rows[8].replace(b'"sequence":8', b'"sequence":7')],
    "a mark without fields": lambda rows: [*rows[:8], b'{"mark":{}}'],
    "a key put twice in a line": lambda rows: [*rows[:3], rows[3][:-2] + b',"kind":"x"}}', *rows[4:]],
}


@pytest.mark.parametrize("name", SPOILS)
def test_a_spoiled_export_is_not_whole(exported: tuple[Path, Mark], name: str) -> None:
    file, _ = exported
    rows = SPOILS[name](file.read_bytes().split(b"\n")[:-1])
    file.write_bytes(b"\n".join(rows) + b"\n")
    code, said = run(file)
    assert code in {1, 2}
    assert said.strip()


def test_a_cut_off_export_is_not_whole(exported: tuple[Path, Mark]) -> None:
    file, _ = exported
    file.write_bytes(file.read_bytes()[:-400])
    code, said = run(file)
    assert code == 1
    assert "cut off" in said


def test_a_rewritten_export_is_found_by_a_held_mark_only(exported: tuple[Path, Mark], tmp_path: Path) -> None:
    file, mark = exported
    from riser.records.line import NO_LINE, canonical_bytes, hash_of

    previous, rows = NO_LINE, []
    for row in file.read_bytes().split(b"\n")[:8]:
        body = json.loads(row)["line"]
        body |= {"previous": previous, "author": body["author"].replace("Foreman", "Somebody")}
        previous = hash_of(canonical_bytes(body))
        rows.append(b'{"hash":"%s","line":%s}\n' % (previous.encode(), canonical_bytes(body)))
    file.write_bytes(b"".join(rows))
    assert run(file)[0] == 0
    (tmp_path / "mark.json").write_text(json.dumps(mark.as_json()), encoding="utf-8")
    code, said = run(file, "--mark", tmp_path / "mark.json")
    assert (code, "rewritten" in said) == (1, True)
    assert run(file, "--hash", f"8:{mark.hash}")[0] == 1


def test_a_forged_mark_is_found(exported: tuple[Path, Mark], tmp_path: Path) -> None:
    file, mark = exported
    forged = replace(mark, signature="ab" * 64)
    (tmp_path / "mark.json").write_text(json.dumps(forged.as_json()), encoding="utf-8")
    code, said = run(file, "--mark", tmp_path / "mark.json")
    assert (code, "forged" in said) == (1, True)


def test_changed_keys_are_followed(sqlite_store: Store, key: Path, tmp_path: Path) -> None:
    old_mark = latest_mark(sqlite_store, key, utc_now)
    make_key(tmp_path / "second")
    make_key(tmp_path / "third")
    change_key(sqlite_store, tmp_path / "second", key, author="Q. Lead", reason="yearly")
    change_key(sqlite_store, tmp_path / "third", None, author="Q. Lead", reason="stolen")
    new_mark = latest_mark(sqlite_store, tmp_path / "third", utc_now)
    file = tmp_path / "records.jsonl"
    file.write_bytes(export_bytes(sqlite_store, [old_mark, new_mark]))
    sqlite_store.close()
    code, said = run(file, "--key", old_mark.public_key)
    assert code == 0
    assert "note: line 10: the signing key was changed without the one before" in said


def test_a_file_that_is_not_there_is_said_plainly(tmp_path: Path) -> None:
    code, said = run(tmp_path / "nothing")
    assert (code, said.startswith("cannot be read")) == (2, True)
