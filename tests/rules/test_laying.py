"""Laying down: judged and recorded in one go; stops, overrides, blank tags, chosen places, races."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from building import shop, zone

from shopbins.geometry.exact import inside, overlap
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.ledger.problems import Refused
from shopbins.placing.laying import lay_down
from shopbins.placing.nesting import put_into
from shopbins.placing.recording import Laid
from shopbins.placing.shifting import shift_thing
from shopbins.records import acts
from shopbins.rules.auditing import audit
from shopbins.scene.scene import build
from shopbins.shop.model import Fixture, Level, Limits, Shop, Walkway

from datetime import date  # isort: skip

TODAY = date(2026, 3, 1)
RACK = zone(
    "rack a",
    (3000, 100),
    (1800, 500),
    kind="shelf",
    levels=[Level("1", 150, load_kg=100), Level("2", 700, load_kg=80), Level("3", 1300, load_kg=20)],
)
SPOT = zone("spot", (6000, 200), (2000, 1500), turn=15)
BENCH = zone("bench", (100, 100), (2000, 700), kind="bench", load_kg=80, movable=True)
WAY = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 1000, least_mm=700, rooms=("hall",))
SHOP = shop(zones=[RACK, SPOT, BENCH], walkways=[WAY])


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with Ledger.open(tmp_path / "x.ledger", by="jan", prefix="T") as opened:
        yield opened


SMALL = Size(400, 300, 200)


def take(ledger: Ledger, name: str, kg: float | None = 10.0, size: Size | None = SMALL) -> str:
    mass = None if kg is None else Mass(kg)
    event = ledger.transact(lambda s: acts.take(s, name, size=size, mass=mass))
    return event.subjects[0].partition(":")[2]


def test_a_stop_leaves_the_ledger_as_it_is(ledger: Ledger) -> None:
    gearbox = take(ledger, "gearbox", 210)
    seq = ledger.seq
    laid = lay_down(ledger, SHOP, gearbox, InZone("bench"))
    assert not laid.done
    assert laid.seq == seq == ledger.seq
    assert [f.rule for f in laid.stops] == ["level-load"]
    assert ledger.state.group(gearbox).where is None


def test_an_override_is_on_record_in_the_same_event_and_in_every_audit(ledger: Ledger) -> None:
    gearbox = take(ledger, "gearbox", 210)
    seq = ledger.seq
    laid = lay_down(ledger, SHOP, gearbox, InZone("bench"), override="props under it")
    assert laid.done and laid.seq == seq + 1 == ledger.seq
    doc = ledger.state.docs("accepted")["level-load/zone:bench"]
    assert doc["why"] == "props under it" and doc["kind"] == "stop" and not doc.get("for_now")
    found = [f for f in audit(build(SHOP, ledger.state), TODAY) if f.rule == "level-load"]
    assert [(f.grade, f.accepted and f.accepted.why) for f in found] == [("stop", "props under it")]


def test_for_now_is_asked_about_again(ledger: Ledger) -> None:
    gearbox = take(ledger, "gearbox", 210)
    lay_down(ledger, SHOP, gearbox, InZone("bench"), override="for now")
    asked = [f for f in audit(build(SHOP, ledger.state), TODAY) if f.rule == "for-now"]
    assert [f.measured for f in asked] == [1]
    lay_down(ledger, SHOP, gearbox, InZone("spot"))
    assert not [f for f in audit(build(SHOP, ledger.state), TODAY) if f.rule == "for-now"]


def test_an_override_does_not_cover_what_became_worse(ledger: Ledger) -> None:
    lay_down(ledger, SHOP, take(ledger, "gearbox", 90), InZone("bench"), override="for now")
    pump = take(ledger, "pump", 5)
    laid = lay_down(ledger, SHOP, pump, InZone("bench"))
    assert not laid.done
    ledger.transact(lambda s: acts.lay(s, pump, InZone("bench")))  # recorded elsewhere, without judging
    found = [f for f in audit(build(SHOP, ledger.state), TODAY) if f.rule == "level-load"]
    assert [f.accepted for f in found] == [None]


def test_adding_what_is_not_weighed_to_an_overridden_overload_asks_again(ledger: Ledger) -> None:
    lay_down(ledger, SHOP, take(ledger, "gearbox", 90), InZone("bench"), override="for now")
    laid = lay_down(ledger, SHOP, take(ledger, "odd", None), InZone("bench"))
    assert not laid.done


def test_a_dry_run_writes_nothing_and_says_the_same(ledger: Ledger) -> None:
    pump = take(ledger, "pump")
    seq = ledger.seq
    dry = lay_down(ledger, SHOP, pump, InZone("spot"), dry_run=True)
    assert (dry.done, ledger.seq) == (True, seq)
    wet = lay_down(ledger, SHOP, pump, InZone("spot"))
    assert replace(wet, seq=dry.seq) == dry


def test_the_program_chooses_a_free_place_on_a_turned_floor_spot(ledger: Ledger) -> None:
    seen = []
    for i in range(9):
        laid = lay_down(ledger, SHOP, take(ledger, f"box {i}", size=Size(600, 400, 300)), InZone("spot"))
        assert laid.done and laid.where is not None and laid.where.posed and not laid.where.measured
        assert laid.group is not None
        seen.append(laid.group)
    scene = build(SHOP, ledger.state)
    bodies = [scene.body(g) for g in seen]
    outlines = [b.outline for b in bodies if b is not None]
    assert len(outlines) == 9
    for i, a in enumerate(outlines):
        assert inside(a, SPOT.outline)
        assert not any(overlap(a, b) for b in outlines[:i])


def test_no_free_place_is_a_stop_that_says_why(ledger: Ledger) -> None:
    hull = take(ledger, "hull", size=Size(1900, 1400, 300))
    assert lay_down(ledger, SHOP, hull, InZone("spot")).done
    laid = lay_down(ledger, SHOP, take(ledger, "box"), InZone("spot"))
    assert not laid.done
    assert [f.rule for f in laid.stops] == ["no-room"]
    assert "spot" in laid.stops[0].text


def test_only_in_the_way_is_no_place(ledger: Ledger) -> None:
    there = shop(zones=[zone("lane", (0, 3600), (3000, 800))], walkways=[WAY])
    laid = lay_down(ledger, there, take(ledger, "box"), InZone("lane"))
    assert not laid.done
    assert "only in ways" in next(f.text for f in laid.stops if f.rule == "no-room")


def test_without_a_level_the_best_one_is_taken(ledger: Ledger) -> None:
    laid = lay_down(ledger, SHOP, take(ledger, "pump", 30), InZone("rack a"))
    assert laid.done and laid.where is not None and laid.where.level in ("1", "2")
    laid = lay_down(ledger, SHOP, take(ledger, "heavy", 90), InZone("rack a"))
    assert laid.where is not None and laid.where.level == "1"


def test_a_blank_tag_makes_an_unnamed_group_there(ledger: Ledger) -> None:
    event = ledger.transact(lambda s: acts.issue_blanks(s, 1))
    code = next(s for s in event.subjects if s.startswith("tag:")).partition(":")[2]
    laid = lay_down(ledger, SHOP, code, InZone("rack a", "2"))
    assert laid.done and laid.was_blank and laid.group is not None
    group = ledger.state.group(laid.group)
    assert (group.name, group.code, group.tagged, group.order) == ("", code, True, None)
    again = lay_down(ledger, SHOP, code, InZone("bench"))
    assert again.done and again.group == laid.group and not again.was_blank


def test_what_does_not_exist_is_refused(ledger: Ledger) -> None:
    pump = take(ledger, "pump")
    for who, target in ((pump, InZone("nowhere")), (pump, InZone("rack a", "9")), ("ghost", InZone("bench"))):
        with pytest.raises(Refused):
            lay_down(ledger, SHOP, who, target)


def test_unknown_size_and_mass_are_laid_down_and_said(ledger: Ledger) -> None:
    laid = lay_down(ledger, SHOP, take(ledger, "odd", None, None), InZone("rack a", "2"))
    assert laid.done
    said = {f.rule: f for f in laid.findings}
    assert "not checked" in said["not-judged"].text
    assert "not checked: 1 not weighed" in said["level-load"].text
    assert all(f.grade == "note" for f in laid.findings)


def test_a_bench_is_shifted_with_all_on_it_and_judged(ledger: Ledger) -> None:
    there = shop(zones=[BENCH], walkways=[WAY], fixtures=[Fixture("saw", "saw", "hall", (
        (5000, 1000), (6000, 1000), (6000, 2000), (5000, 2000)), top_mm=1000)])  # fmt: skip
    head = take(ledger, "head")
    ledger.transact(lambda s: acts.lay(s, head, InZone("bench", "", 500, 300, measured=True)))
    assert shift_thing(ledger, there, "bench", (2000, 2000)).done
    in_way = shift_thing(ledger, there, "bench", (2000, 3500))
    assert not in_way.done
    assert {f.rule for f in in_way.stops} == {"walkway"}
    on_saw = shift_thing(ledger, there, "bench", (4100, 1500))
    assert {f.rule for f in on_saw.stops} == {"overlap"}
    body = build(there, ledger.state).body(head)
    assert body is not None and body.centre == pytest.approx((2000 - 1000 + 500, 2000 - 350 + 300))
    with pytest.raises(Refused, match="not marked movable"):
        shift_thing(ledger, there, "saw", (3000, 3000))
    with pytest.raises(Refused, match="in no room"):
        shift_thing(ledger, there, "bench", (-3000, 3000))


def test_putting_into_a_tub_on_a_shelf_is_judged_like_laying_it_there(ledger: Ledger) -> None:
    tub = take(ledger, "tub", 2, Size(600, 400, 300))
    assert lay_down(ledger, SHOP, tub, InZone("rack a", "3")).done
    light, heavy = take(ledger, "light", 10), take(ledger, "heavy", 15)
    assert put_into(ledger, SHOP, light, tub).done
    seq = ledger.seq
    refused = put_into(ledger, SHOP, heavy, tub)
    assert not refused.done and ledger.seq == seq
    assert [f.text for f in refused.stops] == ["rack a/3 carries 27 kg (limit 20 kg)"]
    assert put_into(ledger, SHOP, heavy, tub, dry_run=True).stops == refused.stops
    let = put_into(ledger, SHOP, heavy, tub, override="for now")
    assert let.done and let.seq == seq + 1
    assert ledger.state.docs("accepted")["level-load/zone:rack a/3"]["for_now"]
    more = put_into(ledger, SHOP, take(ledger, "more", None), tub)
    assert not more.done, "what is not weighed makes an overload no better"
    with pytest.raises(Refused, match="itself"):
        put_into(ledger, SHOP, tub, tub)


def test_what_already_lies_on_the_level_may_go_into_the_tub_there(ledger: Ledger) -> None:
    tub, iron = take(ledger, "tub", 2, Size(600, 400, 300)), take(ledger, "iron", 30)
    assert lay_down(ledger, SHOP, tub, InZone("rack a", "3")).done
    assert lay_down(ledger, SHOP, iron, InZone("rack a", "3"), override="for now").done
    laid = put_into(ledger, SHOP, iron, tub)
    assert laid.done and not [f for f in laid.findings if f.grade != "note"]


def test_stacking_too_high_under_the_next_level_is_a_stop(ledger: Ledger) -> None:
    low, top = take(ledger, "low", 1, Size(300, 300, 300)), take(ledger, "top", 1, Size(300, 300, 301))
    assert lay_down(ledger, SHOP, low, InZone("rack a", "2")).done
    assert [f.rule for f in put_into(ledger, SHOP, top, low, "on").stops] == ["headroom"]
    assert put_into(ledger, SHOP, top, low, "in").done


def test_two_threads_cannot_both_lay_the_last_free_kilos(ledger: Ledger, tmp_path: Path) -> None:
    """Ten things of 15 kg race for a level of 80 kg: exactly five may be recorded."""
    ids = [take(ledger, f"thing {i}", 15, Size(100, 100, 100)) for i in range(10)]
    done: list[Laid] = []

    def run(group_id: str) -> None:
        with Ledger.open(tmp_path / "x.ledger", by=group_id, prefix="T") as mine:
            done.append(lay_down(mine, SHOP, group_id, InZone("rack a", "2")))

    threads = [threading.Thread(target=run, args=(each,)) for each in ids]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sum(laid.done for laid in done) == 5
    ledger.poll()
    assert build(SHOP, ledger.state).contents("rack a", "2").load_kg == 75


RACER = """
import sys
from building import shop, zone
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.placing.laying import lay_down

there = shop(zones=[zone("bench", (100, 100), (2000, 700), kind="bench", load_kg=80)])
done = 0
with Ledger.open(sys.argv[1], by=sys.argv[2], prefix="T") as mine:
    print("ready", flush=True)
    sys.stdin.readline()
    for each in sys.argv[3:]:
        done += lay_down(mine, there, each, InZone("bench")).done
print(done)
"""


def test_two_processes_get_no_laying_down_round_a_stop(ledger: Ledger, tmp_path: Path) -> None:
    """Each lays its ten things of 9 kg on one bench for 80 kg, at the same time: eight in all may be."""
    ids = [take(ledger, f"thing {i}", 9, Size(100, 100, 100)) for i in range(20)]
    paths = os.pathsep.join([str(Path(__file__).parents[1]), str(Path(__file__).parents[2])])
    racers = [
        subprocess.Popen(
            [sys.executable, "-c", RACER, str(tmp_path / "x.ledger"), f"racer {k}", *ids[k::2]],
            env={**os.environ, "PYTHONPATH": paths},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for k in range(2)
    ]
    for each in racers:
        assert each.stdout is not None
        assert each.stdout.readline() == "ready\n"
    counts = [int(each.communicate("go\n", timeout=60)[0]) for each in racers]
    assert sum(counts) == 8
    ledger.poll()
    there = shop(zones=[zone("bench", (100, 100), (2000, 700), kind="bench", load_kg=80)])
    assert build(there, ledger.state).contents("bench", "").load_kg == 72


def test_laying_down_loads_nothing_heavy() -> None:
    code = (
        "import sys; import shopbins.placing.laying, shopbins.rules.auditing, shopbins.placing.places;"
        "print([m for m in ('numpy', 'shapely', 'scipy', 'textual', 'reportlab') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_fill_factor_is_the_files(ledger: Ledger) -> None:
    there: Shop = shop(zones=[RACK], limits=Limits(fill=0.5))
    big = Size(1000, 400, 200)
    first = lay_down(ledger, there, take(ledger, "first", 1, big), InZone("rack a", "1"))
    assert first.done and not [f for f in first.findings if f.grade != "note"]
    second = lay_down(ledger, there, take(ledger, "second", 1, Size(200, 400, 200)), InZone("rack a", "1"))
    assert [(f.rule, f.grade) for f in second.findings if f.grade != "note"] == [("full", "correct")]
