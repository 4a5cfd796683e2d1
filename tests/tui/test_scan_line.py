"""Scanning from any place: a scanner types as fast as it can and ends with enter, and nothing is lost."""

import asyncio

import pytest

from shopbins.desk.names import looks_like_code
from shopbins.ledger.model import InZone
from shopbins.tui.dialogs.scanline import ScanLine


@pytest.fixture
async def shop(bench, opened, tmp_path):
    bench.desk.print_tags(tmp_path / "zones.pdf", "zones")
    bench.desk.print_tags(tmp_path / "blank.pdf", [], blank=2)
    bench.blanks = list(bench.desk.state.docs("tag"))
    bench.place = bench.desk.state.place_code
    async with opened(bench, size=(100, 30)) as pilot:
        yield pilot


async def scan(pilot, code):
    """Type as a wedge does: every key at once, no pause between them, enter last."""
    from textual import events

    for letter in code:
        pilot.app.post_message(events.Key(letter, letter))
    pilot.app.post_message(events.Key("enter", "\r"))
    await pilot.settled()


def result(pilot):
    assert isinstance(pilot.app.screen, ScanLine)
    return str(pilot.app.screen.query_one("#word").render()).split()[-1]


@pytest.mark.parametrize("place", ["1", "2", "3"])
@pytest.mark.parametrize("case", [str.upper, str.lower])
async def test_a_burst_from_any_place_is_taken_whole(shop, place, case):
    """Codes begin with Z; on the Plan n, d, c and so on are keys, and none of them may be heard."""
    await shop.press(place)
    await shop.settled()
    seq = shop.bench.desk.seq
    await scan(shop, case(shop.bench.place("rack a/1")))
    assert result(shop) == "HERE"
    assert shop.app.scanned.here == ("rack a", "1")
    assert "here: rack a/1" in shop.app.screen_stack[0].query_one("#state").text
    assert shop.bench.desk.seq == seq


async def test_zone_then_groups_each_one_scan(shop):
    await scan(shop, shop.bench.place("rack a/1"))
    for word in ("pump", "valves"):
        await scan(shop, shop.bench.code(word))
        assert result(shop) == "LAID"
        where = shop.bench.group(word).where
        assert isinstance(where, InZone) and (where.zone, where.level) == ("rack a", "1")


async def test_group_then_zone(shop):
    await scan(shop, shop.bench.code("pump"))
    assert result(shop) == "HELD"
    assert "in hand: sea water pump" in shop.app.screen_stack[0].query_one("#state").text
    await scan(shop, shop.bench.place("bench 1"))
    assert result(shop) == "LAID"
    assert shop.bench.group("pump").where.zone == "bench 1"


async def test_a_blank_tag_scanned_where_it_lies_is_a_durable_record(shop):
    before = len(shop.bench.desk.state.group_ids())
    await scan(shop, shop.bench.place("rack a/2"))
    await scan(shop, shop.bench.blanks[0])
    assert result(shop) == "NEW"
    new = shop.bench.desk.state.by_code(shop.bench.blanks[0])
    assert shop.bench.desk.state.group(new).name == ""
    assert len(shop.bench.desk.state.group_ids()) == before + 1


async def test_here_stays_after_closing_until_forgotten(shop):
    await scan(shop, shop.bench.place("bench 1"))
    await shop.press("escape")
    await shop.settled()
    assert "here: bench 1" in shop.app.screen.query_one("#state").text
    await scan(shop, shop.bench.code("pump"))
    assert result(shop) == "LAID"
    await shop.press("delete", "escape")
    await shop.settled()
    assert shop.app.scanned.here is None


async def test_a_stop_is_said_loud_and_let_through_by_one_key_but_not_by_the_next_scan(shop, digit):
    """A flywheel of 160 kg does not go on rack a/2, which bears 150 kg; a next code begins with a digit."""
    from shopbins.ledger.model import Mass, Size

    heavy = shop.bench.desk.take("flywheel", size=Size(400, 400, 100), mass=Mass(160))
    await scan(shop, shop.bench.place("rack a/2"))
    seq = shop.bench.desk.seq
    await scan(shop, heavy.code)
    assert result(shop) == "STOP"
    assert shop.bench.desk.seq == seq
    await digit(shop, scanned=True)
    assert shop.bench.desk.seq == seq and "> 1" in str(shop.app.screen.query_one("#code").render())
    await shop.press("backspace")
    await digit(shop, scanned=False)
    assert result(shop) == "LAID"
    assert shop.bench.desk.state.group(heavy.id).where.level == "2"


async def test_a_wrong_character_changes_nothing(shop):
    code = shop.bench.code("pump")
    wrong = code[:-2] + ("3" if code[-2] != "3" else "4") + code[-1]
    seq = shop.bench.desk.seq
    await scan(shop, wrong)
    assert result(shop) == "MISREAD"
    assert shop.bench.desk.seq == seq


async def test_each_result_stands_in_large_letters_and_rings_once_or_thrice(shop, monkeypatch):
    from shopbins.tui.bigword import big_word

    rung = []
    monkeypatch.setattr(shop.app, "bell", lambda: rung.append(1))

    def large():
        return str(shop.app.screen.query_one("#big").render())

    await scan(shop, shop.bench.place("rack a/1"))
    assert large().split() == big_word("HERE").split() and len(rung) == 1
    await scan(shop, "ZQW00010")
    await asyncio.sleep(0.5)
    assert large().split() == big_word("MISREAD").split() and len(rung) == 4


async def test_a_bag_into_the_tub_by_two_scans_and_the_next_by_one(shop):
    await scan(shop, shop.bench.code("studs"))
    await scan(shop, shop.bench.code("valves"))
    assert result(shop) == "IN"
    tub, valves = shop.bench.ids["studs"], shop.bench.group("valves")
    assert valves.where.group == tub
    assert "open: tub of studs" in shop.app.screen_stack[0].query_one("#state").text
    more = shop.bench.desk.take("a bag of shims", container="bag")
    await scan(shop, more.code)
    assert result(shop) == "IN" and shop.bench.desk.state.group(more.id).where.group == tub
    await scan(shop, shop.bench.place("bench 1"))
    assert result(shop) == "HERE" and shop.app.scanned.into is None


async def test_typed_by_hand_with_corrections(shop):
    code = shop.bench.code("pump")
    await shop.press(*code[:3], "x", "backspace", *code[3:], "enter")
    await shop.settled()
    assert result(shop) == "HELD"
    await shop.press("enter")
    await shop.settled()
    assert not isinstance(shop.app.screen, ScanLine), "enter on an empty line closes it"


async def test_in_a_text_line_the_letters_stay_text(shop):
    code = shop.bench.code("pump")
    await shop.press("slash")
    await shop.settled()
    await shop.press(*code)
    assert shop.app.screen.search.value == code
    await shop.settled()
    assert shop.app.screen.current_group() == shop.bench.ids["pump"], "and the search finds it by its code"


async def test_a_scan_over_the_help_page_is_taken(shop):
    await shop.press("question_mark")
    await shop.settled()
    await scan(shop, shop.bench.place("bay"))
    assert result(shop) == "HERE"


async def test_a_scan_while_carrying_leaves_the_thing_in_hand(shop):
    shop.app.screen.pick_up(shop.bench.ids["head"])
    await shop.pause()
    await scan(shop, shop.bench.code("pump"))
    assert result(shop) == "HELD"
    await shop.press("escape")
    await shop.settled()
    assert shop.app.screen.hand.hand.key == shop.bench.ids["head"]
    assert shop.app.focused is shop.app.screen.hand


async def test_two_scans_at_once(shop):
    """A zone and a group in one burst, as two quick pulls of the trigger."""
    from textual import events

    for code in (shop.bench.place("bench 1"), shop.bench.code("pump")):
        for letter in code:
            shop.app.post_message(events.Key(letter, letter))
        shop.app.post_message(events.Key("enter", "\r"))
    await shop.settled()
    assert result(shop) == "LAID"
    assert shop.bench.group("pump").where.zone == "bench 1"


def test_codes_begin_with_the_reserved_letter(bench):
    assert all(g.code[0] == "Z" and looks_like_code(g.code, "QW") for g in bench.desk.state.groups())
