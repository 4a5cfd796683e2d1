"""The one table of what can be done, where, and by which keys.

Bindings, the hints at the foot, the `?` page, the command palette, the names accepted in the config file and
docs/keys.md are all made from `ACTIONS`. An action called 'plan.zoom_in' runs `action_zoom_in` of the node
its scope is bound to.
"""

# ruff: noqa: E501  (the table is read by rows)

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from textual.binding import Binding

SCOPES: Mapping[str, str] = {
    "everywhere": "Everywhere",
    "group": "With the part at hand (Plan, Parts, Audit, Refit)",
    "strip": "Off and on, with the part at hand (by `a` on every screen, by key on Parts and Refit)",
    "plan": "Plan",
    "carry": "Plan, while carrying a thing",
    "parts": "Parts",
    "search": "Parts, in the search line",
    "audit": "Audit",
    "refit": "Refit",
    "move": "Move",
    "draw": "Draw",
    "drawing": "Draw, while carrying a thing of the shop file",
    "list": "In any list",
    "scan": "Scan line",
    "rollcall": "Roll-call of a place",
    "entry": "What has just come off",
    "catchup": "Catch-up",
}
"""Where an action can be done, in the order the help tells it."""

TOGETHER: tuple[tuple[str, ...], ...] = (
    ("everywhere", "group", "plan"),
    ("everywhere", "group", "strip", "parts"),
    ("everywhere", "group", "audit"),
    ("everywhere", "group", "strip", "refit"),
    ("everywhere", "move"),
    ("everywhere", "draw"),
    ("drawing",),
    ("carry",),
    ("search",),
    ("list",),
    ("scan",),
    ("rollcall",),
    ("entry",),
    ("catchup",),
)
"""Scopes heard at the same time: in none of these may two actions have the same key."""

RESERVED_KEYS = frozenset({"z", "Z"})
"""The first letter of every tag's code: a scanner types it, so nothing else may have it."""


class Action(NamedTuple):
    """One thing that can be done. `keys` are Textual's names, the first one is shown; there may be none.

    `label` stands at the foot if `foot`; `says` is the sentence for help, palette and docs. `act` is its
    letter in the menu 'act on this', `menu` that in the screen's menu: inside a menu a letter means what
    stands beside it.
    """

    id: str
    keys: str
    label: str
    says: str
    foot: bool = False
    palette: bool = True
    priority: bool = False
    act: str = ""
    menu: str = ""

    @property
    def scope(self) -> str:
        """The part of the program it belongs to."""
        return self.id.partition(".")[0]

    @property
    def name(self) -> str:
        """The name of its method, without `action_`."""
        return self.id.partition(".")[2]


ACTIONS: tuple[Action, ...] = (
    Action("everywhere.show_plan", "1", "Plan", "go to the Plan"),
    Action("everywhere.show_parts", "2", "Parts", "go to the Parts"),
    Action("everywhere.show_audit", "3", "Audit", "go to the Audit"),
    Action("everywhere.show_move", "4", "Move", "go to the Move"),
    Action("everywhere.show_refit", "5", "Refit", "go to the Refit"),
    Action("everywhere.show_draw", "6", "Draw", "go to Draw, where the shop file is changed"),
    Action("everywhere.find", "slash", "find", "find a part: type, then enter shows where it lies", foot=True),
    Action("everywhere.enter_part", "e", "came off", "record what has just come off, one line each", foot=True),
    Action("everywhere.catch_up", "k", "walk the shop", "walk the shop place by place, recording what already lies there"),
    Action("everywhere.scan", "z,Z", "scan", "open the scan line (a scanner does it by itself)", priority=True),
    Action("everywhere.roll_call", "", "roll-call", "scan all that lies in one place: what is missing, misplaced or new is listed and put right", menu="k"),
    Action("everywhere.act", "a", "act", "act on this: everything that can be done with what is at hand", foot=True),
    Action("everywhere.menu", "f10", "menu", "everything that can be done on this screen"),
    Action("everywhere.next_trouble", "n", "next trouble", "go to the next trouble, worst first, at its spot", foot=True),
    Action("everywhere.undo", "u,ctrl+z", "undo", "take back your last change"),
    Action("everywhere.redo", "y,ctrl+y", "redo", "do again what was taken back"),
    Action("everywhere.day", "", "the day", "for which day what you do now is recorded, as yesterday; the head names it until it is today again", menu="d"),
    Action("everywhere.tags", "l", "print", "print labels: what has none or an old one, the marked, all, places, or blank ones; look at one first"),
    Action("everywhere.copy", "", "copy", "copy the code of what is at hand to the terminal's clipboard; again: the whole line", menu="c"),
    Action("everywhere.edit", "f4,ctrl+e", "shop file", "open the shop file in your editor at what is at hand, and read it again"),
    Action("everywhere.last_evening", "f9", "last evening", "how the last evening ended, what is waiting or overdue"),
    Action("everywhere.help", "question_mark,f1", "help", "help for this screen", foot=True),
    Action("everywhere.palette", "ctrl+p,colon", "commands", "the command palette: do anything by its name"),
    Action("everywhere.leave", "q,ctrl+q", "quit", "quit; everything is saved"),
    # with the group at hand
    Action("group.carry", "c", "carry", "pick it up and carry it on the Plan", foot=True, act="c"),
    Action("group.put", "p", "put by name", "put it in a place by name, as 'rack a/3'", act="p"),
    Action("group.disposition", "d", "decide", "decide what happens to it: refit, clean, repair, renew and so on", act="d"),
    Action("group.note", "j", "jot", "jot a note or a job on it", act="j"),
    Action("group.mass", "m", "measure", "measure it: its mass and its size", act="m"),
    Action("group.size", "", "size", "measure its size, as '300x200x150 mm'"),
    Action("group.rename", "", "edit name", "give it another name", act="e"),
    Action("group.correct", "", "correct", "correct its pieces or container, or take away what was recorded by mistake", act="q"),
    Action("group.origin", "", "from", "say where on the machine it came from", act="f"),
    Action("group.history", "h", "history", "everything known of it and all that was done with it", act="h"),
    Action("group.away", "", "away/back", "send it away to somebody until a date, or say that it is back", act="a"),
    Action("group.into", "", "in/on", "put it in or on another part", act="+"),
    Action("group.lift", "", "lift out", "take it out of or off what it is in or on: it is then waiting", act="-"),
    Action("group.split", "", "split", "split some pieces off into a part of their own", act="x"),
    Action("group.mark", "space", "mark", "mark it or take the mark away, for labels and merging"),
    Action("group.merge", "", "merge", "merge the marked parts into one", act="="),
    Action("group.caution", "", "warnings", "warn whoever handles it: sharp, under spring load and so on", act="w"),
    # off and on
    Action("strip.fit", "r", "put back on", "put it back on for good, today", foot=True, act="r"),
    Action("strip.off", "", "off again", "take off again what was put back or tried", act="o"),
    Action("strip.trial", "", "trial", "put it on to try it, or take it off after the trial; the count stays", act="t"),
    Action("strip.before", "", "off before it", "name what came off before it", act="u"),
    Action("strip.reach", "", "get at", "what must come off to get at it, in order", act="g"),
    Action("strip.work", "", "jobs", "its short list: tick a point off, or give it one"),
    Action("strip.inspect", "", "inspect", "record a measured value against its limit", act="i"),
    Action("strip.renew", "", "new one", "have it renewed (gasket, tab washer, split pin): a shortage at once", act="n"),
    Action("strip.lack", "", "short of", "it is short of something before it can go back", act="s"),
    Action("strip.strike", "", "leave empty", "leave its place empty, with the reason, or take that back", act="0"),
    Action("strip.how", "", "how removed", "note how it came off: trick, left-hand thread, torque, shims, screws", act="y"),
    Action("strip.match", "", "keep together", "the marked parts are a matched set: warn before they are parted", act="k"),
    Action("strip.last_seen", "", "last seen", "where it was last seen, and what was moved from there since"),
    Action("strip.photos", "", "photos", "show its photographs", act="v"),
    # plan
    Action("plan.left", "left", "left", "move the cursor left", palette=False),
    Action("plan.right", "right", "right", "move the cursor right", palette=False),
    Action("plan.up", "up", "up", "move the cursor up", palette=False),
    Action("plan.down", "down", "down", "move the cursor down", palette=False),
    Action("plan.far_left", "shift+left,home", "far left", "move the cursor far left", palette=False),
    Action("plan.far_right", "shift+right,end", "far right", "move the cursor far right", palette=False),
    Action("plan.far_up", "shift+up,pageup", "far up", "move the cursor far up", palette=False),
    Action("plan.far_down", "shift+down,pagedown", "far down", "move the cursor far down", palette=False),
    Action("plan.here", "enter", "pick up", "pick up the thing under the cursor, or list what lies there", foot=True),
    Action("plan.next_thing", "tab", "next thing", "jump to the next thing", foot=True),
    Action("plan.previous_thing", "shift+tab,backspace", "thing before", "jump to the thing before"),
    Action("plan.go_to", "g", "go to", "go to a room or place by name"),
    Action("plan.unplaced", "w", "waiting", "list what is waiting, and carry one of them", foot=True),
    Action("plan.best", "b", "best place", "carry the thing at hand to its best place", act="b"),
    Action("plan.next_room", "o", "room", "show the next room as large as it fits", foot=True),
    Action("plan.previous_room", "", "room before", "show the room before"),
    Action("plan.closer", "plus,equals_sign", "closer", "zoom in on the cursor"),
    Action("plan.wider", "minus", "wider", "zoom out"),
    Action("plan.whole", "0", "whole shop", "show the whole shop"),
    Action("plan.centre", "", "centre", "bring the cursor to the middle"),
    Action("plan.list", "v", "list", "go to the list of what lies here, to that of what is worst, and back"),
    Action("plan.back", "escape", "back", "back from the list to the plan", palette=False),
    # carry
    Action("carry.lay", "enter", "put down", "put it down here", foot=True),
    Action("carry.back", "escape", "put back", "put it back where it was", foot=True),
    Action("carry.best", "b", "best", "step through the best places, each with its reason", foot=True),
    Action("carry.go_to", "g", "go to", "to a place by name", foot=True),
    Action("carry.left", "left", "left", "a step to the left", palette=False),
    Action("carry.right", "right", "right", "a step to the right", palette=False),
    Action("carry.up", "up", "up", "a step up on the plan", palette=False),
    Action("carry.down", "down", "down", "a step down on the plan", palette=False),
    Action("carry.fine_left", "shift+left", "fine left", "a tenth of a step to the left", palette=False),
    Action("carry.fine_right", "shift+right", "fine right", "a tenth of a step to the right", palette=False),
    Action("carry.fine_up", "shift+up", "fine up", "a tenth of a step up", palette=False),
    Action("carry.fine_down", "shift+down", "fine down", "a tenth of a step down", palette=False),
    Action("carry.step", "s", "step size", "change the step: 100, 10 or 1 mm, then 1 m", foot=True),
    Action("carry.quarter", "t", "turn", "turn it by 90 degrees to the left", foot=True),
    Action("carry.quarter_back", "", "turn right", "turn it by 90 degrees to the right"),
    Action("carry.turn", "comma", "turn 5 deg", "turn it by 5 degrees to the left", foot=True),
    Action("carry.turn_back", "full_stop", "5 right", "turn it by 5 degrees to the right"),
    Action("carry.best_before", "backspace", "best before", "step back through the best places"),
    Action("carry.higher", "pageup", "higher", "onto the bench or shelf here, or to its next level up"),
    Action("carry.lower", "pagedown", "lower", "to the next level down, at last to the floor"),
    Action("carry.details", "v", "all checks", "all checks, limits and sources for this spot", foot=True),
    Action("carry.measure", "m", "measure", "measure what is carried: its mass and size"),
    Action("carry.anywhere", "x", "no exact spot", "put it in this place, no exact spot"),
    # parts
    Action("parts.show", "enter", "show", "show where it lies on the Plan", foot=True),
    Action("parts.narrow", "f", "filter", "show only one place's, those waiting or those away", foot=True),
    Action("parts.order", "v", "order", "order by last off, by place, by name or by machine"),
    Action("parts.clear", "escape", "clear", "clear search, place and marks", palette=False),
    Action("search.leave", "down,tab", "list", "to the list", foot=True, palette=False),
    Action("search.clear", "escape", "clear", "clear the search, then back to the list", foot=True, palette=False),
    # audit
    Action("audit.show", "enter", "open", "open it: what, limit, fix, and the figure it lacks; again: its spot on the Plan", foot=True),
    Action("audit.stand", "", "accept", "accept it, with a reason on record; dismiss a note", act="a"),
    Action("audit.which", "f", "filter", "show all, only stops, only what to fix, only what is accepted, or only 'for now'", foot=True),
    Action("audit.coverage", "v", "checked", "what was and what was not checked, and back", foot=True),
    Action("audit.stop", "escape", "stop", "stop checking the shop, if that takes long", foot=True, palette=False),
    Action("audit.again", "f5", "again", "check the whole shop again"),
    # refit
    Action("refit.show", "enter", "show", "show where it lies, or what can be done with the row", foot=True),
    Action("refit.next_list", "v,tab", "next list", "next back, refit order, shortages, count, milestones, ends, care", foot=True),
    Action("refit.list_before", "shift+tab,backspace", "list before", "the list before"),
    Action("refit.narrow", "f", "filter", "show only one machine's, the chain in front of a milestone, or what meets a condition", foot=True),
    Action("refit.add", "plus,equals_sign", "add", "add to the list: a shortage, a milestone, a wire, hose or pipe", foot=True),
    Action("refit.fetch", "", "fetch", "in which order to fetch what can go back now, with few steps", menu="f"),
    Action("refit.get_at", "", "get at any", "what must come off to get at any part, also one still on the machine", menu="g"),
    Action("refit.reports", "", "reports", "write strip record, refit list, shortages, left-overs or audit to a file"),
    Action("refit.import_list", "", "parts list", "read a parts list from a spreadsheet", menu="i"),
    Action("refit.import_photos", "", "add photos", "import a folder of photographs", menu="v"),
    Action("refit.clear", "escape", "clear", "show everything again", palette=False),
    # move
    Action("move.accept_same", "full_stop", "same reason", "accept the condition at hand for the reason just given for one of its kind; of another kind, ask for one", foot=True),
    Action("move.thing", "c", "what", "say which thing is to be moved", foot=True),
    Action("move.goal", "g", "where to", "say where it is to go", foot=True),
    Action("move.gear", "", "gear", "say on what: each gear in turn, or one", foot=True, act="g"),
    Action("move.work_out", "enter", "does it go", "work it out; on a row of gear, on that gear", foot=True),
    Action("move.cancel", "escape", "stop", "stop working it out", foot=True, palette=False),
    Action("move.forward", "right", "on", "a step on along the way", foot=True, palette=False),
    Action("move.backward", "left", "back", "a step back along the way", palette=False),
    Action("move.far_forward", "shift+right,pagedown", "far on", "several steps on along the way", palette=False),
    Action("move.far_backward", "shift+left,pageup", "far back", "several steps back along the way", palette=False),
    Action("move.tightest", "", "next trouble", "next trouble of this move: the tightest spot and what is nearest there, then what forbids or is asked", foot=True),
    Action("move.accept", "", "plan it", "put the steps on record as planned, to tick off", foot=True, act="+"),
    Action("move.accept_condition", "", "accept", "accept the condition at hand, by name; else the first that is open", act="a"),
    Action("move.tick", "space", "done", "tick the step off: it is recorded as done", foot=True),
    Action("move.found", "v", "checked", "what was checked, what to measure again and what to watch", foot=True),
    Action("move.sheet", "", "sheet", "write the move sheet: a page with a plan to scale, or text", foot=True),
    Action("move.bare", "", "bare", "ask about it as it stands tonight, or bare", act="b"),
    Action("move.base", "", "base", "ask about it with or without its pallet or base", act="o"),
    Action("move.turn", "t", "angle", "say how it is to stand there"),
    Action("move.drop", "", "drop plan", "take the planned move off the list; what is done stays done", act="-"),
    # changing the shop file where it is seen
    Action("draw.left", "left", "left", "move the cursor left"),
    Action("draw.right", "right", "right", "move the cursor right"),
    Action("draw.up", "up", "up", "move the cursor up"),
    Action("draw.down", "down", "down", "move the cursor down"),
    Action("draw.far_left", "shift+left,home", "far left", "move the cursor far left"),
    Action("draw.far_right", "shift+right,end", "far right", "move the cursor far right"),
    Action("draw.far_up", "shift+up,pageup", "far up", "move the cursor far up"),
    Action("draw.far_down", "shift+down,pagedown", "far down", "move the cursor far down"),
    Action("draw.here", "enter", "pick up", "pick up what is under the cursor; drawing a way: a point of it", foot=True),
    Action("draw.act", "", "act", "act on this: name, carry, measure, delete; with nothing at hand: add something"),
    Action("draw.carry", "c", "carry", "pick up what is under the cursor"),
    Action("draw.measure", "m", "measure", "measure: its values, one by one", foot=True),
    Action("draw.next_thing", "tab", "next", "jump to the next thing of the shop file", foot=True),
    Action("draw.previous_thing", "shift+tab,backspace", "before", "jump to the thing before"),
    Action("draw.go_to", "g", "go to", "go to a thing of the shop file by name", foot=True),
    Action("draw.next_room", "o", "room", "show the next room as large as it fits", foot=True),
    Action("draw.closer", "plus,equals_sign", "closer", "zoom in on the cursor"),
    Action("draw.wider", "minus", "wider", "zoom out"),
    Action("draw.whole", "0", "whole shop", "show the whole shop"),
    Action("draw.leave_way", "escape", "leave", "leave the way that is being drawn"),
    Action("drawing.left", "left", "left", "a step to the left; flush where something is nearer"),
    Action("drawing.right", "right", "right", "a step to the right; flush where something is nearer"),
    Action("drawing.up", "up", "up", "a step up; flush where something is nearer"),
    Action("drawing.down", "down", "down", "a step down; flush where something is nearer"),
    Action("drawing.fine_left", "shift+left", "fine left", "a tenth of a step to the left"),
    Action("drawing.fine_right", "shift+right", "fine right", "a tenth of a step to the right"),
    Action("drawing.fine_up", "shift+up", "fine up", "a tenth of a step up"),
    Action("drawing.fine_down", "shift+down", "fine down", "a tenth of a step down"),
    Action("drawing.put", "enter", "put", "put it down here; after digits: leave so many mm towards the last arrow", foot=True),
    Action("drawing.back", "escape", "back", "put it back where it was", foot=True),
    Action("drawing.step", "s", "step", "change the step: 100, 10 or 1 mm, then 1 m", foot=True),
    Action("drawing.quarter", "t", "turn", "turn it along the nearest wall, then by 90 degrees", foot=True),
    Action("drawing.turn", "comma", "5 left", "turn it by 5 degrees to the left"),
    Action("drawing.turn_back", "full_stop", "5 right", "turn it by 5 degrees to the right"),
    Action("drawing.copy", "space", "copy", "put a copy here and carry on", foot=True),
    Action("drawing.pull", "m", "edges", "let the arrows pull its edges, and back", foot=True),
    # lists
    Action("list.cursor_up", "up", "up", "a row up", palette=False),
    Action("list.cursor_down", "down", "down", "a row down", palette=False),
    Action("list.page_up", "pageup", "page up", "a page up", palette=False),
    Action("list.page_down", "pagedown", "page down", "a page down", palette=False),
    Action("list.first", "home", "first", "to the first row", palette=False),
    Action("list.last", "end", "last", "to the last row", palette=False),
    Action("list.choose", "enter", "choose", "choose the row", palette=False),
    # entry, scan, catch-up: typed lines, so no letter is a key there
    Action("entry.close", "escape", "close", "close the line", foot=True, palette=False),
    Action("entry.complete", "tab,right", "complete", "take the word that is offered", foot=True, palette=False),
    Action("entry.before", "down", "off first", "say what had to come off before what was just recorded", foot=True, palette=False),
    Action("catchup.next_zone", "tab", "next place", "go on to the next place (so does enter on an empty line)", foot=True, palette=False),
    Action("catchup.previous_zone", "shift+tab,up", "place before", "back to the place before", foot=True, palette=False),
    Action("catchup.close", "escape", "close", "stop here; it goes on from this place next time", foot=True, palette=False),
    Action("scan.close", "escape", "close", "close the scan line; 'here' stays set", foot=True, palette=False),
    Action("scan.fit", "tab", "put back on", "put what is in hand back on its machine", foot=True, palette=False),
    Action("rollcall.close", "escape", "end", "end the roll-call; what is not put right stays as it was on record", foot=True, palette=False),
    Action("rollcall.right", "plus", "put right", "put the row right: put it down here, or take it off the record", foot=True, palette=False),
    Action("rollcall.up", "up", "up", "a row up", palette=False),
    Action("rollcall.down", "down", "down", "a row down", palette=False),
    Action("scan.leave_here", "delete", "leave here", "forget 'here' and what is in hand", foot=True, palette=False),
)  # fmt: skip

BY_ID: Mapping[str, Action] = {action.id: action for action in ACTIONS}


_BY_SCOPE: dict[str, list[Action]] = {}
for _action in ACTIONS:
    _BY_SCOPE.setdefault(_action.scope, []).append(_action)


def of_scope(*scopes: str) -> Iterator[Action]:
    """Go through the actions of scopes, in the table's order within each."""
    for scope in scopes:
        yield from _BY_SCOPE.get(scope, ())


UNBOUND = "no_key"
"""Stands for the key of an action that has none, so that the config file can give it one."""


def bindings(*scopes: str) -> list[Binding]:
    """Return the bindings a node of these scopes has; the config file may give their ids other keys."""
    return [
        Binding(
            action.keys or UNBOUND,
            action.name,
            action.label,
            show=action.foot,
            id=action.id,
            priority=action.priority,
        )
        for action in of_scope(*scopes)
    ]


FUNCTION_KEY = re.compile(r"f\d+$")
SHOWN = {
    "slash": "/",
    "question_mark": "?",
    "colon": ":",
    "full_stop": ".",
    "comma": ",",
    "plus": "+",
    "minus": "-",
    "equals_sign": "=",
    "left": "←",
    "right": "→",
    "up": "↑",
    "down": "↓",
    "pageup": "page up",
    "pagedown": "page down",
    "escape": "esc",
    "delete": "del",
}


def shown_key(key: str) -> str:
    """Return a key as it is printed, '?' for 'question_mark'."""
    head, plus, last = key.rpartition("+")
    if plus and head:
        return f"{head}+{SHOWN.get(last, last)}"
    return key.upper() if FUNCTION_KEY.match(key) else SHOWN.get(key, key)


def shown_keys(action: Action, keymap: Mapping[str, str], *, every: bool = False) -> str:
    """Return how an action is called up, as printed: its first key or every one, else the way in a menu."""
    keys = [shown_key(key.strip()) for key in keymap.get(action.id, action.keys).split(",") if key]
    if keys:
        return " ".join(keys) if every else keys[0]
    for opener, letter in (("everywhere.act", action.act), ("everywhere.menu", action.menu)):
        if letter:
            return f"{shown_keys(BY_ID[opener], keymap)} {letter}"
    return ""


LETTERS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "a": ("act on this: the menu of what is at hand", ("everywhere.act",)),
    "b": ("best place for it", ("plan.best", "carry.best")),
    "c": ("carry it: take this thing", ("group.carry", "move.thing", "draw.carry")),
    "d": ("decide what happens to it", ("group.disposition",)),
    "e": ("record what came off", ("everywhere.enter_part",)),
    "f": ("filter this list", ("parts.narrow", "audit.which", "refit.narrow")),
    "g": ("to a place by name: look, carry, move", ("plan.go_to", "carry.go_to", "move.goal", "draw.go_to")),
    "h": ("history, and where it was last seen", ("group.history",)),
    "j": ("jot a note or a job", ("group.note",)),
    "k": ("walk the shop and record", ("everywhere.catch_up",)),
    "l": ("print: labels, lists, sheets", ("everywhere.tags",)),
    "m": ("measure: mass and size", ("group.mass", "carry.measure", "draw.measure", "drawing.pull")),
    "n": ("next trouble", ("everywhere.next_trouble",)),
    "o": ("one room large", ("plan.next_room", "draw.next_room")),
    "p": ("put by name", ("group.put",)),
    "q": ("quit", ("everywhere.leave",)),
    "r": ("put back on (refit)", ("strip.fit",)),
    "s": ("step size", ("carry.step", "drawing.step")),
    "t": ("turn", ("carry.quarter", "move.turn", "drawing.quarter")),
    "u": ("undo", ("everywhere.undo",)),
    "v": (
        "next view of this screen",
        ("plan.list", "parts.order", "refit.next_list", "move.found", "audit.coverage", "carry.details"),
    ),
    "w": ("what waits", ("plan.unplaced",)),
    "x": ("no exact spot", ("carry.anywhere",)),
    "y": ("redo", ("everywhere.redo",)),
    "z": ("scan", ("everywhere.scan",)),
}
"""What each letter means, wherever it is heard, and which actions share that meaning."""

BEFORE: Mapping[str, str] = {
    "everywhere.roll_call": "K",
    "everywhere.redo": "U,ctrl+y",
    "everywhere.tags": "t",
    "everywhere.copy": "y",
    "everywhere.edit": "ctrl+e",
    "everywhere.last_evening": "Y",
    "everywhere.help": "question_mark,f1",
    "everywhere.palette": "colon,ctrl+p",
    "group.size": "s",
    "group.rename": "r",
    "group.origin": "f",
    "group.away": "a",
    "group.into": "i",
    "group.lift": "l",
    "group.split": "x",
    "group.merge": "M",
    "group.caution": "C",
    "strip.fit": "o",
    "strip.off": "O",
    "strip.trial": "T",
    "strip.before": "b",
    "strip.reach": "g",
    "strip.work": "w",
    "strip.inspect": "I",
    "strip.renew": "N",
    "strip.lack": "S",
    "strip.strike": "X",
    "strip.how": "H",
    "strip.match": "J",
    "strip.last_seen": "L",
    "strip.photos": "P",
    "plan.far_left": "shift+left",
    "plan.far_right": "shift+right",
    "plan.far_up": "shift+up",
    "plan.far_down": "shift+down",
    "plan.previous_room": "O",
    "plan.centre": "full_stop",
    "carry.step": "f",
    "carry.quarter_back": "T",
    "carry.best_before": "B",
    "audit.stand": "o",
    "audit.which": "v",
    "audit.again": "R",
    "refit.list_before": "V,shift+tab",
    "refit.fetch": "F",
    "refit.get_at": "G",
    "refit.reports": "R",
    "refit.import_list": "E",
    "refit.import_photos": "A",
    "move.thing": "w",
    "move.gear": "v",
    "move.far_forward": "shift+right",
    "move.far_backward": "shift+left",
    "move.tightest": "x",
    "move.accept": "a",
    "move.found": "f",
    "move.sheet": "s",
    "move.bare": "b",
    "move.base": "o",
    "move.turn": "r",
    "move.drop": "D",
    "catchup.previous_zone": "shift+tab",
    "everywhere.next_trouble": "",
    "everywhere.act": "",
    "everywhere.menu": "",
    "audit.coverage": "",
    "plan.next_thing": "tab,n",
    "plan.previous_thing": "shift+tab,N",
    "parts.narrow": "n",
    "refit.narrow": "n",
}
"""The keys of actions before they were given one meaning a letter, where they differ; '' for new actions."""

INSTEAD: Mapping[str, str] = {
    "everywhere.act": "f6",
    "everywhere.next_trouble": "f8",
    "everywhere.menu": "f10",
    "audit.coverage": "f2",
}
"""Keys that new actions have beside the old ones."""


JOINED: Mapping[str, str] = {
    "group.size": "m",
    "strip.work": "j",
    "strip.last_seen": "h",
    "refit.reports": "l",
    "move.sheet": "l",
    "move.tightest": "n",
}
"""Actions now done by the key of another one."""


def changed_keys() -> list[str]:
    """Say each key that has changed: what it does, before and now."""
    lines = []
    for name, before in BEFORE.items():
        action = BY_ID[name]
        was = " ".join(shown_key(key) for key in before.split(",")) if before else "new"
        now = JOINED.get(name) or shown_keys(action, {}, every=True) or "ctrl+p"
        lines.append(f"{was:<14} {now:<14} {action.says}")
    return lines


KEYS_TOLD = 2
"""Kept once the change of keys was told, so that it is told only once."""


def changed_keys_page() -> list[str]:
    """Return what is told once, on the first opening after the keys have changed."""
    return [
        "One letter now means one thing on every screen. `a` opens what can be done with what is at hand.",
        "To have the old keys back: docs/keys.md has the lines for keys.toml. This is told once.",
        "",
        f"{'before':<14} {'now':<14} does",
        *changed_keys(),
    ]


def keys_before() -> list[str]:
    """Return the lines of a config file that brings the keys of before back."""
    kept = [(name, INSTEAD.get(name, before)) for name, before in BEFORE.items()]
    return ["[keys]", *(f'"{name}" = "{keys}"' for name, keys in kept)]


def keys_page(keymap: Mapping[str, str] | None = None) -> str:
    """Return docs/keys.md: every action by scope, from this table."""
    keymap = keymap or {}
    lines = [
        "# Keys",
        "",
        "Made from the table of actions by `docs/make_pages.py`. One letter means one thing on every screen.",
        "`a b`: press `a` for the menu of what is at hand, then `b`; inside a menu a letter means what stands",
        "beside it. What has no key is in the palette (`ctrl+p`), like everything else.",
        "",
        "Keys can be changed in `keys.toml`, in the folder where your system keeps settings, or where",
        "`SHOPBINS_CONFIG` points, by the names in the last column. `shopbins` says at its start what is wrong",
        'in it. Looks are there too: `[look]` with `theme = "shopbins light"` (or `shopbins contrast`, or',
        '`terminal` for the terminal\'s own colours) and `glyphs = "ascii"` for a terminal without box lines.',
        "",
    ]
    lines += ["## What each letter means", "", "| letter | means |", "| --- | --- |"]
    lines += [f"| `{letter}` | {means} |" for letter, (means, _) in LETTERS.items()]
    lines.append("")
    for scope, title in SCOPES.items():
        lines += [f"## {title}", "", "| key | does | name in keys.toml |", "| --- | --- | --- |"]
        for action in of_scope(scope):
            shown = shown_keys(action, keymap, every=bool(keymap.get(action.id, action.keys)))
            keys = " ".join(f"`{k}`" for k in shown.split(" ")) if shown else "palette"
            lines.append(f"| {keys} | {action.says} | {action.id} |")
        lines.append("")
    lines += [
        "## The old keys",
        "",
        "Until a letter meant one thing everywhere, some actions had other keys. These lines in `keys.toml`",
        "bring them back:",
        "",
        "```toml",
        *keys_before(),
        "```",
        "",
    ]
    return "\n".join(lines)
