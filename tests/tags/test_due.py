"""What changed since its tag was printed is known, and printing again settles it."""

from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.ledger.model import Mass
from shopbins.records import acts
from shopbins.records.group import CHANGE, SPLIT
from shopbins.records.inspection import CONCEDE, INSPECT
from shopbins.tags.due import due_tags
from shopbins.tags.labels import labels_for


@pytest.fixture
def printed(desk: Desk, tmp_path: Path) -> str:
    """A cylinder head whose tag was just printed."""
    head = desk.take("head", origin=("engine", "top"), mass=Mass(40.0), qty=3, cautions=("sharp edges",))
    desk.print_tags(tmp_path / "t.pdf", "all")
    return head.id


def why(desk: Desk, **which: bool) -> dict[str, tuple[str, ...]]:
    return {each.shown: each.why for each in due_tags(desk.state, desk.shop, **which)}


def test_a_tag_just_printed_is_not_due(desk: Desk, printed: str) -> None:
    assert why(desk) == {}


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"name": "head 2"}, ("name",)),
        ({"origin": ("engine", "top", "left")}, ("origin",)),
        ({"mass": Mass(41.0)}, ("mass",)),
        ({"mass": Mass(40.0, about=True)}, ("mass",)),
        ({"mass": None}, ("mass",)),
        ({"cautions": ()}, ("cautions",)),
        ({"name": "x", "mass": Mass(1.0)}, ("name", "mass")),
        ({"disposition": "repair"}, None),
        ({"note": "soft"}, None),
    ],
)
def test_what_changed_since_is_named(desk: Desk, printed: str, change: dict, named: tuple | None) -> None:
    desk.do(CHANGE(printed, **change))
    shown = desk.state.group(printed).shown
    assert why(desk) == ({} if named is None else {shown: named})


def test_a_label_is_out_of_date_by_a_rejection_and_by_its_end(
    desk: Desk, printed: str, tmp_path: Path
) -> None:
    desk.do(INSPECT(printed, what="face", measured="cracked"))
    assert why(desk) == {"head": ("rejected",)}
    (label,) = labels_for(desk.state, desk.shop)
    assert label.cautions[0] == "REJECTED" and label.lines[0].startswith("rejected: face cracked")
    desk.print_tags(tmp_path / "r.pdf", "due")
    assert why(desk) == {}
    desk.do(CONCEDE(printed, reason="one season", limits="as it is"))
    assert why(desk) == {"head": ("rejected",)}


def test_what_is_changed_back_is_no_longer_stale(desk: Desk, printed: str) -> None:
    desk.do(CHANGE(printed, mass=Mass(41.0)))
    desk.undo()
    assert why(desk) == {}


def test_it_is_known_after_opening_the_ledger_again(desk: Desk, printed: str) -> None:
    desk.do(CHANGE(printed, mass=Mass(41.0)))
    path = desk.shop_path
    desk.close()
    with Desk.open(path, by="other") as again:
        assert why(again) == {"head": ("mass",)}


def test_splitting_pieces_off_makes_the_old_tag_stale_and_the_new_untagged(desk: Desk, printed: str) -> None:
    desk.do(SPLIT(printed, qty=1))
    found = [each.why for each in due_tags(desk.state, desk.shop)]
    assert sorted(found) == [("count", "mass"), ("untagged",)]


def test_a_tag_written_by_hand_is_never_stale(desk: Desk) -> None:
    blank = desk.record(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    made = desk.take("pump", blank=blank)
    desk.do(CHANGE(made.id, name="sea water pump", mass=Mass(9.0)))
    assert why(desk) == {}


def test_one_command_prints_untagged_and_stale_and_nothing_else(
    desk: Desk, printed: str, tmp_path: Path
) -> None:
    new = desk.take("pump")
    desk.take("bracket")
    desk.print_tags(tmp_path / "b.pdf", ["bracket"])
    desk.do(CHANGE(printed, mass=Mass(41.0)))
    assert why(desk, stale=False) == {"pump": ("untagged",)}
    assert why(desk, untagged=False) == {"head": ("mass",)}
    done = desk.print_tags(tmp_path / "d.pdf", "due")
    assert set(done.codes) == {new.code, desk.state.group(printed).code}
    assert why(desk) == {}


def test_they_come_in_walking_order_with_a_place_before_what_lies_there(desk: Desk, tmp_path: Path) -> None:
    made = [desk.take(name, container="bag") for name in ("a", "b", "c")]
    desk.put(made[0].id, "rack a", "2")
    desk.put(made[1].id, "bench")
    desk.print_tags(tmp_path / "z.pdf", ["main"])  # from now on zones have tags
    place = desk.state.place_code
    codes = desk.print_tags(tmp_path / "d.pdf", "due").codes
    at = {code: n for n, code in enumerate(codes)}
    assert place("main") not in at
    assert at[place("bench")] < at[made[1].code]
    assert at[place("rack a")] < at[place("rack a/1")] < at[place("rack a/2")] < at[made[0].code]
    assert codes[-1] == made[2].code, "what lies nowhere comes last"


def test_zones_are_left_in_peace_until_one_has_a_tag(desk: Desk, tmp_path: Path) -> None:
    desk.take("pump")
    assert set(why(desk)) == {"pump"}
    desk.print_tags(tmp_path / "z.pdf", ["bench"])
    assert {"rack a", "rack a/1", "rack a/2", "pump"} <= set(why(desk)) and "bench" not in why(desk)


def test_a_level_whose_load_was_changed_in_the_shop_file_has_a_stale_tag(desk: Desk, tmp_path: Path) -> None:
    desk.print_tags(tmp_path / "z.pdf", "zones")
    text = desk.shop_path.read_text(encoding="utf-8")
    desk.shop_path.write_text(text.replace("load: 60 kg", "load: 45 kg"), encoding="utf-8")
    desk.refresh()
    assert list(why(desk)) == ["rack a/2"]
    desk.print_tags(tmp_path / "s.pdf", "stale")
    assert why(desk) == {}


def test_the_audit_notes_stale_tags_zone_by_zone(desk: Desk, printed: str) -> None:
    desk.put(printed, "bench")
    desk.do(CHANGE(printed, mass=Mass(41.0), name="head two"))
    (note,) = [each for each in desk.audit() if each.rule == "stale tags"]
    assert (note.grade, note.subjects, note.measured) == ("note", ("zone:bench",), 1)
    assert "head two (name, mass)" in note.text and "--stale" in note.remedy


def test_printing_that_fails_leaves_the_tags_due(desk: Desk, printed: str, tmp_path: Path) -> None:
    from shopbins.desk import DeskError

    desk.do(CHANGE(printed, mass=Mass(41.0)))
    with pytest.raises(DeskError):
        desk.print_tags(tmp_path / "no folder" / "t.pdf", "stale")
    assert why(desk) == {"head": ("mass",)}


def test_nothing_due_is_said(desk: Desk, printed: str, tmp_path: Path) -> None:
    from shopbins.desk import NotDone

    with pytest.raises(NotDone, match="nothing to print"):
        desk.print_tags(tmp_path / "t.pdf", "due")
