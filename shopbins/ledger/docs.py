"""Groups and other records to and from their documents; fields with the default value are left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shopbins.ledger.lots import held
from shopbins.ledger.model import (
    HOWS,
    Away,
    Doc,
    Fitted,
    Group,
    InGroup,
    InZone,
    Machine,
    Mass,
    Size,
    ThingPlace,
    Tree,
    Whereabouts,
    WorkPoint,
)


def where_doc(where: Whereabouts) -> dict[str, Any] | None:
    """Write whereabouts; None (unplaced) is an absent field."""
    if isinstance(where, InZone):
        doc: dict[str, Any] = {"zone": where.zone}
        if where.level:
            doc["level"] = where.level
        if where.posed:
            doc |= {"x_mm": where.x_mm, "y_mm": where.y_mm}
        if where.turn_deg:
            doc["turn_deg"] = where.turn_deg
        if where.measured:
            doc["measured"] = True
        return doc
    if isinstance(where, InGroup):
        return {"group": where.group, "how": where.how}
    if isinstance(where, Fitted):
        doc = {"fitted": True, "since": where.since, "trial": where.trial or None}
        return {name: value for name, value in doc.items() if value}
    if isinstance(where, Away):
        doc = {"to": where.to, "until": where.until, "since": where.since, "reason": where.reason}
        doc["lent"] = where.lent
        return {name: value for name, value in doc.items() if value}
    return None


def where_from(doc: Doc | None) -> Whereabouts:
    """Read whereabouts."""
    if not doc:
        return None
    if "zone" in doc:
        return InZone(
            doc["zone"],
            doc.get("level", ""),
            doc.get("x_mm"),
            doc.get("y_mm"),
            doc.get("turn_deg", 0.0),
            doc.get("measured", False),
        )
    if "group" in doc:
        how = doc.get("how")
        return InGroup(doc["group"], how if how in HOWS else "in")
    if "fitted" in doc:
        return Fitted(doc.get("since"), doc.get("trial", False))
    return Away(
        doc.get("to", ""), doc.get("until"), doc.get("since"), doc.get("reason", ""), doc.get("lent", False)
    )


def size_doc(size: Size | None) -> list[Any] | None:
    """Write a size as [length, width, height] in mm, with a fourth true when it is about."""
    if size is None:
        return None
    doc: list[Any] = [size.length_mm, size.width_mm, size.height_mm]
    return [*doc, True] if size.about else doc


def mass_doc(mass: Mass | None) -> list[Any] | None:
    """Write a mass as [kg], with a second true when it is about."""
    if mass is None:
        return None
    return [mass.kg, True] if mass.about else [mass.kg]


def outline_doc(outline: tuple[tuple[float, float], ...] | None) -> list[list[float]] | None:
    """Write an outline as a list of [x, y] in mm."""
    return None if outline is None else [[x, y] for x, y in outline]


def size_from(doc: Sequence[Any] | None) -> Size | None:
    """Read a size."""
    return None if doc is None else Size(doc[0], doc[1], doc[2], len(doc) > 3)


def mass_from(doc: Sequence[Any] | None) -> Mass | None:
    """Read a mass."""
    return None if doc is None else Mass(doc[0], len(doc) > 1)


def outline_from(doc: Sequence[Sequence[float]] | None) -> tuple[tuple[float, float], ...] | None:
    """Read an outline."""
    return None if doc is None else tuple((x, y) for x, y in doc)


def work_doc(work: tuple[WorkPoint, ...]) -> list[list[Any]] | None:
    """Write a short list of work as a list of [what], with the date as a second once done."""
    return [[each.what, each.done] if each.done else [each.what] for each in work] or None


_PLAIN = {
    "code": "",
    "name": "",
    "container": "bare",
    "qty": 1,
    "disposition": "undecided",
    "note": "",
    "order": None,
    "tagged": False,
    "taken_at": None,
    "brought": False,
    "counted": "",
    "one_use": False,
    "elsewhere": "",
    "printed": "",
    "used": False,
}
_LISTS = ("origin", "cautions", "also_codes", "parts", "shares")
_LATER = frozenset(
    ("parts", "shares", "work", "brought", "counted", "one_use", "used", "elsewhere", "details")
)
_KNOWN = frozenset((*_PLAIN, *_LISTS, "size", "mass", "outline", "where", "work", "details"))


def group_fields(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Write some of a group's attributes as document fields; a default becomes None, that is: absent."""
    doc: dict[str, Any] = {}
    for name, value in fields.items():
        if name == "where":
            doc[name] = where_doc(value)
        elif name == "size":
            doc[name] = size_doc(value)
        elif name == "mass":
            doc[name] = mass_doc(value)
        elif name == "outline":
            doc[name] = outline_doc(value)
        elif name == "work":
            doc[name] = work_doc(value)
        elif name == "details":
            doc[name] = dict(value) or None
        elif name in _LISTS:
            doc[name] = list(value) or None
        else:
            doc[name] = None if value == _PLAIN[name] else value
    return doc


def group_doc(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Write a new group's document."""
    return {name: value for name, value in group_fields(fields).items() if value is not None}


def group_from(group_id: str, doc: Doc) -> Group:
    """Read a group; fields this version does not know are kept in `extra`."""
    get = doc.get
    extra = {} if doc.keys() <= _KNOWN else {name: doc[name] for name in doc if name not in _KNOWN}
    later = {} if _LATER.isdisjoint(doc) else _later(group_id, doc)
    return Group(
        group_id,
        get("code", ""),
        get("name", ""),
        tuple(get("origin", ())),
        get("container", "bare"),
        size_from(get("size")),
        outline_from(get("outline")),
        mass_from(get("mass")),
        get("qty", 1),
        get("disposition", "undecided"),
        get("note", ""),
        tuple(get("cautions", ())),
        where_from(get("where")),
        get("order"),
        get("tagged", False),
        get("taken_at"),
        tuple(get("also_codes", ())),
        printed=get("printed", ""),
        extra=extra,
        **later,
    )


def _later(group_id: str, doc: Doc) -> dict[str, Any]:
    """Read the fields few groups have."""
    get = doc.get
    return {
        "parts": tuple(get("parts", ())),
        "shares": tuple(held(group_id, doc).values()) if len(get("parts", ())) > 1 else (),
        "work": tuple(WorkPoint(each[0], each[1] if len(each) > 1 else None) for each in get("work", ())),
        "brought": get("brought", False),
        "counted": get("counted", ""),
        "one_use": get("one_use", False),
        "used": get("used", False),
        "elsewhere": get("elsewhere", ""),
        "details": dict(get("details", ())),
    }


def tree_doc(tree: Tree) -> list[Any]:
    """Write a tree of assemblies as nested [name, [...]] pairs."""
    return [[name, tree_doc(below)] for name, below in tree]


def tree_from(doc: Any) -> Tree:
    """Read a tree of assemblies."""
    return tuple((name, tree_from(below)) for name, below in doc or ())


def machine_from(key: str, doc: Doc) -> Machine:
    """Read a machine."""
    get = doc.get
    return Machine(
        key, get("name", ""), get("owner", ""), get("job", ""), get("note", ""), tree_from(get("tree"))
    )


def thing_from(key: str, doc: Doc) -> ThingPlace:
    """Read where a movable thing stands."""
    return ThingPlace(key, doc["x_mm"], doc["y_mm"], doc.get("turn_deg", 0.0), doc.get("room", ""))
