"""What the shop file may ask of a part before it goes back on: our own rule, off by default."""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import BENCH, Job

from shopbins.ledger.events import Draft
from shopbins.ledger.problems import Refused
from shopbins.records import acts, shortage
from shopbins.records.asked import as_asked
from shopbins.records.inspection import concede, inspect
from shopbins.shop.model import Asked
from shopbins.strip.release import release

DAY = "2026-11-25"


class Asking(Job):
    """A job in a shop that asks for this."""

    def __init__(self, **asked: object) -> None:
        super().__init__()
        self.asked = Asked(**asked)

    def do(self, draft: Draft) -> str:
        return super().do(as_asked(self.state, draft, self.asked))

    def seen(self, group: str, by: str, measured: str = "59.97 mm") -> str:
        """Who measures it: what it is then."""
        self.do(inspect(self.state, group, "bore", measured, "59.96 mm", by=by, on=DAY))
        return release(self.state, group, date.fromisoformat(DAY)).state


def test_what_two_persons_are_to_see_waits_for_the_second() -> None:
    job = Asking(two_persons=("brake", "sling"))
    band, pin = job.take("Brake band", "saw", "arm", where=BENCH), job.take("pin", "saw", "arm", where=BENCH)
    assert release(job.state, band, date.fromisoformat(DAY)).state == "to inspect"
    assert release(job.state, pin, date.fromisoformat(DAY)).state == "nothing asked"
    assert [job.seen(band, who) for who in ("ann", "ann", "bob", "ann")] == [
        "to inspect", "to inspect", "within limits", "within limits",
    ]  # fmt: skip
    assert job.seen(pin, "ann") == "within limits"
    assert job.seen(band, "bob", "59.9 mm") == "rejected"


@pytest.mark.parametrize("asked", [False, True])
def test_who_measured_it_beyond_does_not_concede_it(asked: bool) -> None:
    job = Asking(concede_by_another=asked)
    pin = job.take("pin", "saw", "arm", where=BENCH)
    assert job.seen(pin, "ann", "59.9 mm") == "rejected"
    if asked:
        with pytest.raises(Refused, match="found by ann: the shop file asks for another person"):
            job.do(concede(job.state, pin, "so", "bore >= 59.9 mm", by="ann", on=DAY))
    job.do(concede(job.state, pin, "so", "bore >= 59.9 mm", by="bob" if asked else "ann", on=DAY))
    assert release(job.state, pin, date.fromisoformat(DAY)).state == "conceded"


@pytest.mark.parametrize(("asked", "state"), [(False, "nothing asked"), (True, "to inspect")])
def test_what_was_bought_is_looked_at_before_it_goes_on(asked: bool, state: str) -> None:
    job = Asking(look_at_what_comes=asked)
    job.take("pin", "saw", "arm", where=BENCH)
    key = job.renew("pin")
    job.do(shortage.arrive(job.state, key, DAY))
    new = next(each.id for each in job.state.groups() if each.brought)
    assert release(job.state, new, date.fromisoformat(DAY)).state == state
    if asked:
        job.do(inspect(job.state, new, "looks", "ok", by="ann", on=DAY))
        job.do(acts.lay(job.state, new, BENCH))
        assert release(job.state, new, date.fromisoformat(DAY)).state == "within limits"
