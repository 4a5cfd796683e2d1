"""All that is known of a part group, and what was done with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.reports.group import when_done
from shopbins.strip.told import introduce
from shopbins.tui.words import group_told, mass_words, where_short

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State


def card_lines(desk: Desk, group: Group) -> list[str]:
    """Return the lines of a group's card: what it is, what is in and on it, its history."""
    scene = desk.scene()
    lines = [introduce(desk.state, group.id), "", *group_told(scene, group).lines]
    if group.also_codes:
        lines.append(f"also labelled {', '.join(group.also_codes)}")
    lines.append(_tag_line(desk.state, group))
    below = [scene.group(each) for each in scene.children(group.id)]
    if below:
        lines += ["", "In and on it:"]
        lines += [f"  {g.shown} · {mass_words(g.mass)} · {where_short(scene, g)}" for g in below]
    lines += ["", "What was done with it:"]
    history = desk.history(group.id)
    lines += [f"  {when_done(event)}  {event.by}: {sentence}" for event, sentence in reversed(history)]
    return lines


def _tag_line(state: State, group: Group) -> str:
    """Say whether a group's tag is printed and still right."""
    from shopbins.strip.printed import changed

    if not group.tagged:
        return "no label printed yet: l prints it"
    if why := changed(state, group):
        return f"its label is out of date ({', '.join(why)}): l prints it again"
    return "its label is printed"
