"""A stripped machine for tests: acts applied to a state, parts meant by their names."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.ledger.events import Draft, before_of
from shopbins.ledger.model import InZone, Whereabouts
from shopbins.ledger.state import State
from shopbins.records import acts, fitting, relation, shortage
from shopbins.records.shortage import SHORTAGE
from shopbins.strip.tree import listed


class Job:
    """A state with acts applied one by one; every name is a group's, the first with it unless `codes` say."""

    def __init__(self) -> None:
        self.state = State(prefix="T")
        self.past: list[tuple[Draft, dict[str, Any]]] = []

    def do(self, draft: Draft) -> str:
        """Apply a draft; return the key of its first subject."""
        self.past.append((draft, before_of(self.state.tables, draft.after)))
        self.state.apply(draft.after, self.state.seq + 1)
        return draft.subjects[0].partition(":")[2]

    def undo(self) -> None:
        """Take the last draft back, as the ledger does."""
        _, before = self.past.pop()
        self.state.apply(before, self.state.seq + 1)

    def id(self, name: str) -> str:
        """The id of the group with this name: one that came off before one that was brought."""
        found = sorted((g.brought, n, g.id) for n, g in enumerate(self.state.groups()) if g.name == name)
        return found[0][2]

    def position(self, name: str) -> str:
        """The position with this name: of a listed part, else of a group."""
        for key, doc in listed(self.state).items():
            if doc.get("name") == name:
                return key
        return self.state.group(self.id(name)).positions[0]

    def take(self, name: str, *origin: str, where: Whereabouts = None, **fields: Any) -> str:
        return self.do(acts.take(self.state, name, origin=origin, where=where, **fields))

    def before(self, *names: str) -> None:
        """The last comes off after all the others."""
        *firsts, then = (self.position(name) for name in names)
        self.do(relation.before(self.state, then, firsts))

    def fit(self, name: str, **how: Any) -> None:
        self.do(fitting.fit(self.state, self.id(name), on="2026-11-25", **how))

    def renew(self, old: str, **fields: Any) -> str:
        draft = shortage.renew(self.state, self.id(old), **fields)
        self.do(draft)
        return next(s for s in draft.after if s.startswith("shortage:")).partition(":")[2]

    def short(self, name: str, parts: Sequence[str] = (), **fields: Any) -> str:
        ids = [self.position(each) for each in parts]
        return self.do(SHORTAGE.add(self.state, name, positions=ids, **fields))


BENCH = InZone("bench 2")


def engine() -> Job:
    """A small engine, stripped: cover, head (springs came out of it afterwards), piston, crank, guard."""
    job = Job()
    job.take("belt guard", "engine", "front", where=BENCH)
    job.take("belts", "engine", "front", qty=2, where=BENCH)
    job.take("rocker cover", "engine", "top", where=BENCH)
    job.take("gasket", "engine", "top", where=BENCH, one_use=True)
    job.take("head", "engine", where=BENCH)
    job.take("springs", "engine", "head", qty=8, where=BENCH)
    job.take("valves", "engine", "head", qty=4, where=BENCH)
    job.take("piston", "engine", "bottom", where=BENCH)
    job.take("crank", "engine", "bottom", where=BENCH)
    job.before("rocker cover", "head")
    job.before("head", "piston")
    job.before("piston", "belts", "crank")
    return job
