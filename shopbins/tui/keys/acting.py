"""What can be done with what is at hand: the lines of the menu 'act on this', and those of a screen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from shopbins.ledger.model import Away, Fitted
from shopbins.tui.dialogs.act import ActMenu, Item
from shopbins.tui.keys.actions import ACTIONS, Action, of_scope, shown_keys

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.tui.host import Host
    from shopbins.tui.place import Place

ON_A_PART = ("plan.best", *(a.id for a in ACTIONS if a.scope in ("group", "strip") and a.act))
DAILY = ("group.put", "group.carry", "group.disposition", "group.mass", "strip.fit")
"""What is done with a part every evening: first in the menu."""
ON_A_POSITION = ("strip.before", "strip.reach", "strip.how", "strip.lack", "strip.strike")
SIGNS_LAST = "+-=0"


def open_menu(app: Host, title: str, items: Sequence[Item], says: Sequence[str] = ()) -> None:
    """Open a menu; what is chosen is done once it is closed."""

    def chosen(item: Item | None) -> None:
        if item is not None:
            app.call_later(item.run)

    app.push_screen(ActMenu(title, items, says=says), chosen)


def part_items(place: Place, group: Group) -> list[Item]:
    """Return what can be done with a part, the same on every screen."""
    actions = [a for a in ACTIONS if a.id in ON_A_PART and callable(getattr(place, f"action_{a.name}", None))]
    actions.sort(key=lambda a: (_daily(a), a.act in SIGNS_LAST, a.act))
    return [_item(place, action, why_not(place, group, action)) for action in actions]


def _daily(action: Action) -> int:
    return DAILY.index(action.id) if action.id in DAILY else len(DAILY)


def position_items(place: Place) -> list[Item]:
    """Return what can be done about a place on the machine nothing in the shop is meant for."""
    return [_item(place, action, "") for action in ACTIONS if action.id in ON_A_POSITION]


def scope_items(place: Place, *scopes: str) -> list[Item]:
    """Return what can be done with what is at hand of a screen of its own, as a step or a condition."""
    actions = [a for a in of_scope(*scopes) if a.act and callable(getattr(place, f"action_{a.name}", None))]
    return [_item(place, action, place.why_not(action)) for action in actions]


def _item(place: Place, action: Action, why: str) -> Item:
    return Item(action.act, action.label, getattr(place, f"action_{action.name}"), why, action.says)


def why_not(place: Place, group: Group | None, action: Action) -> str:
    """Say why something cannot be done with a part now, '' where it can."""
    if group is None:
        return "it is about no part"
    where, marked = group.where, place.shopbins.marked
    fitted = isinstance(where, Fitted) and not where.trial
    if action.id in ("plan.best", "group.carry", "group.put"):
        return "it is away" if isinstance(where, Away) else "it is on the machine" if fitted else ""
    if action.id == "group.lift":
        return "it is waiting" if where is None else ""
    if action.id == "group.split":
        return "it is one piece" if group.qty < 2 else ""
    if action.id == "group.merge":
        return "" if len(marked) > 1 else "space marks them"
    if action.id == "strip.fit":
        return "it is on already" if fitted else ""
    if action.id == "strip.off":
        return "" if isinstance(where, Fitted) else "it is off"
    return ""


def place_items(place: Place, key: str, name: str) -> list[Item]:
    """Return what can be done with a bench, shelf, floor spot or room."""
    app = place.shopbins
    return [
        Item("i", f"what lies in {name}", partial(app.show_zone, key)),
        Item("k", "check it by scanning: what is missing or misplaced", partial(app.call_roll, key)),
        Item("l", "print its labels", partial(app.print_place, key)),
        Item("F4", "open the shop file in your editor", app.action_edit),
    ]


def screen_items(place: Place) -> list[Item]:
    """Return everything that can be done on a screen: first what is only here, then what has a key too."""
    app = place.shopbins
    lines: list[tuple[str, Action]] = []
    for action in of_scope(*place.scopes, "everywhere"):
        if action.id == "everywhere.menu" or not action.palette:
            continue
        shown = action.menu or shown_keys(action, app.keys)
        lines.append((shown, action))
    lines.sort(key=lambda line: (not line[1].menu, len(line[0]) > 1))
    taken: set[str] = set()
    items = []
    for shown, action in lines:
        letter = "" if shown in taken else shown
        taken.add(shown)
        node = app if action.scope == "everywhere" else place
        run = partial(app.run_action, action.name, node)
        items.append(Item(letter, action.label, run, more=action.says))
    return items
