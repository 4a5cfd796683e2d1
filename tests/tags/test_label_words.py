"""What stands on labels, and in which order they come off the printer."""

import pytest

from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone, Mass
from shopbins.records import acts
from shopbins.shop.model import Door, Level, Limits, Room, Shop, Zone
from shopbins.tags import TagError
from shopbins.tags.labels import labels_for, places
from shopbins.tags.walking import walking_order


def box(x, y, w, d):
    return ((x, y), (x + w, y), (x + w, y + d), (x, y + d))


def zone(key, room, x, y, levels=1, **more):
    if levels == 1:
        made = (Level("", 900.0),)
    else:
        made = tuple(Level(str(n + 1), 400.0 * n + 100, 380.0, 120.0) for n in range(levels))
    return Zone(
        key,
        more.pop("name", key),
        room,
        "shelf" if levels > 1 else "bench",
        box(x, y, 900, 500),
        made,
        **more,
    )


def door(key, room, to, x, y, leave=False):
    return Door(
        key, key, room, to, ((x, y), (x + 900, y)), 900.0, 2000.0, "open", box(x, y, 900, 100), exit=leave
    )


# Two rooms, the hall with the way in at its lower left; the store above it.
SHOP = Shop(
    "two rooms",
    "TW",
    {
        "store": Room("store", "Paint store", box(0, 6100, 6000, 4000)),
        "hall": Room("hall", "Slip hall", box(0, 0, 6000, 6000)),
    },
    limits=Limits(one_person_kg=25.0),
    doors={
        "between": door("between", "hall", "store", 4500, 6000),
        "way in": door("way in", "hall", "outside", 300, 0, leave=True),
    },
    zones={
        "far bench": zone("far bench", "hall", 5000, 5000),
        "rack b": zone("rack b", "store", 200, 9000, levels=2),
        "rack a": zone(
            "rack a", "hall", 200, 2000, levels=3, name="Rack A", cautions=("top level: two people",)
        ),
        "near bench": zone("near bench", "hall", 200, 400, load_kg=300.0),
        "paint shelf": zone("paint shelf", "store", 4800, 6300),
    },
)


@pytest.fixture
def ledger(tmp_path):
    with Ledger.open(tmp_path / "x.ledger", by="t", prefix="TW") as opened:
        yield opened


def taken(ledger, name, **more):
    event = ledger.transact(lambda state: acts.take(state, name, **more))
    return event.subjects[0].partition(":")[2]


def test_the_walk_goes_from_the_way_in_to_the_nearest_next():
    assert walking_order(SHOP) == [
        "near bench", "rack a", "far bench", "hall", "paint shelf", "rack b", "store"
    ]  # fmt: skip


def test_rooms_without_a_door_come_last_and_none_is_lost():
    shop = Shop("x", "TW", {"store": SHOP.rooms["store"], "hall": SHOP.rooms["hall"]})
    assert sorted(walking_order(shop)) == ["hall", "store"]
    assert walking_order(Shop("x", "TW", {})) == []


def test_a_zone_comes_before_its_levels():
    assert places(SHOP)[:5] == ["near bench", "rack a", "rack a/1", "rack a/2", "rack a/3"]
    assert len(places(SHOP)) == 5 + 2 + 5


def test_zone_labels_say_room_height_and_load(ledger):
    ledger.transact(lambda state: acts.issue_place_codes(state, places(SHOP)))
    labels = labels_for(ledger.state, SHOP, zones=True)
    assert len(labels) == len(places(SHOP))
    by_title = {label.title: label for label in labels}
    assert by_title["near bench"].lines == ("Slip hall", "carries 300 kg")
    level = by_title["Rack A/3"]
    assert level.lines == ("Slip hall", "carries 120 kg · 380 mm clear above")
    assert level.cautions == ("top level: two people",)
    assert all(label.kind == "place" and label.code.startswith("ZTW") for label in labels)


def test_zones_without_a_code_are_left_out(ledger):
    assert labels_for(ledger.state, SHOP, zones=True) == []


def test_a_group_label_says_what_a_rebuilder_asks(ledger):
    taken(
        ledger, "Cylinder head 2", origin=("diesel", "head 2"), mass=Mass(41.0, about=True),
        disposition="inspect", cautions=("asbestos gasket",),
    )  # fmt: skip
    (label,) = labels_for(ledger.state, SHOP)
    assert label.title == "Cylinder head 2"
    assert label.lines == ("diesel > head 2", "1 off · about 41 kg · inspect")
    assert label.cautions == ("asbestos gasket", "41 kg: more than one person lifts here (25 kg)")


def test_unknown_mass_is_said_and_a_light_one_brings_no_caution(ledger):
    taken(ledger, "studs", qty=12, container="bag")
    taken(ledger, "nuts", mass=Mass(25.0))
    studs, nuts = labels_for(ledger.state, SHOP)
    assert studs.lines == ("12 off · not weighed · bag",)
    assert nuts.cautions == ()


def test_loose_pieces_are_lifted_one_by_one_a_tub_at_once(ledger):
    taken(ledger, "side frames", qty=2, mass=Mass(36.0))
    taken(ledger, "shells", qty=8, mass=Mass(36.0), container="tub")
    frames, shells = labels_for(ledger.state, SHOP)
    assert frames.cautions == ()
    assert shells.cautions == ("36 kg: more than one person lifts here (25 kg)",)


def test_groups_come_in_walking_order_containers_first_then_unplaced_then_away(ledger):
    away = taken(ledger, "injectors")
    taken(ledger, "unplaced")
    far = taken(ledger, "far", where=InZone("far bench"))
    tub = taken(ledger, "tub", container="tub", where=InZone("rack a", "2"))
    low = taken(ledger, "low", where=InZone("rack a", "1"))
    near = taken(ledger, "near", where=InZone("near bench"))
    bag = taken(ledger, "bag in tub", container="bag")
    ledger.transact(lambda state: acts.put_into(state, bag, tub))
    ledger.transact(lambda state: acts.send_away(state, away, "the pump shop"))
    assert [label.title for label in labels_for(ledger.state, SHOP)] == [
        "near", "low", "tub", "bag in tub", "far", "unplaced", "injectors"
    ]  # fmt: skip
    assert far and low and near


def test_codes_of_every_kind_are_found_and_unknown_ones_named(ledger):
    group = taken(ledger, "head")
    blank = ledger.transact(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    ledger.transact(lambda state: acts.issue_place_codes(state, ["rack a/2", "hall"]))
    state = ledger.state
    codes = [blank, state.group(group).code, state.place_code("hall"), state.place_code("rack a/2")]
    labels = labels_for(state, SHOP, codes + codes)
    assert [(label.kind, label.title) for label in labels] == [
        ("place", "Rack A/2"), ("place", "Slip hall"), ("group", "head"), ("blank", "")
    ]  # fmt: skip
    with pytest.raises(TagError) as caught:
        labels_for(state, SHOP, ["ZTW9999X", blank, "nonsense"])
    assert caught.value.problems == (
        "ZTW9999X: nothing carries this code",
        "nonsense: nothing carries this code",
    )


def test_a_place_gone_from_the_shop_file_is_said(ledger):
    ledger.transact(lambda state: acts.issue_place_codes(state, ["old rack", "rack a/9"]))
    state = ledger.state
    with pytest.raises(TagError) as caught:
        labels_for(state, SHOP, [state.place_code("old rack"), state.place_code("rack a/9")])
    assert [each.split(": ")[1] for each in caught.value.problems] == [
        "old rack is no place of the shop file any more",
        "rack a/9 is no place of the shop file any more",
    ]
    assert labels_for(state, SHOP, zones=True) == []


def test_an_unnamed_group_gets_its_lines_to_write_on(ledger):
    blank = ledger.transact(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    ledger.transact(lambda state: acts.lay_blank(state, blank, InZone("near bench")))
    (label,) = labels_for(ledger.state, SHOP)
    assert label.blank and label.code == blank
