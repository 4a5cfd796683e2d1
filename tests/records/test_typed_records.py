"""The typed lines of records, as they are understood; no screen."""

from datetime import date

import pytest

from shopbins.ledger.problems import BadValue
from shopbins.records.care import CARE
from shopbins.records.shortage import SHORTAGE

DAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("gasket, 2 off", {"qty": 2}),
        ("gasket, x2", {"qty": 2}),
        ("sealant, 3 tubes", {"qty": 3, "unit": "tubes"}),
        ("gasket, 10-20 days", {"days": (10.0, 20.0)}),
        ("gasket, 10 to 20 days", {"days": (10.0, 20.0)}),
        ("gasket, 2 weeks", {"days": (14.0, 14.0)}),
        ("gasket, takes 1-2 weeks", {"days": (7.0, 14.0)}),
        ("gasket, of Hansen and Sons", {"ask_of": "Hansen and Sons"}),
        ("gasket, £12.50", {"price": "£12.50"}),
        ("gasket, 84 EUR", {"price": "84 EUR"}),
        ("gasket, price by weight", {"price": "by weight"}),
        ("gasket, asked", {"asked": "2026-05-04"}),
        ("gasket, asked 2026-05-01", {"asked": "2026-05-01"}),
        ("gasket, promised 2026-06-01", {"promised": "2026-06-01"}),
        ("gasket, promised for 2026-06-01", {"promised": "2026-06-01"}),
        ("gasket, 1.5 mm copper, annealed", {"spec": "1.5 mm copper, annealed"}),
        ("gasket, note ring before noon", {"note": "ring before noon"}),
    ],
)
def test_a_shortage_is_told_by_its_parts(text, fields):
    assert SHORTAGE.read(text, DAY) == {"name": text.partition(",")[0], **fields}


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        (
            "2 roller bearings 6308, 38 each, by 15 Dec",
            {"name": "roller bearings 6308", "qty": 2, "price": "38 each", "promised": "2026-12-15"},
        ),
        ("2 x gasket", {"name": "gasket", "qty": 2}),
        ("12off studs", {"name": "studs", "qty": 12}),
        ("4 mm bolts, 6 off", {"name": "4 mm bolts", "qty": 6}),
        ("12 V relay", {"name": "12 V relay"}),
        ("2 stroke oil", {"name": "2 stroke oil"}),
        ("gasket, by 3 May", {"name": "gasket", "promised": "2027-05-03"}),
        ("gasket, by May 4", {"name": "gasket", "promised": "2026-05-04"}),
        ("gasket, by 29 feb", {"name": "gasket", "promised": "2028-02-29"}),
        ("gasket, promised for 1 June 2026", {"name": "gasket", "promised": "2026-06-01"}),
    ],
)
def test_a_shortage_as_people_say_it(text, fields):
    """Many before the name, a price each, a day by its month: without a year the next such day."""
    assert SHORTAGE.read(text, DAY) == fields


def test_what_waits_for_it():
    found = SHORTAGE.read("shells, for big-end cap, for ZQW0003X, before engine closed, 3 pairs", DAY)
    assert found["positions"] == ["big-end cap", "ZQW0003X"]
    assert found["milestone"] == "engine closed"


@pytest.mark.parametrize(
    "text",
    [
        "",
        ", 2 off",
        "gasket, promised",
        "gasket, promised soon",
        "gasket, asked 5 May",
        "gasket, by 31 April",
        "2 gaskets, 3 off",
    ],
)
def test_a_shortage_that_cannot_be_read(text):
    with pytest.raises(BadValue):
        SHORTAGE.read(text, DAY)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("hoses, every 5 years", {"every_days": 1826.2}),
        ("hoses, every 2 weeks, done", {"every_days": 14.0, "done": "2026-05-04"}),
        (
            "oil, every 250 hours, every 1 y, engine",
            {"every_hours": 250.0, "every_days": 365.2, "machine": "engine"},
        ),
        ("oil, every 250h, done yesterday", {"every_hours": 250.0, "done": "2026-05-03"}),
    ],
)
def test_care_is_told_by_its_parts(text, fields):
    assert CARE.read_new(text, DAY) == {"name": text.partition(",")[0], **fields}


@pytest.mark.parametrize(
    "text", ["", "hoses", "hoses, done", "hoses, every 5 years, every 2 weeks", "hoses, every"]
)
def test_care_that_cannot_be_read(text):
    with pytest.raises(BadValue):
        CARE.read_new(text, DAY)


def test_fields_typed_one_behind_the_other():
    assert CARE.read_fields("felt; paper; same flow; better", DAY, "gone", "instead", "why") == {
        "gone": "felt", "instead": "paper", "why": "same flow; better",
    }  # fmt: skip
    assert CARE.read_fields("felt;; same flow", DAY, "gone", "instead", "why") == {
        "gone": "felt", "why": "same flow",
    }  # fmt: skip
    assert CARE.read_fields("felt", DAY, "gone", "instead", "why") == {"gone": "felt"}


def test_a_value_said_twice():
    assert SHORTAGE.read("shells, 240 mm, dry", DAY)["spec"] == "240 mm, dry", "texts are joined"
    with pytest.raises(BadValue, match="a second qty"):
        SHORTAGE.read("shells, 2 off, 3 off", DAY)
    assert SHORTAGE.read("shells, for crank, for head", DAY)["positions"] == ["crank", "head"]


def test_a_row_that_cannot_be_read_is_named():
    with pytest.raises(BadValue, match=r"^done: .*no date"):
        CARE.read_rows({"name": "hoses", "done": "soon"}, DAY)
    assert SHORTAGE.read_rows({"name": "x", "positions": "crank; head ;", "qty": " "}, DAY) == {
        "name": "x", "positions": ["crank", "head"],
    }  # fmt: skip
