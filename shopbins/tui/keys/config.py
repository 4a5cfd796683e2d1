"""The user's own keys and looks: a small TOML file, its problems each in one line.

    [keys]
    "plan.next_thing" = "n"
    "group.carry" = "c,f5"

    [look]
    theme = "shopbins"
    plan = "wide"

Whatever is wrong is told and left out; the rest holds. The file is looked for where the system keeps
users' settings, or where SHOPBINS_CONFIG points.
"""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shopbins.tui.keys.actions import BY_ID, RESERVED_KEYS, TOGETHER, Action, of_scope

MOST_BYTES = 100_000
LOOKS = ("theme", "glyphs")
_KEY = re.compile(r"^((ctrl|shift|alt)\+)*([a-z_]+[0-9]*|[A-Z]|[0-9])$")


@dataclass(frozen=True, slots=True)
class Config:
    """What the file says: keys by action id, a theme, a set of signs, and what is wrong, one line each."""

    path: Path
    found: bool = False
    keys: Mapping[str, str] = field(default_factory=dict)
    theme: str = ""
    glyphs: str = ""
    problems: tuple[str, ...] = ()


def config_path(environ: Mapping[str, str] = os.environ) -> Path:
    """Return where the config file is looked for."""
    if given := environ.get("SHOPBINS_CONFIG"):
        return Path(given)
    from platformdirs import user_config_path

    return user_config_path("shopbins") / "keys.toml"


def read_config(path: Path) -> Config:
    """Read a config file; one that is not there is no problem."""
    try:
        raw = path.read_bytes()[: MOST_BYTES + 1]
    except FileNotFoundError:
        return Config(path)
    except OSError as problem:
        return Config(path, problems=(f"{path}: cannot be read ({problem.strerror or problem})",))
    if len(raw) > MOST_BYTES:
        return Config(
            path, True, problems=(f"{path}: longer than {MOST_BYTES} bytes, so not a config file of ours",)
        )
    import tomllib

    try:
        text = raw.decode("utf-8")
        doc = tomllib.loads(text)
    except UnicodeDecodeError:
        return Config(path, True, problems=(f"{path}: not UTF-8 text",))
    except (tomllib.TOMLDecodeError, RecursionError) as problem:
        return Config(path, True, problems=(f"{path}: {_with_line(str(problem))}",))
    return _checked(path, text, doc)


def _with_line(problem: str) -> str:
    """Turn 'X (at line 3, column 5)' round to '3:5: X'."""
    found = re.match(r"(.*) \(at line (\d+), column (\d+)\)$", problem, re.S)
    return f"{found[2]}:{found[3]}: {found[1]}" if found else problem or "nested too deeply"


def _checked(path: Path, text: str, doc: Mapping[str, Any]) -> Config:
    problems: list[str] = []

    def wrong(word: str, what: str) -> None:
        problems.append(f"{path}:{_line_of(text, word)}: {what}")

    for table in doc:
        if table not in ("keys", "look"):
            wrong(table, f"unknown table '{table}'{_meant(table, ('keys', 'look'))}")
    keys = _keys(doc.get("keys", {}), wrong)
    for first, second, key in clashes(keys):
        wrong(
            first.id if first.id in keys else second.id, f"'{key}' would be both {first.id} and {second.id}"
        )
        keys = {k: v for k, v in keys.items() if k not in (first.id, second.id)}
    looks: dict[str, str] = {}
    look = doc.get("look", {})
    for name, value in look.items() if isinstance(look, dict) else ():
        if name not in LOOKS:
            wrong(name, f"unknown look '{name}'{_meant(name, LOOKS)}")
        elif not isinstance(value, str):
            wrong(name, f"'{name}' must be a text")
        else:
            looks[name] = value
    if looks.get("glyphs", "ascii") not in ("ascii", "all"):
        wrong("glyphs", f"'{looks.pop('glyphs')}' is no set of signs: write 'ascii' or 'all'")
    return Config(path, True, keys, looks.get("theme", ""), looks.get("glyphs", ""), tuple(problems))


def _keys(table: Any, wrong: Any) -> dict[str, str]:
    if not isinstance(table, dict):
        wrong("keys", "'keys' must be a table: [keys]")
        return {}
    keys: dict[str, str] = {}
    for name, value in table.items():
        if name not in BY_ID:
            wrong(name, f"unknown action '{name}'{_meant(name, tuple(BY_ID))}")
            continue
        if BY_ID[name].keys == "z,Z":
            wrong(name, "the letter Z begins every label's code: scanning cannot have another key")
            continue
        parts = [each.strip() for each in value.split(",")] if isinstance(value, str) else []
        bad = next((each for each in parts if not _KEY.match(each)), None) if parts else str(value)
        if bad is not None:
            wrong(
                name,
                f"'{bad}' is no key (write 'c', 'C', 'f5', 'ctrl+n', 'shift+left', 'page' keys as 'pageup')",
            )
        elif RESERVED_KEYS.intersection(parts):
            wrong(name, "the letter Z begins every label's code, so no other action may have it")
        else:
            keys[name] = ",".join(parts)
    return keys


def clashes(keys: Mapping[str, str]) -> Iterator[tuple[Action, Action, str]]:
    """Go through the pairs of actions that would be heard at the same time on the same key."""
    told: set[tuple[str, str]] = set()
    for scopes in TOGETHER:
        taken: dict[str, Action] = {}
        for action in of_scope(*scopes):
            for key in filter(None, keys.get(action.id, action.keys).split(",")):
                other = taken.setdefault(key, action)
                if other is not action and (other.id, action.id) not in told:
                    told.add((other.id, action.id))
                    yield other, action, key


def _line_of(text: str, word: str) -> int:
    for number, line in enumerate(text.splitlines(), 1):
        if word in line.partition("#")[0]:
            return number
    return 1


def _meant(word: str, known: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(word, known, n=1, cutoff=0.5)
    return f" (did you mean '{near[0]}'?)" if near else f" (known: {', '.join(known[:12])})"


def misspelt(word: str, known: Sequence[str]) -> str:
    """Return the known word nearest to one that is not known."""
    return (difflib.get_close_matches(word, known, n=1, cutoff=0.0) or [known[0]])[0]
