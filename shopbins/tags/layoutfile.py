"""Reading a file of layouts: every problem in one line with file, line and column."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from shopbins.ledger.files import read_plain
from shopbins.tags import TagError
from shopbins.tags.layout import FORMS, SYMBOLS, UNITS, Face, Layout, problem_of

NEEDED = ("sheet", "grid", "label", "first")
KEYS = (
    "unit", "sheet", "grid", "label", "first", "pitch", "inset", "dpi", "source", "form", "symbols", "faces",
    "fold x", "fold y", "holes", "cut", "pairs", "endless",
)  # fmt: skip
FACE_KEYS = ("at", "size", "turn", "shows")
MOST_BYTES = 200_000
MOST_LABELS = 10_000
LONGEST_NAME = 40


class _Wrong(Exception):  # noqa: N818 - carries a problem to where the file's name is known
    def __init__(self, node: Any, what: str) -> None:
        super().__init__(what)
        self.node = node


def read_layouts(path: Path) -> dict[str, Layout]:
    """Read a file of layouts; TagError lists every problem as `file:line:column: layout: problem`."""
    import yaml

    try:
        node = yaml.compose(read_plain(path, MOST_BYTES).decode(), Loader=yaml.SafeLoader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f":{mark.line + 1}:{mark.column + 1}" if mark else ""
        raise TagError(f"{path}{where}: {' '.join(str(error.problem or error.context).split())}") from None
    except OSError as error:
        raise TagError(f"{path}: {error.strerror or error}") from None
    except (UnicodeDecodeError, yaml.YAMLError, RecursionError) as error:
        raise TagError(f"{path}: {' '.join(str(error).split()) or 'nested too deeply'}") from None
    if not isinstance(node, yaml.MappingNode):
        raise TagError(f"{path}:1:1: should be layouts by name")
    return _all(path, node)


def _all(path: Path, node: Any) -> dict[str, Layout]:
    found: dict[str, Layout] = {}
    problems: list[str] = []
    for name_node, given in node.value:
        name = str(getattr(name_node, "value", ""))
        try:
            if (
                not isinstance(name_node.value, str)
                or not 0 < len(name) <= LONGEST_NAME
                or not name.isprintable()
            ):
                raise _Wrong(name_node, f"a layout's name should be 1 to {LONGEST_NAME} letters")
            if name in found:
                raise _Wrong(name_node, "there is a layout of this name already")
            found[name] = _layout(name, given, str(path))
        except _Wrong as wrong:
            mark = wrong.node.start_mark
            problems.append(f"{path}:{mark.line + 1}:{mark.column + 1}: {name[:LONGEST_NAME]}: {wrong}")
    if problems:
        raise TagError(*problems)
    return found


def _mapping(node: Any, known: tuple[str, ...], what: str) -> dict[str, Any]:
    """Return a mapping's value nodes by key; unknown and repeated keys are wrong."""
    if (
        not hasattr(node, "flow_style")
        or not isinstance(node.value, list)
        or node.tag != "tag:yaml.org,2002:map"
    ):
        raise _Wrong(node, f"should have {what}")
    found: dict[str, Any] = {}
    for key, value in node.value:
        word = key.value if isinstance(key.value, str) else ""
        if word not in known:
            near = difflib.get_close_matches(word, known, n=1)
            raise _Wrong(key, f"unknown key {word!r}" + (f" (did you mean {near[0]}?)" if near else ""))
        if word in found:
            raise _Wrong(key, f"{word} is given twice")
        found[word] = value
    return found


def _layout(name: str, node: Any, file: str) -> Layout:
    given = _mapping(node, KEYS, "sheet, grid, label and first")
    missing = [key for key in NEEDED if key not in given]
    if missing:
        raise _Wrong(node, f"{', '.join(missing)} missing")
    unit = _word(given["unit"], "unit", tuple(UNITS)) if "unit" in given else "mm"
    scale = UNITS[unit]

    def length(key: str, usual: float) -> float:
        return _number(given[key], key) * scale if key in given else usual

    def pair(key: str) -> tuple[float, float]:
        one, two = _numbers(given[key], key, 2)
        return one * scale, two * scale

    def lengths(key: str) -> tuple[float, ...]:
        return tuple(each * scale for each in _numbers(given[key], key)) if key in given else ()

    columns, rows = (_count(each, "grid") for each in _listed(given["grid"], "grid", 2))
    label = pair("label")
    result = Layout(
        name=name,
        sheet_mm=pair("sheet"),
        columns=columns,
        rows=rows,
        label_mm=label,
        first_mm=pair("first"),
        pitch_mm=pair("pitch") if "pitch" in given else label,
        inset_mm=length("inset", 2.0),
        dpi=_count(given["dpi"], "dpi") if "dpi" in given else 300,
        source=_text(given["source"], "source") if "source" in given else "",
        form=_word(given["form"], "form", FORMS) if "form" in given else "label",
        symbols=_symbols(given["symbols"]) if "symbols" in given else SYMBOLS,
        faces=_faces(given["faces"], scale) if "faces" in given else (),
        fold_x_mm=lengths("fold x"),
        fold_y_mm=lengths("fold y"),
        holes=_holes(given["holes"], scale) if "holes" in given else (),
        cut=_yes(given, "cut"),
        pairs=_yes(given, "pairs"),
        endless=_yes(given, "endless"),
        file=file,
    )
    if result.per_page > MOST_LABELS:
        raise _Wrong(given["grid"], f"more than {MOST_LABELS} labels on a sheet")
    problem = problem_of(result)
    if problem is not None:
        raise _Wrong(node, problem)
    return result


def _faces(node: Any, scale: float) -> tuple[Face, ...]:
    faces: list[Face] = []
    for each in _listed(node, "faces"):
        given = _mapping(each, FACE_KEYS, "at and size")
        if "at" not in given or "size" not in given:
            raise _Wrong(each, "a face needs at and size")
        left, top = _numbers(given["at"], "at", 2)
        width, height = _numbers(given["size"], "size", 2)
        turn = _count(given["turn"], "turn") if "turn" in given else 0
        shows = _text(given["shows"], "shows") if "shows" in given else "all"
        faces.append(Face(left * scale, top * scale, width * scale, height * scale, turn, shows))
    if not faces:
        raise _Wrong(node, "faces is empty")
    return tuple(faces)


def _holes(node: Any, scale: float) -> tuple[tuple[float, float, float], ...]:
    holes: list[tuple[float, float, float]] = []
    for each in _listed(node, "holes"):
        x, y, across = (number * scale for number in _numbers(each, "a hole", 3))
        if across <= 0:
            raise _Wrong(each, "a hole is [from the left, from the top, across], more than nothing across")
        holes.append((x, y, across))
    return tuple(holes)


def _symbols(node: Any) -> tuple[str, ...]:
    given = tuple(_word(each, "symbols", SYMBOLS) for each in _listed(node, "symbols"))
    if len(set(given)) != len(given):
        raise _Wrong(node, "a symbol is given twice")
    return given


def _yes(given: Mapping[str, Any], key: str) -> bool:
    if key not in given:
        return False
    return _word(given[key], key, ("yes", "no", "true", "false")) in ("yes", "true")


def _listed(node: Any, key: str, count: int | None = None) -> list[Any]:
    value = node.value
    if node.tag != "tag:yaml.org,2002:seq" or (count is not None and len(value) != count):
        many = {2: "two numbers, like [63.5, 38.1]", 3: "three numbers"}.get(count or 0, "a list")
        raise _Wrong(node, f"{key} should be {many}")
    return list(value)


def _numbers(node: Any, key: str, count: int | None = None) -> tuple[float, ...]:
    return tuple(_number(each, key) for each in _listed(node, key, count))


def _number(node: Any, key: str) -> float:
    return _scalar(node, key, float, "a number")


def _count(node: Any, key: str) -> int:
    return int(_scalar(node, key, lambda text: int(text, 10), "a whole number"))


def _scalar(node: Any, key: str, read: Callable[[str], float], what: str) -> float:
    text = node.value if isinstance(node.value, str) else ""
    try:
        value = read(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or abs(value) > 1e6 or not text.isascii() or "_" in text:
        raise _Wrong(node, f"{key} {text[:20]!r} should be {what}")
    return value


def _text(node: Any, key: str) -> str:
    if not isinstance(node.value, str) or not node.value.isprintable():
        raise _Wrong(node, f"{key} should be a line of text")
    return node.value


def _word(node: Any, key: str, known: tuple[str, ...]) -> str:
    word = node.value if isinstance(node.value, str) else ""
    if word not in known:
        raise _Wrong(node, f"{key} {word[:20]!r} ({' or '.join(known)})")
    return word
