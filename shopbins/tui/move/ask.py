"""What the Move screen asks: which thing, where to, on what gear, how it is to stand; and where to write."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from shopbins.ledger.model import InZone
from shopbins.records.moving import moving_of
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.places import place_key, split_place
from shopbins.units import UnitError, parse_angle, show_mass

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.tui.host import Host

BIG_KG = 60.0
"""From here on a thing on a floor is offered for moving, besides those told of: own figure."""
EACH = "="
"""The choice of every gear in turn."""


def things(desk: Desk) -> Iterator[Choice]:
    """Go through what may be moved: planned, told of, then the heavy ones on floors, the heaviest first."""
    scene, planned = desk.scene(), desk.state.docs("plan")
    found: list[tuple[bool, bool, float, Choice]] = []
    for group in desk.state.groups():
        where = group.where
        told = moving_of(group).told
        zone = scene.zone(where.zone) if isinstance(where, InZone) else None
        if zone is None or not (zone.kind in ("floor", "room") or told):
            continue
        share = scene.share(group.id)
        if not told and group.id not in planned and share.mass_kg < BIG_KG:
            continue
        mass = show_mass(share.mass_kg) if share.mass_kg else "not weighed"
        said = "planned" if group.id in planned else mass
        choice = Choice(group.id, group.shown, f"{said} · {zone.name}")
        found.append((group.id not in planned, not told, -share.mass_kg, choice))
    yield from (each[-1] for each in sorted(found, key=lambda f: f[:3]))


def ask_thing(app: Host, then: Callable[[str], None]) -> None:
    """Ask which thing is to be moved."""
    choices = list(things(app.desk))
    if not choices:
        app.tell("nothing heavy stands on a floor with a known place: put it there first", bad=True)
        return
    app.push_screen(Pick("Move: which thing?", choices), lambda got: None if got is None else then(got))


def ask_goal(app: Host, then: Callable[[str], None]) -> None:
    """Ask where it is to go: a floor zone, a room or a bench."""
    scene = app.desk.scene()
    choices = [
        Choice(place_key(z.key), f"{z.name}, floor" if z.kind == "room" else z.name, "")
        for z in scene.zones()
        if z.kind in ("floor", "room", "bench")
    ]

    def chosen(got: str | None) -> None:
        if got is not None:
            then(split_place(got)[0])

    app.push_screen(Pick("Move: where to?", choices), chosen)


def ask_gear(app: Host, then: Callable[[str | None], None]) -> None:
    """Ask on what gear; every one in turn is a choice, too."""
    shop = app.desk.shop
    if not shop.gear:
        from shopbins.desk.drawing import ShopDrawing
        from shopbins.tui.draw.newgear import ask_new_gear

        ask_new_gear(app, ShopDrawing(app.desk), then)
        return
    choices = [Choice(EACH, "each in turn", "the first that goes")]
    for gear in shop.gear.values():
        holds = "" if gear.capacity_kg is None else f", {show_mass(gear.capacity_kg)}"
        choices.append(Choice(gear.key, gear.name, f"{gear.kind}{holds}"))

    def chosen(got: str | None) -> None:
        if got is not None:
            then(None if got == EACH else got)

    app.push_screen(Pick("Move: on what?", choices, digits=len(choices) < 10), chosen)


def ask_turn(app: Host, now: float | None, then: Callable[[float | None], None]) -> None:
    """Ask at which angle it is to stand."""

    def wrong(text: str) -> str | None:
        try:
            if text:
                parse_angle(text)
        except UnitError as problem:
            return str(problem)
        return None

    def chosen(got: str | None) -> None:
        if got is not None:
            then(parse_angle(got) % 360.0 if got else None)

    title = "How is it to stand there, in degrees counter-clockwise? Empty: as it fits"
    shown = "" if now is None else f"{now:g}"
    app.push_screen(Ask(title, shown, example="90", wrong=wrong), chosen)


def ask_sheet(app: Host, then: Callable[[str], None]) -> None:
    """Ask where to write the sheet."""
    title = "Write the move sheet to: a PDF, or text where it ends in .txt"
    app.push_screen(Ask(title, "move.pdf", example="move.pdf"), lambda got: then(got) if got else None)
