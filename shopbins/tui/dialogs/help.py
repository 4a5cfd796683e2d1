"""What `?` tells: where you are, every key that acts there, where keys can be changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.tui.keys.actions import SCOPES, of_scope, shown_keys
from shopbins.tui.place import Place

if TYPE_CHECKING:
    from shopbins.tui.host import Host

ABOUT = {
    "Plan": (
        "The shop to scale, its troubles numbered worst first: n goes to the next and says how to fix it. "
        "The cursor explains what it stands on; tab jumps from thing to thing; a opens what can be done. "
        "Pick a thing up with enter, carry it with the arrows, put it down with enter: what would be in the "
        "way is told at every step, before anything is written.",
        "┏━┓ walls   ╌ ═ doors   ··· walkways   ╱╱ keep clear   ┌ ┐ floor spots   ░ shelf or bench",
        "▓ part   ▒ fixed or machine   █▌▁ how full   ■1 stop   ▲2 to fix   □ accepted",
        "With the mouse: drag a thing and let it go; the wheel lifts it onto a bench, the right button puts "
        "it back. Where nothing lies, dragging moves the window and the wheel zooms.",
    ),
    "Parts": (
        "Every part. / begins a search: any words of name, place, machine or code, typos are fine; enter "
        "shows where it lies. With space parts are marked, for labels and for merging.",
    ),
    "Audit": (
        "Every rule over the whole shop, worst first. ■ stop: must not stay so. ▲ to fix. ● worth "
        "knowing. Enter opens it: what, limit, fix, and what can be done; a a accepts it, with a reason on "
        "record. What is accepted stays listed, □.",
        "These are checks against the limits named, no more: local codes and licensed practice come first.",
    ),
    "Move": (
        "Does a big thing go there? c what, g where to; the answer stands in one line with its margin. "
        "Arrows play the way, n shows where it is tightest. a opens what can be done: a + puts the steps on "
        "record, space ticks them off one by one; the audit follows. l prints the sheet for the floor.",
        "✓ goes   ! goes only with   ≈ depends: measure again   ? not decided   ✗ does not go. Checked "
        "against what v lists, no more: local rules and a competent rigger decide.",
    ),
    "Refit": (
        "What can go back next, where it lies, what lies on it or stands in front. v goes on to everything "
        "in refit order with what it waits for, to shortages, the count, milestones, wires, hoses and pipes. "
        "r puts the part at hand back on; a g says what must come off to get at it, F10 g of any part.",
        "► can go back now. The order is the one recorded and what was said to come off first, no more: "
        "torques, clearances and sequences are those of the maker's manual.",
    ),
}


SCANNING = (
    "Scanning: a keyboard scanner opens the scan line by itself, on any screen. Place then part, or part "
    "then place; the place stays set as 'here', so ten bags are ten scans."
)


def help_lines(app: Host) -> list[str]:
    """Return the help for where one is."""
    here = app.screen if isinstance(app.screen, Place) else None
    lines = list(ABOUT.get(here.shown, ())) if here is not None else []
    scopes = here.scopes if here is not None else ()
    if here is not None and here.shown == "Plan":
        scopes = ("plan", "group", "carry")
    if here is not None and here.shown == "Parts":
        scopes = ("parts", "search", "group", "strip")
    for scope in (*scopes, "everywhere", "list"):
        lines += ["", f"{SCOPES[scope]}:"]
        for action in of_scope(scope):
            lines.append(f"  {shown_keys(action, app.keys, every=True) or 'palette':<16} {action.says}")
    lines += ["", SCANNING]
    found = "is read" if app.config.found else "is not there yet"
    lines += [
        "",
        f"Keys can be changed in {app.config.path} (it {found}):",
        "  [keys]",
        '  "plan.next_thing" = "x"',
    ]
    lines += [f"  ! {problem}" for problem in app.config.problems]
    return lines
