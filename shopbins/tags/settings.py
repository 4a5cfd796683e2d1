"""What a user has of their own: folders of layouts, and what was chosen last when printing."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from shopbins.tags import TagError
from shopbins.tags.draw import put_file
from shopbins.tags.layout import Layout
from shopbins.tags.layouts import layouts, own_layouts

LAYOUTS_FOLDER = "layouts"
LAST_NAME = "printing.json"
MOST_BYTES = 10_000


@dataclass(frozen=True, slots=True)
class Last:
    """What was chosen last: printer ('' the system's own choice), sheet."""

    printer: str = ""
    sheet: str = ""


def user_folder(environ: Mapping[str, str] = os.environ) -> Path:
    """Return the folder of a user's settings: beside $SHOPBINS_CONFIG, else where the system keeps them."""
    if given := environ.get("SHOPBINS_CONFIG"):
        return Path(given).parent
    from platformdirs import user_config_path

    return user_config_path("shopbins")


def all_layouts(shop_path: Path) -> tuple[dict[str, Layout], list[str]]:
    """Return every layout by name, a user's own before ours, and what is wrong with their files."""
    own, problems = own_layouts(
        dict.fromkeys((shop_path.parent / LAYOUTS_FOLDER, user_folder() / LAYOUTS_FOLDER))
    )
    return {**own, **{name: each for name, each in layouts().items() if name not in own}}, problems


def last() -> Last:
    """Return what was chosen last; nothing where that cannot be read."""
    try:
        data = json.loads((user_folder() / LAST_NAME).read_bytes()[:MOST_BYTES])
        given = {each.name: data.get(each.name, "") for each in fields(Last)}
    except (OSError, ValueError, AttributeError, RecursionError):
        return Last()
    return Last(**{name: value for name, value in given.items() if isinstance(value, str)})


def remember(choice: Last) -> str | None:
    """Keep what was chosen; return what is wrong where it cannot be kept, which is no reason not to print."""
    path = user_folder() / LAST_NAME
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        put_file(path, json.dumps(asdict(choice)).encode())
    except OSError as error:
        return f"{path}: {error.strerror or error}"
    except TagError as error:
        return str(error)
    return None
