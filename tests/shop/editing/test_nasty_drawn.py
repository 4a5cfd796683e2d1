"""Every act of Draw on every nasty file: done and taken back to the byte, or a line and the old file."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from shopbins.cli import main
from shopbins.desk import Desk
from shopbins.desk.drawing import ShopDrawing
from shopbins.desk.problems import BadInput
from shopbins.shop.editing import steps
from shopbins.shop.editing.splice import Edit

from .nasty import FILES

Act = Callable[[ShopDrawing, str], list[Edit]]
AWAY, ASIDE = steps.moved(0, 3000), steps.moved(500, 4000)
ACTS: dict[str, Act] = {
    "carry": lambda d, key: steps.carried(d.text, d.shop, "zones", key, AWAY),
    "turn": lambda d, key: steps.carried(d.text, d.shop, "zones", key, steps.moved(100, 3000, 90), 90),
    "copy": lambda d, key: steps.copied(d.text, d.shop, "zones", key, ASIDE),
    "rename": lambda d, key: steps.renamed(d.text, "zones", key, "by: the # door"),
    "rename its room": lambda d, key: steps.renamed(d.text, "rooms", d.shop.zones[key].room, "no"),
    "give a load": lambda d, key: steps.valued(d.text, "zones", key, {"load": "300 kg", "note": '"a: b"'}),
    "delete": lambda d, key: steps.dropped(d.shop, "zones", key),
    "add": lambda d, key: steps.added(
        d.shop, "zones", "new", {"room": steps.word(d.shop.zones[key].room), "kind": "floor"}
        | {"at": "[3000, 3000]", "size": "[500, 500]"},
    ),
}  # fmt: skip
ZONED = [name for name in FILES if "zones: {}" not in FILES[name]]


@pytest.mark.parametrize("name", ZONED)
def test_each_act_is_done_and_taken_back_to_the_byte_or_refused_in_a_line(name: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.yaml"
    path.write_bytes(FILES[name].encode())
    done = 0
    with Desk.open(path, by="Ida") as desk:
        keys = list(desk.shop.zones)
        for what, act in ACTS.items():
            for key in keys:
                drawing, old = ShopDrawing(desk), path.read_bytes()
                assert old == FILES[name].encode()
                try:
                    drawing.step(act(drawing, key))
                except BadInput as refused:
                    assert re.match(r"line \d+: .+: F4 opens your editor there$", str(refused)), str(refused)
                    assert path.read_bytes() == old, (what, key)
                    continue
                assert not drawing.problems, (what, key, drawing.problems)
                assert path.read_bytes() != old, (what, key)
                remarks = [] if "quotes" in name else re.findall(r"# [a-z ]+", FILES[name])
                assert what == "delete" or all(each in path.read_text() for each in remarks), (what, key)
                drawing.take_back()
                assert path.read_bytes() == old, (what, key)
                done += 1
    assert done >= 5 * len(keys)


HALL = "shop: A\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\n"
BENCH = "{room: hall, kind: floor, at: [1, 1], size: [5, 5]}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"{HALL}zones:\n  b: &b {BENCH}\n  c: *b\n", r":6:6: '\*b' refers to something else"),
        (f"{HALL}zones:\n  b: &b {BENCH}\n  c: {{<<: *b, at: [20, 1]}}\n", r":6:\d+: .*'\*b' refers"),
        (f"{HALL}zones:\n\tb: {BENCH}\n", ":5:1: a tab in the indentation"),
        (f"{HALL}zones:\n  b: !bench {BENCH}\n", ":5:6: tag '!bench' has no meaning here"),
        (f"{HALL}zones:\n  b: {BENCH}\n  b: {BENCH}\n", ":6:3: 'b' is written twice"),
        (f"{HALL}---\nshop: B\n", ":4:1: a second document begins"),
        (f"{HALL}zones:\n  - {BENCH}\n", r":5:3: 'zones' is a mapping"),
        ((f"{HALL}zones:\n  b: {{kind: bench, at [1, 1]}}\n").replace("\n", "\r"), r":5:"),
    ],
)
def test_what_cannot_be_drawn_in_is_said_by_line_when_it_is_opened(
    text: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An alias, a merged block, a tab, a tag, a twin, a second shop, a list of places, CR only and a slip."""
    path = tmp_path / "shop.yaml"
    path.write_bytes(text.encode())
    assert main(["-s", str(path), "put", "x", "b"]) == 65
    err = capsys.readouterr().err
    assert re.search(said, err), err
    assert "Traceback" not in err
    assert path.read_bytes() == text.encode()
