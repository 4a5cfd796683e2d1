"""Conditions gathered into what one person sees to at one time: none lost, each on record by itself."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from shopbins.answer import Accepted, Answer, Part, Verdict
from shopbins.desk import moving as at_desk
from shopbins.desk.accepting import meant
from shopbins.desk.problems import NotDone
from shopbins.moves.acts import ACTS, act_of, lines_of
from shopbins.moves.criteria import CRITERIA
from shopbins.moves.finding import MOVE, row_of
from shopbins.records.accepted import acceptances
from shopbins.reports.movesheet import sheet_text
from tests.moves.weir import move, shop, shop_text

CHECKS = {check.key: check for each in CRITERIA for check in each.checks}
ALONE = {"gear-balance", "move-way", "move-at-goal"}
"""Checks of no act: what only forbids, and what stands by itself."""


def test_every_check_of_a_move_belongs_to_one_act_or_to_none_by_name() -> None:
    every = Counter(check.key for act in ACTS for check in act.checks)
    assert max(every.values()) == 1
    assert set(CHECKS) - set(every) == ALONE and set(every) <= set(CHECKS)
    assert len({act.key for act in ACTS} | {act.called for act in ACTS}) == 2 * len(ACTS)
    assert not {act.key for act in ACTS} & set(CHECKS)  # an id of a line is that of no condition


def test_no_condition_is_lost_or_twice_and_only_those_of_one_act_go_together() -> None:
    chance = random.Random(12)
    for _ in range(50):
        some = [*chance.sample(sorted(CHECKS), 12), "move-at-goal"]
        parts = [
            CHECKS[key].only((f"room:{n}",), f"see to {n}", f"told of {n}") for n, key in enumerate(some)
        ]
        lines = lines_of(parts, ("group:A", "gear:G", "zone:Z"))
        assert Counter(part.text for line in lines for part in line.parts) == Counter(p.text for p in parts)
        assert len({line.id for line in lines}) == len(lines)
        for line in lines:
            acts = {act_of(row_of(part).finding.rule) for part in line.parts}
            assert len(acts) == 1 and (len(line.parts) == 1 or None not in acts)
            assert all(part.text in line.text for part in line.parts)


def test_a_line_is_accepted_only_once_each_of_it_is() -> None:
    parts = [CHECKS["move-floor-even"].only((f"room:{n}",), f"even: {n}", "") for n in "ab"]
    seen = Part(
        Verdict.ACCEPTED, parts[0].text, parts[0].subjects, Accepted("Ida", "seen"), parts[0].evidence
    )
    (both,), (one,) = lines_of(parts, ("group:A",)), lines_of([seen, parts[1]], ("group:A",))
    assert both.open == tuple(parts) and one.open == (parts[1],) and "1 accepted" in one.text
    assert both.id == one.id == "floors/group:A"
    (alone,) = lines_of(parts[:1], ("group:A",))
    assert alone.id == row_of(parts[0]).finding.id and alone.text == parts[0].text


@pytest.fixture
def two_floors(tmp_path: Path):
    return shop(tmp_path, shop_text())


def test_one_id_accepts_what_goes_together_each_on_record_by_itself_as_one_event(two_floors) -> None:
    desk, plan = two_floors, move(two_floors)
    line = next(each for each in plan.to_accept if len(each.parts) > 1)
    said = {each["id"]: each for each in plan.as_json()["to_accept"]}
    ids = [row_of(part).finding.id for part in line.parts]
    assert said[line.id]["conditions"] == ids and said[line.id]["open"] == len(ids)
    assert line.id in " ".join(" ".join(sheet_text(desk.scene(), plan)).split())
    listed = [key for each in said.values() for key in each["conditions"]]
    assert sorted(listed) == sorted(each["id"] for each in plan.as_json()["conditions"])
    desk.accept(at_desk.condition(row_of(line.parts[0])), "seen before")  # as older ledgers have it
    before = desk.seq
    desk.accept_each(meant(desk, line.id), "walked it")
    assert desk.seq == before + 1
    why = {key: it.accepted.why for key, it in acceptances(desk.state).items()}
    assert why == {ids[0]: "seen before", **dict.fromkeys(ids[1:], "walked it")}
    now = move(desk)
    assert {row_of(p).finding.id for p in now.answer.of(Verdict.ACCEPTED)} == set(ids)
    assert next(each for each in now.to_accept if each.id == line.id).open == ()
    with pytest.raises(NotDone, match="accepted already"):
        meant(desk, line.id)
    desk.undo()
    assert set(acceptances(desk.state)) == {ids[0]}


def test_what_forbids_is_never_in_a_line(two_floors) -> None:
    plan = move(two_floors)
    stop = CHECKS["move-tips"].no(("group:A",), "it tips")
    worse = replace(plan, answer=Answer(MOVE, (*plan.answer.parts, stop)))
    assert worse.verdict is Verdict.NO and worse.to_accept == plan.to_accept
    assert worse.as_json()["to_accept"] == plan.as_json()["to_accept"]
