"""Plates and ramps as work of their own: who lays them, in which order, and what is on before an edge."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdfium2 import PdfDocument

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.geometry.shapes import Box, bounds
from shopbins.moves.finding import row_of
from shopbins.moves.plan import Plan
from shopbins.moves.steps import situation, steps_of
from shopbins.reports.movepdf import sheet_pdf
from shopbins.scene.frames import to_shop
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, B, move, of, shop, shop_text

DUCT = "fixtures: {duct: {room: b, at: [5500, 0], size: [400, 4000], height: 1, load: 300 kg}}"
ROLLS = SKATES.replace("wheel: 85", "wheel: 200, steepest: 1 in 10, brake: yes, brakes itself: yes")

NO_HOIST = "up, by a hoist yet to be found (none told of gets there), or ones to 125 kg by 3 people"


def _over(
    folder: Path, plate: str, more: dict[str, str] | None = None, *, b: str = B, sill: str = "0"
) -> tuple[Desk, Plan]:
    """Over a duct on plates 20 thick, wedges at both edges of them."""
    told = {
        "carrier": ROLLS,
        "wedge": "{kind: ramp, count: 4, rise: 20, size: [400, 1000], capacity: 3 t, mass: 9 kg}",
        "sheet": f"{{kind: plate, size: [1000, 1000], height: 20, capacity: 3 t{plate}}}",
    }
    if sill != "0":
        del told["wedge"]
    mid = f"height: 2.2 m, threshold: {sill}"
    text = shop_text(b=b, gear={**told, **(more or {})}, mid=mid, more=DUCT)
    desk = shop(folder, text, (*PLAIN, *FOUR))
    return desk, move(desk)


@pytest.mark.parametrize(
    ("plate", "more", "verdict", "words"),
    [
        (", mass: 10 kg", {}, Verdict.YES, "10 kg each; green for 2 people"),
        (", mass: 10 kg}\nlimits: {who lifts: men", {}, Verdict.YES, "10 kg each"),
        (", mass: 35 kg", {"men": "{kind: by hand, people: 2}"}, Verdict.YES, "green for 2 people"),
        (", mass: 36 kg", {"men": "{kind: by hand, people: 2}"}, Verdict.ASKED, "up, by 3 people (2 told)"),
        (", mass: 50 kg", {}, Verdict.ASKED, "laid, taken up, by 2 people, amber by MAC: looked at first"),
        (", mass: 51 kg", {}, Verdict.ASKED, "laid, taken up, by 3 people, amber by MAC: looked at first"),
        (", mass: 88 kg", {}, Verdict.ASKED, "laid, taken up, by 3 people, red by MAC: looked at first"),
        (", mass: 126 kg", {}, Verdict.ASKED, NO_HOIST),
        (
            ", mass: 126 kg",
            {"crane": "{kind: engine crane, reach: {900 mm: 200 kg}}"},
            Verdict.ASKED,
            "by crane, its way there looked at first",
        ),
        (
            ", mass: 126 kg",  # the lesser of its plate and its boom counts
            {"crane": "{kind: engine crane, capacity: 500 kg, reach: {900 mm: 125 kg}}"},
            Verdict.ASKED,
            NO_HOIST,
        ),
        ("", {}, Verdict.ASKED, "sheet weighed before it is laid, 157 kg if of steel"),
    ],
)
def test_a_plate_is_laid_by_so_many_as_lift_it_off_the_floor(
    tmp_path: Path, plate: str, more: dict[str, str], verdict: Verdict, words: str
) -> None:
    """HSE's filter: 10 kg of men, 7 of women for hands at the floor; HSE MAC (INDG383) for two green to 35,
    amber to 50, red to 85, for three 40, 75, 125 (all but 85 from memory).
    A plate of 1000 x 1000 x 20 holds 0.02 m3: 157 kg at 7850 kg/m3.
    """
    _, plan = _over(tmp_path, plate, more)
    found = [p for p in of(plan, "move-plates-laid") if "gear:sheet" in p.subjects]
    assert [p.verdict for p in found] == [verdict]
    said = row_of(found[0]).finding.text if verdict is Verdict.YES else found[0].text
    assert words in said
    assert ("people" in said) is ("people" in words)


def test_no_hoist_lays_what_lies_on_a_slope_or_at_a_sill(tmp_path: Path) -> None:
    """1 in 50 is beyond the 1 in 100 that is jacked on (own figure), and a crane passes no sill."""
    crane = "{kind: engine crane, reach: {900 mm: 200 kg}}"
    plan = _over(
        tmp_path, ", mass: 126 kg", {"crane": crane}, b=f"{B}, slope: {{fall: 1 in 50, towards: 0}}"
    )[1]
    (laid,) = [p for p in of(plan, "move-plates-laid") if "gear:sheet" in p.subjects]
    assert NO_HOIST in laid.text
    assert "no hoist goes onto the slope of b" in row_of(laid).finding.text
    (tmp_path / "sill").mkdir()
    ramp = "{kind: ramp, count: 4, rise: 20, size: [400, 1000], capacity: 3 t, mass: 130 kg}"
    plan = _over(tmp_path / "sill", ", mass: 9 kg", {"crane": crane, "big": ramp}, sill="20")[1]
    (laid,) = [p for p in of(plan, "move-plates-laid") if "gear:big" in p.subjects]
    assert "no hoist goes over the sill of mid" in row_of(laid).finding.text


def test_plates_are_laid_before_the_ramps_that_lean_on_them_and_taken_up_after(tmp_path: Path) -> None:
    desk, plan = _over(tmp_path, ", mass: 15 kg")
    titles = [step["title"] for step in steps_of(desk.scene(), plan)]
    laid = [title for title in titles if title.startswith(("lay ", "take up ", "move "))]
    plates, wedges = (
        "sheet over duct, rests 300 mm each side on 2 mm packing",
        "2 of wedge at sheet over duct",
    )
    assert laid[0].startswith(f"lay {plates}, held from creeping, by 2 people: its 1000 mm across duct, ")
    assert laid[1].startswith(f"lay {wedges}, held from creeping, by 2 people: its 400 mm along the way, ")
    assert laid[2].startswith("move press")
    assert laid[3:] == [f"take up {wedges}, by 2 people", f"take up {plates}, by 2 people"]
    assert not any(title.startswith("see to") and "held from creeping" in title for title in titles)
    assert not any("rests 300" in title and title.startswith("see to") for title in titles)


@pytest.mark.parametrize("at", ["5900", "6500"])
def test_past_a_slope_it_halts_off_the_plates_and_its_line_is_on_again_before_them(
    tmp_path: Path, at: str
) -> None:
    """Down 1 in 60 on a line, then a duct under plates of 5: their edge takes a winch."""
    told = {
        "truck": TRUCK.replace("wheel: 74", "wheel: 200, steepest: 1 in 8"),
        "sheet": "{kind: plate, size: [1000, 1000], height: 5, capacity: 3 t, mass: 15 kg}",
    }
    ring = "anchors: {ring: {at: [100, 2000], height: 300, load: 40 kN}}"
    a = f"{B}, slope: {{fall: 1 in 60, towards: 0}}, {ring}"
    duct = DUCT.replace("5500", at)
    text = shop_text(a=a, gear=told, mid="height: 2.2 m, threshold: 0", more=duct)
    desk = shop(tmp_path, text, at=(1800, 2000, 180))
    told_steps = steps_of(desk.scene(), move(desk))
    titles = [step["title"] for step in told_steps]
    off = next(n for n, title in enumerate(titles) if "down a until every wheel is off it" in title)
    on = [
        n
        for n, title in enumerate(titles)
        if title.startswith("chocks out; roll it to ") and "over edge of sheet" in title
    ]
    if at == "5900":  # its wheels come onto the plates before they are off the slope
        assert not on and titles[off].endswith("it halts on the floor, no wheel on sheet over duct")
    else:
        assert on[0] > off and "winch for 4" in titles[on[0]] and "it halts" not in titles[off]
        halt = told_steps[on[0]]  # where it halts it is on record, so that nothing else is put there
        zone = desk.scene().zone(halt["to"]["zone"])
        assert desk.state.group(halt["group"]).name == "press" and zone is not None and zone.key == "b"
        rest = to_shop(zone, halt["to"]["x_mm"], halt["to"]["y_mm"])
        assert halt["title"].startswith(f"chocks out; roll it to {round(rest.x_mm)},{round(rest.y_mm)}")
        assert ": chock" in halt["title"]


def test_each_piece_laid_counts_as_work(tmp_path: Path) -> None:
    """One plate and a wedge at either edge: three times 10 min (own figure)."""
    took = []
    for minutes in (10, 20):
        (tmp_path / str(minutes)).mkdir()
        plate = f", mass: 15 kg}}\nlimits: {{moving: {{minutes ramp: {minutes}}}"
        took.append(_over(tmp_path / str(minutes), plate)[1].minutes)
    assert took[1] - took[0] == pytest.approx(30)


def test_each_plate_and_ramp_is_told_and_drawn_where_it_lies(tmp_path: Path) -> None:
    """Skates 230 wide 300 to both sides of y 2000: strips of 300 lie round 1700 and 2300, from 1550 to 1850
    and from 2150 to 2450 of a duct that ends at y 0 and 4000. Ramps of 500 from 1450 to 1950 and from 2050 to
    2550, the jambs at 1500 and 2650.
    """
    told = {
        "carrier": ROLLS,
        "strip": "{kind: plate, count: 2, size: [800, 300], height: 12, capacity: 3 t, mass: 23 kg}",
        "wedge": "{kind: ramp, count: 4, rise: 20, size: [400, 500], capacity: 3 t, mass: 9 kg}",
    }
    text = shop_text(gear=told, mid="height: 2.2 m, threshold: 20", more=DUCT)
    desk = shop(tmp_path, text, (*PLAIN, *FOUR))
    plan = move(desk)
    titles = [step["title"] for step in steps_of(desk.scene(), plan)]
    strips, wedges = (title.partition(": ")[2] for title in titles if title.startswith("lay "))
    assert strips == (
        "its 800 mm across duct, 1550 to 1850 mm from the corner of duct at 5500,0 and 5500,4000"
    )
    assert wedges == (
        "its 400 mm along the way, 50 outside to 450 mm from the jamb at 5400,1500 and 5000,1500; "
        "100 to 600 mm from the jamb at 5400,2650 and 5000,2650"
    )
    it = situation(desk.scene(), plan)
    assert it is not None
    (laid,), (ramps,) = it.laid, it.ramps
    assert laid.one_kg == pytest.approx(607.5)
    assert [bounds(piece.outline) for piece in laid.pieces] == [
        Box(5300.0, 1550.0, 6100.0, 1850.0),
        Box(5300.0, 2150.0, 6100.0, 2450.0),
    ]
    assert sorted(round(bounds(piece.outline).left) for piece in ramps.pieces) == [4599, 4599, 5401, 5401]
    sheet = PdfDocument(sheet_pdf(desk.scene(), plan))[0].get_textpage().get_text_range()
    assert "strip wedge" in [line.strip() for line in sheet.splitlines()]  # on the plan, side by side
