"""What came off before what: relations, nesting, the usual order, and what they come to."""

from __future__ import annotations

import pytest
from strip_job import BENCH, Job, engine

from shopbins.ledger.problems import Refused
from shopbins.records import acts, merging, pieces, position, relation
from shopbins.strip.order import Order
from shopbins.strip.reach import reach, why
from shopbins.strip.refit import next_back, refit


def names(job: Job, part: str, *, off: bool | None = None) -> list[str]:
    """What comes off before a part, by name."""
    steps = reach(job.state, job.position(part))
    return [step.name for step in steps if off is None or step.already_off == off]


def test_reach_is_the_least_set_in_order() -> None:
    job = engine()
    assert names(job, "head") == ["rocker cover"]
    assert names(job, "crank") == ["belt guard", "belts", "rocker cover", "head", "piston"]
    told = {step.name: step.told for step in reach(job.state, job.position("crank"))}
    assert told == {"belt guard": False, "belts": True, "rocker cover": True, "head": True, "piston": True}
    assert names(job, "belt guard") == []


@pytest.mark.parametrize("more", [(), ("end",)])
def test_an_assembly_waits_for_what_came_out_of_an_assembly_in_it(more: tuple[str, ...]) -> None:
    job = Job()
    job.take("gearbox", "engine", where=BENCH)
    job.take("shaft", "engine", "gearbox", "input", where=BENCH)
    if more:
        job.take("ring", "engine", "gearbox", "input", *more, where=BENCH)
    order = job.state.follower(Order)
    assert order.graph.sort_of(job.position("gearbox"), job.position("shaft")) == "nested"
    with pytest.raises(Refused, match=r"waits for .* shaft"):
        job.fit("gearbox")
    for name in ("shaft", "ring")[: 1 + len(more)]:
        job.fit(name)
        assert job.state.group(job.id(name)).where.group == job.id("gearbox"), "it goes into what is off"
    job.fit("gearbox")


def test_what_is_on_again_must_come_off_again() -> None:
    job = engine()
    for each in ("crank", "piston"):
        job.fit(each)
    assert names(job, "crank", off=False) == ["piston"]
    assert names(job, "crank", off=True) == ["belt guard", "belts", "rocker cover", "head"]


def test_nothing_recorded_means_nothing_is_claimed() -> None:
    job = Job()
    key = job.do(position.add(job.state, "deep bearing", ("engine", "bottom")))
    assert reach(job.state, key) == []
    with pytest.raises(KeyError):
        reach(job.state, "no such position")


def test_a_listed_part_is_reached_through_relations() -> None:
    job = engine()
    job.do(position.add(job.state, "oil jet", ("engine", "bottom")))
    job.before("crank", "oil jet")
    assert names(job, "oil jet")[-1] == "crank"
    steps = reach(job.state, job.position("oil jet"))
    assert all(step.already_off and step.groups for step in steps)


def test_a_circle_is_refused_and_named() -> None:
    job = engine()
    with pytest.raises(
        Refused, match="circle: crank before rocker cover before head before piston before crank"
    ):
        job.before("crank", "rocker cover")
    with pytest.raises(Refused, match="cannot come off before itself"):
        job.before("crank", "crank")
    with pytest.raises(Refused, match="recorded already"):
        job.before("head", "piston")


def test_the_usual_order_holds_within_an_assembly_only_and_gives_way_to_an_answer() -> None:
    job = Job()
    for name in ("a", "b", "c"):
        job.take(name, "m", "left")
    job.take("d", "m", "right")
    job.take("e", "m", "right")
    assert names(job, "c") == ["a", "b"]
    assert names(job, "e") == ["d"]
    job.before("a", "c")  # asked about c: b need not come off first
    assert names(job, "c") == ["a"]
    job.do(relation.before(job.state, job.position("e"), []))  # nothing had to
    assert names(job, "e") == []
    assert why(job.state, job.position("a"), job.position("c")) == "told"
    assert why(job.state, job.position("a"), job.position("b")) == "usual"
    assert why(job.state, job.position("d"), job.position("e")) is None


def test_a_relation_against_the_order_it_came_off_wins() -> None:
    job = Job()
    for name in ("late", "early"):
        job.take(name, "m", "x")
    job.before("early", "late")
    assert names(job, "late") == ["early"]
    assert names(job, "early") == []
    assert [entry.name for entry in refit(job.state)] == ["late", "early"]


def test_what_came_out_of_an_assembly_taken_off_as_one_goes_in_first() -> None:
    job = engine()
    waits = {entry.name: [wait.text.split(" ", 1)[1] for wait in entry.waits] for entry in refit(job.state)}
    assert {"springs", "valves", "piston"} == set(waits["head"])
    early = Job()
    early.take("plug", "m", "head")
    early.take("head", "m")
    early.take("lid", "m", "head")
    assert names(early, "plug") == []  # it came off while the head was still on: only usual, and it waits
    entry = next(each for each in refit(early.state) if each.name == "plug")
    assert [w in entry.usual for w in entry.waits] == [True, True]


def test_a_position_of_its_own_belongs_to_the_assembly_above() -> None:
    job = Job()
    job.take("cap 1", "m", "bottom", "bearing 1")
    job.take("cap 2", "m", "bottom", "bearing 2")
    assert names(job, "cap 2") == ["cap 1"]
    job.take("shell 2", "m", "bottom", "bearing 2")  # now bearing 2 has two: an assembly of its own
    assert names(job, "cap 2") == []
    assert names(job, "shell 2") == ["cap 2"]


def test_relations_survive_split_and_merge() -> None:
    job = engine()
    known = job.state.docs("part")
    job.do(acts.split(job.state, job.id("belts"), qty=1))
    assert job.state.docs("part") == known, "its place is the group's own still, and said nowhere else"
    assert [e.name for e in refit(job.state)].count("belts") == 2
    assert "belts" in names(job, "crank")
    job.do(merging.merge(job.state, [job.id("belt guard"), job.id("belts")]))
    assert "belts" in names(job, "crank")


def test_ticks_and_a_fresh_look_agree() -> None:
    job = engine()
    job.state.follower(Order).now()
    for name in ("crank", "piston", "valves", "springs", "belts"):
        job.fit(name)
        fresh = job.state.copy()
        assert next_back(job.state) == next_back(fresh)
        assert refit(job.state) == refit(fresh)
    job.undo()
    assert next_back(job.state) == next_back(job.state.copy())
    assert [e.name for e in next_back(job.state)] == ["head", "belts"]


def test_renaming_and_moving_an_assembly_takes_everything_along() -> None:
    job = engine()
    job.do(position.rename_path(job.state, ("engine", "head"), ("engine", "cylinder head")))
    assert job.state.group(job.id("springs")).origin == ("engine", "cylinder head")
    assert job.state.group(job.id("cylinder head")).origin == ("engine",)
    waits = {entry.name: len(entry.waits) for entry in refit(job.state)}
    assert waits["cylinder head"] == 3
    with pytest.raises(Refused, match="into itself"):
        position.rename_path(job.state, ("engine", "top"), ("engine", "top", "more"))
    with pytest.raises(Refused, match="no assembly"):
        position.rename_path(job.state, ("engine", "tail"), ("engine", "end"))


@pytest.mark.parametrize("named", ["", "head"])
def test_a_part_of_another_name_or_place_keeps_what_came_out_of_it(named: str) -> None:
    """`named`: its origin may name it, or its assembly only."""
    job = Job()
    head = job.take("head", "press", *filter(None, [named]))
    valve = job.take("valve", "press", "head")
    for each in (head, valve):
        job.do(relation.before(job.state, each, []))

    def waits() -> bool:
        assert next_back(job.state) == next_back(job.state.copy())
        return [each.name for each in next_back(job.state)] == ["valve"]

    assert waits()
    job.do(acts.change(job.state, head, name="cover"))
    assert waits() and job.state.group(head).name == "cover"
    at = job.state.group(head).origin
    job.do(pieces.correct_origin(job.state, head, ("press", "side", *at[1:]), "it sat there", by="ann"))
    assert waits()
    of = job.state.follower(Order).graph.places[valve].origin
    job.do(position.rename_path(job.state, of, ("press", "top")))
    assert waits() and job.state.group(head).name == "top"
    job.take("pin", "press", "lid")
    with pytest.raises(Refused, match="there is press > lid already"):
        acts.change(job.state, head, name="lid")


def test_the_tree_keeps_empty_assemblies() -> None:
    from shopbins.strip.tree import paths

    job = engine()
    job.do(position.add_assembly(job.state, ("engine", "fuel", "filter")))
    assert ("engine", "fuel", "filter") in paths(job.state)
    job.do(position.rename_path(job.state, ("engine", "fuel"), ("boat", "fuel")))
    assert ("boat", "fuel", "filter") in paths(job.state)
    assert ("engine", "fuel") not in paths(job.state)
    with pytest.raises(Refused, match="already"):
        position.add_assembly(job.state, ("engine", "top"))


def test_a_circle_left_by_undoing_is_borne() -> None:
    job = Job()
    for name in ("a", "b", "c"):
        job.take(name, "m", name)
    a, b = job.position("a"), job.position("b")
    # written straight into the ledger, as two terminals' undoing might
    job.state.apply({f"before:{a}|{b}": {"a": a, "b": b}, f"before:{b}|{a}": {"a": b, "b": a}}, 9)
    graph = job.state.follower(Order).graph
    assert set(graph.circles) == {a, b}
    assert len(refit(job.state)) == 3 and next_back(job.state)


def test_without_any_origin_the_recorded_order_is_all_there_is() -> None:
    job = Job()
    for name in ("cover", "wheel", "shaft"):
        job.take(name, where=BENCH)
    assert names(job, "shaft") == ["cover", "wheel"]
    assert next_back(job.state) == []  # nobody said where they belong
