"""Each command does what it promises: what it prints, its exit status, what the ledger holds afterwards."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]


def take(run: Run, name: str, *more: str) -> str:
    answer = run("take", name, *more, "--json")
    assert answer.status == 0, answer.err
    assert set(answer.data) == {"id", "code", "seq"}
    return str(answer.data["code"])


def test_take_gives_id_code_and_seq(run: Run) -> None:
    first = run("take", "flywheel", "--json").data
    second = run("--json", "take", "flywheel bolts", "--qty", "6").data
    assert first["seq"] == 1 and second["seq"] == 2
    assert first["code"].startswith("ZLB") and first["code"] != second["code"]


def test_take_keeps_everything_said(run: Run) -> None:
    code = take(
        run, "valve springs, inlet", "--origin", "diesel > cylinder head 2 > inlet", "--container", "bag",
        "--size", "300x200x15cm", "--mass", "about 4 lb", "--qty", "8", "--note", "-5 mm worn",
        "--disposition", "renew",
    )  # fmt: skip
    group = run("show", code, "--json").data
    assert group["origin"] == ["diesel", "cylinder head 2", "inlet"]
    assert (group["container"], group["qty"], group["disposition"]) == ("bag", 8, "renew")
    assert group["size_mm"] == [3000.0, 2000.0, 150.0]
    assert group["mass_kg"] == pytest.approx(4 * 0.45359237) and group["mass_about"]
    assert group["note"] == "-5 mm worn"
    assert [step["kind"] for step in group["history"]] == ["take"]
    assert group["history"][0]["by"] == "tester"


def test_text_introduces_a_part_as_a_rebuilder_would(run: Run) -> None:
    run("take", "tub 7", "--container", "tub")
    run("put", "tub 7", "rack/2", "--override", "for now")
    run("take", "valve springs, inlet", "--origin", "diesel > cylinder head 2", "--qty", "8")
    put = run("put", "valve springs, inlet", "--in", "tub 7")
    assert put.status == 0
    assert (
        put.out.splitlines()[0].partition("  ")[2]
        == "valve springs, inlet x8 · 1st off, from cylinder head 2 · rack/2, in tub 7"
    )
    assert "load of rack/2 not checked: 2 not weighed" in put.out, "unknown is no nought"


def test_unknown_stays_unknown(run: Run) -> None:
    code = take(run, "mystery casting", "--mass", "12kg")
    assert run("set", code, "--mass", "unknown").status == 0
    group = run("show", code, "--json").data
    assert group["size_mm"] is None and group["mass_kg"] is None
    assert "not weighed" in run("show", code).out
    assert "not measured" in run("show", code).out


def test_put_in_a_zone_and_show_it(run: Run) -> None:
    code = take(run, "head", "--size", "700x400x200mm", "--mass", "61kg")
    put = run("put", code, "rack/1", "--json")
    assert put.status == 0
    assert set(put.data) == {"done", "pose", "findings", "seq"}
    assert put.data["done"] is True and put.data["seq"] == 2
    level = run("show", "rack/1", "--json").data
    assert (level["key"], level["load_kg"], level["unweighed"], level["limit_kg"]) == (
        "rack/1",
        61.0,
        0,
        100.0,
    )
    assert level["free_mm2"] == pytest.approx(1000 * 500 - 700 * 400)
    assert [each["code"] for each in level["groups"]] == [code]
    whole = run("show", "rack", "--json").data
    assert (whole["key"], whole["load_kg"], whole["limit_kg"]) == ("rack", 61.0, 250.0)


def test_a_stop_changes_nothing_and_says_why(run: Run) -> None:
    code = take(run, "crankshaft", "--size", "900x300x300mm", "--mass", "140kg")
    refused = run("put", code, "rack/2", "--json")
    assert refused.status == 1
    assert refused.data["done"] is False and refused.data["seq"] == 1
    stop = next(each for each in refused.data["findings"] if each["grade"] == "stop")
    assert (stop["measured"], stop["limit"], stop["unit"]) == (140.0, 100.0, "kg")
    assert "140 kg" in refused.err
    assert run("show", code, "--json").data["where"] is None

    laid = run("put", code, "rack/2", "--override", "props under the shelf", "--json")
    assert laid.status == 0 and laid.data["done"] is True and laid.data["seq"] == 2
    audit = run("audit", "--json")
    assert "props under the shelf" in [(each["override"] or {}).get("why") for each in audit.data["findings"]]


def test_dry_run_changes_nothing(run: Run) -> None:
    code = take(run, "water pump", "--size", "300x200x200mm", "--mass", "9kg")
    dry = run("put", code, "corner", "--dry-run", "--json")
    assert dry.status == 0 and dry.data["done"] is False and dry.data["seq"] == 1
    assert dry.data["pose"] is not None
    assert run("show", code, "--json").data["where"] is None
    assert "could be put down" in run("put", code, "corner", "--dry-run").out


def test_put_at_a_place_blocks_the_way(run: Run) -> None:
    code = take(run, "gearbox", "--size", "900x600x500mm", "--mass", "210kg")
    blocked = run("put", code, "barn", "--at", "3200,2500", "--turn", "90", "--json")
    assert blocked.status == 1
    assert any(
        "walkway:middle way" in each["subjects"]
        for each in blocked.data["findings"]
        if each["grade"] == "stop"
    )
    free = run("put", code, "barn", "--at", "1000,2500", "--turn", "-90", "--json")
    assert free.status == 0, free.err
    assert free.data["pose"] == {"x_mm": 1000.0, "y_mm": 2500.0, "turn_deg": 270.0}


def test_negative_coordinates_are_read(run: Run) -> None:
    take(run, "gearbox", "--size", "900x600x500mm")
    out = run("put", "gearbox", "barn", "--at", "-200,300", "--json")
    assert out.status == 1 and out.data["pose"]["x_mm"] == -200.0


def test_blank_tag_is_put_then_named(run: Run, tmp_path: Path) -> None:
    printed = run("tags", "--blank", "2", "-o", "blank.pdf", "--json")
    assert printed.status == 0
    first, second = printed.data["codes"]
    assert (tmp_path / "blank.pdf").read_bytes().startswith(b"%PDF")
    assert run("put", first, "bench", "--json").data["done"] is True
    unnamed = run("show", first, "--json").data
    assert unnamed["name"] == "" and unnamed["place"] == "bench"
    assert run("set", first, "--name", "injector pump").status == 0
    assert run("find", "injector", "--json").data[0]["code"] == first
    assert take(run, "oil cooler", "--code", second) == second
    assert run("take", "another", "--code", second).status == 1


def test_tags_for_groups_zones_and_a_begun_sheet(run: Run) -> None:
    code = take(run, "flywheel")
    zones = run("tags", "--zones", "-o", "z.pdf", "--json").data
    assert (
        zones["labels"] == len(zones["codes"]) == 6
    )  # bench, rack, its two levels, corner, the barn's floor
    one = run("tags", code, "rack/1", "-o", "one.pdf", "--start", "21", "--json").data
    assert one["labels"] == 2 and one["pages"] == 2
    assert run("tags", "--all", "-o", "a.pdf", "--sheet", "letter-3x10").status == 0
    assert run("tags", "--all", "-o", "a.pdf", "--sheet", "no such sheet").status == 65
    assert run("tags", "--all", "-o", "nowhere/a.pdf").status in (65, 74)
    assert run("tags", "--all", "--zones", "-o", "a.pdf").status == 64


def test_away_and_back(run: Run) -> None:
    code = take(run, "head", "--size", "700x400x200mm", "--mass", "61kg")
    away = run("away", code, "Moss Grinding", "--until", "2026-12-24", "--for", "skimming", "--json")
    assert away.status == 0 and away.data == {"seq": 2}
    where = run("show", code, "--json").data["where"]
    assert (where["to"], where["until"], where["for"]) == ("Moss Grinding", "2026-12-24", "skimming")
    assert run("back", code, "bench", "--json").data["seq"] == 3
    assert run("show", code, "--json").data["place"] == "bench"
    again = run("back", code)
    assert again.status == 1 and "not away" in again.err
    run("away", code, "Moss Grinding", "--until", "2026-12-24")
    assert run("back", code, "--json").data == {"seq": 5}
    assert run("show", code, "--json").data["where"] is None


def test_back_onto_too_weak_a_shelf_stays_away(run: Run) -> None:
    code = take(run, "block", "--size", "900x400x400mm", "--mass", "400kg")
    run("away", code, "the washers", "--until", "2026-12-24")
    assert run("back", code, "rack/1").status == 1
    assert run("show", code, "--json").data["where"]["to"] == "the washers"


def test_find_by_words_zone_and_with_an_error(run: Run) -> None:
    spring = take(run, "valve springs, inlet", "--origin", "diesel > cylinder head 2")
    washer = take(run, "spring washers")
    run("put", spring, "bench")
    both = run("find", "spring", "--json").data
    assert [each["code"] for each in both] == [spring, washer] or [each["code"] for each in both] == [
        washer,
        spring,
    ]
    assert set(both[0]) == {"id", "code", "name", "place", "score"}
    assert [each["code"] for each in run("find", "inlet", "spring", "--json").data] == [spring]
    assert [each["code"] for each in run("find", "spring", "--zone", "bench", "--json").data] == [spring]
    assert [each["code"] for each in run("find", "vavle", "--json").data] == [spring]
    assert [each["code"] for each in run("find", spring.lower(), "--json").data] == [spring]
    assert len(run("find", "spring", "--limit", "1", "--json").data) == 1
    nothing = run("find", "camshaft", "--json")
    assert nothing.status == 1 and nothing.data == [] and "camshaft" in nothing.err


def test_undo_and_redo(run: Run) -> None:
    code = take(run, "flywheel")
    run("set", code, "--note", "ring gear worn")
    assert run("undo", "--json").data == {"undone": 2, "seq": 3}
    assert run("show", code, "--json").data["note"] == ""
    assert run("redo", "--json").data == {"redone": 2, "seq": 4}
    assert run("show", code, "--json").data["note"] == "ring gear worn"
    run("undo")
    assert run("undo", "--json").data["undone"] == 1
    nothing = run("undo")
    assert nothing.status == 1 and "nothing" in nothing.err


def test_undo_is_refused_after_another_hand(run: Run) -> None:
    code = take(run, "flywheel", "--by", "jan")
    run("set", code, "--note", "ring gear worn", "--by", "ruth")
    refused = run("undo", "--by", "jan")
    assert refused.status == 1 and "ruth" in refused.err


def test_split_and_merge(run: Run) -> None:
    code = take(run, "pistons", "--qty", "3", "--mass", "6kg")
    split = run("split", code, "--into", "piston 1", "--into", "piston 2", "--json")
    assert split.status == 0 and len(split.data["codes"]) == 2
    assert run("show", code, "--json").data["qty"] == 1
    merged = run("merge", code, *split.data["codes"], "--json")
    assert merged.status == 0 and merged.data["code"] == code
    assert run("show", split.data["codes"][0], "--json").data["code"] == code
    assert run("show", code, "--json").data["qty"] == 3
    assert run("split", code).status == 64
    assert run("split", code, "--qty", "9").status == 1


def test_machine(run: Run) -> None:
    assert run("machine").status == 1
    assert run("machine", "diesel", "--owner", "Harbour Trust", "--job", "2031").status == 0
    take(run, "head", "--origin", "diesel > head 1")
    told = run("machine", "--json").data
    assert told == [{"key": "diesel", "name": "", "owner": "Harbour Trust", "job": "2031", "groups": 1}]


def test_catch_up_records_what_lies_there(run: Run) -> None:
    (blank,) = run("tags", "--blank", "1", "-o", "b.pdf", "--json").data["codes"]
    known = take(run, "anchor chain", "--mass", "180kg")
    answer = run(
        "catchup", "rack/2", "--json", stdin=f"water pump\n\nM12 studs x 14\n{blank}\n{known}\n{known}\n"
    )
    assert answer.status == 0, answer.err
    assert answer.data["recorded"] == 5
    lying = run("show", "rack/2", "--json").data["groups"]
    assert sorted(each["name"] for each in lying) == ["", "M12 studs", "anchor chain", "water pump"]
    studs = run("show", "M12 studs", "--json").data
    assert studs["qty"] == 14 and studs["order"] is None
    overrides = [
        each["override"]["why"] for each in run("audit", "--json").data["findings"] if each["override"]
    ]
    assert overrides == ["found lying there"] * len(overrides) and overrides


def test_catch_up_says_which_line_is_wrong_and_goes_on(run: Run) -> None:
    run("take", "bolt")
    answer = run("catchup", "bench", stdin="water pump\n\x1b[31mred\nZLB9999K\nstove\n")
    assert answer.status == 65
    assert [line.partition(":")[0] for line in answer.err.splitlines()] == ["line 2", "line 3"]
    assert len(run("show", "bench", "--json").data["groups"]) == 2


def test_export(run: Run, tmp_path: Path) -> None:
    code = take(run, "=cmd|' /C calc'!A0", "--note", "@home", "--origin", "-x > y", "--qty", "2")
    run("put", code, "bench")
    assert run("export", "--format", "json", "-o", "out.json").status == 0
    doc = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    assert set(doc) == {"schema", "seq", "groups", "events"}
    assert doc["seq"] == 2 and len(doc["events"]) == 2
    assert doc["groups"][0]["name"] == "=cmd|' /C calc'!A0"
    assert run("export", "--format", "csv", "-o", "out.csv").status == 0
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as file:
        (row,) = csv.DictReader(file)
    assert row["code"] == code and row["qty"] == "2" and row["place"] == "bench"
    assert row["name"] == "'=cmd|' /C calc'!A0" and row["note"] == "'@home" and row["machine"] == "'-x"
    assert run("export", "--format", "xml", "-o", "x").status == 64
    assert run("export", "--format", "csv", "-o", "no/such/folder.csv").status == 74


def test_check(run: Run, shop: Path) -> None:
    good = run("check", shop)
    assert good.status == 0
    assert run("check", shop, "--json").data == []
    shop.write_text(
        shop.read_text().replace("headroom: 2.8 m", "hedroom: 2.8 m").replace("kind: floor", "kind: flor")
    )
    bad = run("check", "shop.yaml")
    assert bad.status == 1
    assert bad.err.splitlines()[0].startswith("shop.yaml:7:5: ")
    assert len(bad.err.splitlines()) == 2
    problems = run("check", "shop.yaml", "--json").data
    assert [set(each) for each in problems] == [{"file", "line", "column", "problem", "hint"}] * 2
    assert "headroom" in problems[0]["hint"]
    assert run("check", "missing.yaml").status == 1


SCENE = """{"id": "straight on", "question": "goes",
"outline_mm": [[0, 0], [3000, 0], [3000, 1000], [0, 1000]], "body": {"length_mm": 500, "width_mm": 300},
"start": {"x_mm": 500, "y_mm": 500, "turn_deg": 0}, "goal": {"x_mm": 2500, "y_mm": 500, "turn_deg": 0}}"""


def test_fits_answers_scenes_and_says_which_are_wrong(run: Run, tmp_path: Path) -> None:
    (tmp_path / "scenes.json").write_text(SCENE)
    good = run("fits", "scenes.json", "--json")
    assert good.status == 0, good.out
    (answer,) = good.data
    assert answer["id"] == "straight on" and answer["answer"] == "goes" and answer["seconds"] >= 0
    assert answer["path"][0]["x_mm"] == 500 and answer["path"][-1]["x_mm"] == 2500
    assert run("fits", "scenes.json").out.startswith("straight on: goes, ")
    (tmp_path / "scenes.json").write_text(f'[{SCENE}, {{"id": "x", "question": "why"}}]')
    mixed = run("fits", "scenes.json", "--json")
    assert mixed.status == 1 and len(mixed.data) == 2
    assert "problem" in mixed.data[1] and json.loads(mixed.err)["error"]["text"].startswith("x: ")
    assert run("fits", "missing.json", "--json").status == 1


def test_audit_grades_are_the_exit_status(run: Run) -> None:
    empty = run("audit", "--json")
    assert set(empty.data) == {"seq", "counts", "findings", "coverage"}
    assert set(empty.data["counts"]) == {"stop", "correct", "note", "accepted"}
    assert empty.status == (1 if empty.data["counts"]["correct"] else 0)
    code = take(run, "flywheel", "--size", "600x600x200mm", "--mass", "95kg")
    assert run("audit").status == 1
    run("put", code, "barn", "--at", "3200,2500", "--override", "for now")
    stops = run("audit", "--json")
    assert stops.data["counts"]["accepted"] >= 1 and stops.status == 2
    keys = "id rule grade subjects room at_mm measured limit unit source text remedy judged override"
    assert all(set(each) == set(keys.split()) for each in stops.data["findings"])
    text = run("audit").out
    assert text.index("ACCEPTED") < text.index("RECORDS")
    assert "accepted for now" in text


def test_demo_is_written_once(run: Run, tmp_path: Path) -> None:
    assert run("demo", "shed").status == 0
    assert (tmp_path / "shed" / "shop.yaml").exists() and (tmp_path / "shed" / "shop.ledger").is_dir()
    again = run("demo", "shed")
    assert again.status == 1 and "already" in again.err
    assert run("-s", "shed", "find", "valve").status == 0
    assert run("-s", "shed/shop.yaml", "audit").status == 2


def test_shop_from_option_environment_or_here(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "far").mkdir()
    (tmp_path / "shop.yaml").rename(tmp_path / "far" / "barn.yaml")
    assert run("find", "x").status == 65
    assert run("take", "pump", "-s", "far/barn.yaml").status == 0
    assert (tmp_path / "far" / "barn.ledger").is_dir()
    assert run("find", "pump", "--shop", "far/barn.yaml").status == 0
    monkeypatch.setenv("SHOPBINS_SHOP", "far/barn.yaml")
    assert run("find", "pump").status == 0
    assert run("--ledger", "other", "find", "pump").status == 1
    assert run("take", "pump", "--ledger", "other").status == 0
    assert (tmp_path / "other").is_dir()
