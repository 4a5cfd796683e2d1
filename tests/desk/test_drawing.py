"""A drawing step at the desk: file and ledger change together or not at all."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.desk.drawing import ShopDrawing
from shopbins.desk.problems import DeskError, NotDone, StorageFailed
from shopbins.ledger.problems import LedgerProblem
from shopbins.shop.editing import save as saving
from shopbins.shop.editing.splice import Put
from shopbins.shop.editing.steps import carried, moved

SHOP = (
    "shop: A   # mine\nprefix: AB\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\nzones:\n"
    "  bay: {room: hall, kind: floor, outline: [[1000, 1000], [3000, 1000], [3000, 2000]]}   # corner\n"
    "  bench: {room: hall, kind: bench, at: [5000, 1000], size: [2000, 700], height: 900}\n"
)
STEP = [Put(("zones", "bench", "load"), "300 kg")]


@pytest.fixture
def desk(tmp_path: Path):
    (tmp_path / "shop.yaml").write_text(SHOP)
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        yield desk


def text(desk: Desk) -> str:
    return desk.shop_path.read_text()


def test_a_step_is_in_the_file_and_noted_in_the_ledger(desk: Desk) -> None:
    drawing = ShopDrawing(desk)
    drawing.step(STEP)
    assert text(desk) == SHOP.replace("height: 900", "height: 900, load: 300 kg")
    assert desk.shop.zones["bench"].load_kg == 300
    event = desk.ledger.events()[-1]
    assert (event.kind, event.by, event.after) == ("drew", "Ida", {})
    assert len([each for each in event.subjects if each.startswith("shop:")]) == 2
    kept = list((Path(desk.ledger.folder) / "shop-before").iterdir())
    assert [each.read_text() for each in kept] == [SHOP]


def test_what_lies_in_an_outlined_spot_goes_along_in_the_same_event(desk: Desk) -> None:
    part = desk.take("pump").id
    desk.put(part, "bay", x_mm=2500, y_mm=1300)
    drawing = ShopDrawing(desk)
    move = moved(400, 300, 90, (2000, 1500))
    drawing.step(carried(drawing.text, drawing.shop, "zones", "bay", move, 90), along={"bay": move})
    where = desk.state.group(part).where
    assert (where.x_mm, where.y_mm, where.turn_deg) == pytest.approx((2600, 2300, 90))
    assert list(desk.ledger.events()[-1].after) == [f"group:{part}"]
    drawing.take_back()
    assert text(desk) == SHOP
    where = desk.state.group(part).where
    assert (where.x_mm, where.y_mm) == pytest.approx((2500, 1300))


def test_undo_of_the_ledger_passes_over_it(desk: Desk) -> None:
    part = desk.take("pump").id
    ShopDrawing(desk).step(STEP)
    desk.undo()
    assert not desk.state.has_group(part)
    assert "load: 300 kg" in text(desk)


def test_a_full_disk_leaves_file_and_ledger_as_they_were(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "shop.yaml")

    drawing, seq = ShopDrawing(desk), desk.seq
    monkeypatch.setattr(saving.os, "fsync", full)
    with pytest.raises(StorageFailed, match="No space left"):
        drawing.step(STEP)
    monkeypatch.undo()
    assert (text(desk), desk.seq) == (SHOP, seq)
    assert drawing.unsaved
    drawing.step([Put(("zones", "bench", "mass"), "80 kg")])  # what was not saved goes with the next
    assert "load: 300 kg, mass: 80 kg" in text(desk)


def test_a_ledger_that_refuses_puts_the_old_bytes_back(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(draft: object) -> None:
        raise LedgerProblem("the ledger takes no more")

    drawing = ShopDrawing(desk)
    monkeypatch.setattr(desk.ledger, "_record", refuse)
    with pytest.raises(DeskError, match="takes no more"):
        drawing.step(STEP)
    assert text(desk) == SHOP


def test_another_program_wrote_meanwhile(desk: Desk) -> None:
    drawing = ShopDrawing(desk)
    desk.shop_path.write_text(SHOP.replace("shop: A", "shop: Bee"))
    with pytest.raises(NotDone, match="was changed by somebody else"):
        drawing.step(STEP)
    assert text(desk) == SHOP.replace("shop: A", "shop: Bee")
    assert drawing.look_again()
    drawing.save()
    assert text(desk) == SHOP.replace("shop: A", "shop: Bee").replace(
        "height: 900", "height: 900, load: 300 kg"
    )


def test_the_same_line_changed_by_both_is_said(desk: Desk) -> None:
    drawing = ShopDrawing(desk)
    drawing.step([Put(("zones", "bench", "size"), "[20000, 700]")])  # outside its room: not saved
    assert drawing.problems
    desk.shop_path.write_text(SHOP.replace("height: 900", "height: 850"))
    with pytest.raises(NotDone, match="line 7 was changed by somebody else too"):
        drawing.look_again()
    assert "850" in text(desk)


def test_a_read_only_desk_changes_nothing(desk: Desk) -> None:
    with Desk.open(desk.shop_path, readonly=True) as looking:
        drawing = ShopDrawing(looking)
        with pytest.raises(StorageFailed, match="reading only"):
            drawing.step(STEP)
    assert text(desk) == SHOP


def test_what_cannot_be_spliced_says_the_line_and_the_way_out(desk: Desk) -> None:
    desk.shop_path.write_text(SHOP.replace("hall: {at", "hall: &h {at") + "note: '*h'\nmachines: {}\n")
    desk.refresh()
    drawing = ShopDrawing(desk)
    drawing.step(STEP)  # an anchor alone is no trouble
    desk.shop_path.write_text(text(desk).replace("machines: {}", "machines: {} # x\nfixtures: *h"))
    drawing = ShopDrawing(desk)
    with pytest.raises(DeskError, match=r"line \d+: .*F4 opens your editor there"):
        drawing.step([Put(("zones", "bench", "mass"), "80 kg")])


SPOTS = (
    "shop: A\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\nzones:\n"
    "  one: {room: hall, kind: floor, outline: [[1000, 1000], [2000, 1000], [2000, 2000]]}\n"
    "  two: {room: hall, kind: floor, outline: [[5000, 1000], [6000, 1000], [6000, 2000]]}\n"
)


def test_two_spots_are_swapped_with_what_lies_there_and_back(tmp_path: Path) -> None:
    """The first step overlaps and waits; the screen shows it; undone and done again the parts go along."""
    (tmp_path / "shop.yaml").write_text(SPOTS)
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        parts = {key: desk.take(f"part {key}").id for key in ("one", "two")}
        desk.put(parts["one"], "one", x_mm=1800, y_mm=1300)
        desk.put(parts["two"], "two", x_mm=5800, y_mm=1300)
        drawing = ShopDrawing(desk)

        def shift(key: str, by: float) -> None:
            move = moved(by, 0)
            drawing.step(carried(drawing.text, drawing.shop, "zones", key, move), along={key: move})

        def lies() -> list[float]:
            return [round(desk.state.group(parts[key]).where.x_mm) for key in ("one", "two")]

        shift("one", 1500)
        shift("one", 2500)  # onto two: waits
        assert drawing.shop.zones["one"].outline[0] == (5000, 1000), "it is drawn where it was put"
        assert (drawing.drawing.waiting, lies()) == (1, [3300, 5800])
        shift("two", -2000)
        assert (drawing.drawing.waiting, lies()) == (0, [5800, 3800])
        drawing.take_back()
        assert drawing.drawing.waiting == 1
        drawing.take_back()
        assert (drawing.drawing.waiting, lies()) == (0, [3300, 5800])
        drawing.take_back()
        assert (desk.shop_path.read_text(), lies()) == (SPOTS, [1800, 5800])
        for _ in range(3):
            drawing.do_again()
        assert (drawing.drawing.waiting, lies()) == (0, [5800, 3800])


def test_steps_taken_back_before_they_were_saved_leave_the_others_their_parts(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text(SPOTS)
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        part = desk.take("part").id
        desk.put(part, "one", x_mm=1800, y_mm=1300)
        drawing = ShopDrawing(desk)
        for by in (4000, 500, -3000):  # onto two, a bit on, then where nothing is
            move = moved(by, 0)
            drawing.step(carried(drawing.text, drawing.shop, "zones", "one", move), along={"one": move})
            if by == 500:
                drawing.take_back()
        assert round(desk.state.group(part).where.x_mm) == 2800
