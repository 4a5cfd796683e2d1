"""What people do to parts, as pure functions from the state to a draft; `Ledger.transact` records it.

    ledger.transact(lambda state: acts.lay(state, group_id, InZone("bench 2")))

Each raises Refused (or its kind BadValue) with one line for the user where the change makes no sense. What
the shop's rules say about a place is judged elsewhere (`rules`), in the same transaction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal

from shopbins.ledger import values
from shopbins.ledger.docs import group_doc, group_fields, where_doc
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.lots import share_fields, split_off
from shopbins.ledger.model import (
    ORDERS,
    OUT,
    Away,
    Doc,
    Fitted,
    Group,
    InGroup,
    InZone,
    Mass,
    Size,
    Whereabouts,
)
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.records.branches import keeping_up
from shopbins.records.moving import resized_doc
from shopbins.strip.tree import as_known, listed
from shopbins.units import counted

if TYPE_CHECKING:
    from datetime import date


def subject(group_id: str) -> str:
    """Return a group's subject."""
    return f"group:{group_id}"


def known(state: State, group_id: str) -> Group:
    """Return the group; raises Refused where there is none (any more)."""
    _check_known(state, group_id)
    return state.group(group_id)


def _check_known(state: State, group_id: str) -> None:
    if not state.has_group(group_id):
        raise Refused("that part is gone")


Accepting = Mapping[str, Mapping[str, Any]] | None
"""Documents of what is let through with an act, by finding id (see accepted.py)."""


def docs_after(accepted: Accepting) -> dict[str, Any]:
    """Return the changes that put acceptances on record with another act."""
    return {f"accepted:{key}": dict(doc) for key, doc in (accepted or {}).items()}


def join(kind: str, *drafts: Draft) -> Draft:
    """Put drafts about different subjects together into one event."""
    after: dict[str, Any] = {}
    for draft in drafts:
        for each, fields in draft.after.items():
            old = after.get(each)
            after[each] = {**old, **fields} if old is not None and fields is not None else fields
    return Draft(kind, after, tuple(each for draft in drafts for each in draft.also))


# -- taking off


def take(
    state: State,
    name: str,
    *,
    origin: Sequence[str] = (),
    container: str = "bare",
    size: Size | None = None,
    mass: Mass | None = None,
    qty: int = 1,
    code: str = "",
    where: Whereabouts = None,
    ordered: bool = True,
    taken_at: str | None = None,
    accepted: Accepting = None,
    **more: Any,
) -> Draft:
    """Record a group that came off; `name` may be empty only with `code`, that of an unused blank tag.

    `ordered=False` is for catch-up: what already lies there, order of removal unknown. `more` takes any
    other attribute of Group that `change` takes. The new group's id is the draft's first subject.
    """
    fields = {
        "name": name, "origin": origin, "container": container, "size": size, "mass": mass, "qty": qty, **more
    }  # fmt: skip
    clean = values.checked(fields)
    if not clean["name"] and not code:
        raise BadValue("a part needs a name, or the code of a blank label")
    clean["origin"] = as_known(state, clean["origin"])
    if clean.get("counted") == "never" and clean["origin"]:
        raise BadValue("what came off a machine is a part of it: leave its origin out, or 'counted never'")
    group_id = new_id()
    after: dict[str, Any] = {}
    if code:
        if ("tag", code) != state.resolve_code(code):
            raise Refused(_not_blank(state, code))
        after[f"tag:{code}"] = None
        clean["tagged"] = True
    machine = clean["origin"][0] if clean["origin"] else ""
    clean |= {
        "code": code or state.next_code().text,
        "order": state.last_order(machine) + 1 if ordered else None,
        "taken_at": taken_at,
        "where": _placed(state, group_id, where),
    }
    after = {subject(group_id): group_doc(clean), **after, **docs_after(accepted)}
    return Draft("take", after, _holder(where))


def laid_down(taken: Draft, where: InZone, accepted: Accepting = None) -> Draft:
    """Return the draft of a taking with the new group laid down at once, so that one event holds both."""
    new = taken.subjects[0]
    doc = {**(taken.after[new] or {}), "where": where_doc(values.checked_place(where))}
    return Draft(taken.kind, {**taken.after, new: doc, **docs_after(accepted)}, taken.also)


def _not_blank(state: State, code: str) -> str:
    found = state.resolve_code(code)
    if found is None:
        return f"{code} was not printed as a blank label of this shop"
    if found[0] == "place":
        return f"{code} is the label of {found[1]}, not a blank one"
    return f"{code} is already on {state.group(found[1]).shown}"


def _holder(where: Whereabouts) -> tuple[str, ...]:
    """Return the subject of the group something goes into, so that its history shows it."""
    return (subject(where.group),) if isinstance(where, InGroup) else ()


def _placed(state: State, group_id: str, where: Whereabouts) -> Whereabouts:
    """Return whereabouts with every value checked."""
    if isinstance(where, InGroup):
        holder = known(state, where.group)
        check_here(state, holder, itself=True)
        if group_id in state.chain(holder.id):
            raise Refused(
                f"{state.group(group_id).shown} cannot go {where.how} {holder.shown}: that lies in it"
            )
        if where.how not in ("in", "on"):
            raise BadValue(f"a part lies in or on another, not {where.how!r}")
        return where
    if isinstance(where, InZone):
        return values.checked_place(where)
    if isinstance(where, Fitted):
        return Fitted(values.checked_date(where.since, "since"), bool(where.trial))
    return values.checked_away(where) if isinstance(where, Away) else None


# -- laying down


def lay(
    state: State,
    group_id: str,
    where: InZone,
    accepted: Accepting = None,
    **fields: Any,
) -> Draft:
    """Lay a group down in a zone; `accepted` has the document of each finding let through, by its id.

    `fields` may change the group at the same time (a size typed as it is laid down).
    """
    group = known(state, group_id)
    _check_off(group)
    check_here(state, group)
    clean = values.checked(fields)
    doc = {
        "where": where_doc(values.checked_place(where)),
        **group_fields(clean),
        **resized_doc(group, clean),
    }
    return Draft("lay", {subject(group_id): doc, **docs_after(accepted)})


def put_into(state: State, group_id: str, holder_id: str, how: Literal["in", "on"] = "in") -> Draft:
    """Put a group into another; refuses one that lies in it, or itself."""
    group = known(state, group_id)
    where = InGroup(holder_id, how)
    _check_off(group)
    check_here(state, group)
    if group_id == holder_id:
        raise Refused(f"{group.shown} cannot go {how} itself")
    doc = {"where": where_doc(_placed(state, group_id, where))}
    return Draft(f"put {how}", {subject(group_id): doc}, _holder(where))


def _check_off(group: Group) -> None:
    """Refuse to lay down or send away what is on: it is taken off first."""
    where = group.where
    if isinstance(where, Fitted) or (isinstance(where, InGroup) and where.how in ("fitted", "tried")):
        raise Refused(f"{group.shown} is on: take it off first")


def check_here(state: State, group: Group, *, itself: bool = False) -> None:
    """Refuse what wants a group in the shop while it is away with what it is in or on.

    `itself`: also while it was sent away by itself; else that may be had back, or sent on.
    """
    top, where = state.top_of(group.id)
    if isinstance(where, Away) and (itself or top != group.id):
        with_it = "" if top == group.id else f" with {state.group(top).shown}"
        raise Refused(f"{group.shown} is away{with_it} at {where.to}: have it back first (back)")


def lift_off(state: State, group_id: str) -> Draft:
    """Take a group from where it lies: it is then unplaced."""
    group = known(state, group_id)
    if group.where is None:
        raise Refused(f"{group.shown} is not put down anywhere")
    _check_off(group)
    check_here(state, group, itself=True)
    return Draft("lift off", {subject(group_id): {"where": None}}, _holder(group.where))


def send_away(
    state: State, group_id: str, to: str, until: str | None = None, reason: str = "", since: str | None = None
) -> Draft:
    """Send a group, with all in it, out of the shop until a date (YYYY-MM-DD)."""
    group = known(state, group_id)
    _check_off(group)
    check_here(state, group)
    where = values.checked_away(Away(to, until, since, reason))
    return Draft("send away", {subject(group_id): {"where": where_doc(where)}})


def bring_back(state: State, group_id: str, where: Whereabouts = None) -> Draft:
    """Have a group back in the shop, laid down at once or (None) unplaced; refuses one that is not away."""
    group = known(state, group_id)
    if not isinstance(group.where, Away):
        raise Refused(f"{group.shown} is not away")
    doc = {"where": where_doc(_placed(state, group_id, where))}
    return Draft("bring back", {subject(group_id): doc}, _holder(where))


# -- changing


def change(state: State, group_id: str, **fields: Any) -> Draft:
    """Change attributes of a group: any of name, origin, container, size, mass, qty, disposition, note,
    cautions, outline, order, tagged, details (those given; None takes one back).
    """
    group = known(state, group_id)
    if not fields:
        raise BadValue("nothing to change was given")
    if "details" in fields:  # those not given stay
        fields["details"] = {**group.details, **fields["details"]}
    clean = as_written(state, values.checked(fields))
    after: dict[str, Any] = {subject(group_id): {**group_fields(clean), **resized_doc(group, clean)}}
    if (why := needs_reason(group, clean)) is not None:
        raise ReasonWanted(why, f"correct {group.shown} says how")
    if group.counted == "never" and clean.get("counted", "never") != "never":
        after |= _a_part_after_all(state, group)
    below = keeping_up(state, group, clean)
    after[subject(group_id)] |= below.pop(subject(group_id), {})
    return Draft("change", {**below, **after})


def as_written(state: State, fields: Mapping[str, Any]) -> dict[str, Any]:
    """Return checked fields with an origin among them written as it is already."""
    return {**fields, **({"origin": as_known(state, fields["origin"])} if fields.get("origin") else {})}


def _a_part_after_all(state: State, group: Group) -> dict[str, Any]:
    """Return the postings that take back that a group is no part; what never came in comes off now."""
    after: dict[str, Any] = {}
    left = dict(group.seats)
    for key, doc in state.docs("posting").items():
        n = min(left.get(doc["seat"], 0), doc["n"]) if doc.get("no_part") else 0
        if n > 0:
            left[doc["seat"]] -= n
            after[f"posting:{key}"] = None if n == doc["n"] else {"n": doc["n"] - n}
    return after | posted(group, "taken", left, "it is a part after all")


def needs_reason(group: Group, fields: Mapping[str, Any]) -> str | None:
    """Return why a change of a group is a correction and wants a reason, None where it is not.

    That is so for the number of pieces, where it came off, and for calling what came off no part. What was
    left open of an origin is filled freely: 'grinder' becomes 'grinder > head'.
    """
    if fields.get("qty", group.qty) != group.qty:
        return f"{group.shown} came as {_pieces(group.qty)}: say why that is {_pieces(fields['qty'])} now"
    origin = tuple(fields.get("origin", group.origin))
    if group.origin and origin[:1] != group.origin[:1]:
        return f"{group.shown} came off {group.origin[0]}: say why it goes to another machine"
    if origin[: len(group.origin)] != group.origin:
        return f"{group.shown} came off {' > '.join(group.origin)}: say why it is {' > '.join(origin)}"
    if fields.get("counted") == "never" and group.counted != "never":
        return f"{group.shown} came off: say why it is no part"
    return None


def order_left(group: Group, verb: str) -> str:
    """Say that a decision or an order not yet done would be left for another, '' where it is not.

    Nothing stands in the way of deciding that it goes for good.
    """
    was = group.disposition
    ordered = was in ORDERS and not any(each.what == was and each.done for each in group.work)
    if verb == was or verb in OUT or not (was in OUT or ordered):
        return ""
    return f"{group.shown} was to be: {was}. Say why it is '{verb}' now"


def corrected(
    group: Group, field: str, old: Any, new: Any, text: str, why: str, *, by: str = "", on: str | None = None
) -> dict[str, Any]:
    """Return the record of a correction of a group: of which field, the old value and the new one."""
    return correction(
        "group", group.id, f"{group.shown}: {text}", why, by=by, on=on,
        group=group.id, field=field, old=old, new=new,
    )  # fmt: skip


def correction(
    table: str, key: str | None, text: str, why: str, *, by: str = "", on: str | None = None, **more: Any
) -> dict[str, Any]:
    """Return the record of a correction: of which document, in words, the reason, the name and the day.

    `more` is what else is kept: the group it is about, the field, its old and its new value.
    """
    doc = {"table": table, "key": key, "text": text, "why": why, "by": by or None,
           "on": day_of(on).isoformat(), **more}  # fmt: skip
    return {f"correction:{new_id()}": {name: value for name, value in doc.items() if value is not None}}


def day_of(on: str | None) -> date:
    """Return the day an act is done on, today where none is given."""
    from datetime import date

    return date.today() if on is None else date.fromisoformat(values.checked_date(on, "the date") or "")


def posted(
    group: Group,
    kind: str,
    seats: Mapping[str, int],
    why: str,
    /,
    *,
    by: str = "",
    on: str | None = None,
    **more: Any,
) -> dict[str, Any]:
    """Return the postings of pieces of a group, one for each position (see lots.py)."""
    found: dict[str, Any] = {}
    for seat, n in seats.items():
        if n:
            doc = {
                "kind": kind, "seat": seat, "n": n, "why": why or None, "by": by or None, "on": on,
                "group": group.id, "name": group.shown, "code": group.code, "brought": group.brought or None,
                **more,
            }  # fmt: skip
            found[f"posting:{new_id()}"] = {name: value for name, value in doc.items() if value is not None}
    return found


def seat_docs(state: State, group: Group) -> dict[str, Any]:
    """Return what keeps a group's own position known where the group goes: its name, origin and order."""
    if group.id in state.docs("part") and state.docs("part")[group.id].get("name"):
        return {}
    doc = {"name": group.shown, "origin": list(group.origin), "order": group.order}
    return {f"part:{group.id}": {name: value for name, value in doc.items() if value}}


def split(
    state: State,
    group_id: str,
    qty: int | None = None,
    names: Sequence[str] = (),
    *,
    seats: Sequence[str] = (),
    beyond: bool | None = None,
    label: str | None = None,
) -> Draft:
    """Make groups of their own of `qty` pieces, or of one piece for each name; the rest stays.

    Pieces are taken from the positions named (`seats`), else from the group's first. What was measured and
    conceded holds for each of them; with `beyond` those that go are the ones beyond their limit, and the rest
    is without their values; where the group has several labels, `label` is the one they carry (or 'new'), so
    that none is found by the other's. Every piece is kept: quantities add up to what they were. A known mass
    is shared by the piece, and is then 'about'; the new groups lie where the old one does and their size is
    unknown unless by container.
    With a name for every piece the first one keeps the old tag.
    """
    from shopbins.records.measured import beyond_of, copied_tests

    group = known(state, group_id)
    theirs = beyond_of(state, group, qty) if beyond and not names else None
    if theirs is not None and qty is None:
        qty = theirs.pieces
    if (qty is None) == (not names) or (beyond and names):
        raise BadValue("give either how many pieces to split off, or their names")
    wanted = [values.checked_qty(qty)] if qty is not None else [1] * len(names)
    if group.qty < 2 or sum(wanted) > group.qty or (qty is not None and qty >= group.qty):
        raise Refused(f"{group.shown} has {_pieces(group.qty)}: {_pieces(sum(wanted))} cannot be split off")
    titles = [clean_text(name, "a name") for name in names] or [group.name]
    if not all(titles) and names:
        raise BadValue("a name is empty")
    own = _label_of(group, label) if theirs is not None else ""
    kept: dict[str, Any] = {"qty": group.qty - sum(wanted)}
    if own:
        left = [each for each in (group.code, *group.also_codes) if each != own]
        kept |= {"code": left[0], "also_codes": tuple(left[1:])}
    if kept["qty"] == 0:
        kept = {"qty": 1, "name": titles.pop(0)}
        wanted.pop(0)
    if group.mass is not None:
        kept["mass"] = _share(group.mass, kept["qty"], group.qty)
    after: dict[str, Any] = {subject(group_id): group_fields(kept)}
    serial = state.last_serial
    stays = group.seats
    for title, pieces in zip(titles, wanted, strict=True):
        code = state.next_code(serial)
        serial = code.serial
        goes, stays = split_off(stays, pieces, seats)
        new = new_id()
        doc = part_of(group, title, pieces, own or code.text) | ({"tagged": True} if own else {})
        more = {name: value for name, value in share_fields(goes, new).items() if value is not None}
        asked = state.docs("group")[group_id].get("each") if theirs is None else None
        more |= {"each": asked} if asked and pieces > 1 else {}
        after[subject(new)] = {**doc, **more, **_origin_of(state, group, goes)}
        held = copied_tests(state, group_id, new, pieces, sum(stays.values()))
        after |= held if theirs is None else theirs.moved(new, pieces, sum(stays.values()))
        for key, told in _accepted_too(state, group_id, new).items():
            after[key] = told | ({"open": {**after[key]["open"], **told["open"]}} if key in after else {})
    if theirs is not None:
        open_ = {each.what: each for each in (*group.work, *theirs.again(group.qty - sum(wanted)))}
        after[subject(group_id)] |= group_fields({"work": tuple(open_.values())})
        if each := theirs.lacks(group.qty - sum(wanted)):
            after[subject(group_id)]["each"] = each
    after[subject(group_id)] |= {**share_fields(stays, group_id), **_origin_of(state, group, stays)}
    if group_id not in stays and group_id in group.seats:
        after |= seat_docs(state, group)
    return Draft("split", after, _holder(group.where))


def _label_of(group: Group, label: str | None) -> str:
    """Return which of a group's labels is on the pieces that go, '' for a new one."""
    labels, said = (group.code, *group.also_codes), (label or "").strip().upper()
    if said in labels:
        return said if len(labels) > 1 else ""
    if said == "NEW" or not (said or group.also_codes):
        return ""
    raise Refused(
        f"{group.shown} has the labels {', '.join(labels)}: say which is on the pieces that go "
        "(--label CODE, or --label new)"
    )


def _origin_of(state: State, group: Group, seats: Mapping[str, int]) -> dict[str, Any]:
    """Return the origin of pieces that are all of another machine than the group they lay among."""
    held = [seat for seat, n in seats.items() if n]
    origins = [
        group.origin if seat == group.id else tuple(listed(state).get(seat, {}).get("origin", group.origin))
        for seat in held
    ]
    machines = {origin[:1] for origin in origins}
    return {"origin": list(origins[0])} if len(machines) == 1 and group.origin[:1] not in machines else {}


def _share(mass: Mass, pieces: int, of: int) -> Mass:
    return Mass(mass.kg * pieces / of, about=True)


def part_of(group: Group, name: str, qty: int, code: str) -> dict[str, Any]:
    """Return the document of pieces split off a group."""
    where = group.where
    if isinstance(where, InZone):
        where = InZone(where.zone, where.level)  # the exact place is that of the group they left
    fields = {
        "code": code,
        "name": name,
        "qty": qty,
        "origin": group.origin,
        "container": group.container,
        "disposition": group.disposition,
        "cautions": group.cautions,
        "order": group.order,
        "taken_at": group.taken_at,
        "where": where,
        "mass": None if group.mass is None else _share(group.mass, qty, group.qty),
        "work": group.work,
        "brought": group.brought,
        "counted": group.counted,
        "one_use": group.one_use,
        "used": group.used,
        "elsewhere": group.elsewhere,
    }
    return group_doc(fields)


def _pieces(count: int) -> str:
    return counted(count, "piece")


def accepted_doc(
    kind: str,
    group: Group,
    why: str,
    waited_for: Sequence[str],
    *,
    by: str = "",
    on: str | None = None,
    **more: Any,
) -> dict[str, Any]:
    """Return the record that a named person let something through, to be told in the count for ever."""
    doc = {
        "kind": kind, "group": group.id, "name": group.shown, "positions": list(group.positions),
        "text": f"{group.shown}: waited for {'; '.join(waited_for)}"[:500],
        "why": why, "by": by or None, "since": on, "waited_for": list(waited_for), **more,
    }  # fmt: skip
    return {f"accepted:{new_id()}": {k: v for k, v in doc.items() if v or k in more}}


def _accepted_too(state: State, group_id: str, new: str) -> dict[str, Any]:
    """Return what has what was accepted as a group went on hold for the pieces split off it (`new`)."""
    after: dict[str, Any] = {}
    for key, doc in state.docs("accepted").items():
        if doc.get("kind") != "fit":
            continue
        if doc.get("group") == group_id and (doc.get("for_now") or "open" not in doc):
            after[f"accepted:{new_id()}"] = {**doc, "group": new, **_moved_open(doc, group_id, new)}
        elif group_id in doc.get("open", ()):
            after[f"accepted:{key}"] = {"open": {**doc["open"], new: doc["open"][group_id]}}
    return after


def _moved_open(doc: Doc, group_id: str, new: str) -> dict[str, Any]:
    return {"open": {new: doc["open"].get(group_id, [])}} if "open" in doc else {}


def no_longer_accepted(state: State, group_id: str, points: Iterable[str]) -> dict[str, Any]:
    """Return what ends the acceptance of points of work that are done: opened again, they are open anew."""
    after: dict[str, Any] = {}
    done = set(points)
    for key, doc in state.docs("accepted").items():
        mine = (doc.get("open") or {}).get(group_id, ())
        if done & set(mine):
            left = [each for each in mine if each not in done]
            after[f"accepted:{key}"] = {"open": {**doc["open"], group_id: left}}
    return after


# -- tags


def lay_blank(state: State, code: str, where: Whereabouts, accepted: Accepting = None) -> Draft:
    """Record that something with this blank tag lies there, to be named later; order of removal unknown."""
    return take(state, "", code=code, where=where, ordered=False, accepted=accepted)


def issue_blanks(state: State, count: int) -> Draft:
    """Give out codes for `count` blank tags; the draft's subjects are 'tag:<code>'."""
    if not 1 <= count <= 10_000:
        raise BadValue(f"{count} blank labels: must be 1 to 10000")
    after: dict[str, Any] = {}
    serial = state.last_serial
    for _ in range(count):
        code = state.next_code(serial)
        serial = code.serial
        after[f"tag:{code.text}"] = {"blank": True}
    return Draft("issue blanks", after)


def issue_place_codes(state: State, places: Iterable[str]) -> Draft:
    """Give a code to each 'zone' or 'zone/level' that has none yet; Refused if all have one."""
    after: dict[str, Any] = {}
    serial = state.last_serial
    for place in dict.fromkeys(places):
        if state.place_code(place) is None:
            code = state.next_code(serial)
            serial = code.serial
            after[f"place:{place}"] = {"code": code.text}
    if not after:
        raise Refused("every one of these places has its code already")
    return Draft("issue place codes", after)


def mark_tagged(state: State, codes: Iterable[str], printed: Mapping[str, str] | None = None) -> Draft:
    """Record that labels with these codes were printed or stuck on.

    `printed` are digests of what each label says, by code; kept so that a tag that no longer says what is
    so can be told.
    """
    after: dict[str, Any] = {}
    digests = printed or {}
    for code in codes:
        found = state.resolve_code(code)
        if found is None:
            raise Refused(f"{code} is not known here")
        if found[0] == "tag":
            after[f"tag:{found[1]}"] = {"printed": True}
        else:
            after[f"{found[0]}:{found[1]}"] = {"tagged": True, "printed": digests.get(code) or None}
    if not after:
        raise BadValue("no code was given")
    return Draft("mark tagged", after)


# -- the shop's things


def move_thing(
    state: State,  # noqa: ARG001 - every act takes the state
    key: str,
    x_mm: float,
    y_mm: float,
    turn_deg: float = 0.0,
    room: str = "",
    accepted: Accepting = None,
) -> Draft:
    """Record where a movable thing of the shop stands now: its centre in the shop frame."""
    doc = {
        "x_mm": values.checked_position(x_mm),
        "y_mm": values.checked_position(y_mm),
        "turn_deg": values.checked_turn(turn_deg) or None,
        "room": clean_text(room, "a room's key") or None,
    }
    return Draft("move thing", {f"thing:{clean_text(key, 'a key')}": doc, **docs_after(accepted)})
