"""The line for what has just come off."""

import pytest

from shopbins.ledger.model import Mass, Size
from shopbins.tui.parts.entryline import (
    Unreadable,
    completed,
    find_origin,
    is_new,
    offers,
    read_line,
    staying,
    understood,
)

KNOWN = [("engine", "cylinder head 2", "valve gear"), ("engine", "crankcase"), ("winch",)]
LAST = KNOWN[0]


def test_a_name_is_enough():
    came = read_line("bracket")
    assert (came.name, came.origin, came.size, came.mass, came.qty) == ("bracket", None, None, None, 1)


def test_the_rest_stands_in_any_order():
    one = read_line("inlet valves, crankcase, bag, 2 kg, 4 off, 250x180x60 mm", KNOWN, LAST)
    two = read_line("inlet valves, 250x180x60 mm, 4 off, 2 kg, bag, crankcase", KNOWN, LAST)
    assert one == two
    assert one.origin == ("engine", "crankcase")
    assert one.size == Size(250, 180, 60)
    assert (one.container, one.mass, one.qty) == ("bag", Mass(2), 4)


@pytest.mark.parametrize(
    ("part", "qty"), [("12", 12), ("x12", 12), ("12x", 12), ("12 off", 12), ("X 12", 12), ("12 pieces", 12)]
)
def test_pieces(part, qty):
    assert read_line(f"bolts, {part}").qty == qty


@pytest.mark.parametrize(
    ("part", "mass"),
    [
        ("2kg", Mass(2)),
        ("about 2 kg", Mass(2, True)),
        ("2 lb", Mass(pytest.approx(0.90718474))),
        ("500 g", Mass(0.5)),
    ],
)
def test_mass(part, mass):
    assert read_line(f"bolts, {part}").mass == mass


def test_about_is_kept():
    assert read_line("tank, about 900x400x400mm").size == Size(900, 400, 400, True)


def test_a_place_after_the_at_sign():
    assert read_line("bolts, @rack a/3").place == "rack a/3"


@pytest.mark.parametrize(
    ("part", "origin"),
    [
        ("winch > drum", ("winch", "drum")),
        ("Valve Gear", ("engine", "cylinder head 2", "valve gear")),
        ("cylinder head 2", ("engine", "cylinder head 2")),
        ("sump", ("engine", "sump")),
        ("winch", ("winch",)),
    ],
)
def test_an_origin_in_use_is_found_by_its_last_part(part, origin):
    assert find_origin(part, KNOWN, LAST) == origin


def test_the_first_origin_ever_is_a_machine():
    assert find_origin("winch", [], ()) == ("winch",)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("", "the name comes first"),
        (", bag", "the name comes first"),
        ("bolts, bag, tub", "'tub' would be a second container"),
        ("bolts, head, sump", "'sump' would be a second origin"),
        ("bolts, 300x200 mm", "length x width x height"),
        ("bolts, 0", "at least one piece"),
        ("bolts, 300x200x99999999999 mm", "99999999999"),
    ],
)
def test_what_cannot_be_read(line, says):
    with pytest.raises(Unreadable, match=says):
        read_line(line, KNOWN, LAST)


def test_what_is_not_known_is_said():
    text = understood(read_line("bracket"), LAST)
    assert "from engine > cylinder head 2 > valve gear (stays)" in text
    assert "size not known" in text and "not weighed" in text and "waiting" in text


def test_completion():
    assert offers("valves, b", KNOWN, []) == ["bare", "bag", "box"]
    assert offers("valves, cra", KNOWN, []) == ["engine > crankcase"]
    assert offers("valves, @ra", KNOWN, ["rack a/1", "bench 1"]) == ["@rack a/1"]
    assert offers("valves", KNOWN, []) == []
    assert completed("valves, ba", "bag") == "valves, bag"


@pytest.mark.parametrize(
    ("line", "name", "qty", "place"),
    [
        ("bolts x 8", "bolts", 8, ""),
        ("bolts x8 @rack a/3", "bolts", 8, "rack a/3"),
        ("bolts M12 @ rack a/3, 2 kg", "bolts M12", 1, "rack a/3"),
        ("box 4", "box 4", 1, ""),
        ("hood x ray", "hood x ray", 1, ""),
        ("lamp@home", "lamp@home", 1, ""),
        ("x 8", "x 8", 1, ""),
    ],
)
def test_a_number_and_a_place_need_no_comma_behind_the_name(line, name, qty, place):
    came = read_line(line)
    assert (came.name, came.qty, came.place) == (name, qty, place)


@pytest.mark.parametrize("part", ["6 bolts", "3 studs and a nut", "12mm spanner"])
def test_a_number_makes_no_part_of_a_machine(part):
    """'water pump cover, 6 bolts' once came from 'engine > 6 bolts'."""
    with pytest.raises(Unreadable, match="names no part of a machine"):
        read_line(f"water pump cover, {part}", KNOWN, LAST)


def test_a_path_not_in_use_is_new():
    assert is_new(("engine", "asbestos"), KNOWN)
    assert not is_new(("Engine", "Crankcase"), KNOWN) and not is_new(("engine",), KNOWN)
    assert not is_new(None, KNOWN) and not is_new((), KNOWN)


@pytest.mark.parametrize(
    "line",
    ["Ventil, 12,5 kg", "Ventil 12,5 kg", "plate, 300,5x200x150 mm", "block, about 1,2 t"],
)
def test_a_decimal_comma_is_asked_about_never_taken_for_two_figures(line):
    """A comma with a figure right before and right behind it, before a unit: 12.5 kg, or 12 of 5 kg."""
    with pytest.raises(Unreadable, match=r"for a decimal, '\d+, \d+' for two figures"):
        read_line(line)


def test_two_figures_with_a_space_between_are_two():
    came = read_line("Ventil, 12, 5 kg")
    assert (came.qty, came.mass) == (12, Mass(5))


@pytest.mark.parametrize(
    ("line", "name", "mass", "size"),
    [
        ("Spindelkasten 320 kg 900x600x500", "Spindelkasten", Mass(320), Size(900, 600, 500)),
        ("headstock 900 x 600 x 500 mm 320 kg", "headstock", Mass(320), Size(900, 600, 500)),
        ("headstock 900x600x500, 320 kg", "headstock", Mass(320), Size(900, 600, 500)),
        ("bolts M8x1.25x40", "bolts M8x1.25x40", None, None),
        ("shim 300x200x2, 310x210x5 mm", "shim 300x200x2", None, Size(310, 210, 5)),
    ],
)
def test_a_mass_and_a_size_need_no_comma_behind_the_name(line, name, mass, size):
    came = read_line(line)
    assert (came.name, came.mass, came.size) == (name, mass, size)


def test_the_position_of_one_part_is_not_that_of_the_next():
    assert staying(("lathe", "guards", "left")) == ("lathe", "guards")
    assert staying(("lathe",)) == ("lathe",)
