"""A shop described by questions: from stdin, from rows of the measuring sheet, at a terminal."""

# ruff: noqa: E501

from __future__ import annotations

import io
import math
import signal
import sys
from pathlib import Path

import pdfplumber
import pexpect
import pytest

from shopbins.cli import main
from shopbins.shop import read
from shopbins.shop.interview import Interview, Wrong

Run = tuple[int, str, str]
NO_WAY = "no walkway described: nothing can block one (Draw adds one: a, walkway)\n"


@pytest.fixture
def describe(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    monkeypatch.chdir(tmp_path)

    def run(answers: str, *args: str) -> Run:
        monkeypatch.setattr("sys.stdin", io.StringIO(answers))
        status = main(["new", *args])
        out, err = capsys.readouterr()
        return status, out, err

    return run


def test_a_room_of_two_walls_is_enough(describe, tmp_path: Path) -> None:
    assert describe("Hill shed\n\n\nshed\n6000\nl 4000\n") == (
        *(0, "shop.yaml: written; open it with: shopbins shop.yaml\n", ""),
    )
    text = "shop: Hill shed\nrooms:\n  shed: {at: [0, 0], size: [6000, 4000]}\n"
    assert (tmp_path / "shop.yaml").read_text() == text


def test_the_shed_of_the_shop_file_page(describe, tmp_path: Path) -> None:
    """docs/shop-file.md, 'Measure your first room': the same shop from answers typed with the tape in hand."""
    status, _, err = describe(
        "My shed\n\n10\nshed\n6000\nl 4000\n\n\n2400\n\n\n\n"
        "front door, 4, , 1600, 900, 2000, h, l, in, , y\n\n"
        "bench, b, 3, 0, 2, 2000, 2000, 700, 900, 300\nrack, s, 1, 0, 2, 200, 1800, 500, 100; 650, 150\n"
        "by the door, f, 1, 100, 4, 100, 1200, 1000\n\n"
        "switchboard, 4, 0, 3, 0, 1000, 900, switchgear\n\n\n"
    )
    assert (status, err) == (0, NO_WAY)
    shop = read(tmp_path / "shop.yaml")
    assert shop.measured_mm == 10
    assert set(shop.doors["front door"].jambs) == {(0, 1500), (0, 2400)}
    bench = shop.zones["bench"]
    assert sorted({round(x) for x, _ in bench.outline}) == [2000, 4000]
    assert sorted({round(y) for _, y in bench.outline}) == [3300, 4000]
    assert [level.height_mm for level in shop.zones["rack"].levels] == [100, 650]
    assert shop.keep_clear["switchboard"].why == "switchgear"


@pytest.mark.parametrize(
    ("tape", "answers", "size"),
    [
        ("m", "6\nl 4\n", (6000, 4000)),
        ("cm", "600\nl 400.5\n", (6000, 4005)),
        ("ft", "20\nl 12 6\n", (6096, 3810)),
        ("ft", "20'\nl 12'6\"\n", (6096, 3810)),
        ("ft", "20\nl 12 6 3/8\n", (6096, 3819.525)),
        ("in", "240\nl 150 1/2\n", (6096, 3822.7)),
        ("mm", "20 ft\nl 4 m\n", (6096, 4000)),
    ],
)
def test_what_the_tape_reads(
    describe, tmp_path: Path, tape: str, answers: str, size: tuple[float, float]
) -> None:
    """An inch is 25.4 mm (international agreement of 1959)."""
    assert describe(f"A\n{tape}\n\nshed\n{answers}")[0] == 0
    (x0, y0), _, (x1, y1), _ = read(tmp_path / "shop.yaml").rooms["shed"].outline
    assert (x1 - x0, y1 - y0) == pytest.approx(size, abs=0.06)


def test_a_small_miss_is_spread_and_said(describe, tmp_path: Path) -> None:
    status, _, err = describe("A\n\n10\nell\n6000\nl 4010\nl 2500\nl 1000\nr 3495\nl 3000\n\n")
    assert status == 0
    assert err == "ell: the walls miss each other by 5 mm along and 10 mm across, over 20.0 m: spread\n"
    outline = read(tmp_path / "shop.yaml").rooms["ell"].outline
    for a, b in zip(outline, [*outline[1:], outline[0]], strict=True):
        assert min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 0.11


def test_the_last_wall_need_not_be_walked(describe, tmp_path: Path) -> None:
    assert describe("A\n\n\nell\n6000\nl 4000\nl 2500\nl 1000\nr 3500\n\n")[0] == 0
    assert len(read(tmp_path / "shop.yaml").rooms["ell"].outline) == 6


def test_a_large_miss_is_asked_about(describe, tmp_path: Path) -> None:
    walls = "A\n\n\nhall\n6000\nl 4000\nl 5900\nl 4000\n\n\n"
    status, out, err = describe(walls)
    assert (status, out) == (65, "")
    assert "miss each other by 100 mm along and 0 mm across, over 19.9 m" in err
    assert not (tmp_path / "shop.yaml").exists()
    assert describe(walls + "3 6000\n")[0] == 0
    assert read(tmp_path / "shop.yaml").rooms["hall"].outline[2] == (6000, 4000)
    (tmp_path / "shop.yaml").unlink()
    assert describe(walls + "s\n")[0] == 0
    assert "+- " in (tmp_path / "shop.yaml").read_text()


def test_a_miss_of_metres(describe, tmp_path: Path) -> None:
    status, _, err = describe("A\n\n\nhall\n6000\nl 4000\nl 1000\nl 900\n\n\n\n")
    assert status == 65
    assert len(err.splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_a_room_that_is_not_square(describe, tmp_path: Path) -> None:
    """Four sides and a diagonal: the other must be 7232 (law of cosines, tests/outside)."""
    status, _, err = describe("A\n\n\nhall\n6000\nl 4000\nl 6000\nl 4000\n\n1 3 7190\n\n7300\n")
    assert status == 0
    assert "hall: 7300 mm, not 7232: one of the five lengths is wrong" in err
    corners = read(tmp_path / "shop.yaml").rooms["hall"].outline
    assert math.dist(corners[0], corners[2]) == pytest.approx(7190, abs=0.1)
    assert math.dist(corners[1], corners[3]) == pytest.approx(7232, abs=1)


def test_a_corner_by_a_metre_along_both_walls(describe, tmp_path: Path) -> None:
    status, _, err = describe("A\n\n\nhall\n6000\nl 4000\nl 6000\nl 4000\n\nk 2 1000 1000 1424.2\n\n\n")
    assert status == 0
    assert "corner 2 is 90.8 degrees; 1 mm across moves the wall's end by 8.5 mm" in err
    assert read(tmp_path / "shop.yaml").rooms["hall"].outline[2][0] > 6040


def test_the_next_room_hangs_on_the_door(describe, tmp_path: Path) -> None:
    status, _, err = describe(
        "A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\nback, 2, , 500, 900, 2000, h, r, out, store, , , 240, 700\n\n\n\n\n"
        "3000\nl 2000\n"
    )
    assert (status, err) == (0, NO_WAY)
    shop = read(tmp_path / "shop.yaml")
    assert shop.doors["back"].to == "store"
    assert shop.doors["back"].swings_into == "store"
    xs = {x for x, _ in shop.rooms["store"].outline}
    assert xs == {6240, 8240}


def test_rows_of_the_sheet(describe, tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text(
        "shop,Hill shed\ntape,m\nroom,shed\nwall,,6\nwall,l,4\n# what a reader of the sheet may add\n"
        "headroom,2.4\nslope,1 in 50,3\ndoor,front door,4,,1.6,0.9,2,h,l,in,,yes\n"
        "door,gap,2,,1,1,,o,,,store,,,0.2,0.5\nplace,bench,b,3,0,2,0.2,2,0.7,0.9,300\n"
        "keep clear,board,1,0,4,2,0.9,1,switchgear\nfixed,column,1,2,2,1.5,0.2,0.2\nroom,store\nwall,,3\nwall,l,2\n"
    )
    status, _, err = describe("", "s.yaml", "--from", "rows.csv")
    assert (status, err) == (0, NO_WAY)
    shop = read(tmp_path / "s.yaml")
    assert set(shop.rooms) == {"shed", "store"}
    assert shop.rooms["shed"].slope is not None
    assert shop.rooms["shed"].slope.towards_deg == 90
    assert (set(shop.doors), set(shop.zones)) == ({"front door", "gap"}, {"bench"})


@pytest.mark.parametrize(
    ("answers", "line", "said"),
    [
        ("A\n\n\nhall\n2,400 m\n", 5, "comma in the number"),
        ("A\n\n\nhall\n2.4\n", 5, "2.4 is 2.4 mm; did you mean 2.4 m?"),
        ("A\n\n\nhall\n6000\n4000\n", 6, "say where wall 2 turns"),
        ("A\nyards\n", 2, "one of mm, cm, m"),
        ("A\n\n\nhall\n", 5, "a room needs two walls"),
        ("A\n\n\nhall\n250 m\n", 5, "over 200 m"),
        ("A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\nd, 9, , 1, 900\n", 13, "a wall of hall: 1 to 4"),
        ("A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\nd, 1, , 5500, 900\n", 13, "wall 1 is 6000 mm long"),
        ("A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\nd, 1, , 500, 90\n", 13, "did you mean 90 cm?"),
        (
            "A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\n\nb, b, 1, 0, 3, 0, 900, 600, 900\n",
            14,
            "name two that meet",
        ),
    ],
)
def test_a_wrong_answer_is_named_by_its_line(
    describe, tmp_path: Path, answers: str, line: int, said: str
) -> None:
    status, out, err = describe(answers)
    assert (status, out) == (65, "")
    assert err.startswith(f"stdin:{line}: ")
    assert said in err
    assert list(tmp_path.iterdir()) == []


def test_a_row_nobody_asks_for(describe, tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text("shop,A\nroom,shed\nwall,,6000\nwall,l,4000\nchair,x\n")
    assert describe("", "--from", "rows.csv")[::2] == (
        *(65, "rows.csv:5: no question is answered by this row\n"),
    )


def test_a_shop_that_is_there_stays(describe, tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text("mine")
    status, _, err = describe("A\n\n\nhall\n6000\nl 4000\n")
    assert status == 1
    assert "is there already" in err
    assert (tmp_path / "shop.yaml").read_text() == "mine"


def test_what_overlaps_is_said_and_nothing_written(describe, tmp_path: Path) -> None:
    bench = "b, b, 1, 0, 4, 0, 900, 600, 900\nc, b, 1, 0, 4, 0, 900, 600, 900\n"
    status, _, err = describe(f"A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\n\n{bench}")
    assert status == 65
    assert "zone 'c'" in err
    assert err.endswith("nothing was written\n")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_sheet_fits_its_paper(describe, tmp_path: Path, paper: str, size: tuple[float, float]) -> None:
    """ISO 216 A4, ANSI letter; nothing is drawn beyond the paper's printable 5 mm."""
    assert describe("", "--sheet", "s.pdf", "--paper", paper)[0] == 0
    with pdfplumber.open(tmp_path / "s.pdf") as read_back:
        assert len(read_back.pages) == 2
        for page in read_back.pages:
            assert (page.width * 25.4 / 72, page.height * 25.4 / 72) == pytest.approx(size, abs=0.1)
            things = [*page.lines, *page.chars]
            assert min(float(each["x0"]) for each in things) > 14
            assert max(float(each["x1"]) for each in things) < page.width - 14
            assert max(float(each["bottom"]) for each in things) < page.height - 14


def test_at_a_terminal_back_and_what_is_offered(tmp_path: Path) -> None:
    child = pexpect.spawn(
        sys.executable, ["-m", "shopbins", "new"], cwd=str(tmp_path), timeout=20, encoding="utf-8"
    )
    for prompt, answer in (
        ("called", "Wrong name"),
        ("tape", "b"),
        ("called", "Hill shed"),
        ("tape", ""),
        ("measure", ""),
        ("First room", ""),
        ("wall 1", "2.4"),
        ("did you mean 2.4 m", ""),
        ("wall 2", "l 2,400 m"),
        ("comma in the number", "l 3,0 m"),
        ("wall 3", ""),
        ("not square", ""),
        ("headroom", ""),
        ("floor load", ""),
        ("hot work", ""),
        ("floor falls", ""),
        ("a door", ""),
        ("a place", ""),
        ("keep clear", ""),
        ("fixed", ""),
        ("Another room", ""),
        ("Open it now", "n"),
    ):
        child.expect(prompt)
        child.expect([r"\? ", r"\] ", r"n "])
        child.sendline(answer)
    child.expect(pexpect.EOF)
    text = "shop: Hill shed\nrooms:\n  shed: {at: [0, 0], size: [2400, 3000]}\n"
    assert (tmp_path / "shop.yaml").read_text() == text


@pytest.mark.parametrize(
    ("typed", "tape", "turn", "mm"),
    [
        ("r 6,0", "m", -90.0, 6000.0),
        ("l 6,25 m", "mm", 90.0, 6250.0),
        ("s 3,5m", "mm", 0.0, 3500.0),
        ("r 30 deg 2,4 m", "mm", -30.0, 2400.0),
        ("l 1,250", "m", 90.0, 1250.0),
    ],
)
def test_a_decimal_comma_is_taken_at_once(typed: str, tape: str, turn: float, mm: float) -> None:
    asking = Interview(lambda *_: None, print)
    asking.tape = tape
    assert asking._wall(2)(typed) == (turn, mm)


def test_what_may_be_thousands_is_asked_and_offered_with_its_turn() -> None:
    """Enter takes the offer: without its letter it would be asked again, and then offered as a left turn."""
    with pytest.raises(Wrong) as problem:
        Interview(lambda *_: None, print)._wall(2)("r 6,000")
    assert problem.value.offer.startswith("r 6000")


WALLED = "A\n\n\nshed\n6000\nl 4000\n\n\n\n\n\n\n\n"


def test_b_is_a_bench_where_a_kind_is_asked_and_back_goes_back(describe, tmp_path: Path) -> None:
    assert describe(WALLED + "stand\nb\n1\n100\n4\n100\n1200\n600\n900\n\n\n\n")[0] == 0
    assert read(tmp_path / "shop.yaml").zones["stand"].kind == "bench"
    (tmp_path / "shop.yaml").unlink()
    assert describe(WALLED + "stand\nback\nrack\ns\n1\n100\n4\n100\n1200\n600\n900\n\n\n\n")[0] == 0
    assert list(read(tmp_path / "shop.yaml").zones) == ["rack"]


def test_a_floor_spot_is_not_asked_for_a_height(describe, tmp_path: Path) -> None:
    assert describe(WALLED + "bay\nf\n1\n100\n4\n100\n1200\n1000\n500 kg\n\n\n")[0] == 0
    assert read(tmp_path / "shop.yaml").zones["bay"].levels[0].load_kg == 500


DOORED = (
    "A\n\n\nshed\n6000\nl 4000\n\n\n\n\n\n\ngate, 4, , 1600, 900, 2000, o, , , , y\n\n"
    "bench, b, 2, 0, 1, 500, 2000, 700, 900\n\n\n\n\n"
)


def test_a_walkway_is_asked_for_and_led_from_door_to_place(describe, tmp_path: Path) -> None:
    status, _, err = describe(DOORED + "gate, bench\n800\n600\ny\n\n")
    assert (status, err) == (0, "")
    shop = read(tmp_path / "shop.yaml")
    (way,) = shop.walkways.values()
    assert (way.width_mm, way.least_mm, way.exit_route) == (800, 600, True)
    gate = shop.doors["gate"].jambs
    assert way.line[0] == ((gate[0][0] + gate[1][0]) / 2, (gate[0][1] + gate[1][1]) / 2)
    assert all(0 <= x <= 6000 and 0 <= y <= 4000 for x, y in way.line)
    xs = [x for x, _ in shop.zones["bench"].outline]
    assert way.line[-1][0] <= min(xs) - 400 + 1, "it ends before the bench, not in it"


def test_a_shop_without_a_walkway_says_that_none_can_be_blocked(describe) -> None:
    status, _, err = describe(DOORED)
    assert status == 0
    assert "no walkway described: nothing can block one" in err


def test_a_way_between_what_shares_no_room_is_refused(describe) -> None:
    status, _, err = describe(DOORED + "gate, stove\n")
    assert status == 65
    assert "no door or place is called 'stove': gate, bench" in err


def test_what_a_short_row_leaves_out_is_asked_for(describe, tmp_path: Path) -> None:
    """A door to a new room, its last two columns left out: asked for, not taken for the next door's name."""
    answers = (
        "A\n\n\nhall\n6000\nl 4000\n\n\n\n\n\n\nback, 2, , 500, 900, 2000, o, , , store\n700\n\n\n\n\n"
        "3000\nl 2000\n"
    )
    status, _, err = describe(answers)
    assert status == 0, err
    shop = read(tmp_path / "shop.yaml")
    assert list(shop.doors) == ["back"] and "store" in shop.rooms


def test_a_walkway_by_rows(describe, tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text(
        "shop,A\ntape,m\nroom,shed\nwall,,6\nwall,l,4\ndoor,gate,4,,1.6,0.9,2,o,,,,yes\n"
        "place,bench,b,2,0,1,0.5,2,0.7,0.9\nwalkway,gate,bench\nwalkway field,0.8\nwalkway field,0.6\n"
    )
    assert describe("", "--from", "rows.csv")[0] == 0
    (way,) = read(tmp_path / "shop.yaml").walkways.values()
    assert (way.width_mm, way.least_mm) == (800, 600)


class Typed:
    """`shopbins new` at a terminal, answered prompt by prompt."""

    def __init__(self, folder: Path) -> None:
        command = ["-m", "shopbins", "new"]
        self.child = pexpect.spawn(sys.executable, command, cwd=str(folder), timeout=20, encoding="utf-8")

    def asked(self, prompt: str) -> None:
        self.child.expect_exact(prompt)

    def answers(self, *pairs: tuple[str, str]) -> None:
        for prompt, answer in pairs:
            self.asked(prompt)
            self.child.sendline(answer)

    def ended(self) -> int:
        self.child.expect(pexpect.EOF)
        self.child.close()
        return int(self.child.exitstatus or 0)


BEGUN = (("called", "Hill shed"), ("tape", "m"), ("measure", ""), ("First room", ""), ("wall 1", "6"))
ENDED = (
    *(("wall 2", "l 4"), ("wall 3", ""), ("not square", ""), ("headroom", "2.4"), ("floor load", "")),
    *(("hot work", ""), ("floor falls", ""), ("a door", ""), ("a place", ""), ("keep clear", "")),
    *(("fixed", ""), ("Another room", ""), ("Open it now", "n")),
)


@pytest.mark.parametrize("how", ["ctrl+c", "ctrl+d", "killed"])
def test_what_stops_it_costs_no_answer(tmp_path: Path, how: str) -> None:
    """Stopped in the middle of the walls: the same command asks for wall 2 next."""
    kept = tmp_path / "shop.yaml.answers"
    first = Typed(tmp_path)
    first.answers(*BEGUN)
    first.asked("wall 2")
    if how == "killed":
        first.child.kill(signal.SIGKILL)
    else:
        first.child.sendintr() if how == "ctrl+c" else first.child.sendeof()
        first.asked("5 answers are kept in shop.yaml.answers: the same command goes on from there")
    first.ended()
    assert not (tmp_path / "shop.yaml").exists()
    assert kept.read_text() == "Hill shed\nm\n\n\n6\n"
    again = Typed(tmp_path)
    again.answers(("5 answers are kept in shop.yaml.answers", ""), *ENDED)
    assert again.ended() == 0
    assert read(tmp_path / "shop.yaml").rooms["shed"].outline[2] == (6000, 4000)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["shop.yaml"]


def test_a_refusal_costs_no_answer_and_one_can_go_back(tmp_path: Path) -> None:
    """A rack that reaches through the wall: nothing is written, the answers stay, it is said anew."""
    bench = "bench, b, 1, 0, 4, 0, 1, 0.5, 0.9"
    rack = "rack, b, 1, 0, 4, 5.5, 1, 0.5, 0.9"
    places = (("a place", bench), ("another place", rack), ("another place", ""))
    ends = (("keep clear", ""), ("fixed", ""), ("Another room", ""))
    refused = Typed(tmp_path)
    refused.answers(*BEGUN, *ENDED[:8], *places, *ends, ("Write it anyway", "n"))
    refused.asked("nothing was written")
    refused.asked("answers are kept in shop.yaml.answers")
    assert refused.ended() == 65
    assert not (tmp_path / "shop.yaml").exists()
    again = Typed(tmp_path)
    again.answers(("Go on from there?", ""), ("Another room", "b"), ("fixed", "b"), ("keep clear", "b"))
    again.answers(("another place", "b"), ("another place", "rack, s, 1, 0, 4, 3, 1, 0.5, 0.9"))
    again.answers(("another place", ""), *ends, ("Open it now", "n"))
    assert again.ended() == 0
    assert list(read(tmp_path / "shop.yaml").zones) == ["bench", "rack"]


def test_one_can_start_anew(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml.answers").write_text("Old shed\nm\n")
    anew = Typed(tmp_path)
    anew.answers(("2 answers are kept", "n"), *BEGUN, *ENDED)
    assert anew.ended() == 0
    assert read(tmp_path / "shop.yaml").name == "Hill shed"


def test_kept_answers_that_no_longer_fit_are_used_as_far_as_they_do(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml.answers").write_text("Hill shed\nfathoms\nx\n")
    anew = Typed(tmp_path)
    anew.answers(("3 answers are kept", ""))
    anew.asked("the kept answers go no further than this: one of mm")
    anew.answers(*BEGUN[1:], *ENDED)
    assert anew.ended() == 0
    assert read(tmp_path / "shop.yaml").name == "Hill shed"


def test_rows_parted_by_semicolons_with_decimal_commas(describe, tmp_path: Path) -> None:
    """As a spreadsheet set to German writes a CSV."""
    rows = "shop;Halle\ntape;m\nroom;Halle\nwall;;6,5\nwall;l;4,25\n"
    (tmp_path / "rows.csv").write_text(rows, encoding="utf-8-sig")
    assert describe("", "--from", "rows.csv")[0] == 0
    (room,) = read(tmp_path / "shop.yaml").rooms.values()
    assert {(round(x), round(y)) for x, y in room.outline} == {(0, 0), (6500, 0), (6500, 4250), (0, 4250)}


KINDS = ("b bench, s shelf or f floor spot", "")


def test_a_refused_answer_is_no_step_back(tmp_path: Path) -> None:
    """At a terminal: after four answers that say nothing, back goes to the question before."""
    typed = Typed(tmp_path)
    typed.answers(*BEGUN, *ENDED[:8], ("a place", "3000"))
    for answer in ("", "x", "", "9", "back"):
        typed.answers((KINDS[0], answer))
    typed.asked("one question back")
    typed.asked("shed: name of a place for parts")
    typed.child.sendeof()
    typed.ended()
    assert (tmp_path / "shop.yaml.answers").read_text().splitlines()[-1] == ""


@pytest.mark.parametrize("row", ["headroom", "door"])
def test_a_height_nobody_goes_under_is_asked_about(describe, tmp_path: Path, row: str) -> None:
    """2.6 on a tape of mm is 2.6 mm: as with a wall, metres are meant."""
    walled = "A\n\n\nshed\n6000\nl 4000\n\n\n"
    door = "gate, 1, , 1000, 900, 2.4\n"
    answers = f"{walled}2.6\n" if row == "headroom" else f"{walled}2600\n\n\n\n{door}"
    status, _, err = describe(answers)
    assert status == 65
    assert f"did you mean {'2.6' if row == 'headroom' else '2.4'} m?" in err
    assert not (tmp_path / "shop.yaml").exists()


def test_of_two_places_on_one_spot_one_is_said_anew_at_once(tmp_path: Path) -> None:
    """A bench and a rack in one corner, the walls mixed up: the one named is forgotten and asked for again."""
    bench = "bench, b, 1, 0, 4, 0, 1, 0.5, 0.9"
    typed = Typed(tmp_path)
    typed.answers(*BEGUN, *ENDED[:8], ("a place", bench), ("another place", f"rack{bench[5:]}"))
    typed.answers(("rack lies over bench: which is wrong, 1 rack, 2 bench or 3 both?", "2"))
    typed.asked("bench: not taken")
    typed.answers(("another place", "bench, b, 1, 0, 4, 3, 1, 0.5, 0.9"), ("another place", ""))
    typed.answers(*ENDED[9:])
    assert typed.ended() == 0
    assert list(read(tmp_path / "shop.yaml").zones) == ["rack", "bench"]
