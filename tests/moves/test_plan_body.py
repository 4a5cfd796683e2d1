"""The thing as it stands tonight, bare, with parts off, without its base: sums, outlines, what is unknown."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from building import box, shop, zone

from shopbins.geometry.shapes import bounds
from shopbins.ledger.docs import group_doc
from shopbins.ledger.model import Fitted, Group, InGroup, InZone, Mass, Size
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.moves.body import NotMovable, body
from shopbins.moves.remainder import left_of, moved_reference
from shopbins.records.moving import (
    FIELD,
    At,
    Base,
    ComesOff,
    Moving,
    checked_moving,
    moving_doc,
    moving_from,
    shifted,
)
from shopbins.scene.scene import Scene, build
from shopbins.shop.figures import Moving as Own


def state_of(*groups: Group) -> State:
    """The ledger's state with these groups."""
    names = ("code", "name", "origin", "size", "mass", "where")
    docs = {g.id: {**group_doc({n: getattr(g, n) for n in names}), **g.extra} for g in groups}
    return State({"group": docs})


BEAM = ComesOff("beam", box(500, -730, 620, 730), 260, 400, None, 25, "beam")
GUARD = ComesOff("guard", box(600, -200, 900, 200), 0, 1200, Mass(6), None)
TOLD = Moving(
    outline=box(-600, -400, 600, 400),
    height_mm=900,
    without_base=box(-500, -300, 500, 300),
    cg_mm=(0.0, 0.0),
    cg_height_mm=450,
    feet=(
        At(-500, -250, (100, 80)),
        At(500, -250, (100, 80)),
        At(500, 250, (100, 80)),
        At(-500, 250, (100, 80)),
    ),
    under_mm=110,
    base=Base("skid", 170, Mass(48, True)),
    comes_off=(BEAM, GUARD),
)

WEIGHED = Mass(400)


def scene(told: Moving = TOLD, mass: Mass | None = WEIGHED, *more: Group) -> Scene:
    doc = moving_doc(told)
    extra: dict[str, Any] = {} if doc is None else {FIELD: doc}
    host = Group(
        "host", "THOST", "the block", size=Size(1500, 1460, 1200), mass=mass,
        where=InZone("bay", "", 2000, 2000, 0, True), extra=extra,
    )  # fmt: skip
    beam = Group("beam", "TBEAM", "Beam", mass=Mass(34), where=InGroup("host", "on"))
    groups = [host, beam, *more]
    whole = shop(zones=[zone("bay", (1000, 1000), (4000, 4000))])
    return build(whole, state_of(*groups))


def test_tonight_is_everything_on_it() -> None:
    bag = Group("bag", "TBAG", "Bag", mass=Mass(3), where=InGroup("host", "in"))
    lump = Group("lump", "TLUMP", "Lump", where=InGroup("host", "on"))
    it = body(scene(TOLD, Mass(400), bag, lump), "host")
    assert it.load.mass_kg == 400 + 34 + 3
    assert it.load.not_weighed == 1
    assert it.load.mass_words() == "at least 437 kg, 1 not weighed"
    assert {p.name for p in it.parts} == {"beam", "guard"}
    assert set(it.along) == {"bag", "lump"}
    assert it.load.height_mm is None  # the lump's size is not known: neither is the height
    x0, y0, x1, y1 = bounds(it.load.outline)
    assert (x0, y0, x1, y1) == (-600, -730, 900, 730)


def test_bare_leaves_what_lies_on_it_here_and_keeps_what_projects() -> None:
    bag = Group("bag", "TBAG", "Bag", mass=Mass(3), where=InGroup("host", "in"))
    it = body(scene(TOLD, Mass(400), bag), "host", as_="bare")
    assert it.load.mass_kg == 434
    assert it.left_here == ("bag",)
    assert it.load.height_mm == 1200


def test_what_lies_in_a_part_comes_off_with_it() -> None:
    bolts = Group("bolts", "TBOLT", "Bolts", mass=Mass(2), where=InGroup("beam", "in"))
    assert body(scene(TOLD, Mass(400), bolts), "host", off={"TBEAM"}).load.mass_kg == 400


def test_parts_off_shrink_it() -> None:
    without_beam = body(scene(), "host", off={"TBEAM"})
    assert without_beam.load.mass_kg == 400
    assert bounds(without_beam.load.outline) == (-600, -400, 900, 400)
    bald = body(scene(), "host", off={"TBEAM", "guard"})
    assert bald.load.mass_kg == 394  # a part without a tag is counted in the thing's own mass
    assert bald.load.height_mm == 900
    assert bounds(bald.load.outline) == (-600, -400, 600, 400)


def test_how_long_a_part_takes_is_as_told_else_the_shops_own() -> None:
    it = scene()
    assert {p.name: p.cost for p in body(it, "host").parts} == {"beam": 25, "guard": 20}
    limits = replace(it.shop.limits, moving=Own({"minutes part off": 45.0}))
    it = build(replace(it.shop, limits=limits), it.state)
    assert {p.name: p.cost for p in body(it, "host").parts} == {"beam": 25, "guard": 45}


def test_a_part_already_off_counts_no_more() -> None:
    told = Moving(
        **{**_fields(TOLD), "comes_off": (BEAM, ComesOff("guard", GUARD.outline, 0, 1200, Mass(6), off=True))}
    )
    beam_on_the_floor = Group("beam", "TBEAM", "Beam", mass=Mass(34), where=InZone("bay"))
    doc = moving_doc(told)
    host = Group(
        "host", "THOST", "the block", size=Size(1500, 1460, 1200), mass=Mass(400),
        where=InZone("bay", "", 2000, 2000, 0, True), extra={FIELD: doc},
    )  # fmt: skip
    there = build(shop(zones=[zone("bay", (1000, 1000), (4000, 4000))]), state_of(host, beam_on_the_floor))
    it = body(there, "host")
    assert it.parts == ()
    assert it.load.mass_kg == 394


def _fields(told: Moving) -> dict[str, Any]:
    return {name: getattr(told, name) for name in Moving.__dataclass_fields__}


def test_without_its_base() -> None:
    it = body(scene(), "host", base=False, off={"TBEAM", "guard"})
    assert it.load.mass_kg == 400 - 6 - 48
    assert it.load.about  # the skid was guessed
    assert it.load.height_mm == 900 - 170
    assert bounds(it.load.outline) == (-500, -300, 500, 300)
    assert it.load.feet == ()


def test_what_has_no_base_forgets_nothing_without_one() -> None:
    """Metamorphic: with no pallet or skid told of there is none to be without."""
    told = Moving(**{**_fields(TOLD), "base": None, "without_base": None, "pallet": ""})
    with_it, without = body(scene(told), "host"), body(scene(told), "host", base=False)
    assert without == with_it


def test_a_base_not_weighed_makes_at_most_of_the_mass() -> None:
    told = Moving(**{**_fields(TOLD), "base": Base("skid", 170)})
    it = body(scene(told), "host", base=False)
    assert it.load.mass_kg == 434 and it.load.about
    assert any("at most" in note for note in it.notes)


def test_a_mass_nobody_weighed_stays_unknown() -> None:
    it = body(scene(TOLD, None), "host", off={"TBEAM", "guard"})
    assert it.load.mass_kg is None


def test_what_is_left_of_a_machine_is_the_whole_less_what_came_off() -> None:
    told = Moving(machine="engine", whole=Mass(1600))
    off = [
        Group("a", "TA", "Head", origin=("engine", "head"), mass=Mass(60), where=InZone("bay")),
        Group("b", "TB", "Sump", origin=("engine", "sump"), where=InZone("bay")),
        Group("c", "TC", "Pump", origin=("engine", "pump"), mass=Mass(8), where=Fitted()),
        Group("d", "TD", "Drum", origin=("winch", "drum"), mass=Mass(90), where=InZone("bay")),
    ]
    it = body(scene(told, None, *off), "host")
    assert it.load.mass_kg == 1600 - 60 + 34
    assert it.load.about and any("at most" in note for note in it.notes)


def test_the_centre_of_gravity_moves_with_the_parts() -> None:
    both = body(scene(), "host", off={"guard"})
    assert both.load.cg_mm is not None
    # Two masses on a line: 400 - 6 kg at 0 and 34 kg at 560 (statics, by hand).
    assert both.load.cg_mm[0] == pytest.approx(34 * 560 / (394 + 34))
    alone = body(scene(), "host", off={"guard", "TBEAM"})
    assert alone.load.cg_mm == (0.0, 0.0)


def test_much_lying_on_it_at_no_known_place_leaves_the_centre_unknown() -> None:
    lump = Group("lump", "TLUMP", "Lump", mass=Mass(120), where=InGroup("host", "on"))
    it = body(scene(TOLD, Mass(400), lump), "host")
    assert it.load.cg_mm is None


def test_nothing_known_but_a_size() -> None:
    it = body(scene(Moving(), Mass(400)), "host")
    assert bounds(it.load.outline) == (-750, -730, 750, 730)
    assert it.load.met_by_forks() == ()
    assert it.load.cg_mm is None


def test_without_a_size_it_cannot_be_asked_about() -> None:
    host = Group("host", "THOST", "the block", where=InZone("bay", "", 100, 100))
    there = build(shop(zones=[zone("bay", (1000, 1000), (4000, 4000))]), state_of(host))
    with pytest.raises(NotMovable, match="size is not known"):
        body(there, "host")


# --- what is left once parts are off ------------------------------------------------------------------------


def test_what_is_left_is_counted_from_its_own_middle() -> None:
    it = body(scene(), "host", off={"TBEAM"})
    left = left_of(it)
    assert left.middle_mm == (150.0, 0.0)
    assert left.size is not None and (left.size.length_mm, left.size.width_mm) == (1500, 800)
    from shopbins.geometry.shapes import Pose

    at = moved_reference(Pose(1000, 500, 90), left.middle_mm)
    assert (at.x_mm, at.y_mm) == pytest.approx((1000, 650))


# --- documents and typing ---------------------------------------------------------------------------------


def test_documents_keep_all_and_leave_out_the_rest() -> None:
    assert moving_from(moving_doc(TOLD)) == TOLD
    assert moving_doc(Moving()) is None
    assert moving_from("nonsense") == Moving()
    assert shifted(shifted(TOLD, 10, -20), -10, 20) == TOLD


@pytest.mark.parametrize(
    ("wrong", "what"),
    [
        (Moving(height_mm=-1), "height"),
        (Moving(opening_mm=float("nan")), "opening"),
        (Moving(comes_off=(GUARD, GUARD)), "same name"),
        (Moving(comes_off=(ComesOff("", GUARD.outline),)), "name"),
        (Moving(comes_off=(ComesOff("x", GUARD.outline, 500, 400),)), "ends below"),
        (Moving(feet=(At(1e9, 0),)), "feet"),
    ],
)
def test_nonsense_is_refused(wrong: Moving, what: str) -> None:
    with pytest.raises(BadValue, match=what):
        checked_moving(wrong)
