"""What people do to parts, and what is refused with a line they understand."""

from __future__ import annotations

import pytest

from shopbins.ledger.docs import group_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.model import Away, Group, InGroup, InZone, Machine, Mass, Size, ThingPlace
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records import acts, merging
from shopbins.records import machine as machines


class Desk:
    """A state and what was done to it, without a disk."""

    def __init__(self) -> None:
        self.state = State(prefix="RW")

    def do(self, draft: Draft) -> str:
        """Fold a draft in, return the key of its first subject."""
        self.state.apply(draft.after, self.state.seq + 1)
        return draft.subjects[0].partition(":")[2]

    def take(self, name: str, **fields) -> str:
        """Take a group off."""
        return self.do(acts.take(self.state, name, **fields))


@pytest.fixture
def desk() -> Desk:
    return Desk()


def test_a_group_needs_only_a_name(desk: Desk) -> None:
    group = desk.state.group(desk.take("  valve springs, inlet "))
    assert group == Group(group.id, group.code, "valve springs, inlet", order=1)
    assert group.mass is group.size is group.where is None
    with pytest.raises(BadValue, match="needs a name"):
        desk.take("  ")


def test_everything_that_can_be_known_of_a_group_is_kept(desk: Desk) -> None:
    group_id = desk.take(
        "head",
        origin=["diesel", "cylinder 2", "head"],
        container="tray",
        size=Size(620, 260, 140, True),
        mass=Mass(41.5, True),
        qty=2,
        where=InZone("bench 2", "", 310.0, 130.0, 450.0, True),
        disposition="remachine",
        note="two\nlines",
        cautions=["oily", "sharp"],
        outline=[(0, 0), (100, 0), (0, 50)],
        taken_at="2026-11-25",
    )
    assert desk.state.group(group_id) == Group(
        group_id,
        desk.state.group(group_id).code,
        "head",
        ("diesel", "cylinder 2", "head"),
        "tray",
        Size(620, 260, 140, True),
        ((0, 0), (100, 0), (0, 50)),
        Mass(41.5, True),
        2,
        "remachine",
        "two\nlines",
        ("oily", "sharp"),
        InZone("bench 2", "", 310.0, 130.0, 90.0, True),
        1,
        False,
        "2026-11-25",
    )


def test_order_of_removal_counts_by_machine_and_not_at_all_in_catch_up(desk: Desk) -> None:
    for machine in ("diesel", "gearbox", "diesel"):
        desk.take("x", origin=[machine])
    found = desk.take("found there", origin=["diesel"], ordered=False)
    assert [group.order for group in desk.state.groups()] == [1, 1, 2, None]
    assert desk.state.group(found).order is None


def test_a_blank_tag_becomes_a_group_and_is_named_days_later(desk: Desk) -> None:
    code = desk.do(acts.issue_blanks(desk.state, 3))
    assert desk.state.resolve_code(code) == ("tag", code)
    group_id = desk.do(acts.lay_blank(desk.state, code, InZone("rack a", "3")))
    assert desk.state.resolve_code(code) == ("group", group_id)
    group = desk.state.group(group_id)
    assert (group.name, group.tagged, group.order, group.shown) == ("", True, None, f"unnamed {code}")
    desk.do(acts.change(desk.state, group_id, name="shims"))
    assert desk.state.group(group_id).shown == "shims"
    with pytest.raises(Refused, match="already on shims"):
        acts.take(desk.state, "others", code=code)
    with pytest.raises(Refused, match="not printed"):
        acts.take(desk.state, "others", code="ZRW9999X")


def test_place_codes(desk: Desk) -> None:
    desk.do(acts.issue_place_codes(desk.state, ["rack a", "rack a/3", "rack a"]))
    code = desk.state.place_code("rack a/3")
    assert code and desk.state.resolve_code(code) == ("place", "rack a/3")
    with pytest.raises(Refused):
        acts.issue_place_codes(desk.state, ["rack a/3"])
    with pytest.raises(Refused, match="label of rack a/3"):
        acts.take(desk.state, "x", code=code)


def test_no_group_gets_into_itself(desk: Desk) -> None:
    tub, bag, shim = desk.take("tub"), desk.take("bag"), desk.take("shim")
    desk.do(acts.put_into(desk.state, bag, tub))
    desk.do(acts.put_into(desk.state, shim, bag, "on"))
    assert desk.state.group(shim).where == InGroup(bag, "on")
    for holder in (tub, bag, shim):
        with pytest.raises(Refused):
            acts.put_into(desk.state, tub, holder)
    with pytest.raises(Refused, match="that part is gone"):
        acts.put_into(desk.state, tub, "gone")
    with pytest.raises(Refused, match="lies in"):
        merging.merge(desk.state, [shim, tub])


def test_a_holders_history_names_what_went_in(desk: Desk) -> None:
    tub, bag = desk.take("tub"), desk.take("bag")
    draft = acts.put_into(desk.state, bag, tub)
    assert draft.subjects == (f"group:{bag}", f"group:{tub}")
    desk.do(draft)
    assert f"group:{tub}" in acts.lift_off(desk.state, bag).subjects


def test_away_and_back(desk: Desk) -> None:
    head = desk.take("head")
    with pytest.raises(Refused, match="not away"):
        acts.bring_back(desk.state, head)
    desk.do(acts.send_away(desk.state, head, "Miller", "2026-12-24", "skim", "2026-11-25"))
    assert desk.state.group(head).where == Away("Miller", "2026-12-24", "2026-11-25", "skim")
    desk.do(acts.bring_back(desk.state, head, InZone("bench 2")))
    assert desk.state.in_zone("bench 2") == [head]
    desk.do(acts.lift_off(desk.state, head))
    with pytest.raises(Refused, match="not put down"):
        acts.lift_off(desk.state, head)
    for until in ("24.12.2026", "2026-13-01", "20261224", "2026-W52-4", "soon", "2026-02-29"):
        with pytest.raises(BadValue, match="not a date"):
            acts.send_away(desk.state, head, "Miller", until)
    with pytest.raises(BadValue, match="whom"):
        acts.send_away(desk.state, head, " ")


def test_splitting(desk: Desk) -> None:
    studs = desk.take("studs", qty=6, mass=Mass(3), where=InZone("bench 2", "", 1.0, 2.0))
    desk.do(acts.split(desk.state, studs, 2))
    rest, part = (group for group in desk.state.groups())
    assert (rest.qty, part.qty) == (4, 2)
    assert (rest.mass, part.mass) == (Mass(2.0, True), Mass(1.0, True))
    assert part.where == InZone("bench 2")
    desk.do(acts.split(desk.state, part.id, names=["long stud", "short stud"]))
    assert [group.name for group in desk.state.groups()] == ["studs", "long stud", "short stud"]
    assert desk.state.group(part.id).code == part.code
    for wrong in (0, 4, 5, -1):
        with pytest.raises(Refused):
            acts.split(desk.state, studs, wrong)
    with pytest.raises(BadValue):
        acts.split(desk.state, studs)
    with pytest.raises(Refused, match="1 piece"):
        acts.split(desk.state, part.id, 1)


def test_what_is_accepted_goes_with_the_laying_down(desk: Desk) -> None:
    head = desk.take("head")
    doc = {"kind": "stop", "why": "for now", "by": "ann", "since": "2026-03-01", "for_now": True}
    desk.do(acts.lay(desk.state, head, InZone("bench 2"), {"load/zone:bench 2": doc}))
    assert desk.state.docs("accepted") == {"load/zone:bench 2": doc}


def test_machines_and_things(desk: Desk) -> None:
    desk.do(machines.add(desk.state, "diesel", name="boat diesel", tree=(("head", (("valve", ()),)),)))
    desk.do(machines.change(desk.state, "diesel", owner="Ropewalk", job="17", name=""))
    assert desk.state.machines() == {
        "diesel": Machine("diesel", "", "Ropewalk", "17", "", (("head", (("valve", ()),)),))
    }
    with pytest.raises(Refused, match="already"):
        machines.add(desk.state, "diesel")
    desk.do(acts.move_thing(desk.state, "saw", 1200.0, -5.0, 450.0, "forge"))
    assert desk.state.things() == {"saw": ThingPlace("saw", 1200.0, -5.0, 90.0, "forge")}


def test_joined_drafts_are_one_event(desk: Desk) -> None:
    head = desk.take("head")
    laid = acts.lay(desk.state, head, InZone("bench 2"))
    draft = acts.join("lay", laid, acts.move_thing(desk.state, "saw", 1.0, 2.0))
    assert draft.subjects == (f"group:{head}", "thing:saw")


BAD_NAMES = {
    "escape": "\x1b[31mred",
    "control": "a\x07b",
    "line break": "a\nb",
    "direction": "\u202egnirps",
    "isolate": "a\u2066b",
    "half": "a\ud800",
    "zero width": "a\u200bb",
    "separator": "a\u2028b",
    "C1": "a\x9bb",
    "long": "x" * 201,
    "very long": "x" * 10_000,
}


@pytest.mark.parametrize("name", BAD_NAMES.values(), ids=BAD_NAMES)
def test_names_that_would_confuse_a_screen_are_refused(desk: Desk, name: str) -> None:
    with pytest.raises(BadValue) as refused:
        desk.take(name)
    assert "\n" not in str(refused.value)
    assert str(refused.value).isprintable()
    with pytest.raises(BadValue):
        desk.take("x", origin=[name])
    with pytest.raises(BadValue):
        acts.lay(desk.state, desk.take("y"), InZone(name))


def test_names_of_any_script_are_kept(desk: Desk) -> None:
    for name in ("Ventilfeder, innen", "弁ばね", "قطعة", "می\u200cخواهم", "Zoë", "½ in stud 🔩", "e\u0301"):
        kept = desk.state.group(desk.take(name)).name
        assert kept == ("é" if name == "e\u0301" else name)
    assert desk.state.group(desk.take("a\u00a0b")).name == "a b"


INF, NAN = float("inf"), float("nan")


@pytest.mark.parametrize(
    "fields",
    [
        {"mass": Mass(NAN)},
        {"mass": Mass(INF)},
        {"mass": Mass(0)},
        {"mass": Mass(-1)},
        {"mass": Mass(1e9)},
        {"mass": Mass(True)},
        {"mass": Mass("4")},
        {"mass": Mass(10**400)},
        {"size": Size(NAN, 1, 1)},
        {"size": Size(1, 0, 1)},
        {"size": Size(1, 1, -INF)},
        {"size": Size(1, 1, 1e6)},
        {"qty": 0},
        {"qty": 1.5},
        {"qty": True},
        {"qty": 10**30},
        {"outline": [(0, 0), (1, 1)]},
        {"outline": [(0, 0), (1, 1), (NAN, 2)]},
        {"container": "sack"},
        {"disposition": "gone"},
        {"origin": "diesel > head"},
        {"origin": ["x"] * 21},
        {"origin": [""]},
        {"code": "ZRW0001J", "name": 7},
        {"colour": "red"},
        {"where": InZone("bench 2", "", 1.0, None)},
        {"where": InZone("bench 2", "", INF, 1.0)},
        {"where": InZone("bench 2", "", 1.0, 1.0, NAN)},
        {"where": InZone(" ")},
    ],
    ids=repr,
)
def test_absurd_values_are_refused_in_one_line(desk: Desk, fields: dict) -> None:
    with pytest.raises(Refused) as refused:
        desk.do(acts.take(desk.state, **{"name": "head", **fields}))
    assert refused.value.exit in (1, 65)
    assert str(refused.value).isprintable()
    assert len(str(refused.value)) < 200


def test_a_document_holds_no_defaults() -> None:
    assert group_doc({"name": "x", "qty": 1, "where": None, "container": "bare", "cautions": ()}) == {
        "name": "x"
    }
