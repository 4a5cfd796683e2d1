"""Styles made from the theme's colours, without a component class for each: those cost every first frame."""

from __future__ import annotations

from rich.style import Style
from textual.color import Color
from textual.widget import Widget


def theme_style(
    widget: Widget,
    ink: str,
    share: float = 1.0,
    ground: str = "",
    ground_share: float = 0.0,
    behind: Color | None = None,
) -> Style:
    """Return an ink of the theme on a ground of it, each blended into what lies behind by its share.

    `behind` is the widget's background, for who asks for many: Textual works it out anew each time.
    """
    behind = widget.background_colors[1] if behind is None else behind
    if widget.app.theme_variables.get("blends") == "none":
        share, ground_share = 1.0, float(ground_share == 1.0)
    if ground:
        behind = mixed(behind, _colour(widget, ground), ground_share)
    front = mixed(behind, _colour(widget, ink), share)
    return Style(color=front.rich_color, bgcolor=behind.rich_color)


def _colour(widget: Widget, name: str) -> Color:
    return Color.parse(widget.app.theme_variables.get(name, "white"))


def mixed(behind: Color, front: Color, share: float) -> Color:
    """Blend a colour into what lies behind it; the terminal's own colours cannot be blended."""
    if front.ansi is not None or behind.ansi is not None:
        return front if share >= 0.5 else behind
    return behind.blend(front, share)


def wants_textures(widget: Widget) -> bool:
    """Tell whether blocks need a texture: no colours, too few, or a theme that mixes none."""
    app = widget.app
    return (
        app.no_color
        or app.theme_variables.get("blends") == "none"
        or app.console.color_system in (None, "standard")
    )
