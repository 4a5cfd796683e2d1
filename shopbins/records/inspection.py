"""An inspection: a measured value against its limit; and a concession, which lets a value beyond it through.

What follows for putting back is `strip/release.py`. ISO 9000:2015 calls a concession the permission to use
what does not conform, limited to given characteristics, limits, quantity or time.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.model import WorkPoint
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records import kinds
from shopbins.records.acts import day_of, known, no_longer_accepted, subject
from shopbins.records.record import Act, Field, Record
from shopbins.strip.release import (
    LIMITS,
    OLD_DECISION,
    REWORK,
    ROUND_MM,
    VERIFY,
    Characteristic,
    Tests,
    among,
    as_conceded,
    characteristics,
    limits_said,
    narrowest,
    read_limits,
    uncovered,
)
from shopbins.strip.work import check_units, judge, mm_of


def inspect(
    state: State,
    group_id: str,
    what: str,
    measured: str,
    low: str | None = None,
    high: str | None = None,
    *,
    instrument: str | None = None,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Record a value of one characteristic. A limit not given is that it was judged by the last time, or the
    narrowest a value of its place was.

    Wider limits than then are refused: that is a concession. Within its limits the inspection is done; beyond
    them the group is rejected; without any it goes on waiting for one. Of several pieces (`among` so many) a
    value counts for all, and one beyond is cleared by no later one (see `release.characteristics`). A value
    of a day before the group was reworked does not verify the rework; where each piece is to be measured (the
    group's `each`, since one of them was beyond), as many values as pieces do.
    """
    group = known(state, group_id)
    label = " ".join(clean_text(what or "", "what was measured", 80).split())
    if not label:
        raise BadValue("say what was measured")
    day = day_of(on)
    seen = [doc for _, doc in _values(state, group_id, label)]
    held_to = seen[-1] if seen else {}
    if judge(measured or "").doc.get("measured_mm") is not None:
        limit = state.follower(Tests).limits(group_id).get(label.casefold(), {})
        held_to = {**dict.fromkeys(LIMITS), **limit} if limit else held_to
    low, high = ((given or "").strip() or held_to.get(side) for given, side in ((low, "low"), (high, "high")))
    found = judge(measured or "", low or "", high or "")
    check_no_wider(label, held_to, found.doc)
    points = {each.what: each for each in group.work}
    verify = f"{VERIFY}{label.lower()}"[:80]
    reworked = max((each.done for each in group.work if each.what in REWORK and each.done), default=None)
    verifies = reworked is None or day.isoformat() >= reworked
    anew = reworked is not None and verifies and verify in points and points[verify].done is None
    raw = state.docs("group")[group_id]
    every = [each for each in raw.get("each", ()) if each != label.casefold()]
    since = [each for each in seen if "reworked" not in each and among(each, raw) <= group.qty]
    if len(every) < len(raw.get("each", ())):  # each piece is to be measured
        since = [each for each in since if reworked is None or each["on"] >= reworked]
        anew, enough = anew and not since, len(since) + 1 >= group.qty
    else:
        enough = True
    doc = {
        "group": group_id, "what": label, "verdict": found.verdict, "on": day.isoformat(), "by": by or None,
        "instrument": clean_text(instrument or "", "the instrument") or None, **found.doc,
        "at": [seat for seat, n in group.seats.items() if n],
        **({"among": group.qty, "anew": anew or None} if group.qty > 1 else {}),
    }  # fmt: skip
    after: dict[str, Any] = {
        f"inspection:{new_id()}": {name: value for name, value in doc.items() if value is not None}
    }
    if found.verdict == "not judged":
        points.setdefault("inspect", WorkPoint("inspect"))
    else:
        others = [
            c
            for c in characteristics(state, group_id, day)
            if c.what.casefold() != label.casefold() or (group.qty > 1 and not anew and c.within is False)
        ]
        if verify in points and verifies and enough:
            points[verify] = WorkPoint(verify, day.isoformat())
        if all(c.within is not None for c in others) and verifies:
            points["inspect"] = WorkPoint("inspect", day.isoformat())
        if found.verdict == "within" and all(c.within for c in others):
            points.pop(OLD_DECISION, None)
    work = values.checked_work(list(points.values()))
    open_ = {"inspect", *(each.what for each in group.work if each.done is None)}
    closed = [each.what for each in work if each.what in open_ and each.done]
    after |= no_longer_accepted(state, group_id, [*closed, f"limit of {label}"])
    fields = group_fields({"work": work})
    if enough and verifies and len(every) < len(raw.get("each", ())):
        fields["each"] = every or None
    return Draft("inspect", {subject(group_id): fields, **after})


def _values(state: State, group_id: str, what: str) -> list[tuple[str, Any]]:
    found = state.follower(Tests).of("inspection", group_id)
    return [(key, doc) for key, doc in found if doc["what"].casefold() == what.casefold()]


def check_no_wider(what: str, old: Any, new: Any) -> None:
    """Refuse limits that are wider than those a characteristic was judged by before."""
    for name, sign in (("low_mm", 1), ("high_mm", -1)):
        was, now = old.get(name), new.get(name)
        if was is not None and (now is None or (was - now) * sign > ROUND_MM):
            limits = limits_said(old.get("low", ""), old.get("high", ""))
            raise Refused(
                f"{what} was checked against '{limits}': a wider limit is a concession, with name and reason"
            )
    seen = old.get("low_mm") is None and old.get("high_mm") is None and old.get("low")
    if seen and new.get("low") != old.get("low"):
        raise Refused(f"{what} was checked against '{old['low']}': another one is a concession")


def concede(
    state: State,
    group_id: str,
    reason: str,
    limits: str | None = None,
    *,
    until: str | None = None,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Let a group go on with values beyond their limit: by name, for a reason, within limits, until a date.

    `limits` as 'd >= 8.95' (mm where no unit is said). Refused where nothing of it is rejected, where the
    value does not hold the limits conceded, where they say nothing of the side it is beyond, and where they
    would widen the other. It is for as many pieces as the group has now.
    """
    group = known(state, group_id)
    why = reason_text(reason)
    if not why:
        raise BadValue("say why it may be used anyway")
    day = day_of(on)
    end = values.checked_date(until, "until")
    if end is not None and end < day.isoformat():
        raise BadValue(f"a concession until {end} has run out already")
    all_beyond = [c for c in characteristics(state, group_id, day) if c.within is False]
    beyond = {c.what.casefold(): c for c in all_beyond}
    if not beyond:
        raise Refused(f"{group.shown} has no value beyond its limit: there is nothing to concede")
    if not (within := (limits or "").strip()):
        raise BadValue(
            "a concession is limited: say to what (--limits 'd >= 8.95mm', or in words what was seen)"
        )

    def conceded(each: Characteristic) -> dict[str, Any]:
        if day.isoformat() < (known_on := each.doc.get("on", "")):
            raise Refused(f"{each.said} was found on {known_on}: it is not conceded before that")
        return {
            "group": group_id, "what": each.what, "value": each.doc.get("measured"),
            "value_mm": each.doc.get("measured_mm"),
            "limit": limits_said(each.doc.get("low", ""), each.doc.get("high", "")), "limits": within,
            "against": narrowest(each.doc),
            "reason": why, "by": by, "on": day.isoformat(), "qty": group.qty,
            **({"until": end} if end else {}),
        }  # fmt: skip

    seen, rest = _seen(all_beyond, within)
    after: dict[str, Any] = {f"concession:{new_id()}": conceded(each) for each in seen}
    if not rest:
        return Draft("concede", after, (subject(group_id),))
    measured: dict[str, Any] = {}
    for what, sign, text in read_limits(rest):
        name = what.casefold() or next(iter(beyond))
        if (not what and len(beyond) > 1) or name not in beyond:
            raise BadValue(f"say of which value it is: {', '.join(c.what for c in beyond.values())}")
        each = beyond[name]
        check_units(text, each.doc.get("measured", ""))
        bound = mm_of(text)
        value = each.doc.get("measured_mm")
        if value is None:
            raise BadValue(f"{each.what} is no length: say in words what is conceded")
        side, way = ("low_mm", 1) if sign == ">=" else ("high_mm", -1)
        if (value - bound) * way < -ROUND_MM:
            raise Refused(f"{each.said} does not hold {sign} {text}: it would be rejected anyway")
        limit = each.doc.get(side)
        if limit is not None and (value - limit) * way >= -ROUND_MM and (limit - bound) * way > ROUND_MM:
            raise Refused(f"{each.said}: {sign} {text} is wider on the side it holds, which stays as it is")
        key = next((k for k, d in measured.items() if d["what"] == each.what), f"concession:{new_id()}")
        measured.setdefault(key, conceded(each))[side] = bound
    for doc in measured.values():
        each = beyond[doc["what"].casefold()]
        if uncovered(doc, each.doc, day, group.qty):
            raise Refused(
                f"{each.said}: the limits say nothing of the side it is beyond (as '{as_conceded(each.doc)}')"
            )
    return Draft("concede", {**after, **measured}, (subject(group_id),))


def _seen(beyond: Sequence[Characteristic], text: str) -> tuple[list[Characteristic], str]:
    """Return what of a concession's limits is of something seen ('thread: worn, one season'), and the rest.

    Of something seen the limit is in words: the value as it is, and no other. Where several were seen, each
    is conceded by its name or by what was seen.
    """
    every = {(each.what.casefold(), each.doc.get("measured", "").casefold()): each for each in beyond}
    seen = {key: each for key, each in every.items() if each.doc.get("measured_mm") is None}
    only_seen = len(seen) == len(every)
    names = [f"{each.what} {each.doc.get('measured', '')}" for each in seen.values()]
    named = ", ".join(names)
    if only_seen and re.search("[<>]", text):
        raise BadValue(f"{named}: what was seen has no limit in mm; say in words what is conceded")
    if len(every) == len(seen) == 1:
        return [*seen.values()], ""
    found, rest = [], []
    for part in text.split(";"):
        name, _, words = (each.strip().casefold() for each in part.partition(":"))
        said = words or name
        those = [key for key in seen if words and name in (key[0], " ".join(key))]
        if len(those) != 1:
            those = [key for key in those or seen if re.search(rf"\b{re.escape(key[1])}\b", said)]
        found += [seen[key] for key in those]
        rest += [] if those else [part]
    if rest and only_seen:
        raise BadValue(f"say of which it is ({named}), as '{names[0]}: one season'")
    return found, ";".join(rest)


def withdraw(state: State, group_id: str, reason: str, *, by: str = "", on: str | None = None) -> Draft:
    """Take every concession of a group back, with the reason: it is rejected again."""
    group = known(state, group_id)
    standing = [k for k, d in state.follower(Tests).of("concession", group_id) if not d.get("withdrawn")]
    if not standing:
        raise Refused(f"{group.shown} has no concession")
    why = reason_text(reason)
    if not why:
        raise BadValue("say why it is taken back")
    text = f"{why} ({by}, {day_of(on).isoformat()})"
    return Draft("withdraw", {f"concession:{k}": {"withdrawn": text} for k in standing}, (subject(group_id),))


_ON = Field("on", kinds.PAST, "on which day")
INSPECTION = Record(
    "inspection",
    "an inspection",
    "journal 2, 59.93 mm, at least 59.96 mm",
    (
        Field("what", kinds.TEXT, "what was measured: 'journal 2', 'bore, top'"),
        Field("measured", kinds.TEXT, "as 59.97mm, 38um, 1.5thou, '1 3/8 in', M10x1.25; or what was seen: "
              "ok, cracked"),
        Field("low", kinds.TEXT, "it must be at least this", "--min", "LIMIT", said="at least {}",
              label="at least"),
        Field("high", kinds.TEXT, "it may be at most this", "--max", "LIMIT", said="at most {}",
              label="at most"),
        Field("instrument", kinds.TEXT, "what it was measured with", "--instrument", said="with {}"),
    ),
    (
        r"(?:at least|min(?:imum)?|not under|>=?)\s*(?P<low>.+)",
        r"(?:at most|max(?:imum)?|not over|<=?)\s*(?P<high>.+)",
        r"(?:is|must be)\s+(?P<low>.+)",
        r"with\s+(?P<instrument>.+)",
        r"(?P<low>.+?)\s*(?:\bto\b|\.\.)\s*(?P<high>.+)",
    ),
    lead=(r"(?P<what>.+)", r"(?P<measured>.+)"),
    begins="what was measured, the value, its limits",
)  # fmt: skip
CONCESSION = Record(
    "concession",
    "a concession",
    "good for one season; journal 2 >= 59.9 mm; 2027-10-31",
    (
        Field("reason", kinds.TEXT, "why it may be used anyway"),
        Field("limits", kinds.TEXT, "to what: 'd >= 8.95mm', or words for what was seen", "--limits"),
        Field("until", kinds.DATE, "until when", "--until", said="until {}"),
    ),
    (r"(?:until\s+)?(?P<until>\d{4}-\d\d-\d\d)", r"(?P<limits>.+)"),
    lead=(r"(?P<reason>.+)",),
    begins="the reason comes first",
    divider=";",
)  # fmt: skip
INSPECT = Act("inspect", "inspected", inspect, "group", (*INSPECTION.fields, _ON), kinds.GROUP, signed=True)
CONCEDE = Act(
    "concede", "conceded", concede, "concession", (*CONCESSION.fields, _ON), kinds.GROUP, signed=True
)
WITHDRAW = Act(
    "withdraw", "undid the concession of", withdraw, "concession", (CONCESSION.fields[0], _ON), kinds.GROUP,
    signed=True,
)  # fmt: skip
