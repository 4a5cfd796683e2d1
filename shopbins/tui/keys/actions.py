"""The one table of what can be done, where, and by which keys.

Bindings, the hints at the foot, the `?` page, the command palette, the names accepted in the config file and
docs/keys.md are all made from `ACTIONS`. An action called 'plan.zoom_in' runs `action_zoom_in` of the node
its scope is bound to.
"""

# ruff: noqa: E501  (the table is read by rows)

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from textual.binding import Binding

SCOPES: Mapping[str, str] = {
    "everywhere": "Everywhere",
    "group": "With the part group at hand (Plan, Parts, Audit, Refit)",
    "strip": "Off and on, with the part at hand (Parts, Refit)",
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


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that can be done. `keys` are Textual's names, the first one is shown.

    `label` stands at the foot if `foot`; `says` is the sentence for help, palette and docs.
    """

    id: str
    keys: str
    label: str
    says: str
    foot: bool = False
    palette: bool = True
    priority: bool = False

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
    Action("everywhere.catch_up", "k", "catch up", "walk the shop zone by zone, recording what already lies there"),
    Action("everywhere.scan", "z,Z", "scan", "open the scan line (a scanner does it by itself)", priority=True),
    Action("everywhere.roll_call", "K", "roll-call", "scan all that lies in one place: what is missing, misplaced or new is listed and put right"),
    Action("everywhere.undo", "u,ctrl+z", "undo", "take back your last change", foot=True),
    Action("everywhere.redo", "U,ctrl+y", "redo", "do again what was taken back"),
    Action("everywhere.tags", "t", "tags", "print tags: what is untagged or no longer right, the marked, all, zones, or blank ones; look at one first"),
    Action("everywhere.copy", "y", "copy", "copy the code of what is at hand to the terminal's clipboard; again: the whole line"),
    Action("everywhere.edit", "ctrl+e", "edit", "open the shop file in your editor at what is at hand, and read it again"),
    Action("everywhere.last_evening", "Y", "last evening", "how the last evening ended, what is unplaced or overdue"),
    Action("everywhere.help", "question_mark,f1", "help", "explain where you are and every key", foot=True),
    Action("everywhere.palette", "colon,ctrl+p", "commands", "the command palette: do anything by its name"),
    Action("everywhere.leave", "q,ctrl+q", "quit", "leave; everything said to be recorded is on the disk"),
    # with the group at hand
    Action("group.carry", "c", "carry", "pick it up and carry it on the Plan", foot=True),
    Action("group.put", "p", "put", "lay it down in a place by name, as 'rack a/3'", foot=True),
    Action("group.disposition", "d", "disposition", "say what becomes of it: refit, clean, repair, renew and so on"),
    Action("group.note", "j", "note", "jot a note on it"),
    Action("group.mass", "m", "mass", "give its mass, as '4 kg' or 'about 9 lb'"),
    Action("group.size", "s", "size", "give its size, as '300x200x150 mm'"),
    Action("group.rename", "r", "rename", "give it another name"),
    Action("group.origin", "f", "from", "say where on the machine it came from"),
    Action("group.history", "h", "history", "everything known of it and all that was done with it", foot=True),
    Action("group.away", "a", "away/back", "send it away to somebody until a date, or say that it is back"),
    Action("group.into", "i", "in/on", "put it in or on another group"),
    Action("group.lift", "l", "lift out", "take it out of or off the group it is in or on: it is then unplaced"),
    Action("group.split", "x", "split", "split some pieces off into a group of their own"),
    Action("group.mark", "space", "mark", "mark it or take the mark away, for tags and merging"),
    Action("group.merge", "M", "merge", "merge the marked groups into one"),
    Action("group.caution", "C", "caution", "say what is to be heeded when it is handled: sharp, under spring load and so on"),
    # off and on
    Action("strip.fit", "o", "on", "put it back on for good, today", foot=True),
    Action("strip.off", "O", "off again", "take off again what was put back or tried"),
    Action("strip.trial", "T", "trial", "put it on to try it, or take it off after the trial; the count stays"),
    Action("strip.before", "b", "off first", "say what had to come off before it", foot=True),
    Action("strip.reach", "g", "get at", "what must come off to get at it, in order", foot=True),
    Action("strip.work", "w", "work", "its short list: tick a point off, or give it one"),
    Action("strip.inspect", "I", "inspect", "record a measured value against its limit", foot=True),
    Action("strip.renew", "N", "new one", "have it renewed (gasket, tab washer, split pin): a shortage at once"),
    Action("strip.lack", "S", "lacking", "record something lacking before it can go back"),
    Action("strip.strike", "X", "strike out", "let its place stay empty, with the reason, or take that back"),
    Action("strip.how", "H", "how", "note how it came off: trick, left-hand thread, torque, shims, screws"),
    Action("strip.match", "J", "keep together", "the marked groups are a matched set: warn before they are parted"),
    Action("strip.last_seen", "L", "last seen", "where it was last seen, and what was moved from there since"),
    Action("strip.photos", "P", "photos", "show its photographs"),
    # plan
    Action("plan.left", "left", "left", "move the cursor left", palette=False),
    Action("plan.right", "right", "right", "move the cursor right", palette=False),
    Action("plan.up", "up", "up", "move the cursor up", palette=False),
    Action("plan.down", "down", "down", "move the cursor down", palette=False),
    Action("plan.far_left", "shift+left", "far left", "move the cursor far left", palette=False),
    Action("plan.far_right", "shift+right", "far right", "move the cursor far right", palette=False),
    Action("plan.far_up", "shift+up", "far up", "move the cursor far up", palette=False),
    Action("plan.far_down", "shift+down", "far down", "move the cursor far down", palette=False),
    Action("plan.here", "enter", "pick up", "pick up the thing under the cursor, or list what lies there", foot=True),
    Action("plan.next_thing", "tab,n", "next", "jump to the next thing", foot=True),
    Action("plan.previous_thing", "shift+tab,N", "previous", "jump to the thing before"),
    Action("plan.go_to", "g", "go to", "go to a room or zone by name", foot=True),
    Action("plan.unplaced", "w", "unplaced", "list what waits to be laid down, and carry one of them", foot=True),
    Action("plan.best", "b", "best place", "carry the thing at hand to its best place"),
    Action("plan.next_room", "o", "room", "show the next room as large as it fits"),
    Action("plan.previous_room", "O", "room before", "show the room before"),
    Action("plan.closer", "plus,equals_sign", "closer", "zoom in on the cursor"),
    Action("plan.wider", "minus", "wider", "zoom out"),
    Action("plan.whole", "0", "whole shop", "show the whole shop"),
    Action("plan.centre", "full_stop", "centre", "bring the cursor to the middle"),
    Action("plan.list", "v", "list", "go to the list of what lies here, and back"),
    Action("plan.back", "escape", "back", "back from the list to the plan", palette=False),
    # carry
    Action("carry.lay", "enter", "lay down", "lay it down here", foot=True),
    Action("carry.back", "escape", "put back", "put it back where it was", foot=True),
    Action("carry.left", "left", "left", "a step to the left", palette=False),
    Action("carry.right", "right", "right", "a step to the right", palette=False),
    Action("carry.up", "up", "up", "a step up on the plan", palette=False),
    Action("carry.down", "down", "down", "a step down on the plan", palette=False),
    Action("carry.fine_left", "shift+left", "fine left", "a tenth of a step to the left", palette=False),
    Action("carry.fine_right", "shift+right", "fine right", "a tenth of a step to the right", palette=False),
    Action("carry.fine_up", "shift+up", "fine up", "a tenth of a step up", palette=False),
    Action("carry.fine_down", "shift+down", "fine down", "a tenth of a step down", palette=False),
    Action("carry.step", "f", "step", "change the step: 100, 10 or 1 mm, then 1 m", foot=True),
    Action("carry.quarter", "t", "turn", "turn it by 90 degrees to the left", foot=True),
    Action("carry.quarter_back", "T", "turn right", "turn it by 90 degrees to the right"),
    Action("carry.turn", "comma", "5 left", "turn it by 5 degrees to the left", foot=True),
    Action("carry.turn_back", "full_stop", "5 right", "turn it by 5 degrees to the right"),
    Action("carry.best", "b", "best", "step through the best places, each with its reason", foot=True),
    Action("carry.best_before", "B", "best before", "step back through the best places"),
    Action("carry.higher", "pageup", "higher", "onto the bench or shelf here, or to its next level up"),
    Action("carry.lower", "pagedown", "lower", "to the next level down, at last to the floor"),
    Action("carry.go_to", "g", "go to", "to a zone by name", foot=True),
    Action("carry.anywhere", "x", "anywhere", "lay it in this zone without an exact place"),
    # parts
    Action("parts.show", "enter", "show", "show where it lies on the Plan", foot=True),
    Action("parts.narrow", "n", "narrow", "show only one zone's, the unplaced or those away", foot=True),
    Action("parts.order", "v", "order", "order by last off, by place, by name or by machine"),
    Action("parts.clear", "escape", "clear", "clear search, zone and marks", palette=False),
    Action("search.leave", "down,tab", "list", "to the list", foot=True, palette=False),
    Action("search.clear", "escape", "clear", "clear the search, then back to the list", foot=True, palette=False),
    # audit
    Action("audit.show", "enter", "show", "show the spot on the Plan", foot=True),
    Action("audit.stand", "o", "let stand", "let it stand, with a reason on record", foot=True),
    Action("audit.which", "v", "which", "show all, only stops, only what to correct, or only 'for now'", foot=True),
    Action("audit.stop", "escape", "stop", "stop judging the shop, if that takes long", foot=True, palette=False),
    Action("audit.again", "R", "again", "judge the whole shop again"),
    # refit
    Action("refit.show", "enter", "show", "show where it lies, or what can be done with the row", foot=True),
    Action("refit.next_list", "v,tab", "next list", "next back, refit order, shortages, count, milestones, ends, care", foot=True),
    Action("refit.list_before", "V,shift+tab", "list before", "the list before"),
    Action("refit.narrow", "n", "narrow", "show only one machine's, or the chain in front of a milestone", foot=True),
    Action("refit.add", "plus,equals_sign", "add", "add to the list: a shortage, a milestone, a wire, hose or pipe"),
    Action("refit.fetch", "F", "fetch", "in which order to fetch what can go back now, with few steps", foot=True),
    Action("refit.get_at", "G", "get at any", "what must come off to get at any part, also one still on the machine"),
    Action("refit.reports", "R", "reports", "write strip record, refit list, shortages or left-overs to a file"),
    Action("refit.import_list", "E", "parts list", "read a parts list from a spreadsheet"),
    Action("refit.import_photos", "A", "add photos", "import a folder of photographs"),
    Action("refit.clear", "escape", "clear", "show everything again", palette=False),
    # move
    Action("move.thing", "w", "what", "say which thing is to be moved", foot=True),
    Action("move.goal", "g", "where to", "say where it is to go", foot=True),
    Action("move.gear", "v", "gear", "say on what: each gear in turn, or one", foot=True),
    Action("move.work_out", "enter", "does it go", "work it out; on a row of gear, on that gear", foot=True),
    Action("move.cancel", "escape", "stop", "stop working it out", foot=True, palette=False),
    Action("move.forward", "right", "on", "a step on along the way", foot=True, palette=False),
    Action("move.backward", "left", "back", "a step back along the way", palette=False),
    Action("move.far_forward", "shift+right", "far on", "several steps on along the way", palette=False),
    Action("move.far_backward", "shift+left", "far back", "several steps back along the way", palette=False),
    Action("move.tightest", "x", "tightest", "show where it is tightest, and what is nearest there", foot=True),
    Action("move.accept", "a", "accept", "put the steps on record as planned, to tick off", foot=True),
    Action("move.tick", "space", "done", "tick the step off: it is recorded as done", foot=True),
    Action("move.found", "f", "found", "what was found, what to measure again and what to watch", foot=True),
    Action("move.sheet", "s", "sheet", "write the move sheet: a page with a plan to scale, or text", foot=True),
    Action("move.bare", "b", "bare", "ask about it as it stands tonight, or bare"),
    Action("move.base", "o", "base", "ask about it with or without its pallet or base"),
    Action("move.turn", "r", "angle", "say how it is to stand there"),
    Action("move.drop", "D", "drop plan", "take the planned move off the list; what is done stays done"),
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
    Action("draw.act", "a", "act", "act on this: name, carry, measure, delete; with nothing at hand: add something", foot=True),
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
    Action("catchup.next_zone", "tab", "next zone", "go on to the next zone (so does enter on an empty line)", foot=True, palette=False),
    Action("catchup.previous_zone", "shift+tab", "zone before", "back to the zone before", foot=True, palette=False),
    Action("catchup.close", "escape", "close", "stop here; it goes on from this zone next time", foot=True, palette=False),
    Action("scan.close", "escape", "close", "close the scan line; 'here' stays set", foot=True, palette=False),
    Action("scan.fit", "tab", "put back on", "put what is in hand back on its machine", foot=True, palette=False),
    Action("rollcall.close", "escape", "end", "end the roll-call; what is not put right stays as it was on record", foot=True, palette=False),
    Action("rollcall.up", "up", "up", "a row up", palette=False),
    Action("rollcall.down", "down", "down", "a row down", palette=False),
    Action("scan.leave_here", "delete", "leave here", "forget 'here' and what is in hand", foot=True, palette=False),
)  # fmt: skip

BY_ID: Mapping[str, Action] = {action.id: action for action in ACTIONS}


def of_scope(*scopes: str) -> Iterator[Action]:
    """Go through the actions of scopes, in the table's order within each."""
    for scope in scopes:
        yield from (action for action in ACTIONS if action.scope == scope)


def bindings(*scopes: str) -> list[Binding]:
    """Return the bindings a node of these scopes has; the config file may give their ids other keys."""
    return [
        Binding(
            action.keys, action.name, action.label, show=action.foot, id=action.id, priority=action.priority
        )
        for action in of_scope(*scopes)
    ]


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
    return SHOWN.get(key, key)


def shown_keys(action: Action, keymap: Mapping[str, str], *, every: bool = False) -> str:
    """Return the first key of an action as printed, or every one."""
    keys = [shown_key(key.strip()) for key in keymap.get(action.id, action.keys).split(",")]
    return " ".join(keys) if every else keys[0]


def keys_page(keymap: Mapping[str, str] | None = None) -> str:
    """Return docs/keys.md: every action by scope, from this table."""
    keymap = keymap or {}
    lines = [
        "# Keys",
        "",
        "Made from the table in `shopbins/tui/keys/actions.py` by `docs/make_keys.py`.",
        "",
    ]
    for scope, title in SCOPES.items():
        lines += [f"## {title}", "", "| key | does | name in the config file |", "| --- | --- | --- |"]
        for action in of_scope(scope):
            keys = (
                " ".join(f"`{k}`" for k in shown_keys(action, keymap, every=True).split(" ")) if scope else ""
            )
            lines.append(f"| {keys} | {action.says} | {action.id} |")
        lines.append("")
    return "\n".join(lines)
