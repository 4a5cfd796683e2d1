"""Reading a parts list by its dialog, and photographs on the screen."""

import pytest
from PIL import Image

from shopbins.records.photos import PhotosFound, Picture, Run
from shopbins.strip.tree import listed
from shopbins.tui.dialogs.importing import Columns
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.dialogs.picture import Pictures, open_file
from shopbins.tui.widgets.halfblocks import HalfBlocks, fitted

LIST = "Pos,Bezeichnung,Menge,Gruppe\n1,camshaft,1,timing\n2,thrust plate,two,timing\n3,tappet,8,timing\n"


@pytest.fixture
async def refit(bench, opened):
    async with opened(bench, "5") as pilot:
        yield pilot


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "parts.csv"
    path.write_text(LIST)
    return path


def said(pilot, widget):
    return str(pilot.app.screen.query_one(widget).render())


async def choose(pilot, sheet):
    """Say what three columns of unknown headings are: right turns name, assembly, sub-assembly, how many."""
    await pilot.press("f10", "i", *str(sheet), "enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Columns)
    await pilot.press("down", "right", "down", "right", "right", "right", "down", "right")
    await pilot.pause()


async def test_columns_are_chosen_and_bad_rows_named_and_the_rest_imported(refit, sheet):
    desk = refit.bench.desk
    await refit.press("f10", "i", *str(sheet), "enter")
    await refit.pause()
    assert "no column is the part's name" in said(refit, "#wrong") or "say which column" in said(
        refit, "#wrong"
    )
    await refit.press("enter")
    assert not listed(desk.state), "nothing can be imported yet"
    await refit.press("escape")
    await choose(refit, sheet)
    assert "2 rows can be read: 2 new" in said(refit, "#read")
    assert "line 3 the quantity 'two' is not a whole number" in said(refit, "#wrong")
    await refit.press("enter")
    await refit.pause()
    assert isinstance(refit.app.screen, Pick)
    await refit.press("1")
    await refit.settled()
    parts = {doc["name"]: doc for doc in listed(desk.state).values()}
    assert parts["tappet"]["qty"] == 8 and parts["tappet"]["origin"] == ["engine", "timing"]
    assert "thrust plate" not in parts


async def test_the_columns_are_remembered_and_twice_doubles_nothing(refit, sheet):
    desk = refit.bench.desk
    await choose(refit, sheet)
    await refit.press("enter", "1")
    await refit.settled()
    seq = desk.seq
    await refit.press("f10", "i", *str(sheet), "enter")
    await refit.pause()
    assert "2 rows can be read: 0 new, 0 changed, 2 known as they are" in said(refit, "#read")
    await refit.press("enter", "1")
    await refit.settled()
    assert desk.seq == seq


async def test_nothing_or_all_bad_rows(refit, sheet):
    await choose(refit, sheet)
    await refit.press("enter", "3")
    await refit.settled()
    assert isinstance(refit.app.screen, Page)
    await refit.press("escape", "enter", "2")
    await refit.settled()
    assert not listed(refit.bench.desk.state)


async def test_another_machine(refit, sheet):
    await choose(refit, sheet)
    await refit.press("m", "ctrl+u", *"winch", "enter", "enter", "1")
    await refit.settled()
    assert {doc["origin"][0] for doc in listed(refit.bench.desk.state).values()} == {"winch"}


async def test_a_workbook(refit, tmp_path):
    import openpyxl

    book = openpyxl.Workbook()
    for row in (("Name", "Qty", "Assembly"), ("camshaft", 1, "timing"), ("tappet", 8, "timing")):
        book.active.append(row)
    book.save(tmp_path / "parts.xlsx")
    await refit.press("f10", "i", *str(tmp_path / "parts.xlsx"), "enter")
    await refit.pause()
    assert "2 rows can be read: 2 new" in said(refit, "#read")
    await refit.press("enter")
    await refit.settled()
    assert len(listed(refit.bench.desk.state)) == 2


async def test_what_is_no_list_is_said_in_a_line(refit, tmp_path):
    (tmp_path / "empty.csv").write_text("")
    (tmp_path / "false.xlsx").write_bytes(b"no workbook")
    await refit.press("f10", "i", *str(tmp_path / "empty.csv"), "enter")
    await refit.settled()
    assert "there is no heading" in refit.app.said_line().plain
    await refit.press("f10", "i", *str(tmp_path / "false.xlsx"), "enter")
    await refit.settled()
    assert "no workbook" in refit.app.said_line().plain


# -- photographs


def keep(desk, group, folder, count):
    """Keep some pictures of a group, the tag not read but told."""
    pictures = []
    for n in range(count):
        path = folder / f"{n}.png"
        Image.new("RGB", (40, 30), (200, 40 * n, 0)).save(path)
        pictures.append(Picture(path, f"{n}" * 64, f"2026-05-12T20:0{n}:00"))
    desk.import_photos(PhotosFound((Run((group.code,), tuple(pictures)),), (), (), 0))


async def test_pictures_are_shown_in_half_blocks_and_turned(refit, tmp_path, monkeypatch):
    monkeypatch.setattr(Pictures, "_why_not", lambda self: "")
    keep(refit.bench.desk, refit.bench.group("studs"), tmp_path, 2)
    assert refit.app.screen.go_to_group(refit.bench.ids["studs"])
    await refit.press("a", "v")
    await refit.settled()
    assert "1 of 2 · 0.png · 2026-05-12 20:00" in said(refit, "#title")
    picture = refit.app.screen.query_one(HalfBlocks)
    middle = picture.render_line(picture.size.height // 2)
    cell = next(segment for segment in middle if segment.text == "▀")
    assert cell.style.color.triplet == (200, 0, 0) and cell.style.bgcolor.triplet == (200, 0, 0)
    await refit.press("right")
    await refit.settled()
    assert "2 of 2" in said(refit, "#title")
    await refit.press("escape")


async def test_without_colours_it_says_how_to_open_it(refit, tmp_path, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    keep(refit.bench.desk, refit.bench.group("studs"), tmp_path, 1)
    assert refit.app.screen.go_to_group(refit.bench.ids["studs"])
    await refit.press("a", "v")
    await refit.settled()
    assert "enter opens it" in said(refit, "#why")
    await refit.press("escape")


def test_a_picture_fits_and_keeps_its_proportions():
    assert fitted((4000, 3000), 80, 20) == (53, 40)
    assert fitted((100, 1000), 80, 20) == (4, 40)
    assert fitted((1000, 100), 80, 20) == (80, 8)


def test_opening_what_is_gone_or_where_nothing_opens(tmp_path, monkeypatch):
    assert "gone" in open_file(tmp_path / "gone.jpg")
    (tmp_path / "here.jpg").write_bytes(b"x")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "nothing here opens pictures" in open_file(tmp_path / "here.jpg")


async def test_a_folder_without_pictures_is_said(refit, tmp_path):
    await refit.press("f10", "v", *str(tmp_path), "enter")
    await refit.settled()
    assert "holds no pictures" in refit.app.said_line().plain
