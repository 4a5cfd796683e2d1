"""The keys that published rules need: volts and what is opposite of a keep-clear, the work of a bench."""

from __future__ import annotations

import pytest

from shopbins.shop.problems import ShopProblems
from shopbins.shop.reader import parse

HEAD = "shop: My shed\nprefix: MS\nrooms:\n  shed: {at: [0, 0], size: [6000, 4000]}\n"
SPACE = "keep clear:\n  board: {{room: shed, at: [0, 0], size: [900, 1000], why: switchgear, {}}}\n"
BENCH = "zones:\n  b: {{room: shed, kind: bench, at: [0, 0], size: [900, 600], height: 900, {}}}\n"


@pytest.mark.parametrize("written", ["230", "230 V", "230V"])
def test_volts_and_what_is_opposite(written: str) -> None:
    clear = parse(HEAD + SPACE.format(f"volts: {written}, opposite: grounded"), "shop.yaml").keep_clear[
        "board"
    ]
    assert (clear.volts, clear.opposite) == (230.0, "grounded")


def test_without_them_they_are_unknown() -> None:
    clear = parse(HEAD + SPACE.format("note: old"), "shop.yaml").keep_clear["board"]
    assert (clear.volts, clear.opposite) == (None, None)


def test_the_work_of_a_bench() -> None:
    assert parse(HEAD + BENCH.format("work: heavy"), "shop.yaml").zones["b"].work == "heavy"


def test_how_an_extinguisher_hangs() -> None:
    written = "mounted: {top: 5 ft, bottom: 0, mass: 30 lb}"
    hung = parse(HEAD + SPACE.format(written), "shop.yaml").keep_clear["board"].mounted
    assert hung is not None
    assert (hung.top_mm, hung.bottom_mm) == (1524.0, 0.0)
    assert hung.mass_kg == pytest.approx(13.6078, abs=1e-4)


def test_how_many_people() -> None:
    assert parse(HEAD + "limits: {people: 61}\n", "shop.yaml").limits.people == 61
    assert parse(HEAD, "shop.yaml").limits.people is None


@pytest.mark.parametrize("written", ["0", "-3", "2.5", "many", "012"])
def test_no_number_of_people(written: str) -> None:
    with pytest.raises(ShopProblems, match=r"shop.yaml:5:18: '.*' is no number of people"):
        parse(HEAD + f"limits: {{people: {written}}}\n", "shop.yaml")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (SPACE.format("mounted: {top: 1 m, bottom: 1 m}"), "the lower edge is not below the top"),
        (SPACE.format("mounted: {tip: 1 m}"), "did you mean 'top'?"),
        (SPACE.format("mounted: 1 m"), "'mounted' is a mapping"),
        (SPACE.format("volts: lots"), "'lots' is no voltage (volts to ground, like 230 or 230 V)"),
        (SPACE.format("volts: -5"), "'-5' is no voltage"),
        (SPACE.format("volts: 0"), "'0' is no voltage"),
        (SPACE.format("opposite: brick"), "'brick' is not one of 'nothing', 'grounded' or 'live'"),
        (BENCH.format("work: hevy"), "did you mean 'heavy'?"),
    ],
)
def test_what_is_wrong_is_said_at_its_place(text: str, said: str) -> None:
    with pytest.raises(ShopProblems) as caught:
        parse(HEAD + text, "shop.yaml")
    assert "shop.yaml:6:" in str(caught.value)
    assert said in str(caught.value)


# --- what the published checks ask for ---------------------------------------------------------------------


def test_the_top_and_the_room() -> None:
    shop = parse(
        "shop: S\nrules: eu\ncountry: DE\npremises: home\nbuilt: 1998\n"
        "limits: {who lifts: men, liquids: 5 gal}\n"
        "rooms:\n  shed: {at: [0, 0], size: [6000, 4000], people: 12, fire hazard: high, below ground: no, "
        "built: 1904}\n"
    )
    assert (shop.country, shop.premises, shop.built) == ("de", "home", 1998)
    assert shop.limits.who_lifts == "men"
    assert shop.limits.liquids_l == pytest.approx(18.92705892)  # the US gallon is 231 cubic inches
    room = shop.rooms["shed"]
    assert (room.people, room.fire_hazard, room.below_ground, room.built) == (12, "high", False, 1904)


def test_what_nobody_said_is_none_and_not_no() -> None:
    shop = parse(HEAD + BENCH.format("note: old"))
    assert (shop.rooms["shed"].below_ground, shop.rooms["shed"].people) == (None, None)
    bench = shop.zones["b"]
    assert (bench.fixed_back, bench.fixed_floor, bench.load_sign, bench.total_height_mm) == (None,) * 4


@pytest.mark.parametrize(
    ("more", "units"),
    [
        ("", "metric"),
        ("rules: us\n", "us"),
        ("rules: us\nunits: metric\n", "metric"),
        ("units: us\n", "us"),
        (
            "limits: {walkway: 2 ft, exit: 28 in, headroom: 80 in, lift height: 3 ft, liquids: 2 gal}\n",
            "us",
        ),
    ],
)
def test_the_units_shown(more: str, units: str) -> None:
    assert parse(HEAD + more).units == units


def test_equipment_and_extinguisher() -> None:
    more = (
        "equipment: {width: 900, height: 1.8 m, door width: 450, amps: 200 A}, installed: 2005-06-01, "
        "worked on live: no, entrances: 2, mounted: {handle: 1 m, wheeled: yes}, for: [a, B], sign: yes"
    )
    clear = parse(HEAD + SPACE.format(more)).keep_clear["board"]
    assert clear.equipment is not None and clear.mounted is not None and clear.installed is not None
    assert (clear.equipment.width_mm, clear.equipment.door_width_mm, clear.equipment.amps) == (900, 450, 200)
    assert (clear.installed.isoformat(), clear.worked_on_live, clear.entrances) == ("2005-06-01", False, 2)
    assert (clear.mounted.handle_mm, clear.mounted.wheeled) == (1000, True)
    assert (clear.for_classes, clear.sign) == (("A", "B"), True)


def test_doors_openings_and_walls() -> None:
    two = HEAD + "  store: {at: [6200, 0], size: [3000, 4000]}\n"
    shop = parse(
        two
        + "doors:\n  out: {room: shed, to: outside, jambs: [[0, 500], [0, 1400]], opens: sliding, "
        + "exit: emergency, kept: shut}\n"
        + "openings:\n  h: {room: shed, kind: hatch, at: [3000, 1000], size: [800, 800], to: store, "
        + "load: 15 kN}\n"
        + "  w: {room: shed, kind: window, jambs: [[0, 2000], [0, 3000]], to: outside, covered: no}\n"
        + "walls:\n  between: {between: [shed, store], of: metal}\n"
    )
    door = shop.doors["out"]
    assert (door.exit, door.emergency, door.kept_shut) == (True, True, True)
    hatch, window = shop.openings["h"], shop.openings["w"]
    assert (hatch.kind, hatch.to, hatch.covered) == ("hatch", "store", None)
    assert hatch.load_kg == pytest.approx(15_000 / 9.80665)
    assert (window.jambs, window.outline, window.covered) == (((0, 2000), (0, 3000)), (), False)
    assert (shop.walls["between"].between, shop.walls["between"].of) == (("shed", "store"), "metal")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (SPACE.format("equipment: {width: -5}"), "6:90: '-5' is negative"),
        (SPACE.format("equipment: {amps: 3 V}"), "'3 V' is no current"),
        (SPACE.format("installed: 1750-01-01"), "6:82: 1750-01-01 is before electricity"),
        (SPACE.format("installed: soon"), "'soon' is no date (year-month-day, like 2005-06-01)"),
        (SPACE.format("for: [Q]"), "'Q' is no class of fire (some of A, B, C, D, F, K, like [A, B])"),
        ("limits: {liquids: 3 m}\n", "5:19: '3 m' is a length, where a volume is meant"),
        ("limits: {who lifts: women}\n", "'women' is not one of 'anyone' or 'men'"),
        ("country: Germany\n", "'Germany' is no country (two letters, like de)"),
        ("built: soon\n", "'soon' is no year from 1100 to 2100"),
        ("openings: {o: {room: shed, kind: window, jambs: [[0, 1]]}}\n", "needs two jambs"),
        ("openings: {o: {room: shed, at: [0, 0], size: [9, 9]}}\n", "has no 'kind'"),
        ("walls: {w: {between: [shed, barn], of: metal}}\n", "no room is called 'barn'"),
        (BENCH.format("total height: 500"), "total height 500 mm, but its top level is higher"),
        (BENCH.format("cabinet: acids"), "'acids' is not one of 'flammables'"),
    ],
)
def test_each_mistake_at_its_place(text: str, said: str) -> None:
    with pytest.raises(ShopProblems) as caught:
        parse(HEAD + text, "shop.yaml")
    assert said in str(caught.value), str(caught.value)
