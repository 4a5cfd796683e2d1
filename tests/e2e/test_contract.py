"""Every command as a process of its own: exit status, what is on stdout, what is on stderr, key by key."""

from __future__ import annotations

import csv
import json
import signal
import sys
from collections.abc import Mapping
from datetime import date, timedelta

import pytest

FINDING = {
    "id": str,
    "rule": str,
    "grade": str,
    "subjects": list,
    "room": (str, type(None)),
    "at_mm": (list, type(None)),
    "measured": (int, float, str, type(None)),
    "limit": (int, float, str, type(None)),
    "unit": (str, type(None)),
    "source": str,
    "text": str,
    "remedy": str,
    "judged": bool,
    "override": (dict, type(None)),
}
BAD_SHOP = """\
shop: My shed
rooms:
  shed: {at: [0, 0], size: [6000, 4000], hedroom: 2.4 m}
zones:
  bench: {room: shed, kind: bench, at: [2000, 3300], size: [2000, 700], height: 2,4 m}
"""


def has_shape(value: object, shape: Mapping[str, object]) -> bool:
    """Tell whether a JSON object has exactly these keys, each of its type."""
    assert isinstance(value, dict)
    assert set(value) == set(shape), set(value) ^ set(shape)
    for key, kind in shape.items():
        assert isinstance(value[key], kind), (key, value[key])  # type: ignore[arg-type]
    return True


@pytest.fixture
def things(shed):
    """Take four things off; return their codes by name."""
    shed.codes = {
        "pump": shed.json("take", "water pump", "--size", "300x200x150mm", "--mass", "4kg")["code"],
        "block": shed.json("take", "block", "--size", "900x500x500mm", "--mass", "240kg")["code"],
        "bag": shed.json("take", "studs", "--container", "bag", "--qty", "12")["code"],
    }
    shed.json("take", "studs", "--origin", "lathe > apron > shaft 2")
    return shed


# --- check, fits, demo ------------------------------------------------------------------------------------


def test_check(shed):
    good = shed.run("check", "shop.yaml")
    assert (good.status, good.err) == (0, "")
    assert shed.json("check", "shop.yaml") == []
    (shed.folder / "bad.yaml").write_text(BAD_SHOP)
    bad = shed.run("check", "bad.yaml")
    assert bad.status == 1 and bad.out == ""
    comma = BAD_SHOP.splitlines()[4].index("4 m") + 1
    assert [line.split(": ")[0] for line in bad.problems] == ["bad.yaml:3:42", f"bad.yaml:5:{comma}"]
    problems = shed.json("check", "bad.yaml", status=1)
    for problem in problems:
        has_shape(problem, {"file": str, "line": int, "column": int, "problem": str, "hint": str})
    assert [(p["file"], p["line"], p["column"]) for p in problems] == [
        ("bad.yaml", 3, 42),
        ("bad.yaml", 5, comma),
    ]
    assert "headroom" in problems[0]["hint"] and "2.4" in problems[1]["hint"]
    for absent in (("check", "none.yaml"), ("check", "none.yaml", "--json")):
        assert shed.run(*absent).status == 1
    assert shed.run("check").status == 64


SCENE = {
    "id": "straight on",
    "question": "goes",
    "outline_mm": [[0, 0], [3000, 0], [3000, 1000], [0, 1000]],
    "body": {"length_mm": 500, "width_mm": 300},
    "start": {"x_mm": 500, "y_mm": 500, "turn_deg": 0},
    "goal": {"x_mm": 2500, "y_mm": 500, "turn_deg": 0},
}


def test_fits(shed):
    (shed.folder / "scenes.json").write_text(json.dumps([SCENE, {**SCENE, "id": "again"}]))
    answers = shed.json("fits", "scenes.json")
    assert [(a["id"], a["answer"]) for a in answers] == [("straight on", "goes"), ("again", "goes")]
    (shed.folder / "mixed.json").write_text(json.dumps([SCENE, {"id": "what", "question": "why"}]))
    mixed = shed.run("fits", "mixed.json", "--json")
    assert mixed.status == 1 and len(mixed.data) == 2 and len(mixed.problems) == 1
    (shed.folder / "half.json").write_text(json.dumps([SCENE])[:40])
    assert shed.run("fits", "half.json", "--json").status == 1


def test_demo_is_written_and_opened_again(shed):
    made = shed.run("demo", "ropewalk")
    assert made.status == 0
    assert (shed.folder / "ropewalk" / "shop.yaml").exists()
    assert (shed.folder / "ropewalk" / "shop.ledger").is_dir()
    again = shed.run("demo", "ropewalk")
    assert again.status == 1 and "already" in again.err
    assert shed.run("check", "ropewalk/shop.yaml").status == 0
    audit = shed.json("audit", "-s", "ropewalk", status=2)
    assert audit["counts"]["stop"] and audit["counts"]["correct"] and audit["counts"]["note"]


# --- the audit --------------------------------------------------------------------------------------------


def test_audit_of_the_demo_key_by_key(demo):
    audit = demo.json("audit", status=2)
    has_shape(audit, {"seq": int, "counts": dict, "findings": list, "coverage": list})
    has_shape(audit["counts"], {"stop": int, "correct": int, "note": int, "accepted": int})
    grades = [f["grade"] for f in audit["findings"]]
    assert grades == sorted(grades, key=["stop", "correct", "note"].index)
    for finding in audit["findings"]:
        has_shape(finding, FINDING)
        assert finding["id"] and finding["text"] and (finding["source"] or not finding["judged"])
        assert finding["at_mm"] is None or [type(n) for n in finding["at_mm"]] == [float, float]
    assert any(f["override"] and f["override"]["for_now"] for f in audit["findings"])
    text = demo.run("audit")
    assert text.status == 2 and text.err == ""
    assert text.out.index("STOP") < text.out.index("TO FIX") < text.out.index("NOTES")


def test_audit_status_is_0_1_or_2(shed):
    assert {f["grade"] for f in shed.json("audit", status=0)["findings"]} == {"note"}
    code = shed.json(
        "take", "flywheel", "--size", "600x600x110mm", "--mass", "9kg", "--origin", "lathe > head"
    )["code"]
    assert shed.json("audit", status=1)["counts"]["stop"] == 0
    shed.run("put", code, "shed", "--at", "3000,1950", "--override", "for now")
    assert shed.json("audit", status=2)["counts"]["accepted"] >= 1


# --- take, put, set ---------------------------------------------------------------------------------------


def test_take(shed):
    taken = shed.json(
        *("take", "valve springs", "--origin", "lathe > apron > shaft 1", "--container", "bag"),
        *("--size", "300x200x150mm", "--mass", "4kg", "--qty", "8"),
    )
    assert has_shape(taken, {"id": str, "code": str, "seq": int})
    assert taken["code"].startswith("ZMS") and taken["seq"] == 1
    shown = shed.json("show", taken["code"])
    assert shown["origin"] == ["lathe", "apron", "shaft 1"]
    assert (shown["container"], shown["mass_kg"], shown["qty"]) == ("bag", 4.0, 8)
    assert shown["size_mm"] == [300.0, 200.0, 150.0]
    bare = shed.json("show", shed.json("take", "a casting")["code"])
    assert bare["mass_kg"] is None and bare["size_mm"] is None


def test_put_dry_run_stop_and_override(things):
    pump, block = things.codes["pump"], things.codes["block"]
    seq = things.json("take", "spacer")["seq"]
    shape = {"done": bool, "pose": (dict, type(None)), "findings": list, "seq": int}

    dry = things.json("put", pump, "bench", "--dry-run")
    assert has_shape(dry, shape) and dry["seq"] == seq and dry["done"] is False
    assert things.json("show", pump)["where"] is None

    refused = things.json("put", block, "rack/2", status=1)
    assert has_shape(refused, shape) and refused["seq"] == seq and refused["done"] is False
    stops = [f for f in refused["findings"] if f["grade"] == "stop"]
    (load,) = [f for f in stops if (f["measured"], f["limit"], f["unit"]) == (240.0, 100.0, "kg")]
    assert load["remedy"] == "put it elsewhere: it is too heavy by itself"
    for finding in refused["findings"]:
        has_shape(finding, FINDING)
    assert things.json("put", block, "rack/2", "--dry-run", status=1)["seq"] == seq

    laid = things.json("put", block, "rack/2", "--override", "props under it")
    assert laid["done"] is True and laid["seq"] == seq + 1
    reasons = {
        (f["override"] or {}).get("why")
        for f in things.json("audit", status=2)["findings"]
        if f["grade"] == "stop"
    }
    assert "props under it" in reasons


def test_put_at_a_point_says_the_pose_and_what_is_in_the_way(things):
    pump = things.codes["pump"]
    at = things.json("put", pump, "shed", "--at", "800,3400", "--turn", "90")
    assert has_shape(at["pose"], {"x_mm": float, "y_mm": float, "turn_deg": float})
    assert at["pose"] == {"x_mm": 800.0, "y_mm": 3400.0, "turn_deg": 90.0}
    across = things.json("put", pump, "shed", "--at", "3000,1950", status=1)
    subjects = {subject for f in across["findings"] if f["grade"] == "stop" for subject in f["subjects"]}
    assert "walkway:middle" in subjects
    # 29 CFR 1910.36(g)(2): an exit access at least 28 in (711 mm) wide; here the file's own 700 mm is judged
    assert any(f["limit"] == 700.0 for f in across["findings"])


def test_ambiguous_names_are_65_with_candidates(things):
    for command in (["put", "studs", "bench"], ["set", "studs", "--qty", "3"], ["show", "studs"]):
        ran = things.run(*command)
        assert ran.status == 65 and ran.out == ""
        assert things.codes["bag"] in ran.err and len(ran.problems) == 3
    assert things.run("put", things.codes["bag"], "bench").status == 0


def test_a_blank_code_put_somewhere_is_an_unnamed_group(things):
    made = things.json("tags", "--blank", "2", "-o", "blank.pdf")
    assert has_shape(made, {"labels": int, "pages": int, "codes": list})
    first, second = made["codes"]
    assert things.json("put", first, "rack/1")["done"] is True
    assert things.json("show", first)["name"] == ""
    things.json("set", first, "--name", "idler wheel")
    assert things.json("find", "idler")[0]["code"] == first
    assert things.json("take", "gib", "--code", second)["code"] == second
    assert things.run("take", "gib 2", "--code", second).status == 1


def test_set_every_field(things):
    code = things.codes["pump"]
    seq = things.json(
        *("set", code, "--name", "raw water pump", "--origin", "engine > cooling", "--container", "box"),
        *(
            "--size",
            "1 ftx8 inx6 in",
            "--mass",
            "9 lb",
            "--disposition",
            "renew",
            "--note",
            "worn",
        ),
    )
    assert has_shape(seq, {"seq": int})
    things.json("set", code, "--qty", "2", "--as", "came off", "--reason", "the second lay beneath")
    shown = things.json("show", code)
    assert (shown["name"], shown["origin"], shown["container"]) == (
        "raw water pump",
        ["engine", "cooling"],
        "box",
    )
    # inch and pound are exact by definition: 25.4 mm, 0.45359237 kg (NIST SP 811, B.8)
    assert shown["size_mm"] == pytest.approx([304.8, 203.2, 152.4])
    assert shown["mass_kg"] == pytest.approx(4.08233133)
    assert (shown["qty"], shown["disposition"], shown["note"]) == (2, "renew", "worn")


# --- away, find, show, tags, undo, export -----------------------------------------------------------------


def test_away_and_back(things):
    code, until = things.codes["pump"], (date.today() + timedelta(days=30)).isoformat()
    assert has_shape(
        things.json("away", code, "Moss Grinding", "--until", until, "--for", "bushes"), {"seq": int}
    )
    assert things.json("show", code)["where"]["to"] == "Moss Grinding"
    assert has_shape(things.json("back", code, "bench"), {"seq": int})
    assert things.json("show", code)["place"] == "bench"
    assert things.run("back", code).status == 1
    things.json("away", code, "Moss Grinding", "--until", until)
    things.json("back", code)
    assert things.json("show", code)["where"] is None
    assert things.run("away", code, "Moss", "--until", "24.12.2026").status == 65
    assert things.run("away", code, "Moss").status == 64


def test_find(things):
    hits = things.json("find", "stud")
    assert len(hits) == 2
    for hit in hits:
        has_shape(hit, {"id": str, "code": str, "name": str, "place": str, "score": (int, float)})
    things.run("put", things.codes["bag"], "rack/2")
    assert [h["code"] for h in things.json("find", "stud", "--zone", "rack/2")] == [things.codes["bag"]]
    assert [h["name"] for h in things.json("find", "wtaer", "pmup")] == ["water pump"]
    nothing = things.run("find", "gearbox", "--json")
    assert nothing.status == 1 and nothing.data == [] and len(nothing.problems) == 1


def test_show_a_group_with_its_history_and_a_zone(things):
    pump = things.codes["pump"]
    things.run("put", pump, "rack/1", "--by", "Ruth")
    things.run("put", things.codes["bag"], "rack/1")
    shown = things.json("show", pump)
    assert {"id", "code", "name", "place", "history"} <= set(shown)
    assert [event["by"] for event in shown["history"]] == ["tester", "Ruth"]
    level = things.json("show", "rack/1")
    has_shape(
        level,
        {
            "key": str,
            "load_kg": float,
            "unweighed": int,
            "limit_kg": (float, type(None)),
            "free_mm2": (float, int, type(None)),
            "unsized": int,
            "groups": list,
        },
    )
    assert (level["key"], level["load_kg"], level["unweighed"], level["limit_kg"]) == (
        "rack/1",
        4.0,
        1,
        150.0,
    )
    assert {group["code"] for group in level["groups"]} == {pump, things.codes["bag"]}
    assert things.run("show", "no such thing").status == 1


def test_tags(things):
    one = things.json("tags", things.codes["pump"], "rack/1", "-o", "two.pdf", "--start", "21")
    assert (one["labels"], one["pages"], len(one["codes"])) == (2, 2, 2)
    assert things.codes["pump"] in one["codes"]
    assert things.json("tags", "--all", "-o", "all.pdf", "--sheet", "letter-3x10")["labels"] == 4
    zones = things.json("tags", "--zones", "-o", "zones.pdf")
    assert zones["labels"] == 5  # bench, rack, its two levels, the shed's own floor
    for name in ("two.pdf", "all.pdf", "zones.pdf"):
        assert (things.folder / name).read_bytes().startswith(b"%PDF-")
    assert things.run("tags", "--all", "-o", "x.pdf", "--sheet", "a9").status == 65
    assert things.run("tags", "--all", "-o", "none/x.pdf").status == 74
    assert things.run("tags", "-o", "x.pdf").status == 64
    assert things.run("tags", "ZMS0001A", "-o", "x.pdf").status == 65
    assert not (things.folder / "x.pdf").exists()


def test_undo_goes_back_to_nothing_and_stops_where_somebody_else_was(shed):
    code = shed.json("take", "faceplate")["code"]
    shed.json("set", code, "--note", "dropped once")
    assert has_shape(shed.json("undo"), {"undone": int, "seq": int})
    assert shed.json("show", code)["note"] == ""
    shed.json("set", code, "--note", "straight after all", "--by", "Ruth")
    conflict = shed.run("undo")
    assert conflict.status == 1 and "Ruth" in conflict.err
    assert shed.json("undo", "--by", "Ruth")["undone"] == 4
    assert shed.json("undo")["undone"] == 1
    assert shed.run("undo").status == 1
    assert shed.run("show", code).status == 1


def test_export(things):
    things.run("put", things.codes["pump"], "bench")
    things.run("export", "--format", "json", "-o", "all.json")
    whole = json.loads((things.folder / "all.json").read_text("utf-8"))
    assert has_shape(whole, {"schema": (str, int), "seq": int, "groups": list, "events": list})
    assert whole["seq"] == len(whole["events"]) == 5 and len(whole["groups"]) == 4
    for event in whole["events"]:
        assert {"v", "seq", "id", "at", "by", "kind", "subjects", "before", "after"} <= set(event)
    assert things.run("export", "--format", "csv", "-o", "all.csv").status == 0
    with (things.folder / "all.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["code"] for row in rows} >= set(things.codes.values())
    assert things.run("export", "--format", "csv", "-o", "none/all.csv").status == 74


# --- where the shop is; usage -----------------------------------------------------------------------------


def test_the_shop_is_s_else_the_environment_else_here(shed):
    shed.shop.rename(shed.folder / "barn.yaml")
    assert shed.run("find", "x").status == 65
    assert shed.run("-s", "barn.yaml", "take", "x").status == 0
    assert (shed.folder / "barn.ledger").is_dir()
    assert shed.run("find", "x", env={"SHOPBINS_SHOP": "barn.yaml"}).status == 0
    assert shed.run("find", "x", "-s", "barn.yaml", "--ledger", "elsewhere").status == 1
    shed.json("take", "y", "--by", "Ruth", "--ledger", "elsewhere", env={"SHOPBINS_SHOP": "barn.yaml"})
    assert (shed.folder / "elsewhere").is_dir()
    other = shed.json("show", "y", "-s", "barn.yaml", "--ledger", "elsewhere")
    assert other["history"][0]["by"] == "Ruth"


@pytest.mark.parametrize(
    "args",
    [["tkae", "x"], ["take"], ["put", "x"], ["find"], ["export"], ["--bogus"], ["set", "x"], ["undo", "2"]],
)
def test_usage_is_64_in_one_line(shed, args):
    ran = shed.run(*args)
    assert (ran.status, ran.out, len(ran.problems)) == (64, "", 1), ran


def test_every_command_has_help_with_an_example(shed):
    listed = shed.run("--help", anew=True)
    assert listed.status == 0
    for command in (
        *("check", "audit", "take", "put", "set", "away", "back", "find", "show", "tags", "undo"),
        *("export", "demo", "fits"),
    ):
        assert command in listed.out
        helped = shed.run(command, "--help", anew=True)
        assert helped.status == 0 and f"shopbins {command}" in helped.out


# --- nothing acknowledged is lost -------------------------------------------------------------------------

LOOP = "\n".join(
    (
        "import sys",
        "from shopbins.cli import main",
        "for n in range(10_000):",
        "    assert main(['take', f'part {n}']) == 0",
        "    print('said', n, flush=True)",
    )
)


@pytest.mark.parametrize("after", [1, 3, 7, 12])
def test_what_was_said_to_be_done_is_there_after_kill_9(shed, after):
    """A process that records one thing after the other is killed in mid-work, at no chosen instant."""
    process = shed.start(sys.executable, "-c", LOOP)
    assert process.stdout is not None
    said = -1
    for line in process.stdout:
        if line.startswith("said"):
            said = int(line.split()[1])
            if said >= after:
                break
    process.send_signal(signal.SIGKILL)
    rest = process.stdout.read()
    process.wait()
    said = max(
        [
            said,
            *(
                int(line.split()[1])
                for line in rest.splitlines()
                if line.startswith("said ") and line[5:].isdigit()
            ),
        ]
    )
    names = {hit["name"] for hit in shed.json("find", "part", "--limit", "20000")}
    assert {f"part {n}" for n in range(said + 1)} <= names
    assert len(names) <= said + 2
    assert shed.run("take", "one more").status == 0
