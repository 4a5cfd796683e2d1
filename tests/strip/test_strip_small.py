"""Inspection, threads, how it came off, matched sets, connections, trial fits, care, and what is missing."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strip_job import BENCH, Job, engine

from shopbins.ledger.events import Draft, Event
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.records import acts, connection, fitting, how, matched, pieces, shortage
from shopbins.records import care as care_record
from shopbins.records.care import CARE
from shopbins.records.inspection import concede, inspect, withdraw
from shopbins.records.undoing import undone
from shopbins.strip import sets
from shopbins.strip.care import care
from shopbins.strip.connections import connections, flags
from shopbins.strip.count import count, stands, unasked
from shopbins.strip.how import checked_how, how_lines
from shopbins.strip.missing import last_seen
from shopbins.strip.release import release
from shopbins.strip.threads import is_thread, parse_thread
from shopbins.strip.work import Inspection, inspections, judge

TODAY = date(2027, 3, 1)


@pytest.mark.parametrize(
    ("measured", "low", "high", "verdict"),
    [
        ("59.96mm", "59.96mm", "", "within"),
        ("59.9599mm", "59.96mm", "", "beyond"),
        ("38 um", "", "1.5 thou", "within"),  # 1.5 thou is 38.1 um
        ("38.2 um", "", "1.5 thou", "beyond"),
        ("1 3/8 in", "34.9 mm", "35 mm", "within"),  # 34.925 mm
        ("1 3/8 in", "34.93 mm", "", "beyond"),
        ("0.05 mm", "", "", "not judged"),
        ("M10x1.5", "M10", "", "within"),  # the coarse pitch of M10 is 1.5 (ISO 261) [from memory]
        ("M10x1.25", "M10", "", "beyond"),
        ("3/8-16", "3/8 UNC", "", "within"),  # 3/8 UNC has 16 threads per inch (ASME B1.1) [from memory]
        ("3/8 BSW", "3/8 UNC", "", "beyond"),  # 16 per inch too, but another form
        ("3/8-24", "3/8 UNC", "", "beyond"),
    ],
)
def test_measured_against_limit(measured: str, low: str, high: str, verdict: str) -> None:
    assert judge(measured, low, high).verdict == verdict


@pytest.mark.parametrize(
    "texts",
    [("0.003", "", "0.002in"), ("0.340in", "0.350", ""), ("0.34", "", "1.5 thou"), ("3 1/2", '4"', "")],
)
def test_a_bare_number_beside_inches_is_asked_for_its_unit(texts: tuple[str, str, str]) -> None:
    with pytest.raises(BadValue, match="say its unit"):
        judge(*texts)
    assert judge("0.003", "", "0.002mm").verdict == "beyond", "mm beside mm, as everywhere"


def test_margins_and_words() -> None:
    found = judge("59.94 mm", "59.96 mm", "60.00 mm")
    assert found.margin_mm == pytest.approx(-0.02)
    assert found.text == "59.94 mm: 0.02 mm below its limit (59.96 mm to 60.00 mm)"
    with pytest.raises(BadValue, match="above the upper"):
        judge("1 mm", "3 mm", "2 mm")
    for wrong in ("", "wide", "1 kg", "M", "3/0-16"):
        with pytest.raises(BadValue):
            judge(wrong, "1 mm")


@pytest.mark.parametrize(
    ("text", "family", "size_mm", "pitch_mm"),
    [  # sizes by definition; pitches written out, or of the named tables [from memory]
        ("M8", "M", Fraction(8), Fraction("1.25")),
        ("m12 x 1.25", "M", Fraction(12), Fraction("1.25")),
        ("1/2 BSW", "BSW", Fraction("12.7"), Fraction("25.4") / 12),
        ("1/2 whitworth", "BSW", Fraction("12.7"), Fraction("25.4") / 12),
        ("G 1/4", "G", Fraction("6.35"), Fraction("25.4") / 19),
        ("1/4 BSP", "G", Fraction("6.35"), Fraction("25.4") / 19),
        ("1 1/8-7 UNC", "UNC", Fraction("28.575"), Fraction("25.4") / 7),
        ('3/8"-24 UNF', "UNF", Fraction("9.525"), Fraction("25.4") / 24),
    ],
)
def test_threads(text: str, family: str, size_mm: Fraction, pitch_mm: Fraction) -> None:
    found = parse_thread(text)
    assert (found.family, found.size_mm, found.pitch_mm) == (family, size_mm, pitch_mm)


def test_a_length_is_no_thread() -> None:
    for text in ("3/8", "1 3/8 in", "10 mm", "M9.7", "0-16 UNC", "3/8-0 UNC", "M0", "-1/2 BSW"):
        assert not is_thread(text), text


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=12, alphabet="Mx0123456789/.- UNCBSWGP\"'"))
def test_any_text_is_answered(text: str) -> None:
    is_thread(text)


def test_how_it_came_off() -> None:
    job = engine()
    crank = job.position("crank")
    job.do(
        how.tell(
            job.state, crank, left_hand=True, breakaway_nm=220, trick="warm it", shims=[(2, 0.0508, "front")],
            screws=[("1", 45.0, "M8"), ("2", None, "")],
        )
    )  # fmt: skip
    lines = how_lines(job.state.docs("part")[crank]["how"])
    assert lines == [
        "LEFT-HAND THREAD",
        "trick: warm it",
        "broke away at 220 N.m",
        "2 shims 0.051 mm at front",
        "hole 1: M8 45 mm long",
        "hole 2: length not measured",
    ]
    with pytest.raises(Refused, match="correct it, with a reason"):
        how.tell(job.state, crank, trick="cool it")
    job.do(how.tell(job.state, crank, shims=[(1, 0.1, "rear")], tighten_nm=65, source="sheet 12, oiled"))
    lines = how_lines(job.state.docs("part")[crank]["how"])
    assert "2 shims 0.051 mm at front" in lines and "1 shim 0.100 mm at rear" in lines
    assert "tighten to 65 N.m (sheet 12, oiled)" in lines and "broke away at 220 N.m" in lines
    job.do(how.tell(job.state, crank, no_shims=[2], reason="miscounted"))
    assert "1 shim 0.100 mm at rear" not in how_lines(job.state.docs("part")[crank]["how"])
    for wrong in (
        {"shims": [(1, 0.0001, "")]},
        {"shims": [(0, 0.1, "")]},
        {"breakaway_nm": 0},
        {"glue": "x"},
        {"shims": [(1, 1000.1, "")]},
        {"screws": [("3", 10_000.1, "")]},
        {"screws": [("3", 0.0, "")]},
        {"shims": [(1, 0.1, "")] * 50},
    ):
        with pytest.raises(BadValue):
            how.tell(job.state, crank, **wrong)


def test_how_it_came_off_at_its_bounds() -> None:
    most = {"shims": [(9999, 1000.0, "")] + [(1, 0.001, "")] * 49, "screws": [("1", 10_000.0, "")] * 50}
    kept = checked_how(most)
    assert [len(kept[name]) for name in most] == [50, 50] and kept["screws"][0] == ["1", 10_000.0, ""]


def test_matched_sets_warn() -> None:
    job = engine()
    job.take("cap 1", "engine", "bottom", where=BENCH)
    job.take("cap 2", "engine", "bottom", where=BENCH)
    ids = [job.id("cap 1"), job.id("crank")]
    key = job.do(matched.match(job.state, "bearing 1", ids, ["1 front", "journal 1"]))
    cap, other = job.state.group(job.id("cap 1")), job.state.group(job.id("cap 2"))
    assert sets.warn_gone(job.state, cap) == [
        "cap 1 is of the matched set 'bearing 1' with crank: what was matched is renewed together"
    ]
    assert sets.parted(job.state, [cap, other]) and not sets.warn_split(job.state, other)
    assert "1 front" in sets.warn_seat(job.state, cap, ("engine", "elsewhere"))[0]
    assert not sets.warn_seat(job.state, cap, cap.origin)
    assert sets.at_refit(job.state, cap) == ["matched set 'bearing 1': seat 1 front"]
    with pytest.raises(BadValue, match="cap 1 is of the matched set 'bearing 1'"):
        pieces.swap(job.state, cap.id, other.id)
    job.do(matched.drop(job.state, key))
    assert not sets.matched_sets(job.state)
    with pytest.raises(BadValue, match="not called alike"):
        pieces.swap(job.state, cap.id, other.id)
    job.do(acts.change(job.state, other.id, name="Cap 1"))
    assert pieces.swap(job.state, cap.id, other.id).kind == "swap"
    with pytest.raises(BadValue, match="seats"):
        matched.match(job.state, "x", ids, ["one"])
    with pytest.raises(BadValue, match="two pieces"):
        matched.match(job.state, "x", ids[:1])


def test_connections_come_with_a_pair_of_flags() -> None:
    job = Job()
    job.do(connection.connect(job.state, "hose", "lift pump outlet", "filter inlet", "fuel feed"))
    job.do(connection.connect(job.state, "hose", "filter outlet", "injection pump", ""))
    job.do(connection.connect(job.state, "wire", "board 3", "solenoid", "start"))
    marks = [each.mark for each in connections(job.state)]
    assert marks == ["H1", "H2", "W1"]
    a, b = flags(connections(job.state)[0])
    assert (a.mark, a.here, a.there) == ("H1A", "lift pump outlet", "filter inlet")
    assert (b.mark, b.here, b.there) == ("H1B", "filter inlet", "lift pump outlet")
    key = connections(job.state)[0].key
    job.do(connection.change(job.state, key, a="pump, upper", note="two\nlines", tagged=True))
    doc = job.state.docs("connection")[key]
    assert (doc["a"], doc["b"], doc["note"], doc["tagged"]) == (
        "pump, upper", "filter inlet", "two\nlines", True,
    )  # fmt: skip
    job.do(connection.change(job.state, key, note="", tagged=False))
    assert not {"note", "tagged"} & {name for name, v in job.state.docs("connection")[key].items() if v}
    for wrong in ({}, {"a": " "}, {"b": ""}, {"colour": "red"}, {"name": "two\nlines"}):
        with pytest.raises(BadValue):
            connection.change(job.state, key, **wrong)
    with pytest.raises(BadValue):
        connection.connect(job.state, "rope", "a", "b", "")
    with pytest.raises(BadValue, match="two ends"):
        connection.connect(job.state, "hose", "a", " ", "")


def test_a_hose_that_is_rejected_as_a_part_is_not_joined() -> None:
    job = engine()
    hose = job.take("fuel feed", "engine", "front")
    h1 = job.do(connection.connect(job.state, "hose", "pump", "filter", "Fuel feed", "engine"))
    job.do(inspect(job.state, hose, "bore", "ok", by="ann", on="2027-03-01"))
    job.do(connection.change(job.state, h1, ends={"a": "2027-03-01"}))
    job.do(inspect(job.state, hose, "bore", "cracked", by="ann", on="2027-03-01"))
    with pytest.raises(Refused, match="the part of that name, is rejected: bore cracked"):
        connection.change(job.state, h1, ends={"b": "2027-03-01"})
    (line,) = [each for each in count(job.state, None, TODAY).lines if each.kind == "rejected"]
    assert line.name.startswith("H1 Fuel feed") and "cracked" in line.why
    job.do(connection.change(job.state, h1, ends={"a": None}))
    assert not count(job.state, None, TODAY).of("rejected")
    job.renew("fuel feed")  # the old one no longer counts
    job.do(connection.change(job.state, h1, joined="2027-03-01"))


def test_care_by_age_and_by_hours() -> None:
    job = Job()
    job.do(CARE.add(job.state, "hoses", machine="engine", every_days=365, done="2026-02-01"))
    job.do(CARE.add(job.state, "filter", machine="engine", every_hours=250, done_hours=4000))
    job.do(CARE.add(job.state, "belts", every_days=100))
    said = {each.name: each for each in care(job.state, TODAY)}
    assert said["hoses"].left_days == -28 and said["hoses"].overdue
    assert said["filter"].sentence == "filter: due at 4250 h (the machine's hours are not recorded)"
    assert said["belts"].sentence == "belts: not checked by age (no date it was last done)"
    job.do(care_record.set_hours(job.state, "engine", 4300, "2027-03-01"))
    key = next(k for k, doc in job.state.docs("care").items() if doc["name"] == "filter")
    job.do(CARE.change(job.state, key, gone="felt type 2", instead="paper type 5", why="same flow"))
    (first, *_) = care(job.state, TODAY)
    assert [each.name for each in care(job.state, TODAY)] == ["filter", "hoses", "belts"]
    assert first.sentence == (
        "filter: overdue by 50 h; felt type 2 is no longer to be had, use paper type 5 (same flow)"
    )
    with pytest.raises(BadValue, match="how often"):
        CARE.add(job.state, "paint")


def test_inspections_are_kept() -> None:
    job = engine()
    crank = job.id("crank")
    job.do(
        inspect(
            job.state,
            crank,
            "journal 2",
            "59.94 mm",
            "59.96 mm",
            instrument="micrometer 3",
            by="ann",
            on="2027-03-01",
        )
    )
    (kept,) = inspections(job.state, job.state.group(crank))
    assert kept.told == "journal 2: 59.94 mm (at least 59.96 mm), beyond, with micrometer 3, ann, 2027-03-01"
    assert not inspections(job.state, job.state.group(job.id("piston")))


def test_one_use_is_renewed_by_one_act_and_taken_back_by_one() -> None:
    job = engine()
    assert job.state.group(job.id("gasket")).one_use
    job.renew("gasket")
    assert job.state.group(job.id("gasket")).disposition == "renew" and len(job.state.docs("shortage")) == 1
    job.undo()
    assert job.state.group(job.id("gasket")).disposition == "undecided" and not job.state.docs("shortage")


def test_reuse_elsewhere_names_the_project() -> None:
    job = engine()
    belts = job.id("belts")
    job.do(fitting.dispose(job.state, belts, "reuse elsewhere", elsewhere="the winch"))
    assert job.state.group(belts).elsewhere == "the winch"
    with pytest.raises(Refused, match="reused elsewhere \\(the winch\\)"):
        job.fit("belts")
    job.do(fitting.dispose(job.state, belts, "refit", reason="the winch has its own"))
    assert job.state.group(belts).elsewhere == ""


def as_events(job: Job) -> list[Event]:
    """What was done to a job as events."""
    return [
        Event(1, n, f"e{n}", "2027-03-01T10:00:00Z", "jan", draft.kind, draft.subjects, before, draft.after)
        for n, (draft, before) in enumerate(job.past, 1)
    ]


def test_a_missing_part_was_last_seen_and_what_left_from_there_since() -> None:
    job = Job()
    for name in ("key", "pump", "tub", "lid"):
        job.take(name)
    rack = InZone("rack", "2")
    for name in ("key", "pump", "tub"):
        job.do(acts.lay(job.state, job.id(name), rack))
    job.do(acts.lay(job.state, job.id("lid"), InZone("rack", "3")))
    job.do(acts.lay(job.state, job.id("tub"), InZone("bench 2")))
    job.do(acts.lay(job.state, job.id("lid"), InZone("bench 2")))  # from another level
    job.do(acts.lift_off(job.state, job.id("key")))
    job.do(acts.send_away(job.state, job.id("pump"), "Moss"))
    found = last_seen(as_events(job), job.id("key"))
    assert found.where == rack and found.event is not None and found.event.kind == "lay"
    assert found.lost is not None and found.lost.kind == "lift off"
    assert [job.state.group(each.group).name for each in found.moved] == ["pump", "tub"]
    never = last_seen(as_events(job), "no such group")
    assert never.event is None and not never.moved


def test_what_was_seen_is_conceded_in_words_and_only_as_it_is() -> None:
    job = engine()
    crank = job.id("crank")

    def seen(what: str, word: str) -> None:
        job.do(inspect(job.state, crank, what, word, by="ann", on="2027-03-01"))

    seen("thread", "worn")
    with pytest.raises(BadValue, match="limited"):
        concede(job.state, crank, "one season", by="ann", on="2027-03-01")
    job.do(
        concede(
            job.state,
            crank,
            "no spare",
            "thread worn, one season",
            until="2999-01-01",
            by="ann",
            on="2027-03-01",
        )
    )
    assert release(job.state, crank, TODAY).state == "conceded"
    seen("thread", "cracked")
    assert release(job.state, crank, TODAY).state == "rejected"
    seen("web", "worn")
    with pytest.raises(BadValue, match=r"say of which it is .*, as 'thread cracked: one season'"):
        concede(job.state, crank, "no spare", "one season", by="ann", on="2027-03-01")
    job.do(
        concede(
            job.state, crank, "no spare", "thread: crack marked; web: one season", by="ann", on="2027-03-01"
        )
    )
    assert release(job.state, crank, TODAY).state == "conceded"
    job.do(inspect(job.state, crank, "d", "9.00mm", "9.50mm", by="ann", on="2027-03-01"))
    job.do(concede(job.state, crank, "no spare", "web: one season; d >= 8.95mm", by="ann", on="2027-03-01"))
    assert release(job.state, crank, TODAY).state == "conceded"


def test_a_concession_lets_through_what_is_within_it_and_no_more() -> None:
    job = engine()
    crank = job.id("crank")

    def measured(d: str) -> str:
        job.do(inspect(job.state, crank, "d", d, "9.50mm", by="ann", on="2027-03-01"))
        return release(job.state, crank, TODAY).state

    assert measured("9.00mm") == "rejected"
    for limit in ("d >= 9.01mm", "d <= 8.99mm", "d >= 8.95mm, d <= 8.99mm"):
        with pytest.raises(Refused, match="rejected anyway"):
            concede(job.state, crank, "no spare", limit, by="ann", on="2027-03-01")
    job.do(concede(job.state, crank, "no spare", ">= 8.95mm, d <= 9.05mm", until="2027-03-01", by="ann",
                   on="2027-03-01"))  # fmt: skip
    assert len(job.state.docs("concession")) == 1
    values = ("8.94mm", "8.95mm", "9.05mm", "9.06mm", "9.50mm")
    states = ["rejected", "conceded", "conceded", "rejected", "within limits"]
    assert [measured(each) for each in values] == states
    measured("9.00mm")
    assert release(job.state, crank, date(2027, 3, 2)).state == "rejected", "it has run out"
    with pytest.raises(BadValue, match="why it is taken back"):
        withdraw(job.state, crank, " ")
    job.do(withdraw(job.state, crank, "the spare came", by="ann", on="2027-03-01"))
    assert release(job.state, crank, TODAY).state == "rejected"
    (kept,) = job.state.docs("concession").values()
    assert kept["withdrawn"] == "the spare came (ann, 2027-03-01)"
    with pytest.raises(Refused, match="crank has no concession"):
        withdraw(job.state, crank, "again")


def test_a_concession_replaces_the_side_it_names() -> None:
    """ISO 9000:2015, 'concession': limited to given characteristics and limits; the other limit stays."""
    job = engine()
    crank = job.id("crank")

    def measured(d: str, low: str = "", high: str = "") -> str:
        job.do(inspect(job.state, crank, "d", d, low, high, by="ann", on="2027-03-01"))
        return release(job.state, crank, TODAY).state

    measured("9.8mm", "9.9mm", "10mm")
    for limits, told in (
        ("d <= 10mm", "say nothing of the side it is beyond .as 'd >= 9.8mm'"),
        ("d <= 100mm", "on the side it holds"),
        ("d >= 9.7mm, d <= 12mm", "on the side it holds"),
    ):
        with pytest.raises(Refused, match=told):
            concede(job.state, crank, "no spare", limits, by="ann", on="2027-03-01")
    job.do(concede(job.state, crank, "no spare", "d >= 9.7mm", by="ann", on="2027-03-01"))
    states = ["conceded", "rejected", "rejected", "rejected", "within limits"]
    assert [measured(d) for d in ("9.7mm", "10.01mm", "12mm", "9.69mm", "9.9mm")] == states


def test_a_concession_is_for_as_many_pieces_as_there_were() -> None:
    """ISO 9000:2015, 'concession': limited to a quantity. Those split off take their share of it along."""
    job = engine()
    springs = job.id("springs")
    n = job.state.group(springs).qty
    job.do(inspect(job.state, springs, "d", "9.8mm", "9.9mm", by="ann", on="2027-03-01"))
    job.do(concede(job.state, springs, "no spare", "d >= 9.7mm", by="ann", on="2027-03-01"))
    job.do(acts.split(job.state, springs, 3))

    def lots() -> list[str]:
        return [each.id for each in job.state.groups() if each.name == "springs"]

    assert sorted(doc["qty"] for doc in job.state.docs("concession").values()) == sorted([3, n - 3])
    assert {release(job.state, each, TODAY).state for each in lots()} == {"conceded"}
    job.do(pieces.correct(job.state, springs, n, "came off", "recount", by="ann", on="2027-03-02"))
    states = sorted(release(job.state, each, TODAY).state for each in lots())
    assert states == ["conceded", "conceded", "to inspect"], "nobody conceded what came off as well"
    job.do(Draft("change", {f"group:{springs}": {"qty": n}}))  # as an older ledger may have it
    assert release(job.state, springs, TODAY).state == "rejected", "nobody conceded the other three"
    (ended,) = [each.text for each in stands(job.state, TODAY) if each.kind == "once conceded"]
    assert f"it was for {n - 3} pieces, and there are {n}" in ended


@pytest.mark.parametrize("lost", [1, 8])
def test_what_was_rejected_when_it_was_lost_is_rejected_when_it_is_found(lost: int) -> None:
    job = engine()
    springs = job.id("springs")
    job.do(inspect(job.state, springs, "length", "40mm", "45mm", by="ann", on="2027-03-01"))
    job.do(pieces.lose(job.state, springs, "not in the tray", lost, by="ann", on="2027-03-01"))
    job.do(pieces.find(job.state, "springs", by="ann", on="2027-03-02"))
    lots = [each for each in job.state.groups() if each.name == "springs"]
    assert sorted(each.qty for each in lots) == ([1, 7] if lost == 1 else [8])
    assert [release(job.state, each.id, TODAY).state for each in lots] == ["rejected"] * len(lots)
    assert len(job.state.docs("inspection")) == len(lots), "said once of each"


def test_only_a_value_that_rejects_is_not_taken_back_without_a_reason() -> None:
    job = engine()
    crank = job.id("crank")

    def back(value: str) -> Draft:
        """What taking the measuring of a value back would record."""
        job.do(inspect(job.state, crank, "d", value, "9.50mm", by="ann", on="2027-03-01"))
        _, before = job.past[-1]
        return Draft("undo", before, (f"group:{crank}",))

    good = back("9.60mm")
    assert undone(job.state, good, "") == good
    bad = back("9.00mm")
    with pytest.raises(ReasonWanted, match="rejects"):
        undone(job.state, bad, "")
    kept = undone(job.state, bad, "read the wrong scale", by="ann", on="2027-03-01").after
    (told,) = (doc for subject, doc in kept.items() if subject.startswith("correction:"))
    assert {*bad.after} < {*kept} and told["text"] == "crank: d 9.00mm taken back"
    assert (told["why"], told["group"]) == ("read the wrong scale", crank)


def test_a_value_without_a_limit_asks_for_an_inspection_until_all_are_judged() -> None:
    job = engine()
    crank = job.id("crank")

    def measured(what: str, value: str, low: str = "") -> list[tuple[str, bool]]:
        job.do(inspect(job.state, crank, what, value, low, by="ann", on="2027-03-01"))
        return [(each.what, bool(each.done)) for each in job.state.group(crank).work]

    assert measured("d", "9.00mm") == [("inspect", False)]
    assert measured("bore", "5mm", "4mm") == [("inspect", False)], "of d no limit was given"
    assert release(job.state, crank, TODAY).state == "to inspect"
    assert measured("d", "9.00mm", "9mm") == [("inspect", True)]
    assert release(job.state, crank, TODAY).state == "within limits"


def test_the_words_of_what_is_seen_are_named() -> None:
    with pytest.raises(BadValue, match=r"seen is ok, good.* or bad, not ok, cracked, worn"):
        judge("wobbly")
    assert judge("fail").verdict == "beyond" and judge("fine").verdict == "within"


def test_what_the_count_misses_and_nobody_asked_for_is_named_with_the_shortages() -> None:
    job = engine()
    key = job.renew("springs")
    assert not unasked(job.state, TODAY)
    job.do(shortage.SHORTAGE.change(job.state, key, qty=6))
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    assert [(line.name, line.pieces) for line in unasked(job.state, TODAY)] == [("springs", 2)]


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [("", "", "d: 9 mm"), ("8 mm", "", "d: 9 mm (at least 8 mm)"), ("", "9 mm", "d: 9 mm (at most 9 mm)")],
)
def test_what_was_measured_is_said_with_the_limits_there_are(low: str, high: str, said: str) -> None:
    found = Inspection("k", "g", "d", "within", "2027-02-20", "9 mm", low, high, "ann", "a gauge")
    assert found.told == f"{said}, within, with a gauge, ann, 2027-02-20"
    assert Inspection("k", "g", "d", "within", None, "9 mm", low, high).told == f"{said}, within"
