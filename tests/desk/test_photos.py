"""Photographs with tags on them: tags the program printed, on a dirty bench, turned, blurred, in the dark.

The pictures are made here; how a phone blurs and turns is common practice, no source. Exif tags: Exif 2.3.
"""

from __future__ import annotations

import random
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image, ImageDraw, ImageEnhance, ImageFilter

from shopbins.desk import BadInput
from shopbins.records import photos
from shopbins.records.group import MERGE
from shopbins.records.photos import kept_at, photos_of

TAKEN = 0x9003
START = datetime(2026, 5, 12, 20, 0, 0)
PICTURES: dict[tuple[str, str], Image.Image] = {}
"""The picture of each tag, printed once, by what is on it."""


def tag_picture(desk, code: str, folder: Path) -> Image.Image:
    """Print one tag as a PDF and take its picture at 200 dots an inch."""
    path = folder / f"{code}.pdf"
    desk.print_tags(path, [code])
    page = pypdfium2.PdfDocument(path)[0].render(scale=200 / 72).to_pil().convert("L")
    box = Image.eval(page, lambda v: 255 - v).getbbox()
    margin = 25
    label = page.crop((box[0] - margin, box[1] - margin, box[2] + margin, box[3] + margin))
    return label.convert("RGB")


@cache
def bench_top() -> Image.Image:
    return Image.effect_noise((1600, 1200), 60).convert("RGB")


def photograph(tag=None, *, turn=0.0, blur=0.0, dark=1.0, wide=700, seed=1) -> Image.Image:
    """Return a picture of a dirty bench, with a tag on it if given."""
    rng = random.Random(seed)
    scene = bench_top().copy()
    pen = ImageDraw.Draw(scene)
    for _ in range(25):  # spanners, bolts, shadows
        x, y = rng.randrange(1600), rng.randrange(1200)
        grey = rng.randrange(30, 200)
        pen.rectangle(
            (x, y, x + rng.randrange(40, 400), y + rng.randrange(10, 80)), fill=(grey, grey - 10, grey - 20)
        )
    if tag is not None:
        scaled = tag.resize((wide, round(tag.height * wide / tag.width)), Image.Resampling.LANCZOS)
        turned = scaled.convert("RGBA").rotate(turn, Image.Resampling.BICUBIC, expand=True)
        scene.paste(turned, ((1600 - turned.width) // 2, (1200 - turned.height) // 2), turned)
    if blur:
        scene = scene.filter(ImageFilter.GaussianBlur(blur))
    return ImageEnhance.Brightness(scene).enhance(dark)


def untagged(seed: int = 1) -> Image.Image:
    """Return a corner of the bench without a tag: to look for one on the whole of it takes half a second."""
    return photograph(seed=seed).crop((0, 0, 400, 300))


def save(picture: Image.Image, path: Path, minutes: float | None) -> Path:
    """Save as a phone does, with the time it was taken where given."""
    exif = Image.Exif()
    if minutes is not None:
        moment = START + timedelta(minutes=minutes)
        exif.get_ifd(photos.EXIF_IFD)[TAKEN] = moment.strftime("%Y:%m:%d %H:%M:%S")
    picture.save(path, quality=88, exif=exif)
    return path


@pytest.fixture
def tags(desk, tmp_path):
    """Three groups with a printed tag each: {name: (group, picture of its tag)}."""
    found = {}
    for name in ("cylinder head", "water pump", "injector"):
        group = desk.take(name, origin=("engine",))
        if (name, group.code) not in PICTURES:
            PICTURES[name, group.code] = tag_picture(desk, group.code, tmp_path)
        found[name] = (group, PICTURES[name, group.code])
    return found


@pytest.fixture
def phone(tmp_path):
    folder = tmp_path / "phone"
    folder.mkdir()
    return folder


@pytest.mark.parametrize("turn", [0, 8, 30, 45, 60, 90, 110, 135, 180, 205, 270, 331])
def test_a_tag_is_read_at_every_angle(desk, tags, turn):
    group, tag = tags["water pump"]
    assert photos.tags_in(photograph(tag, turn=turn), desk.state, desk.shop.prefix) == (group.code,)


@pytest.mark.parametrize(
    ("blur", "dark", "wide"), [(1.0, 1.0, 700), (1.8, 1.0, 900), (1.2, 0.35, 700), (0.0, 0.2, 500)]
)
def test_a_tag_is_read_blurred_and_in_the_dark(desk, tags, blur, dark, wide):
    group, tag = tags["water pump"]
    picture = photograph(tag, turn=12, blur=blur, dark=dark, wide=wide)
    assert photos.tags_in(picture, desk.state, desk.shop.prefix) == (group.code,)


def test_no_tag_is_read_where_there_is_none(desk, tags):
    for seed in range(4):
        assert photos.tags_in(photograph(seed=seed), desk.state, desk.shop.prefix) == ()


def test_a_tag_too_blurred_to_read_is_no_wrong_tag(desk, tags):
    _, tag = tags["water pump"]
    assert photos.tags_in(photograph(tag, blur=14), desk.state, desk.shop.prefix) == ()


def test_runs_follow_the_camera_s_time_not_the_names(desk, tags, phone):
    (head, head_tag), (pump, pump_tag) = tags["cylinder head"], tags["water pump"]
    save(untagged(), phone / "a.jpg", 7)
    save(photograph(head_tag, turn=5), phone / "z.jpg", 1)
    save(untagged(2), phone / "y.jpg", 2)
    save(untagged(3), phone / "b.jpg", 3)
    save(photograph(pump_tag, turn=-20), phone / "c.jpg", 5)
    save(untagged(4), phone / "early.jpg", 0)
    found = desk.read_photos(phone)
    assert [(run.codes, [p.path.name for p in run.pictures]) for run in found.runs] == [
        ((head.code,), ["z.jpg", "y.jpg", "b.jpg"]),
        ((pump.code,), ["c.jpg", "a.jpg"]),
    ]
    assert [path.name for path in found.untagged] == ["early.jpg"], "before any tag: nobody's"


def test_without_times_the_names_count_ten_after_nine(desk, tags, phone):
    head, tag = tags["cylinder head"]
    save(photograph(tag), phone / "IMG_9.jpg", None)
    save(untagged(2), phone / "IMG_10.jpg", None)
    save(untagged(3), phone / "IMG_8.jpg", None)
    found = desk.read_photos(phone)
    assert [p.path.name for p in found.runs[0].pictures] == ["IMG_9.jpg", "IMG_10.jpg"]
    assert found.runs[0].codes == (head.code,)
    assert [path.name for path in found.untagged] == ["IMG_8.jpg"]


def test_one_without_a_time_stays_behind_the_one_before_it_by_name():
    def picture(name, taken):
        return photos.Picture(Path(name), name, taken)

    given = [picture("1", "2026-05-12T20:00:05"), picture("2", ""), picture("3", "2026-05-12T20:00:01")]
    assert [p.key for p in photos.in_order(given)] == ["3", "1", "2"]


def test_importing_twice_doubles_nothing_and_undo_takes_it_back(desk, tags, phone):
    head, tag = tags["cylinder head"]
    save(photograph(tag), phone / "1.jpg", 1)
    save(untagged(2), phone / "2.jpg", 2)
    (phone / "copy of 2.jpg").write_bytes((phone / "2.jpg").read_bytes())
    assert desk.import_photos(desk.read_photos(phone)) == 2, "one of them is there twice"
    seq = desk.seq
    assert f"group:{head.id}" in desk.ledger.recent(1)[0].subjects, "its history shows them"
    again = desk.read_photos(phone)
    assert again.known == 3
    assert desk.import_photos(again) == 0
    assert desk.seq == seq
    kept = photos_of(desk.state, head.id)
    assert [each.name for each in kept] == ["1.jpg", "2.jpg"]
    assert kept[0].taken == "2026-05-12T20:01:00"
    assert kept_at(desk.ledger.folder, kept[0]).read_bytes() == (phone / "1.jpg").read_bytes()
    files = [p for p in (Path(desk.ledger.folder) / "photos").rglob("*") if p.is_file()]
    assert len(files) == 2
    kept_at(desk.ledger.folder, kept[0]).write_bytes(b"spoiled")
    kept_at(desk.ledger.folder, kept[1]).unlink()
    assert desk.import_photos(again) == 0, "known, and put back"
    assert kept_at(desk.ledger.folder, kept[0]).read_bytes() == (phone / "1.jpg").read_bytes()
    assert kept_at(desk.ledger.folder, kept[1]).read_bytes() == (phone / "2.jpg").read_bytes()
    desk.undo()
    assert photos_of(desk.state, head.id) == []
    assert desk.import_photos(desk.read_photos(phone)) == 2


def test_pictures_of_a_blank_tag_are_those_of_the_group_it_comes_to_be_on(desk, tmp_path, phone):
    path = tmp_path / "blank.pdf"
    (code,) = desk.print_tags(path, blank=1).codes
    page = pypdfium2.PdfDocument(path)[0].render(scale=200 / 72).to_pil().convert("L")
    box = Image.eval(page, lambda v: 255 - v).getbbox()
    save(
        photograph(page.crop(box).convert("RGB").resize((box[2] - box[0], box[3] - box[1]))),
        phone / "1.jpg",
        1,
    )
    assert desk.import_photos(desk.read_photos(phone)) == 1
    group = desk.take("rocker cover", blank=code)
    assert [each.name for each in photos_of(desk.state, group.id)] == ["1.jpg"]


def test_pictures_stay_with_a_group_merged_into_another(desk, tags, phone):
    (head, tag), (pump, _) = tags["cylinder head"], tags["water pump"]
    save(photograph(tag), phone / "1.jpg", 1)
    desk.import_photos(desk.read_photos(phone))
    desk.do(MERGE(group_ids=[pump.id, head.id]))
    assert [each.name for each in photos_of(desk.state, pump.id)] == ["1.jpg"]


def test_a_picture_with_two_tags_is_of_both(desk, tags, phone):
    (head, head_tag), (pump, pump_tag) = tags["cylinder head"], tags["water pump"]
    scene = photograph()
    for n, tag in enumerate((head_tag, pump_tag)):
        scene.paste(tag.resize((700, round(tag.height * 700 / tag.width))), (60 + 760 * n, 300))
    save(scene, phone / "1.jpg", 1)
    (run,) = desk.read_photos(phone).runs
    assert set(run.codes) == {head.code, pump.code}


def test_what_is_no_picture_is_named_and_the_rest_read(desk, tags, phone):
    _, tag = tags["cylinder head"]
    save(photograph(tag), phone / "1.jpg", 1)
    (phone / "broken.jpg").write_bytes(b"\xff\xd8 no picture")
    (phone / "cut.jpg").write_bytes((phone / "1.jpg").read_bytes()[:2000])
    (phone / "notes.txt").write_text("not looked at")
    found = desk.read_photos(phone)
    assert {path.name for path, _ in found.unread} == {"broken.jpg", "cut.jpg"}
    assert len(found.runs) == 1


def test_a_folder_that_is_none_or_holds_none(desk, phone):
    with pytest.raises(BadInput, match="is no folder"):
        desk.read_photos(phone / "nowhere")
    with pytest.raises(BadInput, match="holds no pictures"):
        desk.read_photos(phone)


def test_a_tag_of_another_shop_begins_nothing(desk, tags, phone):
    _, tag = tags["cylinder head"]
    assert photos.tags_in(photograph(tag), desk.state, "QQ") == ()


def test_the_missing_extra_is_said_in_a_line(desk, phone, monkeypatch):
    import builtins

    real = builtins.__import__

    def missing(name, *args, **more):
        if name == "zxingcpp":
            raise ImportError(name)
        return real(name, *args, **more)

    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(BadInput, match=r"pip install 'shopbins\[photos\]'"):
        desk.read_photos(phone)
