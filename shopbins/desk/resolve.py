"""What a person typed or a scanner read, turned into the group, place or blank tag it means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.desk.problems import BadInput, DeskError, NotDone
from shopbins.ledger import codes
from shopbins.ledger.codes import CodeProblem, parse_code

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop, Zone

CANDIDATES_SHOWN = 12


def meant(word: str, known: list[str]) -> str:
    """Return a hint naming the nearest of `known`, or nothing."""
    import difflib

    folded = {each.casefold(): each for each in known}
    near = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return f" (did you mean '{folded[near[0]]}'?)" if near else ""


def code_subject(state: State, prefix: str, text: str) -> tuple[str, str]:
    """Return ('group', id), ('place', 'zone/level') or ('blank', code) for a code.

    Raises BadInput for a code that cannot be right and NotDone for one that nothing carries.
    """
    try:
        code = parse_code(text, prefix).text
    except CodeProblem as problem:
        raise BadInput(str(problem)) from None
    found = state.resolve_code(code)
    if found is None:
        raise NotDone(f"{code} is a code of this shop, but nothing carries it")
    return ("blank", code) if found[0] == "tag" else found


def looks_like_code(text: str, prefix: str) -> bool:
    """Tell whether a text was meant as a code, of this shop or another (two letters swapped), not a name."""
    word = text.strip().upper()
    head = f"Z{prefix}".upper()
    ours = word.startswith(head) and len(word) > len(head) + 2 and word[len(head) :].isalnum()
    return ours or codes.looks_like_code(word)


def group_called(state: State, shop: Shop, text: str, *, blank_too: bool = False) -> Group | str:
    """Return the one group with this code or name.

    A blank tag's code is returned as a string where `blank_too`. Raises NotDone when nothing has the name
    and BadInput when several have it (their codes and places are the lines) or a code is wrong.
    """
    if looks_like_code(text, shop.prefix):
        try:
            kind, subject = code_subject(state, shop.prefix, text)
        except DeskError:
            if not (named := _named(state, text)):
                _say_lost(state, text)
                raise
            return _only(text, named)
        if kind == "group":
            return state.group(subject)
        if kind == "blank" and blank_too:
            return subject
        other = "a blank label, not yet on a part" if kind == "blank" else f"the label of {subject}"
        raise BadInput(f"{text.strip()} is {other}")
    found = _named(state, text)
    if not found:
        _say_lost(state, text)
        names = [g.name for g in state.groups() if g.name]
        raise NotDone(f"no part is called '{text}'{meant(text, names)}")
    return _only(text, found)


def lost_said(state: State, text: str) -> list[str]:
    """Say of what is lost and has this code or name: how many, since when, why; nothing where none is."""
    from shopbins.ledger.lots import lost_ones

    said = []
    for key in lost_ones(state.docs("posting"), text):
        doc = state.docs("posting")[key]
        since = f" since {doc['on']}" if doc.get("on") else ""
        why = f": {doc['why']}" if doc.get("why") else ""
        number = f" x{doc['n']}" if doc["n"] > 1 else ""
        said.append(f"{doc.get('code', '')}  {doc.get('name', '')}{number}, lost{since}{why}")
    return said


def _say_lost(state: State, text: str) -> None:
    if said := lost_said(state, text):
        raise NotDone(
            *said, "it is not to be found: 'missing' says where it was last seen, 'found' has it back"
        )


def _named(state: State, text: str) -> list[Group]:
    """Return the groups with exactly this name, else those whose name has it as a whole beginning."""
    wanted = text.strip().casefold()
    if not wanted:
        return []
    groups = list(state.groups())
    exact = [g for g in groups if g.name.casefold() == wanted]
    return exact or [g for g in groups if wanted in g.name.casefold()]


def _only(text: str, found: list[Group]) -> Group:
    if len(found) == 1:
        return found[0]
    lines = [f"'{text.strip()}' may be any of {len(found)} parts; give the code:"]
    lines += [f"  {g.code}  {g.shown}" for g in found[:CANDIDATES_SHOWN]]
    if len(found) > CANDIDATES_SHOWN:
        lines.append(f"  and {len(found) - CANDIDATES_SHOWN} more")
    raise BadInput(*lines)


def place_called(state: State, shop: Shop, text: str) -> tuple[str, str]:
    """Return (zone key, level key) for 'rack a/3', a zone's shown name or its tag's code.

    The level key is '' where the zone has several and none was named: the one who lays down chooses.
    """
    wanted = text.strip()
    if looks_like_code(wanted, shop.prefix) and shop.zone(wanted) is None:
        kind, subject = code_subject(state, shop.prefix, wanted)
        if kind != "place":
            raise BadInput(
                f"{wanted} is the code of a {'part' if kind == 'group' else 'blank label'}, not of a place"
            )
        wanted = subject
    zone, level = _zone_and_level(shop, wanted)
    return zone.key, _level_key(zone, level)


def _zone_and_level(shop: Shop, text: str) -> tuple[Zone, str]:
    whole = _zone(shop, text)
    if whole is not None:
        return whole, ""
    head, slash, level = text.rpartition("/")
    zone = _zone(shop, head.strip()) if slash else None
    if zone is not None:
        return zone, level.strip()
    keys = [z.key for z in shop.all_zones()]
    raise NotDone(f"no place is called '{head or text}'{meant(head or text, keys)}")


def _zone(shop: Shop, text: str) -> Zone | None:
    found = shop.zone(text)
    if found is not None:
        return found
    folded = text.casefold()
    same = [z for z in shop.all_zones() if folded in (z.key.casefold(), z.name.casefold())]
    if len(same) > 1:
        raise BadInput(f"'{text}' may be any of these places:", *(f"  {z.key}" for z in same))
    return same[0] if same else None


def _level_key(zone: Zone, level: str) -> str:
    if level == "":
        return zone.levels[0].key if len(zone.levels) == 1 else ""
    if zone.level(level) is None:
        known = ", ".join(each.key for each in zone.levels if each.key)
        raise NotDone(f"{zone.key} has no level '{level}' ({'it has ' + known if known else 'it has none'})")
    return level
