"""Every key of the Refit, and those about taking off and putting back on Parts and Refit."""

from datetime import date

import pytest

from shopbins.desk import Desk
from shopbins.ledger.model import Fitted, InZone
from shopbins.records import shortage, work
from shopbins.records.fitting import FIT, OFF
from shopbins.records.group import CHANGE
from shopbins.records.inspection import INSPECT
from shopbins.records.matched import MATCH
from shopbins.records.relation import BEFORE
from shopbins.strip.care import care
from shopbins.strip.count import Stands, count
from shopbins.strip.release import rejected
from shopbins.strip.shortages import shortages
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.form import Form
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.dialogs.reach import Reach
from shopbins.tui.dialogs.several import Several
from shopbins.tui.refit.lists import VIEWS, Care, Counted, Ends, Milestones, Shortages
from shopbins.tui.refit.screen import WORKING
from shopbins.tui.refit.views import All, Next, Only
from shopbins.tui.widgets.linelist import LineList

DAY = date(2026, 5, 4)


@pytest.fixture
async def refit(bench, opened):
    """The engine's four groups on the Refit: the block first off, then valves, head 1, sea water pump."""
    async with opened(bench, "5", today=lambda: DAY) as pilot:
        yield pilot


async def show(pilot, view):
    """Go to one of the lists by the key."""
    on = VIEWS.index(view) - VIEWS.index(type(pilot.app.screen.view))
    await pilot.press(*["v"] * (on % len(VIEWS)))
    await pilot.settled()
    assert isinstance(pilot.app.screen.view, view)


async def to(pilot, word):
    """Put the cursor on a group."""
    assert pilot.app.screen.go_to_group(pilot.bench.ids[word])
    await pilot.pause()


def names(pilot, rows):
    return [row[0].strip() for row in rows(pilot.app.screen.lines)]


def status(pilot, word):
    return pilot.bench.group(word).where


async def test_it_opens_on_what_can_go_back_now(refit, rows):
    assert refit.app.current_mode == "refit"
    assert names(refit, rows) == ["sea water pump"], "the last off; nobody said where the studs belong"
    text = str(refit.app.screen.query_one("#detail").render())
    assert "4th off, from cooling" in text and "r fits it" in text


async def test_v_goes_through_all_lists_and_shift_tab_back(refit):
    seen = []
    for _ in VIEWS:
        seen.append(type(refit.app.screen.view))
        await refit.press("v")
        await refit.settled()
    assert tuple(seen) == VIEWS
    assert isinstance(refit.app.screen.view, Next)
    await refit.press("shift+tab")
    assert isinstance(refit.app.screen.view, Care)


async def test_o_puts_on_and_the_next_is_free(refit, rows):
    await to(refit, "pump")
    await refit.press("r")
    await refit.settled()
    assert isinstance(status(refit, "pump"), Fitted)
    assert names(refit, rows) == ["cylinder head 1"]
    await refit.press("u")
    await refit.settled()
    assert status(refit, "pump") is None, "u takes it back"


async def test_what_is_put_on_out_of_order_says_what_was_passed_over(refit, said):
    """By the order things came off in, the pump goes on before the block: it does not bind, it is said."""
    await show(refit, All)
    await to(refit, "block")
    await refit.press("r")
    await refit.settled()
    assert isinstance(status(refit, "block"), Fitted)
    told = said(refit.app)
    assert "sea water pump" in told and "are still off (only the order they came off in)" in told
    await refit.press("u")
    await refit.settled()
    await to(refit, "pump")
    await refit.press("r")
    await refit.settled()
    assert "still off" not in said(refit.app), "nothing came off after it"


async def test_off_again(refit, frame):
    await to(refit, "pump")
    await refit.press("r")
    await refit.settled()
    await show(refit, Counted)
    refit.bench.desk.do(OFF(refit.bench.ids["pump"]))
    refit.app.changed()
    await refit.settled()
    await to(refit, "pump")
    await refit.press("a", "o")
    assert "off again: it is off" in frame(refit.app), "the menu says why not"


async def test_putting_back_what_waits_asks_for_a_reason_and_keeps_it(refit):
    desk = refit.bench.desk
    desk.do(work.LIST(refit.bench.ids["pump"], points=["clean"]))
    refit.app.changed()
    await to(refit, "pump")
    await refit.press("r")
    await refit.pause()
    assert isinstance(refit.app.screen, Pick)
    await refit.press("escape")
    assert status(refit, "pump") is None
    await refit.press("r")
    await refit.pause()
    await refit.press("enter")
    assert status(refit, "pump") is None, "enter alone decides nothing"
    await refit.press("2")
    await refit.settled()
    assert isinstance(status(refit, "pump"), Fitted)
    (kept,) = desk.state.docs("accepted").values()
    assert (
        kept["for_now"]
        and "closed up for now" in kept["why"]
        and kept["by"] == desk.by
        and kept["waited_for"] == ["cleaning"]
    )


async def test_a_reason_holds_for_what_was_shown_and_no_more(refit):
    """Another adds to what it waits for while the box stands: it comes anew with all there is."""
    desk, head = refit.bench.desk, refit.bench.ids["head"]
    await show(refit, All)
    await to(refit, "head")
    desk.do(work.LIST(head, points=["crack test"]))
    refit.app.changed()
    await refit.press("r")
    await refit.pause()
    with Desk.open(refit.bench.path, by="Otto") as other:
        other.do(work.LIST(head, points=["crack test", "ream"]))
    await refit.press("1")
    await refit.settled()
    assert not isinstance(status(refit, "head"), Fitted) and not desk.state.docs("accepted")
    assert isinstance(refit.app.screen, Pick) and any("ream" in each for each in refit.app.screen._says)
    await refit.press("1")
    await refit.settled()
    (kept,) = desk.state.docs("accepted").values()
    assert any("ream" in each for each in kept["waited_for"])


async def test_what_lies_in_it_is_asked_about(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    desk.do(CHANGE(ids["studs"], origin=(*desk.state.group(ids["pump"]).origin, "sea water pump")))
    desk.put_into(ids["studs"], ids["pump"])
    refit.app.changed()
    await to(refit, "pump")
    await refit.press("r")
    await refit.pause()
    assert isinstance(refit.app.screen, Pick)
    await refit.press("2")
    await refit.settled()
    assert status(refit, "pump") is None
    assert "take out first: tub of studs" in refit.app.said_line().plain
    await refit.press("r")
    await refit.pause()
    await refit.press("1")
    await refit.settled()
    assert isinstance(status(refit, "pump"), Fitted) and status(refit, "studs").how == "fitted"


async def test_a_trial_leaves_the_count_as_it_was(refit):
    before = count(refit.bench.desk.state)
    await to(refit, "pump")
    await refit.press("a", "t")
    await refit.settled()
    assert status(refit, "pump").trial
    tried = count(refit.bench.desk.state)
    assert tried.balance["came"] == before.balance["came"] and tried.balance["trial"] == 1
    await to(refit, "pump")
    await refit.press("a", "t")
    await refit.settled()
    assert status(refit, "pump") is None


async def test_what_came_off_first_in_one_key_with_the_likeliest_offered(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    await show(refit, All)
    await to(refit, "head")
    await refit.press("a", "u")
    await refit.pause()
    assert isinstance(refit.app.screen, Several)
    await refit.press("enter")
    await refit.settled()
    assert f"{ids['valves']}|{ids['head']}" in desk.state.docs("before"), "what came off right before it"
    await refit.press("a", "u")
    await refit.pause()
    assert "recorded: inlet valves" in "\n".join(str(w.render()) for w in refit.app.screen.query(".says"))
    await refit.press(*"pump", "tab", *"pallet", "enter")
    await refit.settled()
    assert f"{ids['pump']}|{ids['head']}" in desk.state.docs("before")
    assert f"{ids['pallet']}|{ids['head']}" in desk.state.docs("before")


async def test_nothing_had_to_is_an_answer(refit, rows):
    await show(refit, All)
    await to(refit, "head")
    await refit.press("a", "u", "up", "enter")
    await refit.settled()
    assert refit.bench.desk.position(refit.bench.ids["head"]).asked
    assert not refit.bench.desk.state.docs("before")


async def test_a_scanned_code_answers_it(refit):
    await show(refit, All)
    await to(refit, "head")
    await refit.press("a", "u", *refit.bench.code("valves"), "enter")
    await refit.settled()
    ids = refit.bench.ids
    assert list(refit.bench.desk.state.docs("before")) == [f"{ids['valves']}|{ids['head']}"]


async def test_a_circle_is_refused_by_name(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    desk.do(BEFORE(ids["valves"], firsts=[ids["head"]]))
    refit.app.changed()
    await show(refit, All)
    await to(refit, "head")
    await refit.press("a", "u", *"inlet", "enter")
    await refit.settled()
    assert "circle: inlet valves before cylinder head 1" in refit.app.said_line().plain


async def test_what_must_come_off_and_taking_it_off_from_there(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    desk.do(BEFORE(ids["block"], firsts=[ids["valves"]]))
    desk.do(BEFORE(ids["valves"], firsts=[ids["head"]]))
    for word in ("block", "valves", "head"):
        desk.do(FIT(ids[word], anyway="for the test"))
    refit.app.changed()
    await refit.press("f10", "g")
    await refit.pause()
    await refit.press(*"engine block", "enter")
    await refit.settled()
    assert isinstance(refit.app.screen, Reach)
    assert "2 things still to come off" in str(refit.app.screen.query_one("#title").render())
    await refit.press("enter")
    await refit.settled()
    assert status(refit, "head") is None
    await refit.press("enter")
    await refit.settled()
    assert status(refit, "valves") is None
    assert "nothing is in the way" in str(refit.app.screen.query_one("#title").render())
    await refit.press("enter")
    assert "off already" in refit.app.said_line().plain
    await refit.press("escape")


async def test_a_listed_part_that_never_came_off_comes_off_from_there(refit):
    desk = refit.bench.desk
    sheet = desk.read_parts(b"name,assembly,qty\ncamshaft,timing,1\nthrust plate,timing,2\n", None, "engine")
    desk.import_parts(sheet)
    plate, shaft = desk.names.one("position", "thrust plate"), desk.names.one("position", "camshaft")
    desk.do(BEFORE(shaft, firsts=[plate]))
    refit.app.changed()
    await refit.press("f10", "g", *"camsh", "enter")
    await refit.settled()
    await refit.press("enter")
    await refit.settled()
    taken = next(g for g in desk.state.groups() if g.name == "thrust plate")
    assert (taken.qty, taken.parts, taken.origin) == (2, (plate,), ("engine", "timing"))


async def test_work_is_ticked_off(refit):
    await to(refit, "pump")
    await refit.press("j")
    await refit.pause()
    await refit.press(*["down"] * 5, "enter")
    await refit.settled()
    assert refit.bench.group("pump").work[0].what == "clean", "as a pump"
    await show(refit, All)
    await to(refit, "pump")
    await refit.press("j", "enter")
    await refit.settled()
    assert refit.bench.group("pump").work[0].done
    await refit.press("j")
    await refit.pause()
    assert any(choice.text == "clean" and "again" in choice.value for choice in refit.app.screen._choices)
    await refit.press("escape")


async def test_an_inspection_is_judged_as_typed_and_beyond_asks_what_then(refit):
    await to(refit, "pump")
    await refit.press("a", "i", *"shaft, 14.91 mm, at least 14.95 mm")
    await refit.pause()
    assert isinstance(refit.app.screen, Form)
    assert "0.04 mm below its limit" in str(refit.app.screen.query_one("#told").render())
    await refit.press("enter")
    await refit.settled()
    assert isinstance(refit.app.screen, Pick)
    await refit.press("1")
    await refit.settled()
    pump = refit.bench.group("pump")
    assert pump.disposition == "renew"
    (lack,) = shortages(refit.bench.desk.state, DAY)
    assert (lack.name, lack.doc["replaces"]) == ("sea water pump", pump.id)


async def test_pieces_beyond_their_limit_are_split_off_with_their_values(refit):
    """Of how many pieces the values are is asked where they are of two characteristics."""
    desk, valves = refit.bench.desk, refit.bench.ids["valves"]
    for what, measured in (("stem", "worn"), ("seat", "cracked")):
        desk.do(INSPECT(valves, what=what, measured=measured))
    refit.app.changed()
    before = refit.bench.group("valves").qty
    await to(refit, "valves")
    await refit.press("a", "x")
    await refit.pause()
    assert [choice.value for choice in refit.app.screen._choices] == ["beyond", "some"]
    await refit.press("1")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask)
    await refit.press("2", "enter")
    await refit.settled()
    assert refit.bench.group("valves").qty == before - 2
    assert not rejected(desk.state, valves, DAY)
    (part,) = [each for each in desk.state.groups() if rejected(desk.state, each.id, DAY)]
    assert part.qty == 2


async def test_an_inspection_has_rows_filled_by_its_line_and_judged_by_each(refit):
    """The line fills what, measured, min, max; a row typed by itself is judged anew and recorded from."""
    await to(refit, "pump")
    await refit.press("a", "i", *"shaft, 14.91 mm, at least 14.95 mm")
    await refit.pause()
    form = refit.app.screen
    shown = {row: form.query_one(f"#row-{row}").value for row in ("what", "measured", "low", "high")}
    assert shown == {"what": "shaft", "measured": "14.91 mm", "low": "14.95 mm", "high": ""}
    form.query_one("#row-measured").focus()
    await refit.press(*["backspace"] * 8, *"14.96 mm")
    await refit.pause()
    assert "within at least 14.95 mm" in str(form.query_one("#told").render())
    form.query_one("#row-instrument").focus()
    await refit.press(*"micrometer", "enter")
    await refit.settled()
    (doc,) = refit.bench.desk.state.docs("inspection").values()
    assert (doc["measured_mm"], doc["low_mm"], doc["instrument"]) == (14.96, 14.95, "micrometer")


async def test_what_waits_for_its_inspection_takes_the_value_by_m(refit):
    """Below the row stands the key; m opens the form, and the line is no longer told once it is within."""
    refit.bench.desk.do(work.LIST(refit.bench.ids["pump"], points=["inspect"]))
    refit.app.changed()
    await refit.settled()
    await show(refit, All)
    await to(refit, "pump")
    assert "to inspect · m types the value in" in str(refit.app.screen.query_one("#detail").render())
    await refit.press("m", *"shaft, 14.96 mm, at least 14.95 mm", "enter")
    await refit.settled()
    (doc,) = refit.bench.desk.state.docs("inspection").values()
    assert doc["verdict"] == "within"
    await to(refit, "pump")
    assert "m types the value in" not in str(refit.app.screen.query_one("#detail").render())


async def test_an_inspection_that_cannot_be_read_loses_nothing(refit):
    await to(refit, "pump")
    await refit.press("a", "i", *"shaft, 3 stones", "enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Form)
    assert refit.app.screen.query_one("#quick").value == "shaft, 3 stones"
    await refit.press("escape")
    assert not refit.bench.desk.state.docs("inspection")


async def test_one_key_renews_a_one_use_item(refit):
    await show(refit, All)
    await to(refit, "studs")
    await refit.press("a", "n")
    await refit.settled()
    assert refit.bench.group("studs").disposition == "renew"
    await show(refit, Shortages)
    assert refit.app.screen.current().name == "tub of studs"


async def test_renewing_what_is_on_shows_what_comes_off_first(refit):
    await to(refit, "pump")
    refit.bench.desk.do(FIT(refit.bench.ids["pump"]))
    await refit.press("a", "n")
    await refit.settled()
    assert isinstance(refit.app.screen, Reach)
    assert refit.bench.group("pump").disposition == "undecided"
    await refit.press("escape")


async def test_a_shortage_in_one_line_and_its_whole_way(refit):
    desk = refit.bench.desk
    await show(refit, Shortages)
    await refit.press("plus", *"impeller, 2 off, 10-20 days, of Hansen, 31 EUR, nitrile, for sea water pump")
    while refit.app.screen.query_one("#row-positions").value != "sea water pump":
        await refit.pause()
    rows = {key: refit.app.screen.query_one(f"#row-{key}").value for key in ("days", "positions", "spec")}
    assert rows == {"days": "10-20 days", "positions": "sea water pump", "spec": "nitrile"}
    await refit.press("enter")
    await refit.pause()
    assert "impeller: ask for it" in str(refit.app.screen.query_one("#log").render())
    await refit.press("escape")
    await refit.settled()
    (key,) = desk.state.docs("shortage")
    doc = desk.state.docs("shortage")[key]
    assert doc["positions"] == [refit.bench.ids["pump"]]
    assert (doc["qty"], doc["days"], doc["ask_of"], doc["price"]) == (2, [10.0, 20.0], "Hansen", "31 EUR")
    await refit.press("enter", "1")
    await refit.settled()
    assert desk.state.docs("shortage")[key]["asked"] == DAY.isoformat()
    await refit.press("enter", "2", *"2026-05-20", "enter")
    await refit.settled()
    assert desk.state.docs("shortage")[key]["promised"] == "2026-05-20"
    await refit.press("enter", "3")
    await refit.settled()
    assert desk.state.docs("shortage")[key]["state"] == "here"


async def test_what_comes_for_an_empty_place_is_laid_down_at_once(refit):
    desk = refit.bench.desk
    desk.do(shortage.RENEW(refit.bench.ids["pump"]))
    refit.app.changed()
    await show(refit, Shortages)
    await refit.press("enter", "3")
    await refit.pause()
    assert isinstance(refit.app.screen, Pick)
    await refit.press(*"rack a/2", "enter")
    await refit.settled()
    (new,) = [g for g in desk.state.groups() if g.brought]
    assert isinstance(new.where, InZone) and new.where.zone == "rack a"


async def test_a_shortage_not_needed_and_one_that_cannot_be_read(refit):
    await show(refit, Shortages)
    await refit.press("plus", *"putty, promised", "enter")
    await refit.pause()
    assert "no date is given" in str(refit.app.screen.query_one("#wrong").render())
    await refit.press("ctrl+u", *"putty", "enter", "escape")
    await refit.settled()
    await refit.press("enter", "5", *"found some", "enter")
    await refit.settled()
    assert refit.app.screen.lines.count == 0


async def test_a_form_with_a_part_nobody_knows_keeps_what_was_typed_and_names_the_word(refit):
    await show(refit, Shortages)
    typed = "seal kit, 12 EUR, for camshafft gear"
    await refit.press("plus", *typed, "enter")
    await refit.settled()
    form = refit.app.screen
    assert "camshafft gear" in str(form.query_one("#fault-positions").render())
    assert form.query_one("#quick").value == typed and form.query_one("#row-price").value == "12 EUR"
    assert not refit.bench.desk.state.docs("shortage")
    form.query_one("#row-positions").value = "sea water pump"
    await refit.press("enter")
    await refit.settled()
    assert "seal kit" in str(form.query_one("#log").render()) and form.query_one("#quick").value == ""


async def test_what_a_shortage_lacks_is_typed_in_where_it_stands(refit):
    """The answer says that m types the days in; they are asked first, and it then says when to ask."""
    desk = refit.bench.desk
    desk.do(shortage.ADD(name="seal kit", ask_of="Hansen"))
    refit.app.changed()
    await show(refit, Shortages)
    assert "not known: m types it in" in str(refit.app.screen.query_one("#detail").render())
    await refit.press("m", *"10-20", "enter", "enter", "enter")
    await refit.settled()
    (doc,) = desk.state.docs("shortage").values()
    assert (doc["days"], doc["ask_of"]) == ([10.0, 20.0], "Hansen")
    assert "not known" not in str(refit.app.screen.query_one("#detail").render())


async def test_the_part_at_hand_waits_for_the_shortage_typed(refit):
    await to(refit, "pump")
    await refit.press("a", "s", *"seal kit", "enter", "escape")
    await refit.settled()
    (doc,) = refit.bench.desk.state.docs("shortage").values()
    assert doc["positions"] == [refit.bench.ids["pump"]]
    await show(refit, All)
    await to(refit, "pump")
    assert "shortage: seal kit" in str(refit.app.screen.query_one("#detail").render())


async def test_an_empty_place_is_struck_out_and_back(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    desk.do(CHANGE(ids["pump"], disposition="scrap"))
    refit.app.changed()
    await show(refit, All)
    assert refit.app.screen.current_group() is None
    assert refit.app.screen.current_position() == ids["pump"]
    await refit.press("a", "0", *"radiator instead", "enter")
    await refit.settled()
    assert desk.state.docs("part")[ids["pump"]]["struck"] == "radiator instead"


async def test_how_it_came_off_is_shown_when_it_goes_back(refit):
    await to(refit, "pump")
    await refit.press("a", "y", *"left-hand; shims 2 x 0.05 mm front", "enter")
    await refit.settled()
    assert "LEFT-HAND THREAD" in str(refit.app.screen.query_one("#detail").render())
    await refit.press("r")
    await refit.settled()
    assert "2 shims 0.050 mm at front" in refit.app.said_line().plain


async def test_cautions_are_picked_and_shown_wherever_it_is_handled(refit):
    await to(refit, "pump")
    await refit.press("a", "w", *"sharp", "enter")
    await refit.settled()
    assert refit.bench.group("pump").cautions == ("sharp",)
    assert "caution: sharp" in str(refit.app.screen.query_one("#detail").render())
    await refit.press("a", "w", *"still full of oil", "enter")
    await refit.settled()
    assert refit.bench.group("pump").cautions == ("sharp", "still full of oil")
    await refit.press("2")
    await refit.settled()
    assert "caution: sharp" in refit.app.screen.query_one("#about").text
    await refit.press(*refit.bench.code("pump"), "enter")
    await refit.pause()
    assert "caution: sharp" in str(refit.app.screen.query_one("#findings").render())
    await refit.press("escape")


async def test_last_seen(refit):
    await to(refit, "studs")
    await refit.press("h")
    await refit.pause()
    assert isinstance(refit.app.screen, Page)
    text = "\n".join(refit.app.screen._lines)
    assert "tub of studs · 2nd off · rack a/1" in text and "put down tub of studs: rack a/1" in text
    await refit.press("escape")


async def test_no_photographs_is_said(refit):
    await to(refit, "pump")
    await refit.press("a", "v")
    assert "no photographs" in refit.app.said_line().plain


async def test_milestones_their_chain_and_what_goes_on_after(refit, rows):
    desk = refit.bench.desk
    desk.do(BEFORE(refit.bench.ids["pump"], firsts=[refit.bench.ids["head"]]))
    await show(refit, Milestones)
    await refit.press("plus", *"head on, 2026-06-01, cylinder head 1", "enter")
    await refit.settled()
    assert desk.state.docs("milestone")["head on"]["by"] == "2026-06-01"
    await refit.press("enter", "5", *"sea water pump", "enter")
    await refit.settled()
    told = str(refit.app.screen.query_one("#wrong").render())
    assert "circle" in told, "the pump goes on before the head; the line stays"
    await refit.press("ctrl+u", "escape", "escape")
    await refit.settled()
    await refit.press("enter", "1")
    await refit.settled()
    assert isinstance(refit.app.screen.view, All)
    assert "only for head on" in refit.app.screen.head_note()
    assert [row[1] for row in rows(refit.app.screen.lines)] == ["cylinder head 1"] or len(
        rows(refit.app.screen.lines)
    ) == 2
    await refit.press("escape")
    await show(refit, Milestones)
    await refit.press("enter", "2")
    await refit.settled()
    assert isinstance(refit.app.screen, Ask), "parts are off: it is asked why it is reached anyway"
    assert not desk.state.docs("milestone")["head on"].get("done")
    await refit.press(*"tried on the bench", "enter")
    await refit.settled()
    assert desk.state.docs("milestone")["head on"]["done"]
    await refit.press("enter", "3", "ctrl+u", *"2026-07-01", "enter")
    await refit.settled()
    if isinstance(refit.app.screen, Ask):
        await refit.press(*"the grinder is late", "enter")
        await refit.settled()
    await refit.press("enter", "4", *"inlet valves", "enter")
    await refit.settled()
    assert desk.state.docs("milestone")["head on"]["by"] == "2026-07-01"
    assert refit.bench.ids["valves"] in desk.state.docs("milestone")["head on"]["positions"]
    await refit.press("enter", "7")
    await refit.settled()
    if isinstance(refit.app.screen, Ask):
        await refit.press(*"no longer wanted", "enter")
        await refit.settled()
    assert not desk.state.docs("milestone")


async def test_narrowing(refit, rows):
    await show(refit, All)
    every = refit.app.screen.lines.count
    await refit.press("f", *"engine", "enter")
    await refit.settled()
    assert 0 < refit.app.screen.lines.count < every
    await refit.press("escape")
    assert refit.app.screen.lines.count == every


@pytest.mark.parametrize("width", [80, 120])
async def test_one_machine_of_two_with_parts_of_one_name(bench, opened, rows, frame, width):
    """The count of one machine does not read as that of all; two parts of one name do not read as one."""
    for machine in ("engine", "lathe"):
        desk = bench.desk
        group = desk.take("shear pin", origin=(machine, "gearbox"))
        desk.do(BEFORE(group.id, firsts=[]))
    desk.do(FIT(group.id))
    async with opened(bench, "5", today=lambda: DAY, size=(width, 24)) as pilot:
        await show(pilot, Counted)
        pilot.app.screen._only = Only(machine="lathe")
        pilot.app.changed()
        await pilot.settled()
        assert len(rows(pilot.app.screen.lines)) == 2, "what nobody knows the home of is of every machine"
        assert frame(pilot.app).count("lathe") >= 2, "in the head and below the list"
        assert "only lathe" in frame(pilot.app).splitlines()[0]
        await show(pilot, Shortages)
        assert "lathe" not in frame(pilot.app).splitlines()[0], "that list is of all machines"
        desk.do(OFF(group.id))
        pilot.app.screen._only = Only()
        pilot.app.changed()
        for view in (Next, All, Counted):
            await show(pilot, view)
            told = " ".join(cell for row in rows(pilot.app.screen.lines) for cell in row)
            assert "lathe: shear pin" in told and "engine: shear pin" in told, view


async def test_a_hose_is_recorded_by_both_ends_and_joined(refit):
    await show(refit, Ends)
    await refit.press("plus", *"hose fuel feed, lift pump", "enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Form)
    await refit.press(*", filter inlet", "enter")
    await refit.settled()
    assert refit.app.screen.current().mark == "H1"
    await refit.press("enter", "1")
    await refit.settled()
    assert refit.app.screen.current().state == "end B apart", "an end by itself, with its day"
    await refit.press("enter", "3")
    await refit.settled()
    assert refit.app.screen.current().joined
    assert refit.app.screen.current().ends["b"] == DAY.isoformat()


async def test_enter_shows_where_it_lies(refit):
    await to(refit, "studs")
    await refit.press("enter")
    await refit.settled()
    assert refit.app.current_mode == "plan"
    assert refit.app.screen.current_group() == refit.bench.ids["studs"]


async def test_fetching_is_a_page_in_walking_order(refit):
    await refit.press("f10", "f")
    await refit.pause()
    assert isinstance(refit.app.screen, Page)
    assert "sea water pump · waiting" in "\n".join(refit.app.screen._lines)
    await refit.press("escape")


@pytest.mark.parametrize("number", "1234")
@pytest.mark.parametrize("sort", ["pdf", "csv", "txt"])
async def test_reports(refit, number, sort, tmp_path):
    path = tmp_path / f"out.{sort}"
    await refit.press("l", "1", number, "ctrl+u", *str(path), "enter")
    await refit.settled()
    assert path.read_bytes()[:5] == b"%PDF-" if sort == "pdf" else path.stat().st_size > 10


async def test_scanning_a_tag_goes_to_it_and_tab_puts_it_on(refit):
    code = refit.bench.code("pump")
    await refit.press(*code, "enter", "escape")
    await refit.settled()
    assert refit.app.screen.current_group() == refit.bench.ids["pump"]
    assert refit.app.scanned.held is None, "it is found, not in hand"
    await refit.press(*code, "enter", "tab", "tab")
    await refit.settled()
    assert isinstance(status(refit, "pump"), Fitted)
    assert "ON" in str(refit.app.screen.query_one("#word").render())
    assert refit.app.scanned.held is None
    await refit.press("tab")
    assert "scan a part's label first" in str(refit.app.screen.query_one("#said").render())
    await refit.press("escape")


async def test_the_entry_line_asks_what_came_off_first(refit):
    await refit.press("e", "down")
    await refit.pause()
    assert "record what came off first" in str(refit.app.screen.query_one("#read").render())
    await refit.press(*"head gasket, engine, one-use, sharp", "enter", "down")
    await refit.pause()
    assert isinstance(refit.app.screen, Several)
    await refit.press(*"cylinder", "enter")
    await refit.settled()
    gasket = next(g for g in refit.bench.desk.state.groups() if g.name == "head gasket")
    assert gasket.one_use and gasket.cautions == ("sharp",)
    assert f"{refit.bench.ids['head']}|{gasket.id}" in refit.bench.desk.state.docs("before")
    await refit.press("escape")


async def test_a_tag_in_the_entry_line(refit, tmp_path):
    desk = refit.bench.desk
    (blank,) = desk.print_tags(tmp_path / "blank.pdf", blank=1).codes
    await refit.press("e", *f"rocker cover, {blank}", "enter", "escape")
    await refit.settled()
    assert desk.names.group(blank).name == "rocker cover"


async def test_disposition_renew_raises_the_shortage_and_elsewhere_asks_where(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    await show(refit, All)
    await to(refit, "studs")
    await refit.press("d", "8", *"the yard crane", "enter")
    await refit.settled()
    assert refit.bench.group("studs").elsewhere == "the yard crane"
    await to(refit, "pump")
    await refit.press("d", "7")
    await refit.settled()
    assert [each.name for each in shortages(desk.state, DAY)] == ["sea water pump"]
    assert desk.state.docs("shortage")[shortages(desk.state, DAY)[0].key]["replaces"] == ids["pump"]


async def test_a_matched_set_warns_before_it_is_parted(refit):
    desk, ids = refit.bench.desk, refit.bench.ids
    desk.do(MATCH(name="inlet valves and seats", groups=[ids["valves"]]))
    refit.app.changed()
    await show(refit, All)
    await to(refit, "valves")
    await refit.press("a", "x")
    await refit.pause()
    assert isinstance(refit.app.screen, Pick)
    assert "keep it together" in "\n".join(str(w.render()) for w in refit.app.screen.query(".says"))
    await refit.press("1")
    await refit.settled()
    assert refit.bench.group("valves").qty == 12
    await refit.press("a", "x", "2", *"4", "enter")
    await refit.settled()
    assert refit.bench.group("valves").qty == 8


async def test_the_keys_about_off_and_on_are_on_the_parts_too(refit):
    await refit.press("2")
    await refit.settled()
    screen = refit.app.screen
    screen.lines.cursor = screen._ids.index(refit.bench.ids["head"])
    await refit.pause()
    await refit.press("a", "u", *"pump", "enter")
    await refit.settled()
    ids = refit.bench.ids
    assert f"{ids['pump']}|{ids['head']}" in refit.bench.desk.state.docs("before")
    await refit.press("a", "g")
    await refit.pause()
    assert isinstance(refit.app.screen, Reach)
    await refit.press("escape")


async def test_marked_groups_are_kept_together_each_in_its_seat(refit):
    await show(refit, All)
    await to(refit, "valves")
    await refit.press("space")
    await to(refit, "head")
    await refit.press("space", "a", "k", *"head 1 and its valves, head, guides", "enter")
    await refit.settled()
    (doc,) = refit.bench.desk.state.docs("set").values()
    assert doc["name"] == "head 1 and its valves" and doc["seats"] == ["head", "guides"]
    await to(refit, "head")
    assert "matched set 'head 1 and its valves'" in str(refit.app.screen.query_one("#detail").render())
    assert not refit.app.marked


async def test_recurring_care_is_added_done_and_something_is_no_longer_to_be_had(refit):
    desk = refit.bench.desk
    await show(refit, Care)
    await refit.press("plus", *"renew fuel hoses, 5 years", "enter")
    await refit.pause()
    form = refit.app.screen
    assert "5 years" in str(form.query_one("#fault-machine").render()), "without 'every' it is no period"
    await refit.press("ctrl+u")
    form.query_one("#quick").focus()
    await refit.press("enter")
    await refit.pause()
    assert "say how often" in str(form.query_one("#wrong").render())
    await refit.press("ctrl+u", *"renew fuel hoses, every 5 years, done 2020-01-01, engine", "enter")
    await refit.settled()
    (due,) = care(desk.state, DAY)
    assert due.every_days == pytest.approx(1826.2) and due.machine == "engine", "5 Julian years"
    assert due.overdue and "overdue since 2024-12-31" in due.sentence
    await refit.press("enter", "3", *"canvas hose; nitrile hose; maker's letter", "enter")
    await refit.settled()
    assert "canvas hose is no longer to be had, use nitrile hose" in care(desk.state, DAY)[0].sentence
    await refit.press("enter", "1")
    await refit.settled()
    assert care(desk.state, DAY)[0].done == DAY
    await refit.press("enter", "2", *"812", "enter")
    await refit.settled()
    assert desk.state.docs("hours")["engine"]["hours"] == 812


async def test_a_form_is_filled_by_its_line_and_each_row_can_be_changed(refit):
    """The typed line fills the rows; a row typed in by itself counts; what the whole lacks is said."""
    desk = refit.bench.desk
    await show(refit, Care)
    await refit.press("plus", *"oil, every 250 hours, engine")
    form = refit.app.screen
    while form.query_one("#row-machine").value != "engine":
        await refit.pause()
    assert form.query_one("#row-every_hours").value == "250"
    assert form.query_one("#row-machine").value == "engine"
    form.query_one("#row-done").focus()
    await refit.press(*"2026-13-01", "enter")
    form.query_one("#row-note").focus()
    await refit.press("enter")
    await refit.pause()
    fault = form.query_one("#fault-done")
    assert fault.display and "2026-13-01" in str(fault.render())
    form.query_one("#row-done").value = "2026-04-01"
    form.query_one("#row-note").focus()
    await refit.press("enter")
    await refit.settled()
    (due,) = care(desk.state, DAY)
    assert (due.every_hours, due.machine, due.done) == (250.0, "engine", date(2026, 4, 1))


async def test_what_is_rejected_is_measured_again_or_conceded_there_and_then(refit):
    desk, pump = refit.bench.desk, refit.bench.ids["pump"]
    await to(refit, "pump")
    await refit.press("a", "i", *"shaft, 14.91 mm, at least 14.95 mm", "enter")
    await refit.settled()
    await refit.press("2", *"shaft, 14.92 mm", "enter")
    await refit.settled()
    assert isinstance(refit.app.screen, Pick), "still beyond: asked again"
    await refit.press("5", *"one season; shaft >= 14.9 mm; 2999-01-01", "enter")
    await refit.settled()
    (kept,) = desk.state.docs("concession").values()
    assert (kept["by"], kept["reason"], kept["until"]) == (desk.by, "one season", "2999-01-01")
    assert refit.app.screen.current_group() == pump, "the cursor stays"
    await refit.press("r")
    await refit.settled()
    assert isinstance(status(refit, "pump"), Fitted)
    assert "1 concession" in count(desk.state, today=DAY).headline


# -- what wants a reason, and another day


async def test_an_undone_rejection_asks_why_and_keeps_it(refit):
    desk = refit.bench.desk
    desk.do(INSPECT(refit.bench.ids["pump"], what="shaft", measured="9.00mm", low="9.50mm"))
    refit.app.changed()
    await refit.settled()
    await refit.press("u")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask) and desk.state.docs("inspection")
    await refit.press("escape")
    await refit.pause()
    assert desk.state.docs("inspection"), "without a reason it stands"
    await refit.press("u", *"read the wrong scale", "enter")
    await refit.settled()
    assert not desk.state.docs("inspection")
    assert "read the wrong scale" in str(desk.state.docs("correction"))


async def test_a_list_of_jobs_of_commas_only_is_said_to_be_none(refit):
    """A comma typed for a list is no job, and no reason to end the app."""
    await to(refit, "pump")
    await refit.press("a", "j", *"write", "down", "enter")
    await refit.pause()
    await refit.press("ctrl+u", ",", "enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask)
    assert "clean, measure" in str(refit.app.screen.query_one("#wrong").render())
    await refit.press("ctrl+u", *"clean, new seals", "enter")
    await refit.settled()
    assert [each.what for each in refit.bench.group("pump").work] == ["clean", "new seals"]


async def test_another_number_in_a_list_asks_why(refit, tmp_path):
    desk = refit.bench.desk
    rows = "Name,Assembly,Qty\nstud,top,4\n"
    desk.import_parts(desk.read_parts(rows.encode(), None, "engine"))
    desk.take("stud", origin=("engine", "top"), qty=4)
    path = tmp_path / "parts.csv"
    path.write_text(rows.replace("4", "6"))
    refit.app.changed()
    await refit.press("f10", "i", *str(path), "enter", "enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask), "6 where 4 came off is a correction"
    assert "4 to 6" in str(refit.app.screen.query_one(".title").render())
    await refit.press(*"two were missed", "enter")
    await refit.settled()
    assert "two were missed" in str(desk.state.docs("correction")), refit.app.said_line()


async def test_another_origin_asks_why(refit):
    await to(refit, "valves")
    await refit.press("a", "f")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask)
    await refit.press("ctrl+u", *"engine > head 2", "enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask) and refit.bench.group("valves").origin == ("engine", "head 1")
    await refit.press(*"the other bank", "enter")
    await refit.settled()
    assert refit.bench.group("valves").origin == ("engine", "head 2")
    assert "the other bank" in str(refit.bench.desk.state.docs("correction"))


async def test_what_is_done_is_recorded_for_another_day(refit):
    desk = refit.bench.desk
    await refit.press("f10", "d", *"2999-01-01", "enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Ask), "a day to come is none"
    await refit.press("ctrl+u", *"2026-05-02, wrote it down late", "enter")
    await refit.settled()
    assert "FOR 02 May" in refit.app.screen.query_one("#head").text
    await to(refit, "pump")
    await refit.press("r")
    await refit.settled()
    assert status(refit, "pump").since == "2026-05-02"
    assert desk.history(refit.bench.ids["pump"])[-1][0].day == "2026-05-02"
    await refit.press("f10", "d", "ctrl+u", "enter")
    await refit.settled()
    assert desk.day is None and "FOR" not in refit.app.screen.query_one("#head").text


async def test_a_condition_narrows_a_list_and_says_what_it_could_not_compare(refit, rows):
    await show(refit, All)
    every = refit.app.screen.lines.count
    await refit.press("f", *"mass > 20 kg", "enter")
    await refit.settled()
    assert refit.app.screen.lines.count < every
    assert "only mass > 20 kg" in refit.app.screen.head_note()
    assert "not compared" in refit.app.screen.head_note()
    await show(refit, Shortages)
    assert "only" not in refit.app.screen.head_note(), "a condition is of one sort of thing"
    await refit.press("f", *"mass > 20 kg", "enter")
    await refit.settled()
    assert "no column" in refit.app.said_line().plain


async def test_the_count_tells_all_that_stands_and_the_word_of_the_command(refit):
    """What is in force comes first, none of it is cut off, and the row's detail has reason, name and day."""
    desk = refit.bench.desk
    for n in range(12):
        desk.do(
            work.LIST(refit.bench.ids["pump"], points=[f"point {n}"], reason="" if n == 0 else f"why {n}")
        )
    desk.do(FIT(refit.bench.ids["pump"], anyway="to see it run"))
    refit.app.changed()
    await refit.settled()
    await show(refit, Counted)
    view = refit.app.screen.view
    stands = [row for row in view.rows if isinstance(row, Stands)]
    assert [row.kind for row in stands] == ["accepted", *["corrected"] * 11]
    detail = view.detail(stands[0])[0]
    assert "to see it run" in detail and desk.by in detail and desk.on in detail
    assert view.summary()[0].startswith("not clean: ") and view.note().startswith("not clean")


async def test_a_long_list_says_that_it_is_worked_out_and_is_then_kept(bench, opened, monkeypatch, rows):
    monkeypatch.setattr("shopbins.tui.refit.screen.MANY", 1)
    said = []
    shown = LineList.show
    monkeypatch.setattr(
        LineList, "show", lambda self, *args: (said.append(self.empty), shown(self, *args))[1]
    )
    async with opened(bench, "5", today=lambda: DAY) as pilot:
        assert WORKING in said
        assert names(pilot, rows) == ["sea water pump"]
        while not isinstance(pilot.app.screen.view, Counted):
            await pilot.press("v")
            await pilot.settled()
        assert pilot.app.screen.lines.count == len(pilot.app.screen.view.rows) > 0
        said.clear()
        pilot.app.screen.state_changed()
        assert WORKING not in said
