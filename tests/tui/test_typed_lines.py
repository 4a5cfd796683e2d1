"""The line for what comes off, and catch-up."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.desk import Desk
from shopbins.ledger.model import InZone, Mass
from shopbins.tui.dialogs.catchup import CatchUp
from shopbins.tui.dialogs.entry import EntryField, EntryLine
from shopbins.tui.parts.entryline import Unreadable, read_line
from shopbins.tui.parts.entryrows import ROWS, line_of, rows_of


@pytest.fixture
async def shop(bench, opened, monkeypatch):
    monkeypatch.setattr(CatchUp, "left_at", 0)
    async with opened(bench, size=(100, 30)) as pilot:
        yield pilot


def text(pilot, part):
    return str(pilot.app.screen.query_one(f"#{part}").render())


def named(pilot, name):
    return next(g for g in pilot.bench.desk.state.groups() if g.name == name)


async def test_a_line_is_on_the_disk_before_it_is_said(shop):
    await shop.press("e", *"bracket", "enter")
    await shop.settled()
    assert "✓ bracket" in text(shop, "log")
    with Desk.open(shop.bench.path, by="Otto", readonly=True) as other:
        assert other.names.group("bracket").where is None
    assert isinstance(shop.app.screen, EntryLine), "it stays open for the next"
    assert shop.app.screen.query_one(EntryField).value == ""


async def test_the_last_origin_stays_until_another_is_given(shop):
    await shop.press("e", *"springs, head 1, bag, 2 kg, 8", "enter")
    await shop.settled()
    assert named(shop, "springs").origin == ("engine", "head 1")
    await shop.press(*"collets, 16", "enter")
    await shop.settled()
    assert named(shop, "collets").origin == ("engine", "head 1")
    assert (named(shop, "springs").qty, named(shop, "springs").mass) == (8, Mass(2))
    orders = [named(shop, n).order for n in ("springs", "collets")]
    assert orders[1] == orders[0] + 1


async def test_a_listed_part_comes_from_where_the_list_has_it_and_once(shop):
    desk = shop.bench.desk
    desk.import_parts(desk.read_parts(b"Name,Assembly,Qty\npawl,ratchet,1\n", None, "engine"))
    await shop.press("e", *"springs, head 1", "enter")
    await shop.settled()
    await shop.press(*"pawl, one-use @rack a/2")
    assert "from engine > ratchet (as listed)" in text(shop, "read"), "not from where the last one came"
    await shop.press("enter")
    await shop.settled()
    assert named(shop, "pawl").origin == ("engine", "ratchet") and named(shop, "pawl").one_use
    assert isinstance(named(shop, "pawl").where, InZone)
    await shop.press(*"pawl", "enter")
    await shop.settled()
    assert not isinstance(shop.app.screen, EntryLine), "it came off already: is it that one?"


async def test_the_machine_that_is_written_stands_in_its_row_and_is_marked(shop):
    """While nothing is typed too: the row never says 'not known' where the last path would be written."""
    await shop.press("e")
    await shop.settled()
    screen = shop.app.screen
    last = " > ".join(screen._last)
    assert last and screen.query_one("#row-origin").placeholder == last and text(shop, "mark-origin") == "?"
    await shop.press(*"pinion", "enter")
    await shop.settled()
    assert " > ".join(named(shop, "pinion").origin) == last
    assert screen.query_one("#row-origin").placeholder == last and text(shop, "mark-origin") == "?"


def test_a_decimal_comma_in_a_row_goes_into_the_line_as_a_point():
    rows = dict.fromkeys((key for key, _, _ in ROWS), "")
    line = line_of({**rows, "name": "valve", "mass": "4,5 kg", "size": "2,5x1,2x0,9 m"})
    came = read_line(line)
    assert came.mass == Mass(4.5) and came.size is not None and came.size.length_mm == 2500


async def test_how_it_is_understood_is_told_while_typing(shop):
    await shop.press("e", *"valve guides, head 1, bag, 4")
    assert "valve guides x4 · from engine > head 1 · bag · size as usual · not weighed" in text(shop, "read")


async def test_tab_completes_containers_origins_and_places(shop):
    await shop.press("e", *"guides, ba", "tab")
    assert shop.app.screen.query_one(EntryField).value == "guides, bare"
    await shop.press("ctrl+u", *"guides, bag, coo", "tab", *", @ra", "tab", "enter")
    await shop.settled()
    guides = named(shop, "guides")
    assert guides.origin == ("engine", "cooling")
    assert isinstance(guides.where, InZone) and guides.where.zone == "rack a"


async def test_taken_off_and_laid_down_in_one_line_is_one_event_and_one_undo(shop):
    seq = shop.bench.desk.seq
    await shop.press("e", *"guides, bag, @rack a/2", "enter")
    await shop.settled()
    where = named(shop, "guides").where
    assert isinstance(where, InZone) and (where.zone, where.level) == ("rack a", "2")
    assert shop.bench.desk.seq == seq + 1
    await shop.press("escape", "u")
    await shop.settled()
    assert not any(g.name == "guides" for g in shop.bench.desk.state.groups())


async def test_a_stop_without_a_reason_leaves_what_came_off_unplaced(shop):
    """bench 1 takes 400 kg (quay.yaml); nobody says why half a tonne may lie there."""
    seq = shop.bench.desk.seq
    await shop.press("e", *"anvil, 500 kg, 300x200x200 mm, @bench 1", "enter")
    await shop.settled()
    assert shop.bench.desk.seq == seq, "nothing is recorded while it is being asked"
    await shop.press("escape")
    await shop.settled()
    assert named(shop, "anvil").where is None
    assert shop.bench.desk.seq == seq + 1
    assert "! anvil" in text(shop, "log") and "waiting" in text(shop, "log")
    await shop.press(*"vice block, 500 kg, 300x200x200 mm, @bench 1", "enter")
    await shop.settled()
    await shop.press("1")
    await shop.settled()
    assert named(shop, "vice block").where.zone == "bench 1"
    assert shop.bench.desk.seq == seq + 2
    reasons = [doc["why"] for doc in shop.bench.desk.state.docs("accepted").values()]
    assert reasons == ["for now"], "the reason stands in the same event"


async def test_what_cannot_be_read_stays_in_the_line(shop):
    seq = shop.bench.desk.seq
    await shop.press("e", *"guides, bag, tub", "enter")
    await shop.settled()
    assert "! 'tub' would be a second container" in text(shop, "read")
    assert shop.app.screen.query_one(EntryField).value == "guides, bag, tub"
    await shop.press("ctrl+u", *"guides, @rock a", "enter")
    await shop.settled()
    assert "!" in text(shop, "read") and "rack a" in text(shop, "read")
    assert shop.bench.desk.seq == seq


async def test_a_blank_tag_can_be_bound_at_once(shop, tmp_path):
    shop.bench.desk.print_tags(tmp_path / "b.pdf", [], blank=1)
    blank = next(iter(shop.bench.desk.state.docs("tag")))
    await shop.press("e", *f"{blank}, bag", "enter")
    await shop.settled()
    assert shop.bench.desk.state.by_code(blank) is not None


async def test_escape_closes(shop):
    await shop.press("e")
    await shop.settled()
    await shop.press("escape")
    await shop.settled()
    assert not isinstance(shop.app.screen, EntryLine)


async def test_keys_typed_right_after_opening_are_not_lost(shop):
    """Somebody who types e and the name in one go."""
    await shop.press("e")
    await shop.press(*"u bolt")
    await shop.settled()
    assert shop.app.screen.query_one(EntryField).value == "u bolt"


# --- the rows under the line ------------------------------------------------------------------------------


def row(pilot, key):
    return pilot.app.screen.query_one(f"#row-{key}").value


def mark(pilot, key):
    return str(pilot.app.screen.query_one(f"#mark-{key}").render())


async def test_a_typed_line_fills_the_rows_and_marks_what_was_guessed(shop):
    await shop.press("e", *"crank nut, 8, bag, 2 kg, head 1, @rack a/2")
    await shop.settled()
    shown = {key: row(shop, key) for key, _, _ in ROWS}
    assert shown == {
        "name": "crank nut", "origin": "engine > head 1", "container": "bag", "qty": "8", "mass": "2 kg",
        "size": "", "place": "rack a/2", "more": "",
    }  # fmt: skip
    assert mark(shop, "origin") == "?" and mark(shop, "mass") == ""


async def test_what_is_typed_in_a_row_is_said_by_the_line_and_the_last_row_records(shop):
    await shop.press("e", *"crank nut, bag", "down", "tab", "tab", "tab", *"8", "enter", *"2 kgs")
    await shop.settled()
    assert "! mass" in text(shop, "read")
    assert shop.app.screen.query_one(EntryField).value == "crank nut, engine > cooling, bag, x 8, 2 kg"
    await shop.press("backspace", "enter", "enter", "enter", "enter")
    await shop.settled()
    nut = named(shop, "crank nut")
    assert (nut.qty, nut.mass, nut.container) == (8, Mass(2), "bag")
    assert shop.app.screen.query_one(EntryField).has_focus and row(shop, "qty") == ""


async def test_escape_in_a_row_goes_back_to_the_line_then_clears_then_closes(shop):
    await shop.press("e", *"nut", "down", "escape")
    await shop.settled()
    assert isinstance(shop.app.screen, EntryLine) and shop.app.screen.query_one(EntryField).value == "nut"
    await shop.press("escape")
    assert isinstance(shop.app.screen, EntryLine) and shop.app.screen.query_one(EntryField).value == ""
    await shop.press("escape")
    await shop.settled()
    assert not isinstance(shop.app.screen, EntryLine)


async def test_in_catch_up_too_what_was_wrong_in_a_row_goes_when_it_is_put_right(shop):
    """The line is the same as before the slip, so nothing but the row tells."""
    await shop.press("k", *"oil can, 2 kg", "down", "tab", "tab", "tab", "tab", "s")
    await shop.settled()
    assert "! mass" in text(shop, "read")
    await shop.press("backspace")
    await shop.settled()
    assert text(shop, "read") == ""


async def test_catch_up_has_the_same_rows(shop):
    await shop.press("k", *"oil can", "down", "up", "down", "shift+tab", *", tub")
    assert row(shop, "container") == "tub"


@given(
    st.sampled_from(["bolts", "inlet valves", "U bolt"]),
    st.lists(
        st.sampled_from(["bag", "x 8", "about 2 kg", "300x200x150 mm", "engine > head 1", "@rack a/2",
                         "one-use", "counted later", "by holes", "caution hot", "caution edge", "ZQY12C"]),
        unique=True, max_size=6,
    ),
)  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_rows_and_line_say_the_same(name, parts):
    """Reading the line that the rows of a line make gives what the line gave."""
    try:
        came = read_line(", ".join([name, *parts]))
    except Unreadable:
        return
    assert read_line(line_of({key: guess.text for key, guess in rows_of(came).items()})) == came


# --- catch-up ---------------------------------------------------------------------------------------------


async def test_catching_up_on_one_thing_is_one_event_and_one_undo(shop):
    seq = shop.bench.desk.seq
    await shop.press("k", *"old hose", "enter")
    await shop.settled()
    assert shop.bench.desk.seq == seq + 1
    assert named(shop, "old hose").where is not None and named(shop, "old hose").order is None
    await shop.press("escape", "u")
    await shop.settled()
    assert not any(g.name == "old hose" for g in shop.bench.desk.state.groups())


async def test_catch_up_walks_place_by_place(shop):
    await shop.press("k")
    await shop.settled()
    places = []
    for _ in range(6):
        places.append(shop.app.screen.here)
        await shop.press("enter")
    assert [p for p in places if p[1]] == [("rack a", "1"), ("rack a", "2")]
    assert [zone for zone, _ in places] == ["bench 1", "rack a", "rack a", "bay", "hall", "store"]
    assert shop.app.screen.here == ("bench 1", ""), "and begins again"
    await shop.press("shift+tab")
    assert shop.app.screen.here == ("store", "")
    await shop.press("tab", "tab")
    assert shop.app.screen.here == ("rack a", "1")


async def test_what_lies_there_is_recorded_without_order_of_removal(shop):
    await shop.press("k", *"box of gaskets, box", "enter", *"old hose", "enter")
    await shop.settled()
    for name in ("box of gaskets", "old hose"):
        group = named(shop, name)
        assert group.where.zone == "bench 1" and group.order is None
    assert "✓ old hose" in text(shop, "log")
    assert "3 parts recorded here" in text(shop, "lies")


async def test_a_code_is_as_good_as_a_name(shop):
    await shop.press("k", "tab", "tab", *shop.bench.code("pump"), "enter")
    await shop.settled()
    assert (shop.bench.group("pump").where.zone, shop.bench.group("pump").where.level) == ("rack a", "2")


async def test_a_blank_tag_is_a_record(shop, tmp_path):
    shop.bench.desk.print_tags(tmp_path / "b.pdf", [], blank=1)
    blank = next(iter(shop.bench.desk.state.docs("tag")))
    await shop.press("k", *blank.lower(), "enter")
    await shop.settled()
    assert shop.bench.desk.state.group(shop.bench.desk.state.by_code(blank)).where.zone == "bench 1"


async def test_a_zones_tag_goes_to_that_zone(shop, tmp_path):
    shop.bench.desk.print_tags(tmp_path / "z.pdf", "zones")
    await shop.press("k", *shop.bench.desk.state.place_code("bay"), "enter")
    await shop.settled()
    assert shop.app.screen.here == ("bay", "")


async def test_what_lies_there_against_a_rule_is_recorded_all_the_same(shop):
    """It lies there, whatever it weighs: refusing the record would only hide it."""
    await shop.press("k", "tab", *"anvil, 900 kg, 300x300x300 mm", "enter")
    await shop.settled()
    assert named(shop, "anvil").where.level == "1"
    assert "■" in text(shop, "log")


async def test_it_goes_on_where_it_was_left(shop):
    await shop.press("k", "tab", "tab", "escape")
    await shop.settled()
    await shop.press("k")
    await shop.settled()
    assert shop.app.screen.here == ("rack a", "2")


async def test_a_new_machine_path_is_asked_for(shop):
    """The first enter asks, a second keeps it; escape takes it out of the line and what is left stays."""
    before = shop.bench.desk.seq
    await shop.press("e", *"lining, asbestos", "enter")
    await shop.pause()
    read = shop.app.screen.query_one("#read")
    assert "new: engine > asbestos · enter keeps it" in str(read.render()) and shop.bench.desk.seq == before
    await shop.press("escape")
    await shop.pause()
    assert shop.app.screen.query_one("#line").value == "lining" and shop.bench.desk.seq == before
    await shop.press(*", flywheel", "enter", "enter")
    await shop.settled()
    new = next(g for g in shop.bench.desk.state.groups() if g.name == "lining")
    assert new.origin == ("engine", "flywheel")


async def test_catch_up_obeys_a_place(shop):
    """'@rack a/2' behind a line puts that one there, whatever place is walked."""
    await shop.press("k", *"oil can, @rack a/2", "enter")
    await shop.settled()
    new = next(g for g in shop.bench.desk.state.groups() if g.name == "oil can")
    assert (new.where.zone, new.where.level) == ("rack a", "2")


# --- the same thing twice ---------------------------------------------------------------------------------


def many(pilot, name):
    return [g for g in pilot.bench.desk.state.groups() if g.name == name]


async def test_a_part_recorded_before_is_asked_about_and_moves(shop):
    await shop.press("e", *"governor, @bench 1, 3 kg", "enter")
    await shop.settled()
    await shop.press("escape", "k", *"governor, @rack a/2", "enter")
    await shop.pause()
    assert "governor is recorded: bench 1" in str(shop.app.screen.query_one(".title").render())
    await shop.press("1")
    await shop.settled()
    (only,) = many(shop, "governor")
    assert (only.where.zone, only.where.level) == ("rack a", "2")


async def test_another_of_that_name_is_a_record_of_its_own(shop):
    await shop.press("e", *"governor, 3 kg", "enter", *"governor", "enter", "2")
    await shop.settled()
    assert len(many(shop, "governor")) == 2
    await shop.press(*"governor", "enter", "escape")
    await shop.settled()
    assert len(many(shop, "governor")) == 2, "the question closed: nothing is recorded"
    assert shop.app.screen.query_one(EntryField).value == "governor"
    await shop.press("enter", "1")
    await shop.settled()
    assert len(many(shop, "governor")) == 2
    assert "nothing new recorded" in text(shop, "log")


async def test_what_was_said_of_an_older_change_goes_as_the_next_is_recorded(shop):
    """'u undoes it' must be about what u undoes."""
    await shop.press("e", *"alpha, @rack a/2", "enter")
    await shop.settled()
    await shop.press(*"beta", "enter", "escape")
    await shop.settled()
    assert shop.app.said_line() is None


async def test_a_mass_without_a_comma_is_no_part_of_the_name(shop):
    await shop.press("e", *"sump pan 12 kg @rack a/2", "enter")
    await shop.settled()
    pan = named(shop, "sump pan")
    assert pan.mass == Mass(12) and pan.where.zone == "rack a"
    await shop.press(*"weight 5 kg, 4.8 kg", "enter")
    await shop.settled()
    assert named(shop, "weight 5 kg").mass == Mass(4.8), "a mass of its own: the name stays whole"


async def test_an_enter_too_many_leaves_the_line_open(shop):
    """A key that bounces: what is typed next would else be heard as commands."""
    await shop.press("e", *"guard", "enter", "enter", "enter")
    await shop.settled()
    assert isinstance(shop.app.screen, EntryLine) and "esc closes" in text(shop, "read")
    await shop.press(*"feed chain", "enter")
    await shop.settled()
    assert named(shop, "feed chain")


@pytest.mark.parametrize("line", ["saw blades, frame saw > sash, crate", "saw blades, crate"])
def test_a_container_that_is_not_kept_names_those_that_are(line):
    with pytest.raises(Unreadable, match="bare, bag, box, tray, tub, pallet"):
        read_line(line, [], ("engine",))


def test_what_a_machine_has_by_such_a_name_stays():
    assert read_line("seal, drawer", [("engine", "drawer")]).origin == ("engine", "drawer")


async def test_a_line_that_is_but_a_place_or_a_label_is_asked_about(shop):
    desk = shop.bench.desk
    seq = desk.seq
    await shop.press("e", *"rack a/2", "enter")
    await shop.settled()
    assert desk.seq == seq and "'rack a/2' is a place" in text(shop, "read")
    shop.app.screen.query_one(EntryField).value = ""
    await shop.press(*shop.bench.code("head"), "enter")
    await shop.settled()
    assert desk.seq == seq and "is the label of cylinder head 1" in text(shop, "read")
    shop.app.screen.query_one(EntryField).value = ""
    await shop.press(*"rack a/2", "enter")
    await shop.settled()
    assert named(shop, "rack a/2"), "the same again is a part so called"


async def test_walking_the_name_of_a_place_goes_there(shop):
    desk = shop.bench.desk
    seq = desk.seq
    await shop.press("k", *"rack a/2", "enter")
    await shop.settled()
    assert desk.seq == seq and "What lies in rack a/2?" in text(shop, "place")
    await shop.press(*"old hose", "enter")
    await shop.settled()
    assert (named(shop, "old hose").where.zone, named(shop, "old hose").where.level) == ("rack a", "2")


async def test_walking_the_label_of_a_place_goes_there_by_its_name_of_now_or_says_that_it_is_gone(
    shop, tmp_path
):
    desk = shop.bench.desk
    desk.print_tags(tmp_path / "labels.pdf", "zones")
    rack, bay = (desk.state.place_code(place) for place in ("rack a/2", "bay"))
    written = desk.shop_path.read_text(encoding="utf-8").splitlines(keepends=True)
    now = "".join(each for each in written if not each.startswith("  bay:"))
    now = now.replace("  rack a:\n", "  rack b:\n    was: [rack a]\n").replace(
        "      2: {", "      top: {was: ['2'], "
    )
    desk.shop_path.write_text(now, encoding="utf-8")
    desk.refresh()
    assert not desk.shop_problems
    await shop.press("k", *rack, "enter")
    await shop.settled()
    assert "What lies in rack b/top?" in text(shop, "place")
    await shop.press(*bay, "enter")
    await shop.settled()
    assert "no place is called 'bay'" in text(shop, "read")
    assert "What lies in rack b/top?" in text(shop, "place")
