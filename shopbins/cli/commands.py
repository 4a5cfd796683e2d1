"""Every command, the file of this package it is in, and what it does in a line."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple


class Named(NamedTuple):
    """A command in the table: its file, and what it does."""

    file: str
    summary: str


COMMANDS = MappingProxyType(
    {
        "check": Named("files", "read a shop file and say everything that is wrong with it, and where"),
        "new": Named("new", "describe a shop by answering questions with the tape in hand"),
        "plan": Named("plan", "draw the shop to scale, with what stands in it and what is against a rule"),
        "import-plan": Named(
            "plan", "add places from a table, or rooms and places from a drawing, to the shop file"
        ),
        "fits": Named(
            "files", "answer floor scenes: does it go, how wide is the way, what has to be shifted at least"
        ),
        "demo": Named("files", "write the demo, an invented shop full of an engine's parts, into a folder"),
        "export": Named("files", "write every event (json), or the parts (csv), to one file"),
        "take": Named("taking", "record what has just come off"),
        "set": Named("taking", "say more about a part: name, size, mass, what happens to it"),
        "split": Named("taking", "make parts of their own of some pieces"),
        "merge": Named("taking", "put parts together into the first; every label goes on finding it"),
        "machine": Named("taking", "list the machines, or record whose one is and under which job"),
        "catchup": Named("catchup", "record what already lies in a place: a name or code a line"),
        "how": Named("tending", "record, or show, how a part came off"),
        "before": Named("refitting", "record what had to come off before a part"),
        "put": Named("laying", "put a part in a place, after saying what that would cause"),
        "away": Named("laying", "send a part out of the shop until a date"),
        "back": Named("laying", "have a part back in the shop, put down at once or not yet"),
        "undo": Named("laying", "take back my last change"),
        "redo": Named("laying", "take back my last undo"),
        "find": Named("looking", "find parts by any words; typos are fine"),
        "show": Named("looking", "show a part with its history, or what a place carries"),
        "list": Named("listing", "list any table of the ledger, narrowed, sorted, with the columns you want"),
        "audit": Named("looking", "check the whole shop by every rule, worst first"),
        "accept": Named(
            "accepting",
            "accept a stop or a condition by name, or dismiss a note; without ID: what is accepted",
        ),
        "move": Named(
            "moving", "say whether a big thing goes there, on what, which way, and what is shifted first"
        ),
        "tags": Named("tags", "print labels on sheets, rolls or one by one"),
        "strip": Named("refitting", "show the strip record: what came off, in order, and how"),
        "reach": Named(
            "refitting", "say what must come off to get at a part, in order, and what of it is off already"
        ),
        "refit": Named("refitting", "list what is to go back, in refit order, and what each waits for"),
        "fit": Named("refitting", "put a part back on for good"),
        "trial": Named(
            "refitting",
            "put a part on for a trial fit, or take it off again; the count goes on knowing it as off",
        ),
        "off": Named("refitting", "take off again what was put back or tried"),
        "strike": Named("refitting", "let the place of a part stay empty, with the reason"),
        "milestone": Named(
            "refitting", "list the milestones, or say what one needs, by when, and what goes on only after it"
        ),
        "shortages": Named(
            "lacking", "list what is still to be bought, made or borrowed, and by when to ask for it"
        ),
        "shortage": Named("lacking", "add something lacking, say more about it, or have it here"),
        "renew": Named("lacking", "renew a part: it does not go back, a shortage takes its place"),
        "correct": Named("pieces", "correct what was recorded, with the reason; the old value is kept"),
        "concede": Named(
            "pieces", "let a rejected part be used: by name, for a reason, within limits, until a date"
        ),
        "lost": Named("pieces", "say that a part, or some pieces of it, are not to be found"),
        "found": Named("pieces", "say that what was lost is there again"),
        "give": Named("pieces", "give a part to another machine; where it came from lacks it then"),
        "swap": Named("pieces", "have two parts of one machine change places"),
        "bind": Named("pieces", "say which listed part something is that came off with no home said"),
        "lend": Named("pieces", "lend a part out: it comes back as it is"),
        "count": Named(
            "lacking", "count every piece: the balance, what is missing, left over, or not as it should be"
        ),
        "missing": Named(
            "lacking",
            "say where a part was last seen, by which event, and what was moved from there afterwards",
        ),
        "work": Named("tending", "show a part's short list of work, or tick it off"),
        "inspect": Named("tending", "judge a measured value against its limit and record it"),
        "match": Named("tending", "record a matched set: what stays together, each in its own seat"),
        "connect": Named("tending", "list wires, hoses and pipes, or record one by its two ends"),
        "care": Named("tending", "list care that comes round again, or record when it was done"),
        "assembly": Named("tending", "show the tree of every machine, add an assembly, rename it or move it"),
        "import": Named(
            "tending", "read a parts list from a spreadsheet, so that positions are known beforehand"
        ),
        "rescue": Named("keeping", "say what of a damaged ledger can be saved; with --yes save it"),
        "verify": Named("keeping", "check every record, the snapshot and the photographs of the ledger"),
        "backup": Named("keeping", "copy the shop and its ledger into a new folder, while others may write"),
        "photos": Named(
            "papers", "import a folder of photographs: a picture that shows a label starts that part's"
        ),
        "report": Named(
            "papers",
            "write strip record, refit list, shortages, left-overs or audit to a file, to print or read in",
        ),
        "serve": Named("serve", "show the app in browsers of your own network, to whom you give the link"),
        "completion": Named("completion", "print what a shell needs to complete commands and options"),
    }
)
