"""The screen where it is hard: tiny, without colour, beside another terminal, its shop file edited."""

from __future__ import annotations

import re
import time

import pytest

COLOUR = re.compile(rb"\x1b\[[0-9;]*?(?:3[0-7]|4[0-7]|9[0-7]|10[0-7]|38;|48;)[0-9;]*m")


def settled(terminal):
    """Wait until the plan is drawn and judged."""
    terminal.wait_for("to fix")
    return terminal


def test_typed_ahead_nothing_is_lost_or_taken_for_a_key(shed):
    """All keys in one write, as on a slow machine: none is heard by the screen that was there before."""
    terminal = settled(shed.open(24, 80))
    terminal.keys("elathe chuck, 9 kg", "enter", "tool post, x 2", "enter")
    terminal.wait_for("✓ tool post")
    terminal.escape("What has just come off?")
    terminal.keys("/chuck", "enter", "w", "lathe", "enter", "g", "rack/1", "enter", "enter", "2")
    terminal.wait(lambda flat: "[2 Parts]" in flat and "rack/1" in flat, "where it lies, in Parts")
    assert shed.json("show", "lathe chuck")["place"] == "rack/1"
    assert sorted(hit["name"] for hit in shed.json("find", "o", "--limit", "9")) == ["tool post"]
    assert shed.json("audit", status=1)["seq"] == 3


def test_a_scanner_is_heard_whole_from_any_place(shed):
    """A keyboard wedge types a code and enter faster than a screen opens."""
    codes = shed.json("tags", "rack/2", "-o", "rack.pdf")["codes"]
    bags = [shed.json("take", f"bag {n}", "--container", "bag")["code"] for n in range(3)]
    terminal = settled(shed.open(24, 80))
    for place, code, said in zip(
        "123", [*codes, *bags[:2]], ("here is rack/2", "bag 0", "bag 1"), strict=True
    ):
        terminal.keys(f"{place}{code}\r")
        terminal.wait_for(said if code in codes else f"LAID {said}")
        terminal.escape("esc closes")
    terminal.keys("".join(f"{code}\r" for code in (bags[2], *codes, bags[0])))
    terminal.wait_for("LAID bag 0")
    assert [shed.json("show", code)["place"] for code in bags] == ["rack/2"] * 3


def test_enter_pressed_twice_lets_no_stop_stand(shed):
    shed.json("take", "anvil", "--size", "500x250x350mm", "--mass", "118 kg")
    terminal = settled(shed.open(24, 80))
    terminal.keys("w", "enter", "g", "rack/2", "enter", "enter", "enter", "enter")
    terminal.wait_for("STOP: not put down")
    assert shed.json("show", "anvil")["where"] is None
    time.sleep(0.7)  # the box takes a digit only once the keys have been quiet
    terminal.keys("2")
    terminal.wait_for("nothing waiting")
    assert shed.json("show", "anvil")["place"] == "rack/2"
    (stop,) = [f for f in shed.json("audit", status=2)["findings"] if f["grade"] == "stop"]
    assert (stop["override"]["why"], stop["override"]["by"]) == ("only while we work here", "tester")


@pytest.mark.parametrize(("rows", "cols"), [(5, 20), (1, 1), (10, 30)])
def test_a_terminal_too_small_says_so_and_grows_again(shed, rows, cols):
    terminal = shed.open(rows, cols, anew=True)
    if rows > 1:
        terminal.wait_for("needs 40x12; q quits")
        terminal.keys("2", "1")
        terminal.wait_for("needs 40x12; q quits")
    terminal.resize(24, 80)
    terminal.wait_for("[1 Plan]")
    terminal.wait_for("to fix")
    assert terminal.quit() == 0


def test_without_colour_all_is_told_in_words_and_glyphs(demo):
    terminal = demo.open(40, 120, NO_COLOR="1")
    terminal.wait_for("The last evening")
    terminal.escape("The last evening")
    terminal.wait(lambda flat: re.search(r"■ \d+ stops *▲ \d+ to fix", flat) is not None, "the state")
    terminal.keys("3")
    terminal.wait_for("■1 Crate of cooling pipes narrows gallery way")
    terminal.screen()
    coloured = {match.group() for match in COLOUR.finditer(terminal.raw)}
    assert not {c for c in coloured if not is_grey(c)}, coloured


def is_grey(sequence: bytes) -> bool:
    """Tell whether a colour is a grey: by red, green and blue, or of the ramp in xterm's 256 colours."""
    numbers = [int(n) for n in sequence[2:-1].split(b";") if n]
    for i, number in enumerate(numbers):
        if number in (38, 48):
            kind, rest = numbers[i + 1], numbers[i + 2 :]
            return len(set(rest[:3])) == 1 if kind == 2 else rest[0] >= 232 or rest[0] in (16, 231)
    return False


@pytest.mark.parametrize("name", ["Dipstick and tube", "Injectors"])
def test_keys_are_about_what_was_found_though_it_lies_nowhere(demo, name):
    terminal = demo.open(24, 80)
    terminal.wait_for("The last evening")
    terminal.escape("The last evening")
    terminal.keys(f"/{name}", "enter")
    terminal.wait_for("[1 Plan]")
    terminal.wait_for(f"here: {name}")
    terminal.keys("j")
    terminal.wait_for("esc cancels")
    terminal.keys("asked for", "enter")
    terminal.wait_gone("esc cancels")
    assert demo.json("show", name)["note"] == "asked for"


def test_two_terminals_see_each_others_changes(shed):
    left, right = settled(shed.open(24, 80)), settled(shed.open(24, 80, "--by", "Ruth"))
    left.keys("e", "lathe chuck, 9 kg", "enter")
    left.wait_for("✓ lathe chuck")
    right.wait_for("1 waiting")
    right.keys("w", "enter", "g", "bench", "enter", "enter")
    right.wait_for("nothing waiting")
    left.wait_for("nothing waiting")
    left.escape("What has just come off?")
    left.keys("u")
    left.wait_for("Ruth")  # it is Ruth's by now: refused, naming her
    history = shed.json("show", "lathe chuck")["history"]
    assert [event["by"] for event in history] == ["tester", "Ruth"]


def test_the_command_line_is_another_terminal(shed):
    terminal = settled(shed.open(24, 80))
    terminal.keys("2")
    shed.json("take", "steady rest")
    terminal.wait_for("steady rest")
    shed.json("undo")
    terminal.wait_gone("steady rest")


def test_a_shop_file_edited_meanwhile_is_read_again_and_a_wrong_one_is_not_used(shed):
    good = shed.shop.read_text()
    terminal = settled(shed.open(24, 80))
    shed.shop.write_text(
        good.replace(
            "zones:\n",
            "zones:\n  sill: {room: shed, kind: bench, at: [100, 100], size: [1500, 700], height: 850}\n",
        )
    )
    terminal.wait_for("sill")
    terminal.keys("g", "sill", "enter")
    terminal.wait_for("sill · bench")
    shed.shop.write_text(good.replace("kind: bench", "kind: bunch"))
    terminal.wait_for("last good shop file in use")
    terminal.wait_for("line 13")
    terminal.keys("e", "vice", "enter")
    terminal.wait_for("✓ vice")
    terminal.escape("What has just come off?")
    shed.shop.write_text(good)
    terminal.wait_gone("last good shop file in use")
    terminal.wait_for("no trouble found")
    assert settled(terminal).quit() == 0
    assert shed.json("find", "vice")


def test_a_ledger_that_cannot_be_written_leaves_the_screen_open_and_says_so(shed):
    shed.json("take", "faceplate")
    terminal = settled(shed.open(24, 80))
    terminal.keys("e", "vice")
    terminal.wait_for("vice · origin not known")
    (shed.folder / "shop.ledger").rename(shed.folder / "gone")
    (shed.folder / "shop.ledger").write_text("in the way")
    terminal.wait_for("cannot be read")  # noticed by itself, though nothing was pressed
    terminal.escape("Problem")
    terminal.keys("enter")
    terminal.wait_for("Not a directory")
    assert "✓ vice" not in terminal.now()
    (shed.folder / "shop.ledger").unlink()
    (shed.folder / "gone").rename(shed.folder / "shop.ledger")
    assert [hit["name"] for hit in shed.json("find", "faceplate")] == ["faceplate"]
    terminal.keys("enter")  # what was typed is still there
    terminal.wait_for("✓ vice")


def test_keys_given_in_the_config_file_are_the_keys(shed):
    config = shed.folder / "my-keys.toml"
    config.write_text('[keys]\n"everywhere.enter_part" = "f7"\n"plan.go_to" = "f8"\n')
    terminal = settled(shed.open(40, 120, SHOPBINS_CONFIG="my-keys.toml"))
    terminal.wait_for("F7 came off")
    terminal.keys("f8")
    terminal.wait_for("Go to which room or place?")
    terminal.escape("Go to which room or place?")
    terminal.keys("f7")
    terminal.wait_for("What has just come off?")
    terminal.escape("What has just come off?")
    config.write_text('[keys]\n"everywhere.entr_part" = "f7"\n')
    again = shed.open(24, 80, SHOPBINS_CONFIG="my-keys.toml")
    again.wait_for("my-keys.toml:2: unknown action 'everywhere.entr_part' (did you mean")


def test_where_there_is_no_terminal_the_app_says_so_in_a_line(shed):
    ran = shed.run(stdin="")
    assert ran.status in (64, 74) and len(ran.problems) == 1, ran
