"""How the app looks: its theme, and the styles every screen shares."""

from __future__ import annotations

from textual.theme import Theme

THEME = Theme(
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
"""Orange against blue, told apart by every common kind of colour sight; a word or glyph says the same."""

CSS = """
Screen { layout: vertical; background: $background; color: $foreground; }
#too-small { display: none; width: 100%; height: 1fr; }
.-thin #too-small, .-low #too-small { display: block; }
.-thin #main, .-thin #head, .-thin #keys, .-thin #state { display: none; }
.-low #main, .-low #head, .-low #keys, .-low #state { display: none; }
#main { height: 1fr; width: 100%; }
#head { height: 1; background: $panel; color: $foreground; width: 100%; }
#keys { height: 1; color: $text-muted; width: 100%; }
Screen { layers: default said; }
Said { layer: said; dock: bottom; margin: 0 0 2 0; background: $panel; color: $foreground; }
.-thin Said, .-low Said { display: none; }
#state { height: 1; background: $panel; color: $foreground; width: 100%; }
Input { border: none; height: 1; padding: 0 1; background: $panel; }
Input:focus { border: none; background: $panel; text-style: bold; }
.box { border: round $primary; background: $surface; padding: 0 1; }
ModalScreen { background: $background 40%; }
"""

LEAST_COLS, LEAST_ROWS = 40, 12
"""Below this there is only a line saying so."""

SIDE_BY_SIDE_COLS = 100
"""From this width on, the plan has its list beside it."""
