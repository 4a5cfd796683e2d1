"""A measured value against its limit, and what that asks for."""

from __future__ import annotations

from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.model import Work
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.records import kinds
from shopbins.records.acts import known, subject
from shopbins.records.record import Act
from shopbins.strip.waits import DECIDE


def inspect(state: State, group_id: str, what: str, doc: dict[str, Any], verdict: str, on: str) -> Draft:
    """Record a measured value against its limit (`strip.work` judges).

    Within its limit the inspection is done; beyond it the group waits until somebody decides about it;
    not judged, it goes on waiting for inspection.
    """
    group = known(state, group_id)
    date = values.checked_date(on, "the date")
    label = clean_text(what, "what was measured")
    if not label:
        raise BadValue("say what was measured")
    points = {each.what: each for each in group.work}
    if verdict == "beyond":
        points["inspect"] = Work("inspect", date)
        points[DECIDE] = Work(DECIDE)
    elif verdict == "within":
        points["inspect"] = Work("inspect", date)
    else:
        points.setdefault("inspect", Work("inspect"))
    record = {"group": group_id, "what": label, "verdict": verdict, "on": date, **doc}
    after = {
        subject(group_id): group_fields({"work": values.checked_work(list(points.values()))}),
        f"inspection:{new_id()}": {name: value for name, value in record.items() if value is not None},
    }
    return Draft("inspect", after)


INSPECT = Act("inspect", "inspected", inspect, "group", thing=kinds.GROUP)
