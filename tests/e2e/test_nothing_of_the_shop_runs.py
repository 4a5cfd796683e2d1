"""Somebody else's shop folder is data: nothing in it runs, no name or record in it reaches outside."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from shopbins.desk.moveworker import isolated
from shopbins.ledger import rescue
from shopbins.ledger.journal import digits
from shopbins.ledger.photofile import photo_file

from .conftest import Place

MODULES = [
    "json",
    "pickle",
    "base64",
    "runpy",
    "shapely",
    "numpy",
    "yaml",
    "tinydb",
    "sitecustomize",
    "argparse",
]


@pytest.fixture
def trap(tmp_path: Path) -> Path:
    """A folder of modules that leave a mark when they are run."""
    for name in MODULES:
        (tmp_path / f"{name}.py").write_text(f"open({str(tmp_path / 'ran')!r}, 'a').write({name!r})\n")
    return tmp_path


def test_a_child_runs_nothing_of_the_folder_it_is_in(trap: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(trap)
    monkeypatch.setattr(sys, "path", ["", str(trap), *sys.path])
    question = b'{"shop": "none.yaml", "ledger": "none", "group": "g", "zone": "z"}\n'
    ran = subprocess.run(
        isolated("shopbins.desk.moveworker"), input=question, capture_output=True, timeout=60, check=False
    )
    assert ran.stdout.startswith(b"!"), ran.stderr
    assert not (trap / "ran").exists()


def test_python_m_runs_nothing_of_the_folder_it_is_in(trap: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "shopbins", "--version"],
        cwd=trap,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert ran.stdout.startswith(b"shopbins "), ran.stderr
    for words in (["demo", "d"], ["-s", "d/shop.yaml", "audit"]):
        subprocess.run([sys.executable, "-m", "shopbins", *words], cwd=trap, timeout=60, check=False)
    assert not (trap / "ran").exists()


FORGED = [
    "../../secret.png",
    "/etc/passwd",
    "ab/" + "0" * 64 + ".jpg",
    "ab",
    "",
    7,
    None,
    ["x"],
    "ab/../../x.jpg",
]


@pytest.mark.parametrize("name", FORGED, ids=repr)
def test_a_forged_photograph_names_no_file_outside(tmp_path: Path, name: object) -> None:
    key = "ab" + "0" * 62
    assert photo_file(tmp_path, key, {"file": name}) is None


def test_a_photograph_that_is_a_link_out_of_the_folder_is_none(tmp_path: Path) -> None:
    key = "ab" + "0" * 62
    (tmp_path / "photos/ab").mkdir(parents=True)
    target = tmp_path / "secret"
    target.write_bytes(b"x")
    (tmp_path / f"photos/ab/{key}.jpg").symlink_to(target)
    assert photo_file(tmp_path, key, {"file": f"ab/{key}.jpg"}) is None
    (tmp_path / f"photos/ab/{key}.png").write_bytes(b"y")
    assert photo_file(tmp_path, key, {"file": f"ab/{key}.png"}) is not None


SHAPES = [
    {"group:a": {"name": 7}},
    {"group:a": {"name": "x", "where": "here"}},
    {"group:a": {"name": "x", "size": [1]}},
    {"group:a": {"name": "x", "mass": {"kg": 3}}},
    {"group:a": {"name": "x", "origin": 5}},
    {"group:a": {"name": "x", "order": "first"}},
    {"group:a": {"name": "x", "qty": "many"}},
    {"group:a": {"name": "x", "work": [[]]}},
    {"group:a": {"name": "x", "where": {"zone": ["bench"]}}},
    {"thing:x": {"y_mm": 3}},
    {"machine:m": {"tree": 5}},
    {"photo:k": {"codes": 4}},
    {"care:c": {"name": 3}},
]


def forge(journal: Path, after: dict) -> int:
    """Append a record with digits that are right; return its number."""
    data = journal.read_bytes()
    number = data.count(b"\n")
    doc = {"v": 1, "seq": number, "id": "x", "at": "2026-01-01T00:00:00.000Z", "by": "x", "kind": "change"}
    doc |= {"subjects": list(after), "before": dict.fromkeys(after), "after": after}
    payload = json.dumps(doc, separators=(",", ":")).encode()
    above = data[data.rfind(b"\n", 0, -1) + 1 :][:32]
    journal.write_bytes(data + digits(above, payload) + b" " + payload + b"\n")
    return number


@pytest.mark.parametrize("after", SHAPES, ids=repr)
def test_a_forged_record_of_a_wrong_shape_is_damage_with_its_number(demo: Place, after: dict) -> None:
    ledger = demo.folder / "shop.ledger"
    number = forge(ledger / "journal.log", after)
    for words in (["audit"], ["find", "x"], ["verify"]):
        ran = demo.run(*words)
        assert ran.status != 70, ran
        if ran.status == 74:
            assert f"record {number}" in ran.err
    assert ran.status == 74
    rescue.rescue(str(ledger), "mia", "RW")
    assert rescue.verify(str(ledger), "RW") == []
