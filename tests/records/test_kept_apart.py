"""What may not go back on stays apart from what may; a count that differs keeps what became of the rest."""

from __future__ import annotations

import pytest
from strip_job import BENCH, Job

from shopbins.ledger.problems import BadValue, Refused
from shopbins.records import acts, pieces
from shopbins.records.inspection import concede, inspect


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
        acts.merge(job.state, ids)
    limit = "shank >= 9.8 mm"
    job.do(concede(job.state, job.id("right bolt"), "no spare", limit, by="ann", on="2026-11-25"))
    with pytest.raises(Refused, match="right bolt is under concession: it stays apart"):
        acts.merge(job.state, ids)


def test_what_is_within_its_limits_may_be_put_together() -> None:
    job = bolts("10 mm")
    job.do(acts.merge(job.state, [job.id("left bolt"), job.id("right bolt")]))
    assert job.state.group(job.id("left bolt")).qty == 2


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
