"""The guide's pictures are those the script takes."""

import importlib.util
from pathlib import Path

DOCS = Path(__file__).parents[2] / "docs"


def test_every_picture_has_its_steps_and_says_what_it_shows():
    spec = importlib.util.spec_from_file_location("make_pictures", DOCS / "make_pictures.py")
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    taken = {f"{steps.__name__.replace('_', '-')}.svg" for steps in script.PICTURES}
    assert taken == {path.name for path in (DOCS / "screens").glob("*.svg")}
    assert all(steps.__doc__ for steps in script.PICTURES)
