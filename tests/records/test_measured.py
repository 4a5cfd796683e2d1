"""Several pieces measured one after the other: a value beyond its limit is of one of them, and is not lost.

That a nonconforming output is kept from use until it is dealt with: ISO 9001:2015, 8.7.1; how a group of
pieces is told apart is our own rule.
"""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import BENCH, Job

from shopbins.ledger.problems import BadValue, Refused
from shopbins.records import acts, fitting, matched, merging, pieces, work
from shopbins.records.corrections import fix
from shopbins.records.inspection import concede, inspect
from shopbins.records.measured import bad_pieces
from shopbins.strip.count import count
from shopbins.strip.release import release
from shopbins.strip.waits import open_work

DAY = "2026-11-25"


def springs(*measured: str, qty: int = 4) -> tuple[Job, str]:
    """So many springs in one bag, values of their length typed in one after the other; at least 42 mm."""
    job = Job()
    group = job.take("springs", "saw", "arm", qty=qty, where=BENCH)
    for each in measured:
        job.do(inspect(job.state, group, "len", f"{each} mm", "42 mm", by="ann", on=DAY))
    return job, group


def is_(job: Job, group: str) -> str:
    return release(job.state, group, date.fromisoformat(DAY)).state


def test_a_later_good_value_does_not_clear_another_pieces_bad_one() -> None:
    job, group = springs("43", "40", "43.1", "43.2")
    assert is_(job, group) == "rejected"
    with pytest.raises(Refused, match="rejected: len 40 mm"):
        fitting.fit(job.state, group, on=DAY, anyway="so", by="ann")
    assert is_(*springs("40", "43", qty=1)) == "within limits"


def test_what_is_beyond_is_split_off_with_its_values() -> None:
    job, group = springs("43", "40", "43.1", "43.2")
    job.do(acts.split(job.state, group, beyond=True))
    (part,) = [each.id for each in job.state.groups() if each.id != group]
    assert (job.state.group(part).qty, is_(job, part)) == (1, "rejected")
    assert (job.state.group(group).qty, is_(job, group)) == (3, "within limits")
    job, group = springs("43", "40", "39")
    with pytest.raises(Refused, match="2 values of len are beyond"):
        acts.split(job.state, group, 1, beyond=True)
    job.do(acts.split(job.state, group, beyond=True))
    assert is_(job, group) == "to inspect", "one value within, and two pieces left"
    assert open_work(job.state.group(group)) == ["inspect len"]
    job.do(inspect(job.state, group, "len", "43 mm", by="ann", on=DAY))
    assert is_(job, group) == "within limits", "as many values as pieces"
    with pytest.raises(Refused, match="no value beyond"):
        acts.split(job.state, springs_within(job), beyond=True)


def test_the_count_says_of_how_many_a_value_was_measured() -> None:
    job, _ = springs("43", "43")
    (told,) = count(job.state, None, date.fromisoformat(DAY)).stands
    assert told.text == "springs x4: len of 2 measured, taken for all" and told.accepted is None
    assert not count(springs("43", qty=1)[0].state).stands, "of one piece it is the piece's"
    assert not count(springs("43", "43", "44", "43")[0].state).stands, "each was measured"


def test_a_plain_split_makes_no_good_values_more() -> None:
    job, group = springs("40", "43")
    job.do(acts.split(job.state, group, 2))
    for each in [each.id for each in job.state.groups()]:
        job.do(acts.split(job.state, each, beyond=True))
    assert sorted(is_(job, each.id) for each in job.state.groups()) == ["rejected"] * 2 + ["to inspect"] * 2
    job, group = springs("43", "40", "43", "43")
    job.do(acts.split(job.state, group, beyond=True))
    assert is_(job, group) == "within limits"
    job.do(inspect(job.state, group, "len", "41 mm", by="ann", on=DAY))
    job.do(acts.split(job.state, group, beyond=True))
    assert is_(job, group) == "within limits", "two of the three good values are of the two left"


@pytest.mark.parametrize(("qty", "rest"), [(None, ""), (1, "to inspect"), (2, "within limits")])
def test_values_beyond_of_two_characteristics_may_be_of_two_pieces(qty: int | None, rest: str) -> None:
    """Of n values of one characteristic each is of another piece; of two characteristics nobody knows it."""
    job, group = springs("40", "43", "43", "43")
    for seen in ("cracked", "ok", "ok", "ok"):
        job.do(inspect(job.state, group, "end", seen, by="ann", on=DAY))
    assert bad_pieces(job.state, job.state.group(group)) == (1, 2)
    if qty is None:
        with pytest.raises(Refused, match="of 1 piece, or of up to 2"):
            acts.split(job.state, group, beyond=True)
        return
    job.do(acts.split(job.state, group, qty, beyond=True))
    assert is_(job, group) == rest
    (part,) = [each.id for each in job.state.groups() if each.id != group]
    assert is_(job, part) == "rejected"


@pytest.mark.parametrize("label", [None, "kept", "merged", "new"])
def test_of_several_labels_it_is_said_which_one_the_bad_piece_carries(label: str | None) -> None:
    job, group = springs("43", "43", qty=2)
    job.do(acts.split(job.state, group, 1))
    (other,) = [each.id for each in job.state.groups() if each.id != group]
    codes = {"kept": job.state.group(group).code, "merged": job.state.group(other).code, "new": "new"}
    job.do(merging.merge(job.state, [group, other]))
    job.do(inspect(job.state, group, "len", "40 mm", by="ann", on=DAY))
    if label is None:
        with pytest.raises(Refused, match="say which is on the pieces that go"):
            acts.split(job.state, group, beyond=True)
        return
    job.do(acts.split(job.state, group, beyond=True, label=codes.pop(label)))
    (bad,) = [each for each in job.state.groups() if is_(job, each.id) == "rejected"]
    assert bad.id != group
    left = {*codes.values()} - {"new"}
    assert {job.state.group(group).code, *job.state.group(group).also_codes} == left
    assert {job.state.by_code(each) for each in left} == {group} and job.state.by_code(bad.code) == bad.id
    job.undo()
    assert {job.state.by_code(each) for each in left} == {group}
    assert job.state.by_code(bad.code) == (None if label == "new" else group)


def test_of_several_every_value_is_held_to_the_narrowest_limit() -> None:
    job, group = springs("43", "43", qty=2)
    (first, _) = job.state.docs("inspection")
    job.do(fix(job.state, f"inspection:{first}", {"low": "43.5 mm"}, "sheet", by="ann"))
    assert is_(job, group) == "rejected" and bad_pieces(job.state, job.state.group(group)) == (2, 2)
    job, group = springs("42.8", qty=2)
    job.do(inspect(job.state, group, "len", "43.1 mm", "43 mm", by="ann", on=DAY))
    assert "len 42.8 mm (at least 43 mm)" in release(job.state, group, date.fromisoformat(DAY)).why


def test_parts_of_one_place_are_held_to_the_narrowest_limit_of_it() -> None:
    job, group = springs("43", qty=2)
    job.do(acts.split(job.state, group, 1))
    (part,) = [each.id for each in job.state.groups() if each.id != group]
    job.do(fitting.fit(job.state, part, on=DAY))
    assert count(job.state, None, date.fromisoformat(DAY)).of("rejected") == []
    job.do(inspect(job.state, group, "len", "44 mm", "43.5 mm", by="ann", on=DAY))
    assert (is_(job, group), is_(job, part)) == ("within limits", "rejected")
    (line,) = count(job.state, None, date.fromisoformat(DAY)).of("rejected")
    assert line.subject == f"group:{part}", "also where only the other's value is new"
    with pytest.raises(Refused, match="a wider limit is a concession"):
        inspect(job.state, part, "len", "43 mm", "42 mm", by="ann", on=DAY)


def test_bound_to_a_place_it_is_held_to_the_narrower_limit() -> None:
    job, group = springs("43", qty=2)
    stray = job.take("stray", "saw", "arm", where=BENCH)
    job.do(inspect(job.state, stray, "len", "41 mm", "40 mm", by="ann", on=DAY))
    assert is_(job, stray) == "within limits"
    job.do(pieces.bind(job.state, stray, group, "a third"))
    assert is_(job, stray) == "rejected"


def springs_within(job: Job) -> str:
    group = job.take("others", "saw", "arm", qty=2, where=BENCH)
    job.do(inspect(job.state, group, "len", "43 mm", "42 mm", by="ann", on=DAY))
    return group


def test_pieces_split_off_unsaid_stay_rejected_until_each_is_measured() -> None:
    job, group = springs("40", "43")
    job.do(acts.split(job.state, group, names=["a", "b", "c", "d"]))
    assert {is_(job, each.id) for each in job.state.groups()} == {"rejected"}
    for name, measured in (("b", "43 mm"), ("c", "41 mm")):
        job.do(inspect(job.state, job.id(name), "len", measured, by="ann", on=DAY))
    assert (is_(job, job.id("b")), is_(job, job.id("c"))) == ("within limits", "rejected")


def test_reworked_they_are_measured_anew() -> None:
    job, group = springs("43", "40")
    job.do(fitting.dispose(job.state, group, "remachine"))
    job.do(work.done(job.state, group, "remachine", "2026-11-26"))
    job.do(inspect(job.state, group, "len", "43 mm", by="ann", on=DAY))
    assert is_(job, group) == "rejected", "a value of the day before does not verify the work"
    for n in range(4):
        assert is_(job, group) == ("to inspect" if n else "rejected"), "which one was beyond nobody knows"
        job.do(inspect(job.state, group, "len", "43 mm", by="ann", on="2026-11-26"))
    assert is_(job, group) == "within limits"
    job.do(inspect(job.state, group, "len", "41 mm", by="ann", on="2026-11-26"))
    job.do(inspect(job.state, group, "len", "43 mm", by="ann", on="2026-11-26"))
    assert is_(job, group) == "rejected"
    job, group = springs("43", "43")
    job.do(fitting.dispose(job.state, group, "remachine"))
    job.do(work.done(job.state, group, "remachine", DAY))
    job.do(inspect(job.state, group, "len", "43 mm", by="ann", on=DAY))
    assert is_(job, group) == "within limits", "none was beyond: one value is for all, as before it"


def test_the_day_a_rework_was_done_is_the_first_that_verifies_it() -> None:
    job, group = springs("43", qty=1)
    job.do(fitting.dispose(job.state, group, "repair"))
    job.do(work.done(job.state, group, "repair", "2026-11-26"))
    job.do(inspect(job.state, group, "len", "43 mm", by="ann", on=DAY))
    assert "inspect len" in open_work(job.state.group(group))
    job.do(inspect(job.state, group, "len", "43 mm", by="ann", on="2026-11-26"))
    assert is_(job, group) == "within limits"


def test_a_concession_covers_every_value_it_holds_and_no_worse_one() -> None:
    job, group = springs("40", "43")
    job.do(concede(job.state, group, "one season", "len >= 39.5 mm", by="ann", on=DAY))
    assert is_(job, group) == "conceded"
    job.do(inspect(job.state, group, "len", "39 mm", by="ann", on=DAY))
    assert is_(job, group) == "rejected"


def test_what_was_seen_is_conceded_by_its_name_or_what_was_seen_and_by_no_limit() -> None:
    """ISO 9000:2015, 'concession': limited to the characteristics it names."""
    job, group = springs("43")
    job.do(inspect(job.state, group, "end", "cracked", by="ann", on=DAY))
    with pytest.raises(BadValue, match="end cracked: what was seen has no limit in mm"):
        concede(job.state, group, "length is good", "len >= 41 mm", by="ann", on=DAY)
    job.do(inspect(job.state, group, "end", "worn", by="ann", on=DAY))
    with pytest.raises(BadValue, match=r"say of which it is \(end cracked, end worn\)"):
        concede(job.state, group, "so", "one season", by="ann", on=DAY)
    job.do(concede(job.state, group, "so", "worn, one season", by="ann", on=DAY))
    assert "end cracked" in release(job.state, group, date.fromisoformat(DAY)).why
    job.do(concede(job.state, group, "so", "end cracked: stop-drilled", by="ann", on=DAY))
    assert is_(job, group) == "conceded"
    told = [s.text for s in count(job.state, None, date.fromisoformat(DAY)).stands if s.kind == "conceded"]
    assert len(told) == 2, "both are in force"


def test_an_older_record_does_not_say_of_how_many() -> None:
    job, group = springs("40", "43")
    for doc in job.state.tables["inspection"].values():
        del doc["among"]
    assert is_(job, group) == "rejected"
    job.do(acts.split(job.state, group, 1))
    assert {is_(job, each.id) for each in job.state.groups()} == {"rejected"}
    job.do(work.listed(job.state, group, ["repair"]))
    job.do(work.done(job.state, group, "repair", DAY))


@pytest.mark.parametrize("became", ["found", "came off"])
def test_what_nobody_took_off_was_not_measured_with_the_others(became: str) -> None:
    job, group = springs("43")
    job.do(work.listed(job.state, group, ["oil", "inspect"]))
    job.do(work.done(job.state, group, "oil", DAY))
    job.do(pieces.correct(job.state, group, 6, became, "two in the drawer", by="ann", on=DAY))
    (new,) = [each for each in job.state.groups() if each.id != group]
    assert (new.qty, job.state.group(group).qty, is_(job, group)) == (2, 4, "within limits")
    assert is_(job, new.id) == "to inspect"
    assert set(open_work(new)) == {"inspect", "inspect len", "oil"}


def test_what_came_off_as_well_is_not_on_because_the_others_are() -> None:
    job = Job()
    group = job.take("nuts", "saw", qty=4, where=BENCH)
    job.do(pieces.correct(job.state, group, 5, "came off", "recount", by="ann", on=DAY))
    assert job.state.group(group).qty == 5, "nothing is known of any of them"
    job.fit("nuts")
    job.do(pieces.correct(job.state, group, 7, "came off", "recount", by="ann", on=DAY))
    assert [(each.qty, each.where is None) for each in job.state.groups()] == [(5, False), (2, True)]


def journals(first: str, second: str) -> Job:
    """Two journals with one value each of the same name, and limits of their own."""
    job = Job()
    for name, value in (("jour 1", first), ("jour 2", second)):
        job.take(name, "saw", name, where=BENCH)
        measured, low, high = value.split("/")
        job.do(inspect(job.state, job.id(name), "dia", measured, low, high, by="ann", on=DAY))
    job.do(pieces.swap(job.state, job.id("jour 1"), job.id("jour 2"), "wear", by="ann", on=DAY))
    return job


def test_what_changes_places_is_held_to_the_narrower_limit() -> None:
    job = journals("9.91mm/9.9mm/", "9.97mm/9.95mm/")
    assert is_(job, job.id("jour 1")) == "rejected", "9.91 where 9.95 is the least"
    assert is_(job, job.id("jour 2")) == "within limits"
    with pytest.raises(Refused, match=r"dia 9.91mm \(at least 9.95mm\)"):
        fitting.fit(job.state, job.id("jour 1"), on=DAY)
    job = journals("9.91mm/9.9mm/10mm", "9.97mm//9.98mm")
    assert [is_(job, job.id(name)) for name in ("jour 1", "jour 2")] == ["within limits"] * 2
    job.do(inspect(job.state, job.id("jour 1"), "dia", "9.99mm", by="ann", on=DAY))
    assert is_(job, job.id("jour 1")) == "rejected", "9.98 is the most there"
    job = journals("9.8mm/9.9mm/", "9.97mm/5mm/")
    assert is_(job, job.id("jour 1")) == "rejected", "a wider limit is a concession"


def test_a_concession_is_for_the_limit_it_was_given_against() -> None:
    job = Job()
    for name, value in (("left", "8.9/8.95"), ("right", "9.2/9.1")):
        job.take(name, "saw", name, where=BENCH)
        measured, low = value.split("/")
        job.do(inspect(job.state, job.id(name), "d", f"{measured}mm", f"{low}mm", by="ann", on=DAY))
    left = job.id("left")
    job.do(concede(job.state, left, "lightly loaded", "d >= 8.9 mm", by="ann", on=DAY))
    for state in ("conceded", "rejected", "conceded"):  # at home, at the other's place, home again
        assert is_(job, left) == state
        job.do(pieces.swap(job.state, left, job.id("right"), "wear", by="ann", on=DAY))
    job.do(pieces.swap(job.state, left, job.id("right"), "wear", by="ann", on=DAY))
    job.do(inspect(job.state, left, "d", "8.9mm", "9mm", by="ann", on=DAY))
    assert is_(job, left) == "rejected", "against 9 nobody conceded anything"


def test_home_again_its_own_limit_counts_again() -> None:
    job = journals("9.91mm/9.9mm/", "9.97mm/9.95mm/")
    job.do(pieces.swap(job.state, job.id("jour 1"), job.id("jour 2"), "as it was", by="ann", on=DAY))
    assert [is_(job, job.id(name)) for name in ("jour 1", "jour 2")] == ["within limits"] * 2


def test_of_several_pieces_that_change_places_each_value_is_held_to_the_limit_there() -> None:
    job = Job()
    for name, values in (("left", ("8.9/8.8", "9/")), ("right", ("9/8.95", "9/"))):
        job.take(name, "saw", name, qty=2, where=BENCH)
        for measured, low in (each.split("/") for each in values):
            job.do(
                inspect(job.state, job.id(name), "d", f"{measured}mm", low and f"{low}mm", by="ann", on=DAY)
            )
    assert is_(job, job.id("left")) == "within limits"
    job.do(pieces.swap(job.state, job.id("left"), job.id("right"), "wear", by="ann", on=DAY))
    assert [is_(job, job.id(name)) for name in ("left", "right")] == ["rejected", "within limits"]


def test_the_limit_of_a_place_outlives_the_part_it_was_taken_on() -> None:
    job = Job()
    job.take("gear", "saw", "arm", where=BENCH)
    there = job.take("gear", "press", "arm", where=BENCH)
    own = next(each.id for each in job.state.groups() if each.id != there)
    for group, measured, low in ((own, "8.9mm", "8.8mm"), (there, "9mm", "8.95mm")):
        job.do(inspect(job.state, group, "d", measured, low, by="ann", on=DAY))
    job.do(pieces.lose(job.state, there, "gone", by="ann", on=DAY))
    job.do(pieces.give(job.state, own, ["press", "arm"], "press first", by="ann", on=DAY))
    assert is_(job, own) == "rejected"


def test_what_was_not_measured_is_to_be_where_the_other_was() -> None:
    job = Job()
    for name in ("jour 1", "jour 2"):
        job.take(name, "saw", name, where=BENCH)
    job.do(inspect(job.state, job.id("jour 1"), "dia", "9.95mm", "9.9mm", by="ann", on=DAY))
    job.do(pieces.swap(job.state, job.id("jour 1"), job.id("jour 2"), "wear", by="ann", on=DAY))
    assert open_work(job.state.group(job.id("jour 2"))) == ["inspect dia"]
    assert is_(job, job.id("jour 1")) == "within limits"


def test_a_matched_part_given_another_origin_is_to_be_matched_anew() -> None:
    job = Job()
    caps = [job.take(name, "saw", name, where=BENCH) for name in ("cap 1", "rod 1")]
    job.do(matched.match(job.state, "s1", caps))
    job.do(pieces.correct_origin(job.state, caps[0], ["saw", "cap 2"], "mixed up", by="ann", on=DAY))
    with pytest.raises(Refused, match="not the one that was there, to be matched with rod 1"):
        fitting.fit(job.state, caps[0], on=DAY)


def test_nothing_is_conceded_before_it_is_found() -> None:
    job, group = springs("40", qty=1)
    with pytest.raises(Refused, match="found on 2026-11-25: it is not conceded before that"):
        concede(job.state, group, "one season", "len >= 39.5 mm", by="ann", on="2026-11-24")
    with pytest.raises(Refused, match="not conceded before"):
        job.do(inspect(job.state, group, "face", "cracked", by="ann", on=DAY))
        concede(job.state, group, "one season", "face: one season", by="ann", on="2026-11-24")
