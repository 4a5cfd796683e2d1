"""The JSON keys and CSV headings of every list are the contract: what programs and spreadsheets rely on."""

from __future__ import annotations

import csv
import io
from datetime import date
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import pytest

from shopbins import lists
from shopbins.desk import Desk
from shopbins.ledger.whereabouts import whereabouts
from shopbins.lists import show
from shopbins.lists.audit import AUDIT
from shopbins.lists.care import CARE
from shopbins.lists.connections import CONNECTIONS
from shopbins.lists.count import COUNT, counted_rows
from shopbins.lists.fetch import FETCH, stops
from shopbins.lists.groups import FOUND, MACHINES, ON_TRIAL, found, machines
from shopbins.lists.labels import DUE, LAYOUTS
from shopbins.lists.listing import List
from shopbins.lists.milestones import MILESTONES, milestones
from shopbins.lists.moves import STEPS
from shopbins.lists.refit import REFIT, Back
from shopbins.lists.shortages import SHORTAGES
from shopbins.lists.strip import STRIP, came_off
from shopbins.records import care, connection, how, milestone, relation, shortage
from shopbins.strip.care import care as due
from shopbins.strip.connections import connections
from shopbins.strip.count import count
from shopbins.strip.refit import refit
from shopbins.strip.shortages import shortages
from shopbins.tags.due import due_tags
from shopbins.tags.layouts import layouts

DAY = date(2026, 5, 4)
KEYS = {
    "Shortages": "name quantity state needed_before ask_by",
    "Refit list": "code name place waits_for",
    "Strip record": "order code name pieces origin taken_at place how cautions",
    "Care": "name machine done due due_hours overdue gone instead sentence",
    "Wires, hoses and pipes": "mark kind name a b machine joined ends",
    "Milestones": "name move by done first last late_days unknown sentence",
    "Fetch, with few steps": "code name place on_top in_front metres",
    "Found": "id code name place score",
    "On trial": "code name place",
    "Machines": "key name owner job groups",
    "Labels to print": "code name why",
    "Label layouts": "name form labels label_mm sheet_mm dpi source file",
    "Steps of the move": "what title pose keep needs",
    "Count": "code name pieces place why act",
    "Audit": "id rule grade subjects text room at_mm measured limit unit source remedy judged override",
}
HEADINGS = {
    "Shortages": "name|specification|quantity|unit|state|asked of|price|asked|promised|here|days least|"
    "days most|needed before|needed by|ask by|what to do|note",
    "Refit list": "order|code|name|pieces|place|can go back|waits for|cautions",
    "Strip record": "order|code|name|pieces|machine|from|taken at|place|becomes|how it came off|cautions",
    "Count": "what|code|name|pieces|place|why|what closes it",
    "Audit": "id|check|grade|about|what|room|measured|limit|unit|source|what to do|accepted",
}
LISTS: list[List[Any]] = [
    SHORTAGES, REFIT, STRIP, CARE, MILESTONES, CONNECTIONS, FETCH, FOUND, ON_TRIAL, MACHINES,
    DUE, LAYOUTS, STEPS, AUDIT, COUNT,
]  # fmt: skip


@pytest.fixture
def rows(desk: Desk) -> dict[str, list[Any]]:
    """Rows for every list, of one small job."""
    desk.take("crank", origin=("engine", "bottom"), cautions=("sharp", "oily"))
    desk.take("cover", origin=("engine", "top"), qty=2)
    desk.do(relation.BEFORE("cover", firsts=["crank"]), how.HOW("crank", trick="heat", left_hand=True))
    desk.do(milestone.SET(name="closed", needs=["crank"], by="2026-06-01"))
    desk.do(
        shortage.ADD(name="clutch plate", positions=["crank"], days="3-5", spec="240 mm", ask_of="Hansen")
    )
    desk.do(shortage.ADD(name="=cmd()", qty=3, unit="tubes"))
    desk.do(care.ADD(name="hoses", every_days="1 year", done="2020-01-01", machine="engine"))
    desk.do(connection.CONNECT(name="fuel feed", kind="hose", a="lift pump", b="filter"))
    backs = [
        Back(n, each, "" if each.group is None else whereabouts(desk.state, each.group.where), ())
        for n, each in enumerate(refit(desk.state), 1)
    ]
    parts = [found(desk.state, each) for each in desk.state.group_ids()]
    return {
        "Shortages": shortages(desk.state, DAY), "Refit list": backs, "Care": due(desk.state, DAY),
        "Wires, hoses and pipes": connections(desk.state),
        "Strip record": came_off(desk.state), "Milestones": milestones(desk.state, DAY),
        "Fetch, with few steps": stops(desk.scene(), desk.state.group_ids()),
        "Found": parts, "On trial": parts, "Machines": machines(desk.state, desk.shop),
        "Labels to print": due_tags(desk.state, desk.shop), "Label layouts": list(layouts().values()),
        "Steps of the move": [{"what": "do", "title": "chock it"}], "Audit": desk.audit(DAY),
        "Count": counted_rows(desk.state, count(desk.state, None, DAY).lines),
    }  # fmt: skip


def test_every_list_there_is_is_kept() -> None:
    modules = [import_module(f"{lists.__name__}.{each.name}") for each in iter_modules(lists.__path__)]
    there = {each.title for module in modules for each in vars(module).values() if isinstance(each, List)}
    assert there == set(KEYS) == {each.title for each in LISTS}


@pytest.mark.parametrize("listed", LISTS, ids=lambda each: each.title)
def test_keys_and_headings_are_kept(rows: dict[str, list[Any]], listed: List[Any]) -> None:
    data = show.json(listed, rows[listed.title])
    assert data and all(list(row) == KEYS[listed.title].split() for row in data)
    table = list(csv.reader(io.StringIO(show.csv(listed, rows[listed.title]).decode("utf-8-sig"))))
    assert len(table) == len(data) + 1
    if listed.title in HEADINGS:
        assert "|".join(table[0]) == HEADINGS[listed.title]


@pytest.mark.parametrize("listed", LISTS, ids=lambda each: each.title)
def test_every_form_says_the_same_of_a_row(rows: dict[str, list[Any]], listed: List[Any]) -> None:
    for row, said in zip(rows[listed.title], show.json(listed, rows[listed.title]), strict=True):
        text = "\n".join(show.text(listed, [row]))
        if "name" in said:
            assert said["name"] in text
        assert len(show.cells(listed, row)) == sum(1 for each in listed.columns if each.cells)
    assert show.pdf(listed, rows[listed.title], "engine", "foot").startswith(b"%PDF")
    assert show.text(listed, []) == [] and show.pdf(listed, []).startswith(b"%PDF")


def test_a_shortage_is_painted_by_its_dates_not_by_its_name(rows: dict[str, list[Any]], desk: Desk) -> None:
    """'clutch plate' has 'late' in it, 'ago' is in 'Chicago': neither is late for that."""
    looks = {row.name: show.cells(SHORTAGES, row)[-1][1] for row in rows["Shortages"]}
    assert looks == {"clutch plate": "", "=cmd()": ""}
    late = shortages(desk.state, date(2026, 5, 30))
    assert {row.name: row.late for row in late} == {"clutch plate": True, "=cmd()": False}
    desk.do(shortage.SET("clutch plate", promised="2026-05-20"))
    (plate,) = [row for row in shortages(desk.state, DAY) if row.name == "clutch plate"]
    assert not plate.late
    (plate,) = [row for row in shortages(desk.state, date(2026, 5, 21)) if row.name == "clutch plate"]
    assert plate.late, "promised, and not here"


def test_no_cell_is_a_formula(rows: dict[str, list[Any]]) -> None:
    """OWASP, CSV injection."""
    assert b"'=cmd()" in show.csv(SHORTAGES, rows["Shortages"])


def test_the_text_of_each(rows: dict[str, list[Any]], desk: Desk) -> None:
    crank, cover = (desk.names.group(name).code for name in ("crank", "cover"))
    lies = whereabouts(desk.state, desk.names.group("crank").where)
    assert show.text(STRIP, rows["Strip record"]) == [
        f"   1  {crank}  crank · engine > bottom · {lies}",
        "        caution: sharp",
        "        caution: oily",
        "        LEFT-HAND THREAD",
        "        trick: heat",
        f"   2  {cover}  cover x2 · engine > top · {lies}",
    ]
    assert show.text(REFIT, rows["Refit list"])[:2] == [
        f"> {cover}  cover x2 · {lies}",
        f"  {crank}  crank · {lies}",
    ]
    assert show.text(SHORTAGES, rows["Shortages"])[1].startswith("=cmd() x3 tubes: ")
    assert show.text(SHORTAGES, rows["Shortages"])[0].startswith("clutch plate, 240 mm: ask")
    assert show.text(CARE, rows["Care"]) == ["! hoses: overdue since 2020-12-31"]
    assert show.cells(CARE, rows["Care"][0]) == [
        ("▲ overdue", "correct"), ("hoses: overdue since 2020-12-31", "correct"), ("engine", "dim"),
    ]  # fmt: skip
    assert show.cells(MILESTONES, rows["Milestones"][0])[:2] == [("closed", ""), ("2", "")]


def test_what_came_off_in_no_known_order_is_last_with_a_mark(desk: Desk) -> None:
    desk.take("found in a box", origin=("engine",), ordered=False)
    desk.take("sump", origin=("engine",))
    lines = show.text(STRIP, came_off(desk.state))
    assert [line[:4] for line in lines] == ["   1", "   ?"]
    assert show.json(STRIP, came_off(desk.state, "nosuch")) == []
