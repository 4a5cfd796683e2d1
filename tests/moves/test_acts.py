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
from shopbins.moves.finding import MOVE, Ask, once_alike, row_of
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
            acts = {act_of(part) for part in line.parts}
            assert len(acts) == 1 and (len(line.parts) == 1 or None not in acts)
            assert all(part.text in line.text for part in line.parts)


def test_a_figure_taken_as_usual_is_measured_whatever_the_check() -> None:
    part = CHECKS["move-tips"].only(("group:A", "measure:wheels"), "measure truck", "5 deg left")
    assert act_of(part) is ACTS[0] and act_of(CHECKS["move-tips"].only(("group:A",), "slow", "")) is ACTS[-1]


def test_what_is_not_decided_alike_of_many_spots_is_told_once_as_the_worst() -> None:
    check, free = CHECKS["move-room-jack"], {"at 1": 400.0, "at 2": 80.0, "at 3": 300.0, "at 4": 100.0}
    parts = [
        check.open(("group:A", at, "level"), f"{mm} mm {at}", measured=mm, limit=500.0, unit="mm")
        for at, mm in free.items()
    ]
    other = check.open(("group:A", "at 1", "firm"), "soft at 1", measured=9.0, limit=500.0, unit="mm")
    ask = check.open(("group:A", "at 5", "level"), "?", Ask("how long?", "set"), limit=500.0, unit="mm")
    told, soft, asked = once_alike([*parts[:2], other, *parts[2:], ask])
    assert told.text.startswith("80.0 mm at 2; ") and "3 times more: at 1, at 3 and 1 more" in told.text
    assert row_of(told).finding.text == told.text and row_of(told).finding.id == row_of(parts[1]).finding.id
    assert (soft, asked) == (other, ask)
    assert once_alike([other, ask]) == (other, ask) and once_alike(parts[:1]) == (parts[0],)
    apart = [check.open(("group:A", a, b), "") for a, b in (("x", "1"), ("y", "1"), ("y", "2"))]
    assert len(once_alike(apart)) == 2  # of one line the same one subject differs


def test_headline_and_lists_tell_it_once_and_json_has_all(two_floors) -> None:
    plan = move(two_floors)
    spots = [f"at {n}" for n in range(9)]
    open_ = [
        CHECKS["move-room-jack"].open(("group:A", at), f"no room {at}", limit=5.0, unit="mm") for at in spots
    ]
    worse = replace(plan, answer=Answer(MOVE, (*plan.answer.parts, *open_)))
    assert worse.word == "not decided" and len(worse.undecided) == 1 and worse.headline.count("no room") == 1
    assert "8 times more" in worse.headline and "8 times more" in worse.brief
    texts = [part.text for part in open_]
    assert [each for each in worse.as_json()["not_judged"] if each in texts] == sorted(texts)
    sheet = " ".join(" ".join(sheet_text(two_floors.scene(), worse)).split())
    assert sheet.count("no room at") == 2  # headline, and below it


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
