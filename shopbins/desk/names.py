"""Which thing is meant by what a person typed or a scanner read: a name, a code, a key.

Groups, places and blank tags by their codes or names; positions, machines, milestones and all else that has a
name by the kind of thing (`records/kinds.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from shopbins.desk.problems import BadInput, DeskError, NotDone
from shopbins.ledger import codes
from shopbins.ledger.codes import CodeProblem, parse_code
from shopbins.ledger.lots import lost_ones

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.records.kinds import Key
    from shopbins.shop.model import Shop, Zone
    from shopbins.strip.tree import Position

CANDIDATES_SHOWN = 12


def hint(word: str, known: Sequence[str]) -> str:
    """Return a hint naming the nearest of `known`, or nothing."""
    import difflib

    folded = {each.casefold(): each for each in known}
    near = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return f" (did you mean '{folded[near[0]]}'?)" if near else ""


def looks_like_code(text: str, prefix: str) -> bool:
    """Tell whether a text was meant as a code, of this shop or another (two letters swapped), not a name."""
    word = text.strip().upper()
    head = f"Z{prefix}".upper()
    ours = word.startswith(head) and len(word) > len(head) + 2 and word[len(head) :].isalnum()
    return ours or codes.looks_like_code(word)


def lost_said(state: State, text: str) -> list[str]:
    """Say of what is lost and has this code or name: how many, since when, why; nothing where none is."""
    said = []
    for key in lost_ones(state.docs("posting"), text):
        doc = state.docs("posting")[key]
        since = f" since {doc['on']}" if doc.get("on") else ""
        why = f": {doc['why']}" if doc.get("why") else ""
        number = f" x{doc['n']}" if doc["n"] > 1 else ""
        said.append(f"{doc.get('code', '')}  {doc.get('name', '')}{number}, lost{since}{why}")
    return said


class Names(NamedTuple):
    """What is called what in a shop and its ledger; `by` is who asks.

    Everything raises BadInput where several may be meant (the lines list them) or a code is wrong, and
    NotDone where there is none.
    """

    state: State
    shop: Shop
    by: str = ""

    # -- by kind

    def called(self, thing: str, text: str) -> list[Key]:
        """Return the keys of the things of a kind that a text means; a key means itself."""
        if text in self.state.docs(_TABLES.get(thing, thing)):
            return [text]
        return list(_FIND[thing](self, text))

    def one(self, thing: str, text: str) -> str:
        """Return the key of the one thing of a kind that a text means."""
        (key,) = self.called(thing, text)
        assert isinstance(key, str)
        return key

    # -- groups, places, tags

    def group(self, text: str) -> Group:
        """Return the one group with this code or name."""
        found = self._group_or_tag(text)
        if isinstance(found, str):
            raise BadInput(f"{text.strip()} is a blank label, not yet on a part")
        return found

    def who(self, text: str) -> str:
        """Return the id of the group with this code or name, or the code itself of an unused blank tag."""
        found = self._group_or_tag(text)
        return found if isinstance(found, str) else found.id

    def code(self, text: str) -> tuple[str, str]:
        """Return ('group', id), ('place', 'zone/level') or ('blank', code) for a code."""
        try:
            code = parse_code(text, self.shop.prefix).text
        except CodeProblem as problem:
            raise BadInput(str(problem)) from None
        found = self.state.resolve_code(code)
        if found is None:
            self._say_lost(code)
            raise NotDone(f"{code} is a code of this shop, but nothing carries it")
        return ("blank", code) if found[0] == "tag" else found

    def place(self, text: str) -> tuple[str, str]:
        """Return (zone key, level key) for 'rack a/3', a zone's shown name or its tag's code.

        The level key is '' where the zone has several and none was named: the one who lays down chooses.
        """
        wanted = text.strip()
        if looks_like_code(wanted, self.shop.prefix) and self.shop.zone(wanted) is None:
            kind, subject = self.code(wanted)
            if kind != "place":
                of = "part" if kind == "group" else "blank label"
                raise BadInput(f"{wanted} is the code of a {of}, not of a place")
            wanted = subject
        zone, level = self._zone_and_level(wanted)
        return zone.key, _level_key(zone, level)

    def group_to_fit(self, text: str) -> Group:
        """Return the group meant: where several have the name, the one that can still go back."""
        from shopbins.ledger.model import OUT
        from shopbins.strip.tree import is_fitted

        table = self.state.docs("group")
        wanted = text.strip().casefold()
        named = [group for group in self.state.groups() if group.name.casefold() == wanted]
        free = [
            group
            for group in named
            if group.disposition not in OUT and not is_fitted(table[group.id].get("where"))
        ]
        return free[0] if len(free) == 1 < len(named) else self.group(text)

    def _group_or_tag(self, text: str) -> Group | str:
        if looks_like_code(text, self.shop.prefix):
            try:
                kind, subject = self.code(text)
            except DeskError:
                if not (named := self._groups_named(text)):
                    self._say_lost(text)
                    raise
                return _only_group(text, named)
            if kind == "place":
                raise BadInput(f"{text.strip()} is the label of {subject}")
            return self.state.group(subject) if kind == "group" else subject
        found = self._groups_named(text)
        if not found:
            self._say_lost(text)
            names = [g.name for g in self.state.groups() if g.name]
            raise NotDone(f"no part is called '{text}'{hint(text, names)}")
        return _only_group(text, found)

    def _say_lost(self, text: str) -> None:
        if said := lost_said(self.state, text):
            raise NotDone(
                *said, "it is not to be found: 'missing' says where it was last seen, 'found' has it back"
            )

    def _groups_named(self, text: str) -> list[Group]:
        """Return the groups with exactly this name, else those with it as a part of theirs."""
        wanted = text.strip().casefold()
        if not wanted:
            return []
        groups = list(self.state.groups())
        exact = [g for g in groups if g.name.casefold() == wanted]
        return exact or [g for g in groups if wanted in g.name.casefold()]

    def _zone_and_level(self, text: str) -> tuple[Zone, str]:
        whole = self._zone(text)
        if whole is not None:
            return whole, ""
        head, slash, level = text.rpartition("/")
        zone = self._zone(head.strip()) if slash else None
        if zone is not None:
            return zone, level.strip()
        keys = [z.key for z in self.shop.all_zones()]
        raise NotDone(f"no place is called '{head or text}'{hint(head or text, keys)}")

    def _zone(self, text: str) -> Zone | None:
        found = self.shop.zone(text)
        if found is not None:
            return found
        folded = text.casefold()
        same = [z for z in self.shop.all_zones() if folded in (z.key.casefold(), z.name.casefold())]
        if len(same) > 1:
            raise BadInput(f"'{text}' may be any of these places:", *(f"  {z.key}" for z in same))
        return same[0] if same else None

    # -- positions and assemblies

    def _places(self) -> Mapping[str, Position]:
        from shopbins.strip.order import Order

        return self.state.follower(Order).graph.places

    def _position(self, text: str) -> list[str]:
        found = self._positions(text)
        if not found:
            names = [each.name for each in self._places().values()]
            raise NotDone(f"no part is called '{text.strip()}'{hint(text, names)}")
        return [self._only_position(text, found)]

    def _whole_assembly(self, text: str) -> list[str]:
        """Return one position, or all of an assembly that is named so."""
        found = self._positions(text, exact=True)
        if not found:
            wanted = _parts(text)
            inside = [
                key
                for key, each in self._places().items()
                if any(_ends(each.origin[:n], wanted) for n in range(1, len(each.origin) + 1))
            ]
            if inside:
                return inside
        return [self._only_position(text, found)] if found else self._position(text)

    def _needed(self, text: str) -> Sequence[Key]:
        """Return a part where one is called so, else the path of the assembly that is."""
        from shopbins.strip.tree import paths

        called = self._positions(text, exact=True)
        inside = [path for path in paths(self.state) if _ends(path, _parts(text))]
        if called or not inside:
            return [self._only_position(text, called)] if called else self._position(text)
        if len(inside) > 1:
            _several(text, [" > ".join(path) for path in inside], "the path", "assemblies")
        return [inside[0]]

    def _positions(self, text: str, *, exact: bool = False) -> list[str]:
        """Return the positions a text may mean."""
        wanted = text.strip()
        if not wanted:
            raise BadInput("say which part")
        if wanted in self._places():
            return [wanted]
        if looks_like_code(wanted, self.shop.prefix):
            found = self._positions_named(wanted, exact=True)
            if found and self.state.resolve_code(wanted.upper()) is None:
                return found
            return list(dict.fromkeys((*found, *self.group(wanted).positions)))
        return self._positions_named(wanted, exact=exact)

    def _positions_named(self, text: str, *, exact: bool) -> list[str]:
        """Return the positions with this name, or a group of it, or (not exact) it as a part of theirs.

        What is lost was to go to its position: by its name or code that is meant as well.
        """
        wanted, places = text.casefold(), self._places()
        if ">" in text:
            path = _parts(text)
            return [key for key, each in places.items() if _ends(each.path, path)]
        names = {
            key: {each.name.casefold(), *(self.state.group(g).name.casefold() for g in each.groups)}
            for key, each in places.items()
        }
        for doc in map(self.state.docs("posting").get, lost_ones(self.state.docs("posting"), text)):
            if doc is not None and doc["seat"] in names:
                names[doc["seat"]].add(wanted)
        same = [key for key, each in names.items() if wanted in each]
        if same or exact:
            return same
        return [key for key, each in names.items() if any(wanted in name for name in each)]

    def _only_position(self, text: str, found: list[str]) -> str:
        if len(found) > 1:
            places = [self._places()[key] for key in found]
            gone = {doc["seat"] for doc in self.state.docs("posting").values() if doc["kind"] == "lost"}
            shown = []
            for place in places:
                code = " ".join(self.state.group(each).code for each in place.groups)
                none = "(lost)" if place.id in gone else "(on the machine)"
                shown.append(f"{code or none}  {' > '.join(place.path)}")
            _several(text, shown, "the code, or assembly > name", "parts")
        return found[0]

    # -- what else has a name

    def machines(self) -> list[str]:
        """Return the keys of all machines: those of the shop file, of the ledger, and of any origin."""
        from shopbins.strip.tree import paths

        of_origins = (path[0] for path in paths(self.state))
        return list(dict.fromkeys((*self.shop.machines, *self.state.machines(), *of_origins)))

    def _machine(self, text: str) -> list[str]:
        known = self.machines()
        wanted = text.strip().casefold()
        if text.strip() in known:  # an older ledger may have two that differ in capitals only
            return [text.strip()]
        names = {key: {key.casefold()} for key in known}
        for key, machine in self.state.machines().items():
            names[key].add(machine.name.casefold())
        found = [key for key, each in names.items() if wanted in each]
        if len(found) == 1:
            return found
        raise NotDone(f"no machine is called '{text.strip()}'{hint(text, list(names))}")

    def _shortage(self, text: str) -> list[str]:
        """Return the shortage meant: by name, those still to come before those here."""
        wanted = text.strip().casefold()
        table = self.state.docs("shortage")
        open_ones = {k: d for k, d in table.items() if d.get("state", "to ask") not in ("here", "struck")}
        for docs in (open_ones, table):
            same = [key for key, doc in docs.items() if doc["name"].casefold() == wanted]
            found = same or [key for key, doc in docs.items() if wanted and wanted in doc["name"].casefold()]
            if len(found) == 1:
                return found
            if found:
                shown = [f"{key}  {docs[key]['name']}" for key in found]
                _several(text, shown, "the whole name or the id", "shortages")
        names = [doc["name"] for doc in table.values()]
        raise NotDone(f"no shortage is called '{text.strip()}'{hint(text, names)}")

    def _milestone(self, text: str) -> list[str]:
        key = text.strip().casefold()
        if key in self.state.docs("milestone"):
            return [key]
        names = [doc["name"] for doc in self.state.docs("milestone").values()]
        raise NotDone(f"no milestone is called '{text.strip()}'{hint(text, names)}")

    def _connection(self, text: str) -> list[str]:
        """Return the connection with this mark, or with this flag tag."""
        from shopbins.strip.connections import connections

        wanted = text.strip().upper()
        for each in connections(self.state):
            if wanted in (each.mark, f"{each.mark}A", f"{each.mark}B"):
                return [each.key]
        raise NotDone(f"no wire, hose or pipe has the mark '{text.strip()}'")


def _only_group(text: str, found: list[Group]) -> Group:
    if len(found) > 1:
        _several(text, [f"{g.code}  {g.shown}" for g in found], "the code", "parts")
    return found[0]


def _several(text: str, shown: Sequence[str], give: str, what: str = "") -> NoReturn:
    """Raise BadInput: a text may mean any of these, of which the first are listed; say what to give."""
    lines = [f"'{text.strip()}' may be any of {len(shown)}{what and f' {what}'}; give {give}:"]
    lines += [f"  {each}" for each in shown[:CANDIDATES_SHOWN]]
    if len(shown) > CANDIDATES_SHOWN:
        lines.append(f"  and {len(shown) - CANDIDATES_SHOWN} more")
    raise BadInput(*lines)


def _level_key(zone: Zone, level: str) -> str:
    if level == "":
        return zone.levels[0].key if len(zone.levels) == 1 else ""
    found = zone.level(level)
    if found is None:
        known = ", ".join(each.key for each in zone.levels if each.key)
        raise NotDone(f"{zone.key} has no level '{level}' ({'it has ' + known if known else 'it has none'})")
    return found.key


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip().casefold() for part in text.split(">"))


def _ends(path: Iterable[str], wanted: tuple[str, ...]) -> bool:
    return tuple(each.casefold() for each in path)[-len(wanted) :] == wanted


def _named(table: str, noun: str) -> Callable[[Names, str], list[str]]:
    """Return what finds a document by its name, or by the beginning of it."""

    def find(names: Names, text: str) -> list[str]:
        wanted = text.strip().casefold()
        known = {key: str(doc.get("name", "")) for key, doc in names.state.docs(table).items()}
        found = [key for key, name in known.items() if name.casefold() == wanted]
        found = found or [key for key, name in known.items() if wanted and name.casefold().startswith(wanted)]
        if not found:
            raise NotDone(f"no {noun} is called '{text.strip()}'{hint(text, list(known.values()))}")
        if len(found) > 1:
            _several(text, [f"{key}  {known[key]}" for key in found], "the whole name or the id")
        return found

    return find


_TABLES = {"positions": "part", "position": "part", "needed": "part"}
_FIND: Mapping[str, Callable[[Names, str], Sequence[Key]]] = {
    "group": lambda names, text: [names.group(text).id],
    "position": Names._position,
    "positions": Names._whole_assembly,
    "needed": Names._needed,
    "milestone": Names._milestone,
    "machine": Names._machine,
    "shortage": Names._shortage,
    "connection": Names._connection,
    "care": _named("care", "recurring care"),
    "set": _named("set", "matched set"),
    "photo": _named("photo", "photograph"),
}
