"""The book of pieces: every piece is in one account, and each position's accounts balance. Kept up by ticks.

    book = state.follower(Book)
    book.account(group_id)     # where its pieces are counted
    book.look(position)        # what one position comes to, in pieces
    book.balance(machine)      # the trial balance

Which account a group's pieces are in follows from where it is and what happens to it, by one total function,
`account_of`; what left the groups altogether (lost, used up, given away, never there) is in the table
`posting` (see lots.py). So for each position, whatever was done in whatever order:

    came + supplied + found = pieces in groups + lost + consumed + given + never + difference

Double entry as a check on itself is Pacioli's (Summa, 1494); the accounts are our own.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, Literal, NamedTuple

from shopbins.ledger.events import Change
from shopbins.ledger.lots import held
from shopbins.ledger.model import Doc
from shopbins.ledger.state import State
from shopbins.strip.tree import Listed, is_tried

Account = Literal[
    "on", "trial", "off", "assumed", "inside", "joined", "away", "lent",
    "renew", "scrapped", "sold", "elsewhere", "none",
]  # fmt: skip
"""Where a group's pieces are: on the machine for good, on trial, off (in the shop), off and not counted,
inside another group, fitted to one that is not on for good, away, lent; decided about; or (none) no part."""

OPEN: frozenset[Account] = frozenset(("trial", "off", "assumed", "inside", "joined", "away", "lent"))
GONE: Mapping[str, Account] = {
    "renew": "renew", "scrap": "scrapped", "sell": "sold", "reuse elsewhere": "elsewhere"
}  # fmt: skip
LEFT = ("lost", "consumed", "given", "never", "difference")
"""Accounts of pieces that are in no group any more."""

Status = Literal["on", "off", "back", "open", "struck"]
"""on: never came off. off: has pieces to go back. back: all pieces are on again. open: pieces are lacking and
nothing in the shop is meant to fill them. struck: stays empty, with a reason."""


def account_of(state: State, group_id: str) -> Account:
    """Return the account of a group's pieces; KeyError for no group."""
    table = state.tables["group"]
    doc = table[group_id]
    if doc.get("counted") == "never":
        return "none"
    physical = _physical(state, group_id)
    if physical in ("on", "trial"):
        return physical
    gone = GONE.get(doc.get("disposition", ""))
    if gone is not None:
        return gone
    return "assumed" if physical == "off" and doc.get("counted") == "assumed" else physical


def _physical(state: State, group_id: str) -> Account:
    """Walk out from a group to where the outermost holder is."""
    table = state.tables["group"]
    where: Any = table[group_id].get("where")
    if not where or "zone" in where:  # as most are
        return "off"
    firm, seen, first = True, {group_id}, where
    while where and "zone" not in where:
        if firm and is_tried(where):
            return "trial" if where is first else "joined"
        if "fitted" in where:
            return "on" if firm else "inside"
        if "group" not in where:
            return "lent" if where.get("lent") else "away"
        firm = firm and where.get("how") == "fitted"
        holder = where["group"]
        if holder in seen or holder not in table:
            break
        seen.add(holder)
        where = table[holder].get("where")
    if "group" not in first:
        return "off"
    return "joined" if first.get("how") == "fitted" else "inside"


def holders(state: State, group_id: str) -> list[tuple[str, str]]:
    """Return what a group is in or on, outwards, each with how the one inside is held by it."""
    table, found, at = state.tables["group"], list[tuple[str, str]](), group_id
    while True:
        where = table[at].get("where") or {}
        holder = where.get("group")
        if holder is None or holder not in table or any(holder == each for each, _ in found):
            return found
        found.append((holder, where.get("how", "in")))
        at = holder


class Look(NamedTuple):
    """What one position comes to, in pieces.

    `came` came off, `supplied` were brought for it, `listed` a list says (None: none does); `need` belong
    there, `on` are there; `as_found` never came off; `joined` are fitted to what is not on itself. `lying`
    are the groups that can still go back, with `lying_pieces`, `tried` of them on trial. `left` says how many
    went where for good (LEFT, and those decided about). `struck` is why `left_empty` pieces stay away.
    """

    came: int
    supplied: int
    found: int
    listed: int | None
    never_listed: int
    need: int
    on: int
    as_found: int
    joined: int
    tried: int
    lying: tuple[str, ...]
    lying_pieces: int
    struck: str
    groups: int
    left: Mapping[str, int]
    tied: bool = False
    left_empty: int = 0

    @property
    def touched(self) -> bool:
        """Tell whether anything was taken off there, or brought for it."""
        return bool(self.came or self.supplied or self.groups)

    @property
    def done(self) -> bool:
        """Tell whether nothing behind it has to wait for this position."""
        return self.on + self.joined + self.as_found + self.left_empty >= self.need

    @property
    def short(self) -> int:
        """How many pieces are not on that belong there."""
        return max(0, self.need - self.on - self.as_found - self.left_empty)

    @property
    def lacking(self) -> int:
        """How many pieces nothing in the shop is meant to fill."""
        return max(0, self.short - self.joined - self.lying_pieces - max(0, self.left.get("difference", 0)))

    @property
    def over(self) -> int:
        """How many pieces are on that do not belong there."""
        more = self.on + self.as_found - self.need - max(0, -self.left.get("difference", 0))
        return max(0, more) if self.on else 0

    @property
    def status(self) -> Status:
        """Say it in one word."""
        if self.struck and self.done:
            return "struck"
        if not self.touched:
            return "on"
        if self.done:
            return "back"
        return "off" if self.lying else "open"


_NOTHING: Mapping[str, Any] = {}
Balance = Counter[str]
"""Pieces by account: those of a group's, LEFT, and the sources came, supplied and found."""


class Book:
    """Follows a state (see `State.follower`)."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._listed = state.follower(Listed)  # made first, so it hears of a change first
        self._lots: dict[str, dict[str, int]] | None = None
        self._postings: dict[str, dict[str, Doc]] = {}
        self._accounts: dict[str, Account] = {}
        self._homes: dict[str, str] = {}
        self._looks: dict[str, Look] = {}
        self._balances: defaultdict[str, Balance] = defaultdict(Counter)
        self._counted: dict[str, tuple[str, dict[str, int]]] = {}
        self._dirty: set[str] = set()
        self.asked_of: set[str] = set()
        """Positions changed since the count last looked: it empties this."""

    # -- following

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        if self._lots is None:
            return
        for change in changes:
            if change.table == "group":
                self._group_changed(change)
            elif change.table == "posting":
                self._posting_changed(change)
            elif change.table == "part":
                self._touch(change.key)
            elif change.table == "list":
                self._lots = None
                return
            elif change.table in ("inspection", "concession"):
                for doc in (change.old, change.new):
                    if doc is not None:
                        self._touch_all(self._seats_of(doc["group"]))

    def _group_changed(self, change: Change) -> None:
        assert self._lots is not None
        key, old, new = change.key, change.old, change.new
        self._accounts.pop(key, None)
        before = held(key, old) if old is not None else {}
        after = held(key, new) if new is not None else {}
        self._touch_all((*before, *after))
        if before != after or (old or {}).get("counted") != (new or {}).get("counted"):
            for seat in before:
                self._lots.get(seat, {}).pop(key, None)
            self._enter(key, new)
        holders_changed: set[str] = set()
        if old is None or new is None or old.get("where") is not new.get("where"):
            holders_changed.add(key)
        if old is None or new is None or [*before] != [*after] or old.get("origin") != new.get("origin"):
            # another machine may be home to these positions now, so what is on their groups is elsewhere
            holders_changed.update(each for seat in (*before, *after) for each in self._lots.get(seat, ()))
        for holder in holders_changed:
            for inside in self._state.descendants(holder):
                self._accounts.pop(inside, None)
                self._touch_all(self._seats_of(inside))

    def _posting_changed(self, change: Change) -> None:
        for doc in (change.old, change.new):
            for seat in () if doc is None else seats_in(doc):
                self._postings.get(seat, {}).pop(change.key, None)
                self._touch(seat)
        for seat in () if change.new is None else seats_in(change.new):
            self._postings.setdefault(seat, {})[change.key] = change.new or {}

    def _seats_of(self, group_id: str) -> Iterable[str]:
        doc = self._state.tables.get("group", {}).get(group_id)
        return held(group_id, doc) if doc is not None else ()

    def _touch_all(self, seats: Iterable[str]) -> None:
        for each in seats:
            self._touch(each)

    def _touch(self, seat: str) -> None:
        self._looks.pop(seat, None)
        self._homes.pop(seat, None)
        self._dirty.add(seat)
        self.asked_of.add(seat)

    # -- making it

    @property
    def lots(self) -> dict[str, dict[str, int]]:
        """The groups of each position, with the pieces each holds for it. Not to be changed."""
        if self._lots is None:
            self._lots = {}
            self._accounts, self._looks, self._homes, self._counted = {}, {}, {}, {}
            self._balances.clear()
            self._postings = {}
            for key, doc in self._state.tables.get("group", {}).items():
                self._enter(key, doc)
            for key, doc in self._state.tables.get("posting", {}).items():
                for seat in seats_in(doc):
                    self._postings.setdefault(seat, {})[key] = doc
            self._dirty = {*self._lots, *self._postings, *self._listed.docs}
            self.asked_of = set(self._dirty)
        return self._lots

    def _enter(self, key: str, doc: Doc | None) -> None:
        assert self._lots is not None
        if doc is not None and doc.get("counted") != "never":
            for seat, n in held(key, doc).items():
                self._lots.setdefault(seat, {})[key] = n

    # -- asking

    def account(self, group_id: str) -> Account:
        """Return the account of a group's pieces."""
        found = self._accounts.get(group_id)
        if found is None:
            found = self._accounts[group_id] = account_of(self._state, group_id)
        return found

    def home(self, seat: str) -> str:
        """Return the machine a position is on, '' where nobody said."""
        found = self._homes.get(seat)
        if found is None:
            found = self._homes[seat] = self._find_home(seat)
        return found

    def _find_home(self, seat: str) -> str:
        doc = self._listed.docs.get(seat)
        if doc is not None and (origin := doc.get("origin")):
            return str(origin[0])
        table = self._state.tables.get("group", {})
        for key in self.groups(seat):
            if origin := table[key].get("origin"):
                return str(origin[0])
        return ""

    def machine_of(self, group_id: str) -> str:
        """Return the machine a group's first pieces belong to, '' where nobody said."""
        return self.home(next(iter(self._seats_of(group_id)), group_id))

    def on_which(self, group_id: str) -> str:
        """Return the machine a group stands on, by the outermost part that holds it."""
        around = holders(self._state, group_id)
        return self.machine_of(around[-1][0] if around else group_id)

    def groups(self, seat: str) -> list[str]:
        """Return the groups of a position: what came off first, by its order, before what was brought."""
        found, table = self.lots.get(seat, {}), self._state.tables.get("group", {})
        if len(found) < 2:
            return list(found)

        def first(key: str) -> tuple[bool, float, str]:
            doc = table[key]
            return bool(doc.get("brought")), doc.get("order", float("inf")), doc.get("code", "")

        return sorted(found, key=first)

    def postings(self, seat: str) -> Mapping[str, Doc]:
        """Return the postings that concern a position, by id."""
        assert self.lots is not None
        return self._postings.get(seat, {})

    def look(self, seat: str) -> Look:
        """Return what a position comes to."""
        found = self._looks.get(seat)
        if found is None:
            found = self._looks[seat] = self._add_up(seat)
        return found

    def _add_up(self, seat: str) -> Look:
        table = self._state.tables.get("group", {})
        doc = self._listed.docs.get(seat, _NOTHING)
        came = supplied = on = joined = tried = pieces = 0
        lying: list[str] = []
        left: dict[str, int] = {}
        groups: Mapping[str, int] = self.lots.get(seat, _NOTHING)
        if len(groups) == 1 and not doc and seat not in self._postings:  # as most are
            ((key, n),) = groups.items()
            account = self.account(key)
            if n and account in OPEN and account != "joined" and not table[key].get("brought"):
                trial = n if account == "trial" else 0
                return Look(n, 0, 0, None, 0, n, 0, 0, 0, trial, (key,), n, "", 1, _NOTHING)
        tied = bool(groups) and not any(groups.values())
        for group_id in self.groups(seat):
            n = 1 if tied else groups[group_id]
            account = self.account(group_id)
            if table[group_id].get("brought"):
                supplied += n
            else:
                came += n
            if account == "on":
                on += n if self.on_which(group_id) == self.home(seat) else 0
                left["on"] = left.get("on", 0) + n
            elif account == "joined":
                joined += n
                left["joined"] = left.get("joined", 0) + n
            elif account in OPEN:
                pieces += n
                lying.append(group_id)
                tried += n if account == "trial" else 0
            else:
                left[account] = left.get(account, 0) + n
        found = never_counted = never_listed = 0
        for posting in self.postings(seat).values():
            kind, n = posting["kind"], posting["n"]
            if posting.get("listed"):
                never_listed += n
            elif kind in LEFT and posting["seat"] == seat:
                left[kind] = left.get(kind, 0) + n
                if posting.get("brought"):
                    supplied += n
                else:
                    came += n
                    never_counted += n if kind == "never" else 0
            elif kind == "found":
                found += n
                if posting.get("brought"):  # older ledgers had it lie as one that was brought
                    supplied -= n
                else:
                    came -= n
        list_says = doc.get("qty")
        need = max(0 if list_says is None else list_says - never_listed, came - never_counted)
        as_found = need if not came and not doc.get("new") and list_says is not None else 0
        return Look(
            came, supplied, found, list_says, never_listed, need, on, as_found, joined, tried, tuple(lying),
            pieces, doc.get("struck", ""), len(groups), left, tied,
            doc.get("left_empty", need) if doc.get("struck") else 0,  # older ledgers: the whole place
        )  # fmt: skip

    def seats(self) -> set[str]:
        """Return every position anything came off, was brought for, or was posted at."""
        return {*self.lots, *self._postings}

    def balance(self, machine: str | None = None) -> Balance:
        """Return the trial balance: of all, or of one machine (with what nobody knows the home of)."""
        assert self.lots is not None
        for seat in self._dirty:
            home, old = self._counted.pop(seat, ("", None))
            if old is not None:
                _put(self._balances[home], old, -1)
            new = self._balance_of(seat)
            if new:
                home = self.home(seat)
                self._counted[seat] = home, new
                _put(self._balances[home], new, 1)
        self._dirty.clear()
        total: Balance = Counter()
        for home, one in self._balances.items():
            if machine is None or home in (machine, ""):
                total.update(one)
        return total

    def _balance_of(self, seat: str) -> dict[str, int]:
        look = self.look(seat)
        if look.tied:
            return {}
        found = {"came": look.came, "supplied": look.supplied, "found": look.found, **look.left}
        for group_id in look.lying:
            account = self.account(group_id)
            found[account] = found.get(account, 0) + self.lots[seat][group_id]
        return found


def _put(into: Balance, pieces: Mapping[str, int], sign: int) -> None:
    for account, n in pieces.items():
        if n:
            into[account] += sign * n


def seats_in(doc: Doc) -> list[str]:
    """Return the places on the machine that a posting is about."""
    return [doc["seat"], *([doc["to"]] if doc.get("to") else [])]


def beside(state: State, group_id: str) -> list[str]:
    """Return the other groups whose pieces belong to the same places of the machine."""
    book = state.follower(Book)
    found = (each for seat in state.group(group_id).seats for each in book.groups(seat))
    return [each for each in dict.fromkeys(found) if each != group_id]
