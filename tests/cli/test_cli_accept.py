"""`shopbins accept`: one way to let something through, take it back, and see what is accepted."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

Run = Callable[..., Any]


def overloaded(run: Run) -> str:
    code = run("take", "gear case", "--container", "box", "--mass", "120kg", "--json").data["code"]
    assert run("put", code, "rack/1", "--override", "props under the shelf").status == 0
    return code


def test_accepted_by_the_act_listed_and_taken_back(run: Run) -> None:
    overloaded(run)
    (only,) = run("accept", "--json").data
    assert (only["id"], only["kind"], only["by"], only["why"]) == (
        "level-load/zone:rack/1", "stop", "tester", "props under the shelf",
    )  # fmt: skip
    assert (only["measured"], only["for_now"]) == (120.0, False)
    audit = run("audit", "--json")
    assert audit.status == 2  # an accepted stop still gives 2
    assert (audit.data["counts"]["stop"], audit.data["counts"]["accepted"]) == (0, 1)
    assert run("accept", "level-load/zone:rack/1", "--back").status == 0
    assert run("accept", "--json").data == []
    assert run("audit", "--json").data["counts"]["stop"] == 1


def test_accepted_afterwards_by_id_or_a_part_of_it(run: Run) -> None:
    overloaded(run)
    run("accept", "level-load", "--back")
    done = run("accept", "level-load", "bolted to the beam", "--by", "ann", "--json")
    assert done.status == 0 and set(done.data) == {"seq"}
    finding = next(f for f in run("audit", "--json").data["findings"] if f["rule"] == "level-load")
    assert (finding["override"]["by"], finding["override"]["why"]) == ("ann", "bolted to the beam")
    assert "accepted by ann (bolted to the beam)" in run("accept").out


def test_several_ids_before_one_reason_are_each_recorded_and_said(run: Run) -> None:
    code = run("take", "bar", "--size", "400x300x200mm", "--mass", "40kg", "--json").data["code"]
    run("put", code, "corner", "--at", "500,500")
    overloaded(run)
    run("accept", "level-load", "--back")
    ids = [f["id"] for f in run("audit", "--json").data["findings"]][:3]
    assert len(ids) == 3
    seq = run("audit", "--json").data["seq"]
    assert run("accept", *ids).status == 64  # the last is no reason
    assert run("accept", ids[0], "nothing/at:all", "seen").status == 1
    assert run("audit", "--json").data["seq"] == seq
    done = run("accept", *ids, "seen by both of us")
    assert done.status == 0 and len(done.out.splitlines()) == 3
    assert {(each["id"], each["why"]) for each in run("accept", "--json").data} == {
        (key, "seen by both of us") for key in ids
    }


def test_since_the_day_it_was_done_on(run: Run) -> None:
    day = (date.today() - timedelta(days=3)).isoformat()
    code = run("take", "gear case", "--mass", "120kg", "--day", day, "--json").data["code"]
    assert run("put", code, "rack/1", "--override", "props", "--day", day).status == 0
    assert [each["since"] for each in run("accept", "--json").data] == [day]
    assert run("accept", "level-load", "--back", "--on", "yesterday").status == 0
    assert run("accept", "level-load", "bolted", "--on", day).status == 0
    assert [each["since"] for each in run("accept", "--json").data] == [day]
    assert run("put", code, "bench", "--day", day).status == 0
    history = run("show", code, "--json").data["history"]
    assert {each["day"] for each in history} == {day}
    assert run("undo", "--override", "props", "--day", day).status == 0
    assert [each["since"] for each in run("accept", "--json").data] == [day]


def test_what_cannot_be(run: Run) -> None:
    code = overloaded(run)
    seq = run("audit", "--json").data["seq"]
    assert run("accept", "nothing/at:all", "because").status == 1
    assert run("accept", "level-load").status == 64
    assert run("accept", "--back").status == 64
    assert run("accept", "/", "because").status == 65  # in several ids
    assert run("accept", "level-load", "  ").status == 65
    assert run("audit", "--json").data["seq"] == seq
    assert code


def test_a_dismissed_note_leaves_the_counts(run: Run) -> None:
    code = run("take", "bar", "--size", "400x300x200mm", "--mass", "40kg", "--json").data["code"]
    run("put", code, "corner", "--at", "500,500")
    before = run("audit", "--json").data
    notes = [f for f in before["findings"] if f["grade"] == "note"]
    assert notes
    assert run("accept", notes[0]["id"], "seen").status == 0
    after = run("audit", "--json").data
    assert after["counts"]["note"] == before["counts"]["note"] - 1
    assert after["counts"]["accepted"] == 0


def test_undo_that_brings_a_stop_back(run: Run) -> None:
    first = run("take", "gear case", "--container", "box", "--mass", "70kg", "--json").data["code"]
    run("put", first, "rack/1")
    run("put", first, "corner")
    second = run("take", "pump case", "--container", "box", "--mass", "60kg", "--by", "bo", "--json").data[
        "code"
    ]
    assert run("put", second, "rack/1", "--by", "bo").status == 0
    refused = run("undo")
    assert refused.status == 1 and "130 kg" in refused.err
    assert json.loads(run("show", first, "--json").out)["place"] != "rack/1"
    assert run("undo", "--override", "only until the hoist is free").status == 0
    (only,) = run("accept", "--json").data
    assert only["why"] == "only until the hoist is free"
