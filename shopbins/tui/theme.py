"""How the app looks: its themes, and the styles every screen shares.

The pairs of ink and ground that occur are held to WCAG 2.2 (1.4.3: text 4.5 to 1; 1.4.11: marks, walls and
bars 3 to 1) by a test that computes them. Red and amber belong to findings; everything else is neutral, blue
(places) or green (ways); a shape, a number or a word says the same where colours cannot.
"""

from __future__ import annotations

from collections.abc import Mapping

from textual.theme import BUILTIN_THEMES, Theme

DARK = Theme(
    name="shopbins",
    primary="#56b4e9",
    secondary="#e69f00",
    accent="#56b4e9",
    warning="#f0b429",
    error="#ff7a59",
    success="#4fc3a1",
    foreground="#e6e1d6",
    background="#16181a",
    surface="#1d2023",
    panel="#282c30",
    dark=True,
)

LIGHT = Theme(
    name="shopbins light",
    primary="#0b5c91",
    secondary="#7a4d00",
    accent="#0b5c91",
    warning="#7a4d00",
    error="#b3261e",
    success="#0b6650",
    foreground="#22262b",
    background="#faf7f0",
    surface="#f1ede3",
    panel="#e4dfd2",
    dark=False,
    variables={
        "place-ink": "#084a76",
        "part-ink": "#22262b",
        "part-ground": "#aea795",
        "stop-ink": "#ffffff",
        "stop-ground": "#b3261e",
        "fix-ink": "#22262b",
        "fix-ground": "#f2c14e",
        "hint": "#4d5157",
    },
)

CONTRAST = Theme(
    name="shopbins contrast",
    primary="#ffffff",
    secondary="#ffffff",
    accent="#ffffff",
    warning="#ffffff",
    error="#ffffff",
    success="#ffffff",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#000000",
    dark=True,
    variables={
        "blends": "none",
        "place-ink": "#ffffff",
        "part-ink": "#000000",
        "part-ground": "#ffffff",
        "stop-ink": "#000000",
        "stop-ground": "#ffffff",
        "fix-ink": "#000000",
        "fix-ground": "#ffffff",
        "hint": "#ffffff",
    },
)

TERMINAL = Theme(
    name="terminal",
    ansi=True,
    primary="ansi_blue",
    secondary="ansi_cyan",
    accent="ansi_blue",
    warning="ansi_yellow",
    error="ansi_red",
    success="ansi_green",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    boost="ansi_default",
    variables={
        **BUILTIN_THEMES["ansi-dark"].variables,
        "blends": "none",
        "place-ink": "ansi_blue",
        "part-ink": "ansi_black",
        "part-ground": "ansi_white",
        "stop-ink": "ansi_bright_white",
        "stop-ground": "ansi_red",
        "fix-ink": "ansi_black",
        "fix-ground": "ansi_yellow",
        "hint": "ansi_default",
    },
)

THEMES = (DARK, LIGHT, CONTRAST, TERMINAL)

OWN_VARIABLES: Mapping[str, str] = {
    "blends": "yes",
    "place-ink": "#56b4e9",
    "part-ink": "#16181a",
    "part-ground": "#b8b0a0",
    "stop-ink": "#ffffff",
    "stop-ground": "#cf3d25",
    "fix-ink": "#16181a",
    "fix-ground": "#f0b429",
    "hint": "#a5a29c",
}
"""Colours of our own: as in the dark theme, and for a theme that is not ours.

`blends: none` where a ground may not be mixed from two colours: signs and textures carry everything there.
"""


def usual_theme(environ: Mapping[str, str], colours: str | None = "truecolor") -> str:
    """Return the theme to begin with where nobody chose one: light where the terminal says that it is.

    One that has 16 colours only ('standard') gets them as they are: of them a yellow is nearest to our red.
    """
    if colours == "standard":
        return TERMINAL.name
    ground = environ.get("COLORFGBG", "").rpartition(";")[2]
    return LIGHT.name if ground in ("7", "15") else DARK.name


CSS = """
Screen { layout: vertical; background: $background; color: $foreground; }
#too-small { display: none; width: 100%; height: 1fr; }
.-thin #too-small, .-low #too-small { display: block; }
.-thin #main, .-thin #head, .-thin #keys, .-thin #state { display: none; }
.-low #main, .-low #head, .-low #keys, .-low #state { display: none; }
#main { height: 1fr; width: 100%; }
#head { height: 1; background: $panel; color: $foreground; width: 100%; }
#keys { height: 1; color: $hint; width: 100%; }
Screen { layers: default said; }
Said { layer: said; dock: bottom; margin: 0 0 2 0; background: $panel; color: $foreground; }
.-thin Said, .-low Said { display: none; }
#state { height: 1; background: $panel; color: $foreground; width: 100%; }
Input { border: none; height: 1; padding: 0 1; background: $panel; }
Input:focus { border: none; background: $panel; text-style: bold; }
.box { border: round $primary; background: $surface; padding: 0 1; }
ModalScreen { background: $background 40%; }
ModalScreen:ansi { background: transparent; }
"""

LEAST_COLS, LEAST_ROWS = 40, 12
"""Below this there is only a line saying so."""

SIDE_BY_SIDE_COLS = 100
"""From this width on, the plan has its list beside it."""
