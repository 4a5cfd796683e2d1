"""A question names what lacks, and what is told so ends it; a centre within its +- forbids nothing."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from building import box

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.desk import moving as at_desk
from shopbins.ledger.model import Mass, Size
from shopbins.moves.finding import row_of
from shopbins.moves.load import Foot, Load
from shopbins.moves.plan import Plan
from shopbins.moves.wheels import fit_skates
from shopbins.shop.model import Gear
from tests.moves.weir import OUTLINE, PLAIN, move, of, shop, shop_text


@pytest.mark.parametrize(("aside", "within", "stops"), [(0, 0, 1), (0, 20, 0), (-20, 10, 1), (-20, 15, 0)])
def test_three_skates_forbid_only_what_falls_outside_them_at_the_kindest(
    aside: float, within: float, stops: int
) -> None:
    """Feet at -550,-400, -550,400 and 550,400: the edge -550,-400 to 550,400 goes through 0,0. At the kindest
    corner of its box the centre is inside by up to within times the root of two (geometry).
    """
    feet = tuple(Foot(x, y) for x, y in ((-550, -400), (-550, 400), (550, 400)))
    s = 680.0737  # hypot(550, 400): the centre goes square to the edge
    cg = (aside * -400 / s, aside * 550 / s)
    load = Load(
        "casting",
        box(-700, -550, 700, 550),
        700,
        900,
        cg_mm=cg,
        cg_height_mm=350,
        cg_within_mm=within,
        feet=feet,
    )
    gear = Gear("skates", "skates", "skates", count=4, capacity_kg=1000, height_mm=110, size_mm=(200, 150))
    found = fit_skates(gear, load).stops
    assert len(found) == stops and not any("slope" in text for text, *_ in found)


def test_it_stands_where_it_is_put_as_well_as_its_centre_is_known(tmp_path: Path) -> None:
    for within, verdict in ((30, Verdict.AGAIN), (0, Verdict.NO)):
        folder = tmp_path / str(within)
        folder.mkdir()
        told = (
            OUTLINE, "height=700mm", f"cg=0,0 +- {within} mm", "cg height=350 +- 1 mm", "opening=420mm",
            "under=110mm", "foot=-450,-300", "foot=-450,300", "foot=450,300",
        )  # fmt: skip
        plan = move(shop(folder, shop_text(), told))
        (stood,) = [p for p in of(plan, "stands") if p.verdict > Verdict.ACCEPTED]
        assert stood.verdict is verdict, within


def asked(plan: Plan) -> list[tuple[str, str]]:
    rows = [row_of(part).ask for part in plan.asks]
    return [(ask.text, ask.set) for ask in rows if ask is not None]


def told(desk: Desk, how: str) -> None:
    """Tell what a question prints, as `shopbins set CODE --KEY VALUE` does."""
    _, _, code, *pairs = shlex.split(how)
    key = next(g.id for g in desk.state.groups() if g.code == code)
    for option, value in zip(pairs[::2], pairs[1::2], strict=True):
        name, text = value.split("=", 1) if option == "--moving" else (option[2:], value)
        at_desk.tell(desk, desk.state.group(key).code, {name: text})


def test_each_thing_on_it_that_is_not_weighed_is_asked_by_its_own_label(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text(), (*PLAIN, "comes off=lid; 100,50 200x100mm; 1500 to 1600"))
    press = next(g for g in desk.state.groups() if g.name == "press")
    odd = desk.take("odd box", size=Size(200, 200, 200)).id
    desk.put_into(odd, press.id, "on")
    questions = dict(asked(move(desk)))
    code = desk.state.group(odd).code
    assert questions["what does odd box weigh?"] == f"shopbins set {code} --mass 40kg"
    lid = questions["what does lid weigh?"]
    assert lid == f"shopbins set {press.code} --moving 'comes off=lid; 100,50 200x100mm; 1500 to 1600; 40kg'"
    for how in (questions["what does odd box weigh?"], lid):
        told(desk, how)
    assert not any("weigh" in text for text, _ in asked(move(desk)))


def test_a_centre_lost_for_what_lies_on_it_is_asked_as_where_that_lies(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text(), PLAIN)
    press = next(g for g in desk.state.groups() if g.name == "press")
    lump = desk.take("lump", size=Size(400, 300, 300), mass=Mass(200)).id
    desk.put_into(lump, press.id, "on")
    ((text, how),) = [each for each in asked(move(desk)) if "lie" in each[0]]
    assert text == "where on it does lump lie?" and f"tag {desk.state.group(lump).code}" in how
    told(desk, how)
    assert not any("where" in text for text, _ in asked(move(desk)))


def test_an_opening_told_is_that_of_a_pallet_whose_openings_vary(tmp_path: Path) -> None:
    pallet = (*(each for each in PLAIN if not each.startswith("opening")), "pallet=1200x1000")
    vary = "openings of a 1200x1000 pallet vary by maker: measure them"
    assert vary in [text for text, _ in asked(move(shop(tmp_path, shop_text(), pallet)))]
    (tmp_path / "b").mkdir()
    plan = move(shop(tmp_path / "b", shop_text(), (*pallet, "opening=420mm")))
    assert not plan.asks and plan.word == "goes only with"
