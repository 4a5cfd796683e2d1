"""Photographs: a picture that shows a tag starts a run; every later one belongs to it until the next tag.

    found = look_through(folder, state, prefix)     # nothing is written
    keep(found, state, ledger_folder)               # copies what is new, by content
    ledger.transact(lambda state: photos_draft(state, found))

A picture is kept under the digest of its bytes (SHA-256), so importing it twice doubles nothing. What the
ledger knows of it is a document of the table `photo`: name, taken (as the camera says, local time), file,
codes (of the tags its run began with; so a blank tag's pictures are those of the group it comes to be on).
Reading tags needs the extra 'photos' (zxing-cpp and Pillow).
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from operator import itemgetter
from pathlib import Path
from typing import Any

from shopbins.ledger.codes import CodeProblem, parse_code
from shopbins.ledger.events import Draft
from shopbins.ledger.files import Files
from shopbins.ledger.journal import written
from shopbins.ledger.photofile import FOLDER, MOST_BYTES, photo_file
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State

ENDINGS = frozenset((".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".bmp", ".heic", ".heif"))
MISSING = "reading labels from photographs needs zxing-cpp and Pillow: pip install 'shopbins[photos]'"
SIDE_PX = 2000
"""Pictures are looked at no larger than this first: a tag held before a phone is far larger than needed."""

MOST_PIXELS = 64_000_000
"""What is read of a picture at most; the pixels after a JPEG was decoded smaller."""

TURNS_DEG = (0, 45, 22, 67)
"""A bar code is read within some 30 degrees of level or upright: so turned, every angle is tried."""

EXIF_IFD, TAKEN, TAKEN_PART, CHANGED = 0x8769, 0x9003, 0x9291, 0x0132
"""Exif 2.3: the sub-directory, DateTimeOriginal, SubSecTimeOriginal; TIFF 6.0 DateTime."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph the ledger knows; `file` is its place in the photos folder."""

    key: str
    name: str
    file: str
    taken: str = ""
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture of a folder: the digest of its bytes, when it was taken, the codes of tags it shows."""

    path: Path
    key: str
    taken: str
    codes: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        """Where it is kept in the photos folder."""
        return f"{self.key[:2]}/{self.key}{self.path.suffix.lower()}"


@dataclass(frozen=True, slots=True)
class Run:
    """Pictures that belong together: the codes of the tags the first shows (several: to all of them)."""

    codes: tuple[str, ...]
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class PhotosFound:
    """What a folder holds: runs; pictures before any tag; (file, why) that could not be read; known ones."""

    runs: tuple[Run, ...]
    untagged: tuple[Path, ...]
    unread: tuple[tuple[Path, str], ...]
    known: int


def photos_of(state: State, group_id: str) -> list[Photo]:
    """Return a group's photographs in the order they were taken."""
    group = state.group(group_id)
    own = {group.code, *group.also_codes}
    found = [
        Photo(key, doc["name"], doc["file"], doc.get("taken", ""), tuple(doc["codes"]))
        for key, doc in state.docs("photo").items()
        if own & set(doc["codes"])
    ]
    return sorted(found, key=lambda each: (each.taken, _natural(each.name), each.key))


def look_through(
    folder: Path, state: State, prefix: str, tick: Callable[[int, int], Any] | None = None
) -> PhotosFound:
    """Look for tags in a folder's pictures; BadValue where it is no folder or the extra is missing."""
    if not folder.is_dir():
        raise BadValue(f"{folder}: is no folder")
    _needs()
    files = sorted((each for each in folder.iterdir() if _is_picture(each)), key=lambda p: _natural(p.name))
    if not files:
        raise BadValue(f"{folder}: holds no pictures")
    pictures: list[Picture] = []
    unread: list[tuple[Path, str]] = []
    for n, path in enumerate(files):
        if tick is not None:
            tick(n, len(files))
        try:
            pictures.append(_looked_at(path, state, prefix))
        except Exception as problem:  # whatever a damaged picture makes the library raise
            unread.append((path, _why(problem)))
    runs, untagged = in_runs(in_order(pictures))
    table = state.docs("photo")
    return PhotosFound(runs, untagged, tuple(unread), sum(1 for each in pictures if each.key in table))


def _needs() -> None:
    try:
        import PIL
        import zxingcpp
    except ImportError:
        raise BadValue(MISSING) from None
    assert PIL and zxingcpp


def _is_picture(path: Path) -> bool:
    return path.suffix.lower() in ENDINGS and not path.name.startswith(".") and path.is_file()


def _natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key by which IMG_9 comes before IMG_10."""
    parts = re.findall(r"(\d+)|(\D+)", name.casefold())
    return tuple((0, int(digits), "") if digits else (1, 0, text) for digits, text in parts)


def _why(problem: Exception) -> str:
    text = " ".join(str(problem).split())
    return "is no picture that can be read here" if "cannot identify" in text else text[:120]


@contextlib.contextmanager
def picture(path: Path, mode: str, side_px: int) -> Iterator[Any]:
    """Open a picture, to be decoded about so large where its kind can be; BadValue for one that is too large.

    A file of a few bytes may claim any number of pixels, and each is some bytes of memory.
    """
    from PIL import Image

    size = path.stat().st_size
    if size > MOST_BYTES:
        raise BadValue(f"has {size / 1e6:.0f} MB: more than {MOST_BYTES // 10**6} MB is not read")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # said below, by our own bound
        try:
            image = Image.open(path)
        except Image.DecompressionBombError:
            raise BadValue(f"is larger than {MOST_PIXELS // 10**6} million pixels: not read") from None
    with image:
        image.draft(mode, (side_px, side_px))  # a JPEG is then decoded at a half or a quarter
        width, height = image.size
        if width * height > MOST_PIXELS:
            count = f"{width * height / 1e6:.0f} million pixels"
            raise BadValue(f"has {count}: more than {MOST_PIXELS // 10**6} million are not read")
        yield image


def _looked_at(path: Path, state: State, prefix: str) -> Picture:
    with picture(path, "L", SIDE_PX) as image:
        data = path.read_bytes()
        taken = taken_at(image)
        codes = tags_in(image, state, prefix)
    return Picture(path, sha256(data).hexdigest(), taken, codes)


def taken_at(image: Any) -> str:
    """Return when a camera says a picture was taken: '2026-05-12T20:14:03.25', '' where it does not."""
    exif = image.getexif()
    inner = exif.get_ifd(EXIF_IFD)
    text = str(inner.get(TAKEN) or exif.get(CHANGED) or "")
    found = re.match(r"(\d{4}):(\d\d):(\d\d)[ T](\d\d:\d\d:\d\d)", text)
    if found is None or found[1] == "0000":
        return ""
    part = re.sub(r"\D", "", str(inner.get(TAKEN_PART) or "")) if inner.get(TAKEN) else ""
    return f"{found[1]}-{found[2]}-{found[3]}T{found[4]}" + (f".{part}" if part else "")


def tags_in(image: Any, state: State, prefix: str) -> tuple[str, ...]:
    """Return the codes of the groups' and blank tags a picture shows, as the ledger knows them."""
    found: dict[str, None] = {}
    for seen in _views(image):
        for text in _read(seen):
            with contextlib.suppress(CodeProblem):
                code = parse_code(text, prefix).text
                subject = state.resolve_code(code)
                if subject is not None and subject[0] in ("group", "tag"):
                    found[state.group(subject[1]).code if subject[0] == "group" else code] = None
        if found:
            break
    return tuple(found)


def _views(image: Any) -> Iterator[Any]:
    """Go through a picture as it may be read best: smaller, more contrast, turned, whole, sharpened."""
    from PIL import Image, ImageFilter, ImageOps

    grey = image.convert("L")
    small = grey.copy()
    small.thumbnail((SIDE_PX, SIDE_PX))
    yield small
    clear = ImageOps.autocontrast(small, cutoff=1)
    for turn in TURNS_DEG:
        yield clear.rotate(turn, Image.Resampling.BILINEAR, expand=True, fillcolor=128) if turn else clear
    sharp = clear.filter(ImageFilter.UnsharpMask(radius=6, percent=250, threshold=0))
    for turn in TURNS_DEG[:2]:
        yield sharp.rotate(turn, Image.Resampling.BILINEAR, expand=True, fillcolor=128) if turn else sharp
    if grey.size != small.size:
        yield grey


def _read(image: Any) -> list[str]:
    import zxingcpp

    printed = zxingcpp.barcode_formats_from_str("Code128,QRCode")  # what our tags carry
    return [each.text for each in zxingcpp.read_barcodes(image, formats=printed) if each.text]


# -- runs


def in_order(pictures: Iterable[Picture]) -> list[Picture]:
    """Return pictures, given by name, in the order they were taken.

    One without a time stays behind the one before it by name.
    """
    timed: list[tuple[str, Picture]] = []
    last = ""
    for each in pictures:
        last = each.taken or last
        timed.append((last, each))
    return [each for _, each in sorted(timed, key=itemgetter(0))]


def in_runs(pictures: Iterable[Picture]) -> tuple[tuple[Run, ...], tuple[Path, ...]]:
    """Part pictures, in order, into runs; return also those before the first tag."""
    runs: list[tuple[tuple[str, ...], list[Picture]]] = []
    untagged: list[Path] = []
    for each in pictures:
        if each.codes and (not runs or runs[-1][0] != each.codes):
            runs.append((each.codes, [each]))
        elif runs:
            runs[-1][1].append(each)
        else:
            untagged.append(each.path)
    return tuple(Run(codes, tuple(those)) for codes, those in runs), tuple(untagged)


# -- keeping


def kept_at(ledger: str | os.PathLike[str], photo: Photo) -> Path:
    """Return where a photograph is kept: in the ledger's folder, or nowhere, whatever a record says."""
    found = photo_file(ledger, photo.key, {"file": photo.file})
    return Path(ledger) / FOLDER / "names no file of this folder" if found is None else found


def _new(found: PhotosFound, state: State) -> dict[str, tuple[Picture, tuple[str, ...]]]:
    """Return what is not known yet, each once; known to belong to these tags counts as known."""
    table = state.docs("photo")
    new: dict[str, tuple[Picture, tuple[str, ...]]] = {}
    for run in found.runs:
        for each in run.pictures:
            if each.key not in table and each.key not in new:
                new[each.key] = (each, run.codes)
    return new


def keep(found: PhotosFound, state: State, ledger: str | os.PathLike[str]) -> int:
    """Copy pictures into the ledger's photos folder, durably; return how many were not known. OSError.

    What is known is copied too where the file kept is gone or holds something else.
    """
    home = Path(ledger) / FOLDER
    for picture in {each.key: each for run in found.runs for each in run.pictures}.values():
        target = home / picture.file
        if photo_file(ledger, picture.key, {"file": picture.file}) is None:
            raise OSError(errno.ELOOP, "is a link, or has one in it (take it away)", str(home))
        if not _holds(target, picture.path):
            target.parent.mkdir(parents=True, exist_ok=True)
            _copy(picture.path, target)
    return len(_new(found, state))


def _holds(target: Path, source: Path) -> bool:
    """Tell whether a plain file holds the very bytes of another."""
    if target.is_symlink() or not target.is_file():
        return False
    return target.stat().st_size == source.stat().st_size and target.read_bytes() == source.read_bytes()


def _copy(source: Path, target: Path) -> None:
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    written(str(beside), source.read_bytes(), Files())
    beside.replace(target)


def photos_draft(state: State, found: PhotosFound) -> Draft:
    """Record whose the new pictures are."""
    after: dict[str, Any] = {}
    for key, (picture, codes) in _new(found, state).items():
        doc: dict[str, Any] = {"name": picture.path.name[:200], "file": picture.file, "codes": list(codes)}
        if picture.taken:
            doc["taken"] = picture.taken
        after[f"photo:{key}"] = doc
    if not after:
        raise BadValue("every picture is known already")
    return Draft("add photos", after, tuple(_subjects(state, found.runs)))


def _subjects(state: State, runs: Sequence[Run]) -> Iterator[str]:
    """Give the groups photographed, so that their history shows it."""
    for code in dict.fromkeys(code for run in runs for code in run.codes):
        subject = state.resolve_code(code)
        if subject is not None and subject[0] == "group":
            yield f"group:{subject[1]}"
