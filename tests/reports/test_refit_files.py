"""Reports of strip and refit as files: text, CSV and PDF say the same."""

from __future__ import annotations

import csv
import io
from datetime import date

import pypdfium2
import pytest

from shopbins.lists.papers import KINDS, About, report
from shopbins.records import shortage
from shopbins.records.group import AWAY
from shopbins.records.how import HOW
from shopbins.reports.pdf import Listing, PageRow, listing_pdf

DAY = date(2026, 5, 4)


def words(data: bytes) -> str:
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]
    return " ".join(" ".join(pages).split())


@pytest.fixture
def about(tmp_path):
    """An engine of three groups, one of them renewed, one with cautions, one away."""
    from shopbins.desk import Desk

    (tmp_path / "shop.yaml").write_text(
        "shop: Slip\nprefix: S\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"
    )
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        head = desk.take("cylinder head", origin=("engine",), cautions=("lapped face",))
        desk.take("gasket", origin=("engine",), one_use=True)
        desk.take("Kurbelwelle 1 (⌀ 60)", origin=("engine", "Unterteil"), qty=2)
        desk.do(shortage.RENEW("gasket", days="3-5", ask_of="Hansen", spec="1.5 mm copper"))
        desk.do(HOW(head.id, left_hand=True, trick="heat"))
        desk.do(AWAY(head.id, to="the grinder", until="2026-06-01"))
        yield About(desk.state, desk.hints, desk.audit, "Slip", DAY)


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("strip", ["cylinder head", "lapped face", "LEFT-HAND THREAD", "trick: heat", "the grinder"]),
        (
            "refit",
            ["cylinder head", "away at the grinder until 2026-06-01", "shortage: gasket", "lapped face"],
        ),
        ("shortages", ["gasket", "Hansen", "1.5 mm copper"]),
        ("left-overs", ["cylinder head", "away at the grinder", "gasket"]),
    ],
)
def test_all_three_sorts_say_it(about, kind, said):
    assert kind in KINDS
    pdf, table, text = (report(kind, sort, about) for sort in ("pdf", "csv", "txt"))
    for each in said:
        assert each in words(pdf), "the PDF"
        assert each in table.decode("utf-8-sig"), "the CSV"
    rows = list(csv.reader(io.StringIO(table.decode("utf-8-sig"))))
    assert len({len(row) for row in rows}) == 1, "RFC 4180: every row has as many fields"
    assert said[0] in text.decode()


def test_shortages_on_paper_name_what_is_missing_and_nobody_asked_for(tmp_path):
    """Three pistons scrapped, no shortage for them: paper says so as the command does."""
    from shopbins.desk import Desk

    (tmp_path / "shop.yaml").write_text(
        "shop: Slip\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"
    )
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        desk.take("pistons", origin=("engine",), qty=3, disposition="scrap")
        about = About(desk.state, desk.hints, desk.audit, "Slip", DAY)
        assert "no shortage is for it: pistons x3." in words(report("shortages", "pdf", about))
        assert b"no shortage is for it: pistons x3." in report("shortages", "txt", about)
        desk.do(shortage.ADD(name="pistons", positions=("pistons",), qty=3))
        about = About(desk.state, desk.hints, desk.audit, "Slip", DAY)
        assert b"no shortage is for it" not in report("shortages", "txt", about)


def test_what_is_rejected_stands_once_in_the_refit_list(tmp_path):
    """59.93 mm where 59.96 mm is the least: it waits for that, and it is not said a second time below."""
    from shopbins.desk import Desk
    from shopbins.records.inspection import INSPECT

    (tmp_path / "shop.yaml").write_text(
        "shop: Slip\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"
    )
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        desk.take("shaft", origin=("engine",), cautions=("98 kg",))
        desk.do(INSPECT("shaft", what="journal 2", measured="59.93mm", low="59.96mm"))
        about = About(desk.state, desk.hints, desk.audit, "Slip", DAY)
        text = report("refit", "txt", about).decode()
        assert text.count("journal 2 59.93mm") == 1 and text.count("caution: 98 kg") == 1


def test_the_same_state_gives_the_same_file(about):
    assert report("refit", "pdf", about) == report("refit", "pdf", about)


def test_one_machine_only(about):
    other = About(about.state, about.hints, about.audit, "Slip", DAY, "winch")
    assert "nothing came off" in words(report("strip", "pdf", other))


def test_long_lists_go_on_with_their_heading_on_every_page():
    rows = [
        PageRow((str(n), f"part {n} " + "long " * (n % 40)), ("a line below",), box=True) for n in range(200)
    ]
    data = listing_pdf(Listing("A list", (), (("no", 1.0), ("part group", 5.0)), rows, "foot"))
    document = pypdfium2.PdfDocument(data)
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    assert len(texts) > 3
    assert all("part group" in each and "foot" in each for each in texts)
    assert [f"page {n}" in each for n, each in enumerate(texts, 1)] == [True] * len(texts)
    together = " ".join(texts)
    assert all(f"part {n} " in together for n in range(200)), "no row is lost at the foot of a page"


def test_a_word_wider_than_its_column_is_cut_not_lost():
    word = "x" * 400
    data = listing_pdf(Listing("A list", (), (("no", 1.0), ("part", 1.0)), [PageRow(("1", word))]))
    assert words(data).replace(" ", "").count("x") == 400


def test_the_refit_names_the_first_of_what_nobody_asked_for(tmp_path):
    """The Shortages of the screen say it too, the first three by name."""
    from shopbins.desk import Desk
    from shopbins.tui.refit.lists import Shortages
    from shopbins.tui.refit.views import Only

    (tmp_path / "shop.yaml").write_text(
        "shop: Slip\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"
    )
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        for name in ("anodes", "belts", "caps", "discs"):
            desk.take(name, origin=("engine", name), qty=2, disposition="scrap")
        view = Shortages(desk, DAY)
        view.load(Only())
        (said,) = view.summary()
        assert said.endswith("no shortage is for it: anodes x2, belts x2, caps x2 and 1 more")
