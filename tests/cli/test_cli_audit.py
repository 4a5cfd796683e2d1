"""`shopbins audit`: coverage, what is new, gone and closed since a day, and a handful of lines for people."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from shopbins.desk import Desk, audits
from shopbins.rules.finding import PAPERWORK
from shopbins.rules.registry import RULES

Run = Callable[..., Any]
EXT = """\
keep clear:
  ext 1: {room: barn, at: [0, 2000], size: [300, 300], why: extinguisher, for: [A, B]}
  ext 2: {room: barn, at: [0, 3000], size: [300, 300], why: extinguisher}
"""
ROW = {"check", "state", "things", "judged", "why", "set", "advice_set", "source"}
GAP = "not-judged/extinguisher-travel/keep clear:ext 2"


def test_every_check_has_its_row_once(run: Run) -> None:
    rows = run("audit", "--json").data["coverage"]
    assert [row["check"] for row in rows] == [rule.key for rule in RULES if rule.each]
    assert all(set(row) == ROW for row in rows)
    assert {row["state"] for row in rows} <= {"judged", "partly", "not judged", "not applicable"}
    assert all(0 <= row["judged"] <= row["things"] for row in rows)
    assert all(row["why"] for row in rows if row["state"] != "judged")


def test_a_gap_closes_when_its_figure_comes(run: Run, shop: Path) -> None:
    # dismissed the row stays; with the class written the note is gone and told as closed
    shop.write_text(shop.read_text().replace("prefix: LB\n", "prefix: LB\nrules: us\nunits: metric\n") + EXT)
    first = run("audit", "--json").data
    assert GAP in {f["id"] for f in first["findings"]}
    row = next(r for r in first["coverage"] if r["check"] == "extinguisher-travel")
    assert (row["state"], row["things"], row["judged"]) == ("partly", 2, 1)
    assert run("accept", GAP, "scrapped soon", "--by", "ann").status == 0
    row = next(r for r in run("audit", "--json").data["coverage"] if r["check"] == "extinguisher-travel")
    assert row["state"] == "partly" and "dismissed by ann" in row["why"]
    shop.write_text(
        shop.read_text().replace("[300, 300], why: extinguisher}", "[300, 300], why: extinguisher, for: [B]}")
    )
    today = date.today().isoformat()
    after = run("audit", "--since", today, "--json").data
    assert after["closed"] == [GAP]
    assert GAP not in after["new"] + after["gone"]
    assert "closed: 1" in run("audit", "--since", today).out


def test_what_is_new_and_gone_by_the_ledger_alone(run: Run) -> None:
    code = run("take", "case", "--container", "box", "--mass", "120kg", "--json").data["code"]
    run("put", code, "rack/1", "--override", "for now")
    found = run("audit", "--since", "2020-01-01", "--json").data
    assert "level-load/zone:rack/1" in found["new"]
    assert run("audit", "--since", "soon").status == 65


def test_a_small_shop_of_its_own_rules_sees_a_handful(run: Run, shop: Path) -> None:
    shop.write_text(shop.read_text() + EXT.replace(", for: [A, B]", ""))
    for n in range(4):
        run("take", f"part {n}", "--size", "300x200x100mm", "--mass", "4kg")
        run("put", f"part {n}", "rack")
    out = run("audit").out
    notes = [
        line for line in out.splitlines() if line[:1] in ("-", "?") and line[1:2] == " " and line[2:3] == " "
    ]
    assert len(notes) <= 6, out
    assert "Looked at: " in out and "local codes" in out.splitlines()[-1]
    assert "safe" not in out.split()


def test_the_list_behind_the_counts(run: Run) -> None:
    out = run("audit", "--coverage").out
    assert "does not apply: " in out and "never looked at: locks on exits" in out
    assert len(run("audit", "--all").out) > 0


def test_since_is_the_morning_of_that_day_not_the_last_audit(run: Run, shop: Path) -> None:
    # an audit kept in 2020, much recorded since: what stood on the morning asked for is not new
    run("take", "case", "--container", "box", "--mass", "120kg")
    run("put", "case", "rack/1", "--override", "for now")
    kept = shop.with_name("shop.ledger") / "audits.json"
    kept.write_text('{"2020-01-05": {"first": [], "last": []}}')
    tomorrow = date.today() + timedelta(days=1)
    with Desk.open(shop, readonly=True) as desk:
        was, told = audits._before(desk, tomorrow)
        assert "level-load/zone:rack/1" in was and told.startswith(tomorrow.isoformat())
        was, told = audits._before(desk, date(2020, 1, 6))
        assert (was, told) == (set(), "2020-01-05")


def test_since_today_of_a_ledger_begun_today(run: Run) -> None:
    # when the day began nothing was recorded: all that was found since is new, and nothing is gone
    for name in ("one", "two"):
        code = run("take", name, "--container", "box", "--mass", "120kg", "--json").data["code"]
        run("put", code, "rack/1", "--override", "for now")
        found = run("audit", "--json").data
    today = run("audit", "--since", date.today().isoformat(), "--json").data
    groups = {each["id"] for each in found["findings"] if "group:" in each["id"]}
    assert groups and groups <= set(today["new"]) and not today["gone"]
    assert "Since 2020-01-01" in run("audit", "--since", "2020-01-01").out


def test_an_id_that_got_another_member_is_not_gone() -> None:
    assert audits._same("liquids-open/group:a", "liquids-open/group:a+group:b")
    assert not audits._same("liquids-open/group:a", "liquids-open/group:b")
    assert not audits._same("rags/group:a", "oxygen/group:a")


def test_the_head_says_in_how_many_of_the_findings_of_json_its_things_are_told(run: Run, shop: Path) -> None:
    for n in range(3):
        run("take", f"can {n}", "--size", "300x200x100mm", "--mass", "4kg")
        run("put", f"can {n}", "rack")
    found, head = run("audit", "--json").data["findings"], run("audit").out.splitlines()[0]
    told = [f for f in found if f["grade"] != "note" and f["rule"] not in PAPERWORK and not f["override"]]
    stops_and_fixes = sum(int(n) for n in re.findall(r"(\d+) (?:stops?|to fix)", head))
    assert stops_and_fixes == len(told) or f"in {len(told)} finding" in head
