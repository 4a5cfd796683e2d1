"""One table: whatever it says can be done can be done, and everything else is made from it."""

import re
from collections import Counter
from pathlib import Path

import pytest

from shopbins.tui.app import ShopbinsApp
from shopbins.tui.audit.screen import AuditScreen
from shopbins.tui.dialogs.catchup import CatchUpField
from shopbins.tui.dialogs.entry import EntryField
from shopbins.tui.dialogs.help import help_lines
from shopbins.tui.dialogs.rollcall import RollCallLine
from shopbins.tui.dialogs.scanline import ScanLine
from shopbins.tui.draw.panel import DrawHand
from shopbins.tui.draw.screen import DrawScreen
from shopbins.tui.keys.actions import (
    ACTIONS,
    BEFORE,
    BY_ID,
    LETTERS,
    RESERVED_KEYS,
    SCOPES,
    UNBOUND,
    bindings,
    changed_keys,
    keys_before,
    keys_page,
    of_scope,
    shown_keys,
)
from shopbins.tui.keys.config import clashes, read_config
from shopbins.tui.move.screen import MoveScreen
from shopbins.tui.parts.screen import PartsScreen, SearchLine
from shopbins.tui.plan.screen import PlanScreen
from shopbins.tui.refit.screen import RefitScreen
from shopbins.tui.widgets.hand import HandPanel
from shopbins.tui.widgets.linelist import LineList
from shopbins.tui.widgets.lines import Line

NODES = {
    "everywhere": [ShopbinsApp],
    "group": [PlanScreen, PartsScreen, AuditScreen, RefitScreen],
    "strip": [PartsScreen, RefitScreen],
    "plan": [PlanScreen],
    "carry": [HandPanel],
    "parts": [PartsScreen],
    "search": [SearchLine],
    "audit": [AuditScreen],
    "refit": [RefitScreen],
    "move": [MoveScreen],
    "draw": [DrawScreen],
    "drawing": [DrawHand],
    "list": [LineList],
    "scan": [ScanLine],
    "rollcall": [RollCallLine],
    "entry": [EntryField],
    "catchup": [CatchUpField],
}


@pytest.mark.parametrize("action", ACTIONS, ids=lambda a: a.id)
def test_every_action_is_bound_and_done_by_its_node(action):
    for node in NODES[action.scope]:
        assert callable(getattr(node, f"action_{action.name}", None))
        bound = {b.id: b for b in node.BINDINGS}
        assert bound[action.id].key == (action.keys or UNBOUND)
        assert bound[action.id].action == action.name


def test_every_scope_is_told_and_bound():
    assert set(NODES) == set(SCOPES) == {a.scope for a in ACTIONS}
    assert len(BY_ID) == len(ACTIONS)


def test_no_two_actions_have_one_key_at_the_same_time():
    assert list(clashes({})) == []


def test_no_letter_has_two_meanings():
    """Each letter is one thing on every screen; capital letters are only a scanner's."""
    for action in ACTIONS:
        for key in action.keys.split(","):
            if len(key) == 1 and key.isalpha() and key != "Z":
                assert action.id in LETTERS[key][1], (key, action.id)
    for means, names in LETTERS.values():
        assert means and all(BY_ID[name] for name in names)


def test_few_keys_need_shift():
    """Only the fine steps of carrying, beside keys that have another way."""
    alone = [a.id for a in ACTIONS if a.keys and all("shift+" in key for key in a.keys.split(","))]
    assert len(alone) == 8 and all(".fine_" in each for each in alone), "of the Plan and of Draw"


def test_in_a_menu_no_letter_comes_twice():
    """The menu of a part is of two scopes; those of the screens are each of one."""
    menus = [("group", "strip", "plan"), ("move",), ("audit",), ("refit",)]
    for scopes in menus:
        letters = [a.act for a in of_scope(*scopes) if a.act]
        assert len(letters) == len(set(letters)), scopes
    for scope in SCOPES:
        letters = [a.menu for a in ACTIONS if a.menu and a.scope in (scope, "everywhere")]
        assert len(letters) == len(set(letters)), scope


def test_everything_can_be_called_up():
    """By a key, by a menu or by the palette."""
    assert not [a.id for a in ACTIONS if not (a.keys or a.act or a.menu or a.palette)]


def test_the_keys_of_before_can_be_had_again(tmp_path):
    """The lines told in docs/keys.md are read without a problem, and bring every old key back."""
    path = tmp_path / "keys.toml"
    path.write_text("\n".join(keys_before()), encoding="utf-8")
    config = read_config(path)
    assert config.problems == ()
    assert all(config.keys[name] == keys for name, keys in BEFORE.items() if keys)
    assert len(changed_keys()) == len(BEFORE)


def test_only_scanning_has_the_letter_of_the_codes():
    owners = [a.id for a in ACTIONS if RESERVED_KEYS & set(a.keys.split(","))]
    assert owners == ["everywhere.scan"]


def test_the_documented_keys_are_the_table():
    path = Path(__file__).parents[2] / "docs" / "keys.md"
    assert path.read_text(encoding="utf-8") == keys_page(), "run docs/make_pages.py"


def test_every_sentence_is_one():
    for action in ACTIONS:
        assert action.says and action.label
        assert action.says == action.says.strip() and not action.says.endswith(".")
        assert len(action.label) <= 13
    assert not [says for says, n in Counter((a.scope, a.says) for a in ACTIONS).items() if n > 1]


async def test_help_names_every_key_of_the_place(bench, settled):
    app = bench.app()
    async with app.run_test(size=(100, 40)) as pilot:
        for key, scopes in (
            ("1", ("plan", "group", "carry")),
            ("2", ("parts", "search", "strip")),
            ("3", ("audit",)),
            ("5", ("refit", "strip", "group")),
        ):
            await pilot.press(key)
            await settled(pilot)
            text = "\n".join(help_lines(app))
            for action in of_scope(*scopes, "everywhere"):
                assert action.says in text
                assert shown_keys(action, {}, every=True) in text
            assert str(app.config.path) in text


def test_bindings_carry_ids():
    assert all(b.id in BY_ID for scope in SCOPES for b in bindings(scope))


@pytest.mark.parametrize("key", ["1", "2", "3", "5"])
async def test_the_foot_names_ten_keys_at_most_however_wide_it_is(bench, opened, key):
    async with opened(bench, key, size=(200, 60)) as pilot:
        keys = pilot.app.screen.query_one("#keys", Line)
        hints = re.split(r"\s{2,}", keys.text.strip())
        assert len(hints) <= 10 and hints[-1] == "? help", hints
