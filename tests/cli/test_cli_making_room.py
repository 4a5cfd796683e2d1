"""Refused for want of a place, `put` names the moves that make room; doing them, it goes."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from shopbins.desk import Desk
from shopbins.rules.shuffling import shuffle_for

Run = Callable[..., Any]


def taken(run: Run, name: str, size: str) -> str:
    return str(run("take", name, "--size", size, "--mass", "12kg", "--json").data["code"])


def test_put_says_which_moves_make_room_and_after_them_it_goes(run: Run, shop: Path) -> None:
    tub, box, crate = (
        taken(run, "Tub 3", "600x500x300mm"),
        taken(run, "Box of pumps", "500x600x300mm"),
        taken(run, "crate", "900x900x300mm"),
    )
    assert run("put", tub, "corner", "--at", "750,300").status == 0
    assert run("put", box, "corner", "--at", "750,1100").status == 0
    refused = run("put", crate, "corner", "--json")
    (stop,) = [f for f in refused.data["findings"] if f["grade"] == "stop"]
    assert refused.status == 1 and stop["rule"] == "no-room" and refused.data["done"] is False
    assert stop["remedy"].startswith("fits if ") and stop["remedy"] in refused.err

    with Desk.open(shop, readonly=True) as desk:
        ids = {code: desk.names.group(code).id for code in (tub, box, crate)}
        scene = desk.scene()
        corner, barn = (scene.zone(key) for key in ("corner", "barn"))
        assert corner is not None and barn is not None
        found = shuffle_for(scene, scene.group(ids[crate]), corner, corner.levels[0], seconds=0.3)
        assert found is not None and found.words == stop["remedy"]
        assert shuffle_for(scene, scene.group(ids[crate]), barn, barn.levels[0], seconds=0.3) is None
    moves = re.findall(r"\((\d+(?:\.\d+)?,\d+(?:\.\d+)?)\)", stop["remedy"])
    assert len(moves) == len(found.moves)
    for move in [m for m in found.moves if m.aside]:
        desk_code = move.code
        assert run("put", desk_code, "bench").status == 0
    for move in found.moves:
        assert move.where.x_mm is not None and move.where.y_mm is not None
        at = f"{move.where.x_mm},{move.where.y_mm}"
        assert run("put", move.code, "corner", "--at", at, "--turn", str(move.where.turn_deg)).status == 0
    assert run("put", crate, "corner").status == 0


def test_a_way_out_that_a_thing_shuts_is_refused_and_then_in_every_audit(run: Run) -> None:
    """The barn is 6 m wide: a beam across all but 400 mm of it, well inside, leaves 400 of a way out."""
    beam = taken(run, "beam", "2700x300x300mm")
    other = taken(run, "other beam", "2500x300x300mm")
    assert run("put", other, "barn", "--at", "4750,1500", "--override", "for now").status == 0
    refused = run("put", beam, "barn", "--at", "1350,1500", "--json")
    assert refused.status == 0, "800 mm are left, and no limit says more"
    assert [f["measured"] for f in refused.data["findings"] if f["rule"] == "way-out"] == [800]
    narrower = run("put", beam, "barn", "--at", "1850,1500", "--override", "for now", "--json")
    (note,) = [f for f in narrower.data["findings"] if f["rule"] == "way-out"]
    assert note["measured"] == 500 and not note["judged"] and "711 mm" in note["text"]
    audited = [f for f in run("audit", "--json").data["findings"] if f["rule"] == "way-out"]
    assert [f["id"] for f in audited] == [note["id"]]
    assert "the way out of barn to barn door is 500 mm at its narrowest" in " ".join(run("audit").out.split())
