"""Every kind of mistake in a shop file is found at its line and column, with what was probably meant.

In each text the sign « stands before the place where the problem must be reported, and is taken out.
"""

# ruff: noqa: E501, PT  (a case a line reads best)
from __future__ import annotations

import pytest

from shopbins.shop import Problem, ShopProblems, parse

HEAD = """\
shop: My shed
rooms:
  shed: {at: [0, 0], size: [6000, 4000], headroom: 2.4 m}
  store: {at: [6200, 0], size: [3000, 4000]}
"""

# Name, text behind HEAD (or the whole text, where it begins with '!'), what is wrong, the hint.
CASES = [
    # -- the file as such
    ("empty", "!«", "the file is empty", "begin with 'shop: My shed'"),
    ("only comments", "!«# nothing yet\n", "the file is empty", "begin with"),
    ("a list", "!«- shop\n- rooms\n", "keys and values", "begin with"),
    ("a text", "!«shop\n", "keys and values", "begin with"),
    ("no shop", "!«rooms: {shed: {at: [0, 0], size: [999, 999]}}\n", "the shop has no 'shop'", "add shop: My shed"),
    ("no room", "!«shop: My shed\n", "the shop has no room", "add rooms:"),
    ("rooms empty", "!shop: My shed\nrooms: «{}\n", "the shop has no room", "add rooms:"),
    ("rooms missing behind", "!shop: My shed\nrooms:«\n", "'rooms' has no value", "leave the line out"),
    ("rooms a list", "!shop: My shed\nrooms: «[shed]\n", "'rooms' is a mapping", "each room under its own key"),
    ("room a text", "!shop: My shed\nrooms:\n  shed: «6x4 m\n", "room 'shed' is a mapping", "indented below"),
    ("second document", "«---\nshop: Other\n", "a second document begins", "one file, one shop"),
    ("alias", "zones: &z {}\nfixtures: «*z\n", "'*z' refers to something else", "write it out"),
    ("tag", "zones: «!!map {}\n", "tag", "leave it out"),
    ("key is a list", "«[a, b]: c\n", "cannot be a key", "one word or text"),
    ("too deep", "note: " + "[" * 19 + "«" + "[" * 500 + "\n", "nested more than 20 deep", "six"),
    # -- YAML that does not parse
    ("tab", "zones:\n«\track: {}\n", "a tab in the indentation", "use spaces"),
    ("colon in a text", "note: see«: the other shed\n", "a colon that does not fit here", "quote a text"),
    ("open bracket", "limits: {walkway: [700\nnote«: x\n", "a list that is not closed", "[a, b]; it begins on line 5"),
    ("at sign", "note: «@home\n", "cannot begin a value", "quote the text"),
    ("open quote", 'note: "no end\n«', "ends inside a quoted text", "close the quote"),
    ("indentation", "zones:\n    a: {}\n  «b: {}\n", "does not fit what is above it", "indent it"),
    ("backslash", 'note: "C:«\\shop"\n', "a backslash", "single quotes"),
    # -- characters
    ("bell", "note: ring«\x07\n", "hidden character U+0007", "take it out"),
    ("bidi", "note: abc«\u202ecba\n", "hidden character U+202E", "take it out"),
    ("escape by backslash", 'note: «"\\e[31mred"\n', "hidden character U+001B", "take it out"),
    ("nul by backslash", 'zones:\n  «"a\\0b": {}\n', "hidden character U+0000", "take it out"),
    ("zero width", "zones:\n  ra«\u200bck: {room: shed, kind: floor, at: [0, 0], size: [9, 9]}\n", "U+200B", ""),
    ("line separator", "note: a«\u2028b\n", "hidden character U+2028", "take it out"),
    ("long name", "!shop: «" + "x" * 10_000 + "\nrooms: {a: {at: [0, 0], size: [999, 999]}}\n", "10000 char", "80"),
    ("long key", "fixtures:\n  «" + "k" * 61 + ": {room: shed, at: [0, 0], size: [9, 9]}\n", "61 char", "60"),
    # -- keys
    ("unknown key", "«zoness: {}\n", "unknown key 'zoness' in the shop", "did you mean 'zones'?"),
    ("key with underscore", "«keep_clear: {}\n", "unknown key 'keep_clear'", "did you mean 'keep clear'?"),
    ("unknown in room", "fixtures:\n  a: {room: shed, at: [0, 0], size: [9, 9], «wieght: 9}\n", "in fixture 'a'", "height"),
    ("nothing like it", "«weather: wet\n", "unknown key 'weather'", "known here: shop, prefix"),
    ("merge key", "zones:\n  a: {«<<: {kind: floor}, room: shed, kind: floor, at: [0, 0], size: [9, 9]}\n", "'<<'", ""),
    ("twice", "note: one\n«note: two\n", "'note' is written twice", "first on line 5; keep one"),
    ("twice in a section", "machines:\n  a: {name: b}\n  «a: {name: b}\n", "'a' is written twice", "first on line 6"),
    ("slash", "zones:\n  «rack/1: {}\n", "has a '/' in it", "parts a zone from its level"),
    ("bare yes as key", "fixtures:\n  «no: {room: shed, at: [0, 0], size: [9, 9]}\n", "YAML reads no as false", 'quote it: "no"'),
    ("number as key", "fixtures:\n  «010: {room: shed, at: [0, 0], size: [9, 9]}\n", "YAML reads 010 as 8", 'quote it: "010"'),
    ("space in key", "fixtures:\n  «' a': {room: shed, at: [0, 0], size: [9, 9]}\n", "begins or ends with a space", "take"),
    ("no key", "fixtures:\n  «'': {room: shed, at: [0, 0], size: [9, 9]}\n", "a key without a name", "short name"),
    # -- what YAML 1.1 misreads
    ("no as a name", "!shop: «no\nrooms: {a: {at: [0, 0], size: [999, 999]}}\n", "YAML reads no as false", 'quote it: "no"'),
    ("date as a name", "note: «2026-12-24\n", "as a date", 'quote it: "2026-12-24"'),
    ("clock as a name", "note: «12:30\n", "a number to the base 60", 'quote it: "12:30"'),
    ("octal length", "measured: «010\n", "YAML reads 010 as 8", "write 10"),
    ("padded length", "measured: «09\n", "YAML readers differ on 09", "write 9"),
    ("exponent", "measured: «1e1\n", "YAML readers differ on 1e1", "write 10"),
    ("hexadecimal", "measured: «0x10\n", "YAML readers differ on 0x10", "plain decimal number"),
    ("underscore", "measured: «1_0\n", "YAML readers differ on 1_0", "write 10"),
    ("clock as a length", "measured: «12:30\n", "a number to the base 60", "plain decimal number"),
    ("yes as a length", "measured: «yes\n", "YAML reads yes as true", "write a length"),
    ("not a number", "measured: «.nan\n", "no finite number", "plain decimal number"),
    ("on as a flag", "!shop: s\nrooms: {a: {at: [0, 0], size: [999, 999], hot work: «on}}\n", "neither yes nor no", "write yes"),
    ("text as a flag", "!shop: s\nrooms: {a: {at: [0, 0], size: [999, 999], hot work: «maybe}}\n", "neither yes nor no", "yes or no"),
    # -- quantities
    ("wrong unit", "measured: «5 kg\n", "is a mass, where a length is meant", "mm, cm, m"),
    ("unknown unit", "measured: «5 furlong\n", "unknown unit 'furlong'", "mm, cm, m"),
    ("decimal comma", "measured: «2,5\n", "decimal comma", "write 2.5"),
    ("decimal comma in braces", "limits: {walkway: 3,«4 m}\n", "a comma before '4 m'", "write 3.4 m"),
    ("text cut by a comma", "fixtures:\n  a: {room: shed, at: [0, 0], size: [9, 9], note: old, «but sound}\n", "a comma before", "quotes"),
    ("negative", "measured: «-5\n", "negative", "not below 0"),
    ("absurd", "measured: «2000 m\n", "over 1000 m", ""),
    ("list for a length", "measured: «[5]\n", "a list where a length is meant", ""),
    ("mapping for a text", "note: «{a: b}\n", "a mapping where a text is meant", ""),
    ("no value", "measured:«\n", "'measured' has no value", "leave the line out"),
    ("fill without a unit", "limits: {fill: «85}\n", "says no unit", "%"),
    ("fill of nothing", "limits: {fill: «0 %}\n", "leaves no room", "85 %"),
    ("slope as a number", "!shop: s\nrooms: {a: {at: [0, 0], size: [999, 999], slope: «4 %}}\n", "'slope' is a mapping", "1 in 25"),
    ("slope without a way", "!shop: s\nrooms: {a: {at: [0, 0], size: [999, 999], slope: «{fall: 4 %}}}\n", "no 'towards'", "270"),
    ("floor load in kN", "!shop: s\nrooms: {a: {at: [0, 0], size: [999, 999], floor load: «5 kN}}\n", "is a force", "kN/m2"),
    # -- top of the file
    ("prefix", "prefix: «rw\n", "prefix 'rw'", "write RW"),
    ("long prefix", "prefix: «ROPE\n", "prefix 'ROPE'", "like RW"),
    ("rule set", "rules: «usa\n", "'usa' is not one of", "did you mean 'us'?"),
    # -- outlines
    ("self-crossing", "!shop: s\nrooms: {a: {outline: «[[0, 0], [9000, 0], [0, 6000], [9000, 6000]]}}\n", "edges 2 and 4 cross", "in order"),
    ("two points", "!shop: s\nrooms: {a: {outline: «[[0, 0], [9000, 0]]}}\n", "needs three points, this has 2", "in order"),
    ("same point", "!shop: s\nrooms: {a: {outline: [[0, 0], [90, 0], «[90, 0], [90, 60]]}}\n", "points 2 and 3 are less than 1 mm", "leave one out"),
    ("no area", "!shop: s\nrooms: {a: {outline: «[[0, 0], [90, 0], [180, 0]]}}\n", "no area", "in order"),
    ("fold", "!shop: s\nrooms: {a: {outline: «[[0, 0], [90, 0], [90, 90], [90, 30], [50, 30]]}}\n", "edges", "in order"),
    ("point of three", "!shop: s\nrooms: {a: {outline: [[0, 0], «[1,5, 0], [90, 60]]}}\n", "this has 3", "like [1200, 300]"),
    ("point a number", "!shop: s\nrooms: {a: {outline: [[0, 0], «90, [90, 60]]}}\n", "a point, [x, y] is meant", "like"),
    ("outline a text", "!shop: s\nrooms: {a: {outline: «all}}\n", "'outline' is a list of points", "[[0, 0]"),
    ("many points", "!shop: s\nrooms: {a: {outline: «[" + "[0, 0], " * 201 + "]}}\n", "201 points", "at most 200"),
    ("both ways", "!shop: s\nrooms: {a: {outline: [[0, 0], [999, 0], [999, 999]], at: «[0, 0]}}\n", "both an outline and 'at'", "one or the other"),
    ("neither way", "!shop: s\nrooms: {«a: {headroom: 2 m}}\n", "room 'a' has no 'at'", "or an outline"),
    ("no size", "!shop: s\nrooms: {«a: {at: [0, 0]}}\n", "room 'a' has no 'size'", "add size"),
    ("size of nothing", "!shop: s\nrooms: {a: {at: [0, 0], size: [«0, 9]}}\n", "a length of 0", ""),
    ("size with height", "!shop: s\nrooms: {a: {at: [0, 0], size: «2x3x4 m}}\n", "length and depth here", "its own key"),
    # -- doors
    ("unknown room", "doors:\n  d: {room: «shedd, to: outside, jambs: [[0, 1000], [0, 1900]], opens: open}\n", "no room is called 'shedd'", "did you mean 'shed'?"),
    ("room by capitals", "doors:\n  d: {room: «Shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: open}\n", "'Shed'", "'shed'?"),
    ("to itself", "doors:\n  d: {room: shed, to: «shed, jambs: [[0, 1000], [0, 1900]], opens: open}\n", "to itself", "name the other"),
    ("off the wall", "doors:\n  d: {room: shed, to: outside, jambs: «[[300, 1000], [300, 1900]], opens: open}\n", "is 300 mm from any wall", "nearest wall is at 0,1000"),
    ("two walls", "doors:\n  d: {room: shed, to: outside, jambs: «[[0, 600], [600, 0]], opens: open}\n", "two different walls", "one straight wall"),
    ("three jambs", "doors:\n  d: {room: shed, to: outside, jambs: «[[0, 1], [0, 900], [0, 950]], opens: open}\n", "has 3 jambs", "two points"),
    ("no gap", "doors:\n  d: {room: shed, to: outside, jambs: «[[0, 1000], [0, 1004]], opens: open}\n", "the same point", "two edges"),
    ("wrong side", "doors:\n  d: {room: shed, to: store, jambs: «[[0, 1000], [0, 1900]], opens: open}\n", "no wall of it is opposite", "move"),
    ("half beside", "doors:\n  d: {room: store, to: shed, jambs: «[[6500, 0], [7400, 0]], opens: open}\n", "no wall of it is opposite", "move"),
    ("into a room", "doors:\n  d: {room: shed, to: «outside, jambs: [[6000, 1000], [6000, 1900]], opens: open}\n", "runs into room 'store'", "write to: store"),
    ("wall does not agree", "doors:\n  d: {room: shed, to: store, jambs: [[6000, 100], [6000, 900]], opens: open, wall: «400}\n", "'store' begins 200 mm away", "leave it out"),
    ("no opens", "doors:\n  «d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]]}\n", "has no 'opens'", "hinged, sliding"),
    ("no hand", "doors:\n  «d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: hinged}\n", "has no 'hand'", "left or right"),
    ("hand of a slider", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: sliding, hand: «left}\n", "'hand' is for hinged doors", "leave it out"),
    ("hang of a slider", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: sliding, hang: «2 m}\n", "'hang' is for up-and-over", "leave it out"),
    ("swings elsewhere", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: hinged, hand: left, swings into: «store}\n", "cannot swing into 'store'", "'shed' or 'outside'"),
    ("opens too far", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: hinged, hand: left, opens to: «200}\n", "opens to 200 degrees", "from 1 to 180"),
    ("leaf through a wall", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 0], [0, 900]], opens: hinged, hand: left, opens to: «120}\n", "meets a wall of 'shed' at 95", "check hand"),
    ("clear over the jambs", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: open, clear: «950}\n", "the jambs are 900 mm apart", "never more"),
    ("way it opens", "doors:\n  d: {room: shed, to: outside, jambs: [[0, 1000], [0, 1900]], opens: «swinging}\n", "'swinging' is not one of", "'hinged'"),
    # -- walkways and keep-clears
    ("through a wall", "walkways:\n  w: {line: «[[1000, 500], [8000, 500]], width: 800}\n", "leaves the rooms near 6100,500", "add the door"),
    ("one point", "walkways:\n  w: {line: «[[1000, 500]], width: 800}\n", "needs two points", "from end to end"),
    ("same points", "walkways:\n  w: {line: [[1000, 500], «[1000, 500]], width: 800}\n", "points 1 and 2", "leave one out"),
    ("no width", "walkways:\n  «w: {line: [[1000, 500], [2000, 500]]}\n", "has no 'width'", "800 mm"),
    ("least over width", "walkways:\n  w: {line: [[1000, 500], [2000, 500]], width: 800, least: «900}\n", "more than the width 800", "tightest"),
    ("keep-clear outside", "keep clear:\n  k: {room: shed, at: «[5500, 0], size: [600, 600], why: valve}\n", "100 mm outside its room 'shed'", "0,0 and 6000,4000"),
    ("no reason", "keep clear:\n  «k: {room: shed, at: [0, 0], size: [600, 600]}\n", "has no 'why'", "switchgear"),
    ("volts in another script", "keep clear:\n  k: {room: shed, at: [0, 0], size: [600, 600], why: switchgear, volts: «²}\n", "no voltage", "230 V"),
    ("absurd volts", "keep clear:\n  k: {room: shed, at: [0, 0], size: [600, 600], why: switchgear, volts: «900000}\n", "no voltage", "230 V"),
    ("volts in watts", "keep clear:\n  k: {room: shed, at: [0, 0], size: [600, 600], why: switchgear, volts: «230 W}\n", "no voltage", "230 V"),
    ("opposite", "keep clear:\n  k: {room: shed, at: [0, 0], size: [600, 600], why: switchgear, opposite: «brick}\n", "'brick' is not one of", "'grounded'"),
    ("work", "zones:\n  z: {room: shed, kind: bench, at: [0, 0], size: [600, 600], height: 900, work: «lite}\n", "'lite' is not one of", "did you mean 'light'?"),
    # -- zones and fixtures
    ("zone outside", "zones:\n  z: {room: shed, kind: floor, at: «[-50, 0], size: [600, 600]}\n", "50 mm outside its room", "between"),
    ("zone by outline", "zones:\n  z: {room: shed, kind: floor, outline: «[[1, 1], [900, 1], [400, 4500]]}\n", "500 mm outside", "between"),
    ("zone in the other room", "zones:\n  z: {room: shed, kind: floor, at: «[7000, 0], size: [600, 600]}\n", "outside its room 'shed'", "write room: store"),
    ("turned zone outside", "zones:\n  z: {room: shed, kind: floor, at: «[0, 0], size: [600, 600], turn: 15}\n", "155 mm outside", "between"),
    ("fixture outside", "fixtures:\n  f: {room: shed, at: «[0, 3500], size: [600, 600]}\n", "100 mm outside its room", "between"),
    ("no kind", "zones:\n  «z: {room: shed, at: [0, 0], size: [600, 600]}\n", "has no 'kind'", "bench, shelf or floor"),
    ("room as a kind", "zones:\n  z: {room: shed, kind: «room, at: [0, 0], size: [600, 600]}\n", "'room' is not one of", "'floor'"),
    ("bench without height", "zones:\n  «z: {room: shed, kind: bench, at: [0, 0], size: [600, 600]}\n", "has no 'height'", "900 mm"),
    ("floor with levels", "zones:\n  z: {room: shed, kind: floor, at: [0, 0], size: [6, 6], levels: «{1: {height: 9}}}\n", "no levels", "kind: shelf"),
    ("height and levels", "zones:\n  z: {room: shed, kind: shelf, at: [0, 0], size: [6, 6], height: «9, levels: {1: {height: 9}}}\n", "a 'height' of its own", "leave this one out"),
    ("no level", "zones:\n  z: {room: shed, kind: shelf, at: [0, 0], size: [6, 6], levels: «{}}\n", "has no level", "height: 100"),
    ("level without height", "zones:\n  z: {room: shed, kind: shelf, at: [0, 0], size: [6, 6], levels: {«1: {load: 9 kg}}}\n", "level '1' has no 'height'", "100 mm"),
    ("level too high", "zones:\n  z: {room: shed, kind: shelf, at: [0, 0], size: [6, 6], levels: {1: {height: 100, headroom: «700}, 2: {height: 700}}}\n", "next level is 600 mm higher", "underside"),
    ("level with a slash", "zones:\n  z: {room: shed, kind: shelf, at: [0, 0], size: [6, 6], levels: {1: {height: 100}, «a/b: {height: 700}}}\n", "'/'", ""),
    ("load of nothing", "zones:\n  z: {room: shed, kind: floor, at: [0, 0], size: [6, 6], load: «0 kg}\n", "a mass of 0", "leave it out"),
    ("overlap on the floor", "zones:\n  a: {room: shed, kind: floor, at: [0, 0], size: [600, 600]}\n  b: {room: shed, kind: floor, at: «[500, 500], size: [600, 600]}\n", "'b' overlaps zone 'a' from 0 mm to 2400 mm", "move one"),
    ("overlap in height", "zones:\n  a: {room: shed, kind: floor, at: [0, 0], size: [600, 600], headroom: 901}\n  b: {room: shed, kind: bench, at: «[0, 0], size: [600, 600], height: 900}\n", "from 900 mm to 901 mm", "headroom of at most 900 mm"),
    # -- names over the whole file
    ("zone named as a room", "zones:\n  «store: {room: shed, kind: floor, at: [0, 0], size: [6, 6]}\n", "has the key of room 'store'", "line 4"),
    ("only capitals", "zones:\n  a b: {room: shed, kind: floor, at: [0, 0], size: [6, 6]}\n  «A b: {room: shed, kind: floor, at: [10, 0], size: [6, 6]}\n", "differ only in capitals", "something else"),
    ("old key in use", "zones:\n  «a: {room: shed, kind: floor, at: [0, 0], size: [6, 6], was: [shed]}\n", "called that now", "take it out"),
    ("old key twice", "zones:\n  a: {room: shed, kind: floor, at: [0, 0], size: [6, 6], was: c}\n  «b: {room: shed, kind: floor, at: [10, 0], size: [6, 6], was: c}\n", "both say they were 'c'", "only one"),
    ("room called outside", "!shop: s\nrooms: {«outside: {at: [0, 0], size: [999, 999]}}\n", "cannot be called 'outside'", "exits lead"),
    ("rooms overlap", "!shop: s\nrooms:\n  a: {at: [0, 0], size: [900, 900]}\n  «b: {at: [800, 0], size: [900, 900]}\n", "room 'b' overlaps room 'a'", "inner faces"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "what", "hint"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_a_mistake_is_found_at_its_place(text: str, what: str, hint: str) -> None:
    marked = text[1:] if text.startswith("!") else HEAD + text
    before, _, after = marked.partition("«")
    line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    problems = problems_of(before + after)
    assert [(p.line, p.column) for p in problems] == [(line, column)], problems
    assert any(each in problems[0].what for each in what.split("|")), problems
    assert hint in problems[0].hint, problems


def test_case_names_are_unique() -> None:
    names = [case[0] for case in CASES]
    assert len(set(names)) == len(names)


def test_all_problems_come_in_one_go_in_file_order() -> None:
    faults = [
        text for name, text, _, _ in CASES if name in ("off the wall", "through a wall", "zone outside")
    ]
    faults += ["measured: 5 kg\n", "«zoness: {}\n"]
    problems = problems_of((HEAD + "".join(faults)).replace("«", ""))
    assert len(problems) == 5
    assert [(p.line, p.column) for p in problems] == sorted((p.line, p.column) for p in problems)


def test_one_broken_room_does_not_blame_what_is_in_it() -> None:
    text = HEAD.replace("size: [6000, 4000]", "size: [6000, x]")
    column = text.splitlines()[2].index("x]") + 1
    text += "zones:\n  z: {room: shed, kind: floor, at: [-50, 0], size: [600, 600]}\n"
    text += "walkways:\n  w: {line: [[1000, 500], [5000, 500]], width: 800}\n"
    text += "doors:\n  d: {room: shed, to: store, jambs: [[6000, 500], [6000, 1500]], opens: open}\n"
    assert [(p.line, p.column) for p in problems_of(text)] == [(3, column)]


def test_a_problem_is_one_line_of_file_line_column_what_and_hint() -> None:
    (problem,) = problems_of(HEAD + "measured: 5 kg\n")
    start = "shed.yaml:5:11: '5 kg' is a mass, where a length is meant ("
    assert str(problem).startswith(start)
    assert problem.as_json() == {
        "file": "shed.yaml",
        "line": 5,
        "column": 11,
        "problem": problem.what,
        "hint": problem.hint,
    }


def test_too_many_problems_are_counted() -> None:
    text = HEAD + "zones:\n" + "".join(f"  z{n}: {{}}\n" for n in range(500))
    problems = problems_of(text)
    assert len(problems) == 201
    assert problems[-1].what == "and 1300 more problems"


def problems_of(text: str) -> tuple[Problem, ...]:
    """Return the problems of a text that has some."""
    with pytest.raises(ShopProblems) as caught:
        parse(text, "shed.yaml")
    for each in caught.value.problems:
        assert str(each).isprintable()
    return caught.value.problems
