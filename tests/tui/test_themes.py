"""Contrast of every pair of ink and ground, computed: WCAG 2.2, 1.4.3 (text 4.5) and 1.4.11 (signs 3)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.strip import Strip
from textual.theme import BUILTIN_THEMES

from shopbins.tui.canvas.inks import GROUND_LOOKS, INK_LOOKS, Behind, Ink
from shopbins.tui.canvas.overview import KEY, LOOKS
from shopbins.tui.theme import CONTRAST, DARK, LIGHT, OWN_VARIABLES, THEMES, usual_theme
from shopbins.tui.widgets.colours import wants_textures
from shopbins.tui.widgets.linelist import GROUNDS
from shopbins.tui.widgets.linelist import LOOKS as LIST_LOOKS

TEXT, SIGN = 4.5, 3.0

FLOORS = (Behind.NONE, Behind.FLOOR, Behind.WAY, Behind.SPOT)
"""What a word beside a block stands on."""

WORDS = [
    *[(ink, ground) for ink in (Ink.TITLE, Ink.EXIT, Ink.PART_NAME, Ink.FIXED_NAME) for ground in FLOORS],
    *[(ink, ground) for ink in (Ink.STOP_NAME, Ink.FIX_NAME, Ink.ACCEPTED) for ground in FLOORS],
    *[(Ink.PLACE_NAME, ground) for ground in (*FLOORS, Behind.PLACE)],
    (Ink.LETTER, Behind.PLACE), (Ink.LETTER, Behind.FIXED), (Ink.FIXED_NAME, Behind.FIXED),
    (Ink.ON_PART, Behind.PART), (Ink.ON_STOP, Behind.STOP), (Ink.ON_FIX, Behind.FIX),
    (Ink.ON_LIT, Behind.IN_HAND),
]  # fmt: skip
SIGNS = [
    (Ink.WALL, Behind.NONE), (Ink.DOOR, Behind.WAY), (Ink.WALKWAY, Behind.WAY), (Ink.BAR, Behind.PLACE),
    (Ink.BAR, Behind.SPOT), (Ink.KEEP_CLEAR, Behind.KEEP),
]  # fmt: skip


def luminance(colour: Color) -> float:
    """Relative luminance as WCAG 2.2 defines it."""

    def linear(value: int) -> float:
        share = value / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    return 0.2126 * linear(colour.r) + 0.7152 * linear(colour.g) + 0.0722 * linear(colour.b)


def contrast(a: Color, b: Color) -> float:
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_formula_against_published_pairs():
    """WCAG 2.2: black on white is 21; #767676 the lightest grey with 4.5 on white (from memory)."""
    white = Color.parse("#ffffff")
    assert contrast(Color.parse("#000000"), white) == pytest.approx(21)
    assert contrast(Color.parse("#767676"), white) >= 4.5 > contrast(Color.parse("#777777"), white)


def colours(theme):
    named = {name: getattr(theme, name) for name in (
        "primary", "secondary", "accent", "warning", "error", "success", "foreground", "background",
        "surface", "panel")}  # fmt: skip
    return {name: Color.parse(value) for name, value in {**OWN_VARIABLES, **named, **theme.variables}.items()
            if value not in ("none", "yes")}  # fmt: skip


def pair(theme, ink: int, ground: int, behind: str = "background") -> tuple[Color, Color]:
    known, blends = colours(theme), theme.variables.get("blends") != "none"
    name, share, _ = INK_LOOKS[ink]
    lies = known[behind]
    if ground:
        over, part = GROUND_LOOKS[ground]
        lies = lies.blend(known[over], part if blends else float(part == 1.0))
    return lies.blend(known[name], share if blends else 1.0), lies


@pytest.mark.parametrize("theme", [DARK, LIGHT, CONTRAST], ids=lambda t: t.name)
def test_every_word_and_sign_on_the_plan_stands_out(theme):
    for ink, ground in WORDS:
        assert contrast(*pair(theme, ink, ground)) >= TEXT, (ink.name, ground.name)
    for ink, ground in SIGNS:
        assert contrast(*pair(theme, ink, ground)) >= SIGN, (ink.name, ground.name)


@pytest.mark.parametrize("theme", [DARK, LIGHT, CONTRAST], ids=lambda t: t.name)
def test_every_word_in_lists_heads_and_hints_stands_out(theme):
    known = colours(theme)
    for look, (name, share, _) in LIST_LOOKS.items():
        for behind in ("background", "surface", "panel"):
            ground = known[GROUNDS[look]] if look in GROUNDS else known[behind]
            plain = theme.variables.get("blends") == "none"
            assert contrast(ground.blend(known[name], 1.0 if plain else share), ground) >= TEXT, (
                look,
                behind,
            )
    for ink in ("foreground", "error", "warning", "hint", "primary"):
        for behind in ("background", "surface", "panel"):
            assert contrast(known[ink], known[behind]) >= TEXT, (ink, behind)


def test_the_pairs_computed_are_those_that_are_drawn():
    """Every ground and every ink of the overview is in a pair above: a new one is not forgotten."""
    pairs = [*WORDS, *SIGNS]
    drawn = {look.ground for look in LOOKS.values()} | {ground for _, _, ground, _ in KEY}
    assert drawn <= {ground for _, ground in pairs}
    inks = {look.name for look in LOOKS.values()} | {ink for _, ink, _, _ in KEY} - {Ink.NONE}
    assert inks - {Ink.KEEP_CLEAR, Ink.LIT} <= {ink for ink, _ in pairs}


def test_red_and_amber_belong_to_findings():
    warm = {ink for ink, (name, _, _) in INK_LOOKS.items() if name in ("error", "warning")}
    assert {look.name for kind, look in LOOKS.items() if kind != "keep"} & warm == set()


def test_a_theme_that_is_not_known_is_told_with_the_nearest(bench):
    bench.config = replace(bench.config, theme="shopbin lite")
    app = bench.app()
    assert app.theme == DARK.name
    assert app.config.problems == ("no theme 'shopbin lite': did you mean 'shopbins light'?",)


def test_light_is_taken_where_the_terminal_says_so():
    assert usual_theme({"COLORFGBG": "0;15"}) == LIGHT.name
    assert usual_theme({"COLORFGBG": "0;15"}, "standard") == "terminal"
    assert usual_theme({"COLORFGBG": "15;0"}) == usual_theme({}) == DARK.name


@pytest.mark.parametrize("colourless", [False, True])
def test_sixteen_colours_are_the_terminals_own(bench, monkeypatch, colourless):
    """A red that is made 24 bit first comes out of 16 colours as magenta, a grey as hardly to be read."""
    if colourless:
        monkeypatch.setenv("NO_COLOR", "1")
    bench.config = replace(bench.config, theme="terminal")
    app = bench.app()
    line = Strip([Segment("3 stops", Style(color="red", bgcolor="default"))])
    for each in app._filters:
        if each.enabled:
            line = line.apply_filter(each, Color.parse("black"))
    (drawn,) = line
    drawn_in = drawn.style.color.name if drawn.style.color is not None else "default"
    assert drawn_in == ("default" if colourless else "red")


@pytest.mark.parametrize("theme", [t.name for t in THEMES] + sorted(BUILTIN_THEMES)[:3])
async def test_the_plan_is_drawn_in_every_theme(bench, settled, theme, monkeypatch):
    """No colour is asked for that the theme does not have; textures where colours are few."""
    bench.config = replace(bench.config, theme=theme)
    async with bench.app().run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        assert pilot.app.theme == theme
        strips = pilot.app.screen._compositor.render_strips()
        assert "EXIT" in "".join(strip.text for strip in strips)
        monkeypatch.setattr(type(pilot.app.console), "color_system", "truecolor")
        wanted = theme in ("terminal", "shopbins contrast")
        assert wants_textures(pilot.app.screen.plan) is wanted
        monkeypatch.setattr(type(pilot.app.console), "color_system", "standard")
        assert wants_textures(pilot.app.screen.plan)


@pytest.mark.parametrize("theme", [t.name for t in THEMES])
async def test_what_lies_behind_a_dialog_stays_to_be_seen(bench, settled, theme):
    """A screen is drawn under another only where that one lets through."""
    bench.config = replace(bench.config, theme=theme)
    async with bench.app().run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("e")
        await pilot.pause()
        assert pilot.app.screen.is_modal and pilot.app.screen.styles.background.a < 1
