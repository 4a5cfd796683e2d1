"""What had to come off before a part: asked, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from shopbins.ledger.whereabouts import ordinal
from shopbins.records.relation import BEFORE
from shopbins.strip.order import Order
from shopbins.tui.dialogs.pick import Choice
from shopbins.tui.dialogs.several import Several

if TYPE_CHECKING:
    from shopbins.ledger.state import State
    from shopbins.tui.host import Host


def ask_before(app: Host, position: str, then: Callable[[], None] | None = None) -> None:
    """Ask what had to come off before a position; enter takes the likeliest."""
    place = app.desk.position(position)
    choices = first_choices(app.desk.state, position)

    def answered(firsts: tuple[str, ...] | None) -> None:
        if firsts is None:
            return
        names = " and ".join(app.desk.position(each).name for each in firsts) or "nothing"
        app.attempt(
            lambda: app.desk.do(BEFORE(position, firsts=firsts)),
            f"{names} had to come off before {place.name}",
        )
        if then is not None:
            then()

    app.push_screen(
        Several(
            f"What had to come off before {place.name}?",
            choices,
            nothing="nothing had to",
            says=_known(app, position),
        ),
        answered,
    )


def _known(app: Host, position: str) -> list[str]:
    """Say what is recorded already."""
    told = [doc["a"] for doc in app.desk.state.docs("before").values() if doc["b"] == position]
    return [f"recorded: {' and '.join(app.desk.position(each).name for each in told)}"] if told else []


def first_choices(state: State, position: str) -> list[Choice]:
    """Return what may have come off before a position, likeliest first: what came off last before it."""
    order = state.follower(Order)
    graph = order.graph
    place = graph.places[position]
    at = place.order if place.order is not None else 1 << 60

    def rank(key: str) -> tuple[bool, bool, int, str]:
        each = graph.places[key]
        later = each.order is None or each.order > at
        return (each.origin[:1] != place.origin[:1], later, -(each.order or 0), each.name)

    found = []
    for key in sorted((each for each in graph.places if each != position), key=rank):
        each = graph.places[key]
        codes = " ".join(state.group(group).code for group in each.groups)
        came = (
            f"{ordinal(each.order)} off" if each.order is not None else "on the machine" if not codes else ""
        )
        path = " > ".join(each.origin[1:])
        found.append(Choice(key, each.name, " · ".join(part for part in (came, path, codes) if part)))
    return found
