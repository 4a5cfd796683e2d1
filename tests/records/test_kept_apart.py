"""What may not go back on stays apart from what may; a count that differs keeps what became of the rest."""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import BENCH, Job

from shopbins.ledger.events import Draft
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.records import (
    acts,
    fitting,
    matched,
    merging,
    milestone,
    pieces,
    position,
    relation,
    shortage,
    work,
)
from shopbins.records.inspection import concede, inspect
from shopbins.records.undoing import undone
from shopbins.strip.count import count
from shopbins.strip.waits import on_unreleased


def bolts(measured: str) -> Job:
    """Two bolts of the saw, the second of them measured against a least of 10 mm."""
    job = Job()
    for name in ("left bolt", "right bolt"):
        job.take(name, "saw", where=BENCH)
    job.do(inspect(job.state, job.id("right bolt"), "shank", measured, "10 mm", by="ann", on="2026-11-25"))
    return job


@pytest.mark.parametrize("first", ["left bolt", "right bolt"])
def test_a_rejected_part_is_not_put_together_with_a_good_one(first: str) -> None:
    job = bolts("9.9 mm")
    ids = sorted((job.id("left bolt"), job.id("right bolt")), key=lambda each: each != job.id(first))
    with pytest.raises(Refused, match="right bolt is rejected: it stays apart"):
        merging.merge(job.state, ids)
    limit = "shank >= 9.8 mm"
    job.do(concede(job.state, job.id("right bolt"), "no spare", limit, by="ann", on="2026-11-25"))
    with pytest.raises(Refused, match="right bolt is under concession: it stays apart"):
        merging.merge(job.state, ids)


def studs() -> tuple[Job, str, str]:
    """Two lots of two studs of one saw, nothing said of either."""
    job = Job()
    return job, *(job.take(name, "saw", "head", qty=2, where=BENCH) for name in ("left studs", "right studs"))


DIFFERS = {
    "is to: remachine": lambda s, g: fitting.dispose(s, g, "remachine"),
    "is to: scrap": lambda s, g: fitting.dispose(s, g, "scrap"),
    "'crack test' to do": lambda s, g: work.listed(s, g, ["crack test"]),
    "is on trial": lambda s, g: fitting.try_on(s, g, on="2026-11-25"),
    "is back on saw": lambda s, g: fitting.fit(s, g, on="2026-11-25"),
    "is lent to the club until 2026-12-20": lambda s, g: pieces.lend(s, g, "the club", "2026-12-20"),
    "is away at Moss for skimming": lambda s, g: acts.send_away(s, g, "Moss", None, "skimming"),
    "is not counted yet": lambda s, g: acts.change(s, g, counted="later"),
    "is of one use": lambda s, g: acts.change(s, g, one_use=True),
    "has the value of len 10 mm": lambda s, g: inspect(s, g, "len", "10 mm", "9 mm", by="a", on="2026-11-25"),
}


@pytest.mark.parametrize("said", DIFFERS)
@pytest.mark.parametrize("first", [0, 1])
def test_what_differs_in_what_decides_stays_apart(said: str, first: int) -> None:
    job, *ids = studs()
    job.do(DIFFERS[said](job.state, ids[1]))
    with pytest.raises(Refused, match=said) as refused:
        merging.merge(job.state, [ids[first], ids[1 - first]])
    assert "they stay apart" in str(refused.value)
    job.do(DIFFERS[said](job.state, ids[0]))
    if said != "has the value of len 10 mm":
        job.do(merging.merge(job.state, [ids[first], ids[1 - first]]))


def test_a_limit_or_a_tick_that_differs_keeps_apart() -> None:
    job, one, other = studs()
    for each, low in ((one, "9.9 mm"), (other, "5 mm")):
        job.do(inspect(job.state, each, "dia", "9.95 mm", low, by="ann", on="2026-11-25"))
    with pytest.raises(Refused, match=r"at least 9.9 mm.*at least 5 mm"):
        merging.merge(job.state, [one, other])
    job, one, _ = studs()
    job.do(work.listed(job.state, one, ["crack test"]))
    half = next(s for s in job_split(job, one) if s != one)
    job.do(work.done(job.state, half, "crack test", "2026-11-25"))
    with pytest.raises(Refused, match=r"'crack test' to do.*'crack test' done"):
        merging.merge(job.state, [one, half])


def job_split(job: Job, group: str) -> list[str]:
    """Split one piece off; return both ids."""
    job.do(acts.split(job.state, group, qty=1))
    return [each.id for each in job.state.groups() if each.name == job.state.group(group).name]


def test_what_was_split_may_be_put_together_again_as_it_was() -> None:
    job, one, _ = studs()
    job.do(inspect(job.state, one, "dia", "9.95 mm", "9.9 mm", by="ann", on="2026-11-25"))
    job.do(work.listed(job.state, one, ["oil"]))
    before = {table: dict(job.state.docs(table)) for table in ("group", "inspection", "part")}
    half = next(s for s in job_split(job, one) if s != one)
    job.do(merging.merge(job.state, [one, half]))
    group = {**job.state.docs("group")[one]}
    del group["also_codes"]
    assert group == before["group"][one]
    assert dict(job.state.docs("inspection")) == before["inspection"]


def test_notes_and_what_is_told_the_checks_are_kept_and_days_are_the_last() -> None:
    job, one, other = studs()
    job.do(acts.change(job.state, one, note="oiled"))
    job.do(acts.change(job.state, other, note="bent, do not use"))
    for each, day in ((one, "2026-11-25"), (other, "2026-11-24")):
        job.do(work.listed(job.state, each, ["oil"]))
        job.do(work.done(job.state, each, "oil", day))
    job.do(merging.merge(job.state, [other, one]))
    group = job.state.group(other)
    assert (group.note, group.work) == ("bent, do not use; oiled", (("oil", "2026-11-25"),))


def test_an_assembly_put_with_others_still_waits_for_what_came_out_of_it() -> None:
    job = Job()
    for n, name in enumerate(("head", "valve", "stud"), 1):
        origin = ("press", "head", "valve") if name == "valve" else ("press", name)
        job.take(name, *origin, where=BENCH, taken_at=f"2026-11-0{n}T09:00:00Z")
    job.do(merging.merge(job.state, [job.id("stud"), job.id("head")]))
    with pytest.raises(Refused, match=r"stud waits for .*valve"):
        fitting.fit(job.state, job.id("stud"), on="2026-11-25")


def test_a_matched_set_is_not_parted_and_a_home_not_made_up() -> None:
    job, one, other = studs()
    job.do(matched.match(job.state, "bearing 1", [one, other], ["1 front", "1 rear"]))
    with pytest.raises(Refused, match="of the matched set 'bearing 1'"):
        merging.merge(job.state, [one, other])
    job, one, _ = studs()
    with pytest.raises(Refused, match="has its place on a machine, strays has no place"):
        merging.merge(job.state, [one, job.take("strays", qty=2, where=BENCH)])


def test_a_count_that_differs_says_what_became_of_the_rest_and_why() -> None:
    job = Job()
    job.take("washers", "saw", qty=5, where=BENCH)
    washers = job.id("washers")
    with pytest.raises(BadValue, match="4 counted where 5 were: say what became of 1"):
        pieces.count_pieces(job.state, washers, 4)
    job.do(pieces.count_pieces(job.state, washers, 4, "lost", by="ann", on="2026-11-25"))
    (posting,) = job.state.docs("posting").values()
    assert (posting["kind"], posting["why"], job.state.group(washers).qty) == ("lost", "counted", 4)
    job.do(pieces.count_pieces(job.state, washers, 3, "lost", "down the drain", by="ann", on="2026-11-25"))
    assert {each["why"] for each in job.state.docs("posting").values()} == {"counted", "down the drain"}


def test_what_was_accepted_ends_when_it_is_done_and_is_open_anew_after() -> None:
    job, one, _ = studs()
    job.do(work.listed(job.state, one, ["crack test", "oil"]))
    job.do(fitting.fit(job.state, one, on="2026-11-25", anyway="tested yesterday", by="ann"))
    assert not on_unreleased(job.state, one, date(2026, 11, 25))
    job.do(work.done(job.state, one, "crack test", "2026-11-25"))
    job.do(work.again(job.state, one, "crack test"))
    assert list(on_unreleased(job.state, one, date(2026, 11, 25))) == ["crack test"]


def test_the_new_one_of_a_lost_or_used_up_one_use_part_is_of_one_use() -> None:
    for gone in ("lost", "used up"):
        job = Job()
        seat = job.take("gasket", "press", one_use=True, where=BENCH)
        job.do(pieces.correct(job.state, seat, 0, gone, "torn", by="ann", on="2026-11-25"))
        key = job.do(shortage.SHORTAGE.add(job.state, "gasket", positions=[seat]))
        job.do(shortage.arrive(job.state, key, "2026-11-26"))
        (new,) = job.state.groups()
        assert (new.brought, new.one_use) == (True, True), gone


def test_a_shortage_lets_go_what_waits_for_it_only_by_a_strike_that_is_told() -> None:
    job, one, other = studs()
    key = job.short("circlip", ["left studs"])
    job.do(shortage.SHORTAGE.change(job.state, key, positions=[other]))
    with pytest.raises(Refused, match="waits for shortage: circlip"):
        fitting.fit(job.state, one, on="2026-11-25")
    job.do(shortage.strike(job.state, key, "found a way", by="ann", on="2026-11-25"))
    job.fit("left studs")
    (told,) = count(job.state, None, date(2026, 11, 25)).stands
    assert told.text == "circlip: not needed for left studs, right studs"
    assert told.accepted is not None
    assert (told.accepted.by, told.accepted.why) == ("ann", "found a way")


def test_what_was_left_empty_while_others_went_on_stays_told() -> None:
    job, one, _ = studs()
    job.do(inspect(job.state, one, "len", "40 mm", "42 mm", by="ann", on="2026-11-25"))
    job.do(position.strike(job.state, one, "look later", by="ann", on="2026-11-25"))
    (line,) = (each for each in count(job.state).lines if each.subject == f"group:{one}")
    assert line.why.startswith("rejected: len 40 mm")
    job.do(position.unstrike(job.state, one, by="ann", on="2026-11-26"))
    (told,) = count(job.state).stands
    assert told.text == "left studs: 2 were left empty, to be filled after all"
    assert told.accepted is not None and told.accepted.why == "look later"


def test_an_assembly_waits_for_what_belongs_in_it_after_a_swap() -> None:
    job = Job()
    taken = (
        ("head", "press"),
        ("valve 1", "press", "head"),
        ("head 2", "press"),
        ("valve 2", "press", "head 2"),
    )
    for n, (name, *origin) in enumerate(taken, 1):
        job.take(name, *origin, where=BENCH, taken_at=f"2026-11-0{n}T09:00:00Z")
    job.do(pieces.swap(job.state, job.id("valve 1"), job.id("valve 2"), "wear", by="ann", on="2026-11-25"))
    job.fit("valve 2")
    job.fit("head")
    with pytest.raises(Refused, match=r"head 2 waits for .*valve"):
        job.fit("head 2")
    job.fit("valve 1")
    job.fit("head 2")


def gearboxes(second: str) -> Job:
    """Two gearboxes off, of the press and of another place or machine; the shaft came out of the first."""
    job = Job()
    for n, (name, *origin) in enumerate(
        (("gearbox 1", "press"), ("shaft", "press", "gearbox 1"), ("gearbox 2", second)), 1
    ):
        job.take(name, *origin, where=BENCH, taken_at=f"2026-11-0{n}T09:00:00Z")
    return job


@pytest.mark.parametrize("fitted", [False, True])
def test_what_came_out_of_an_assembly_goes_with_it_in_a_swap(fitted: bool) -> None:
    job = gearboxes("press")
    if fitted:
        job.fit("shaft")
    for _ in range(2):  # there and back
        job.do(pieces.swap(job.state, job.id("gearbox 1"), job.id("gearbox 2"), "2 is quieter", by="ann"))
        if not fitted:
            with pytest.raises(Refused, match=r"gearbox 1 waits for .*shaft"):
                job.fit("gearbox 1")
        job.fit("gearbox 2", anyway="first", by="ann")
        job.do(fitting.come_off(job.state, job.id("gearbox 2"), on="2026-11-25"))
    job.do(pieces.swap(job.state, job.id("gearbox 1"), job.id("gearbox 2"), "2 is quieter", by="ann"))
    assert job.state.group(job.id("gearbox 1")).origin == ("press",)
    assert job.state.group(job.id("shaft")).origin == ("press", "gearbox 2"), "the place it goes to"
    if not fitted:
        job.fit("shaft")
    assert job.state.group(job.id("shaft")).where.group == job.id("gearbox 1")
    job.fit("gearbox 1")
    job.fit("gearbox 2")
    assert count(job.state).is_right


@pytest.mark.parametrize("fitted", [False, True])
def test_what_came_out_of_an_assembly_is_given_with_it(fitted: bool) -> None:
    job = gearboxes("saw")
    box, shaft, other = (job.id(name) for name in ("gearbox 1", "shaft", "gearbox 2"))
    if fitted:
        job.fit("shaft")
    job.do(fitting.dispose(job.state, other, "scrap"))
    job.do(pieces.give(job.state, box, other, "saw first", by="ann", on="2026-11-25"))
    assert job.state.group(shaft).origin == ("saw", "gearbox 2")
    if not fitted:
        with pytest.raises(Refused, match=r"gearbox 1 waits for .*shaft"):
            job.fit("gearbox 1")
        job.fit("shaft")
    assert job.state.group(shaft).where.group == box
    job.fit("gearbox 1")
    assert count(job.state, "saw").is_right
    assert {line.name: line.pieces for line in count(job.state, "press").of("missing")} == {
        "gearbox 1": 1, "shaft": 1
    }  # fmt: skip


def test_an_assembly_whose_inner_part_is_gone_is_not_given_without_a_word() -> None:
    job = gearboxes("saw")
    job.do(fitting.dispose(job.state, job.id("shaft"), "scrap"))
    with pytest.raises(Refused, match="1 of shaft, which came out of gearbox 1, lack"):
        pieces.give(job.state, job.id("gearbox 1"), ["saw", "spare"], "so", by="ann")


def test_fitted_elsewhere_than_where_it_belongs_wants_a_reason_that_is_told() -> None:
    job = gearboxes("press")
    with pytest.raises(Refused, match="belongs in gearbox 1, which is off"):
        fitting.fit(job.state, job.id("shaft"), machine=True, on="2026-11-25")
    with pytest.raises(Refused, match="does not belong in gearbox 2"):
        fitting.fit(job.state, job.id("shaft"), to=job.id("gearbox 2"), on="2026-11-25")
    job.do(fitting.fit(job.state, job.id("shaft"), to=job.id("gearbox 2"), anyway="to drive it in", by="ann"))
    (told,) = count(job.state).stands
    assert told.kind == "accepted" and "does not belong in gearbox 2" in told.text
    job.fit("gearbox 2")  # with it: that was let through
    assert [line.name for line in count(job.state).lines] == ["gearbox 1"]


def test_some_pieces_that_change_places_go_apart() -> None:
    job = Job()
    for name in ("left", "right"):
        job.take(name, "saw", name, qty=2, where=BENCH)
    job.do(pieces.swap(job.state, job.id("left"), job.id("right"), "wear", 1, by="ann"))
    assert sorted((g.name, g.qty, g.origin[-1]) for g in job.state.groups()) == [
        ("left", 1, "left"), ("left", 1, "right"), ("right", 1, "left"), ("right", 1, "right"),
    ]  # fmt: skip


ORDERED = {
    "was to be: scrap": lambda s, g: fitting.dispose(s, g, "scrap"),
    "was to be: remachine": lambda s, g: fitting.dispose(s, g, "remachine"),
    "crack test of left studs is not done": lambda s, g: work.listed(s, g, ["crack test"]),
}


@pytest.mark.parametrize("said", ORDERED)
def test_an_order_is_undone_only_for_a_reason_that_is_told(said: str) -> None:
    job, one, _ = studs()
    job.do(ORDERED[said](job.state, one))
    _, before = job.past[-1]
    draft = Draft("undo", before)
    with pytest.raises(ReasonWanted, match=said):
        undone(job.state, draft, "")
    job.do(undone(job.state, draft, "slip of the key", by="ann", on="2026-11-25"))
    (told,) = count(job.state, None, date(2026, 11, 25)).stands
    assert told.kind == "corrected" and told.accepted is not None and told.accepted.why == "slip of the key"


def test_undoing_a_split_of_what_is_rejected_takes_no_value_back() -> None:
    job, one, _ = studs()
    job.do(inspect(job.state, one, "len", "40 mm", "42 mm", by="ann", on="2026-11-25"))
    for how in ({"qty": 1}, {"beyond": True}):
        job.do(acts.split(job.state, one, **how))
        _, before = job.past[-1]
        job.do(undone(job.state, Draft("undo", before), ""))
    assert not job.state.docs("correction")
    assert [doc["group"] for doc in job.state.docs("inspection").values()] == [one]


def test_what_a_part_waits_for_is_let_go_only_for_a_reason_that_is_told() -> None:
    job, one, other = studs()
    job.before("left studs", "right studs")
    with pytest.raises(ReasonWanted, match="left studs waits for right studs"):
        relation.not_before(job.state, other, one)
    job.do(relation.not_before(job.state, other, one, "mixed up", by="ann", on="2026-11-25"))
    job.do(milestone.set_milestone(job.state, "moved"))
    job.do(milestone.goes_on_after(job.state, one, "moved"))
    with pytest.raises(BadValue, match="left studs waits for moved"):
        milestone.drop(job.state, "moved")
    job.do(milestone.drop(job.state, "moved", "it stays", by="ann", on="2026-11-25"))
    told = {(each.text, each.accepted and each.accepted.by) for each in count(job.state).stands}
    assert told == {("left studs need not come off before right studs", "ann"), ("moved: forgotten", "ann")}


def test_a_number_typed_over_six_is_not_recorded_over_three() -> None:
    """Three are put on meanwhile: '2, lost' of six would say four are gone where one is."""
    job = Job()
    nuts = job.take("nuts", "saw", qty=6, where=BENCH)
    job.do(fitting.fit(job.state, nuts, qty=3, on="2026-11-25"))
    with pytest.raises(Refused, match="is of 3 by now, not of 6: look again"):
        pieces.correct(job.state, nuts, 2, "lost", "four are gone", by="ann", on="2026-11-25", shown=6)
    job.do(pieces.correct(job.state, nuts, 2, "lost", "one is gone", by="ann", on="2026-11-25", shown=3))
    assert job.state.group(nuts).qty == 2
