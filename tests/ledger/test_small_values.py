"""Values and words of the ledger at their bounds: whole lists, deep trees, places said, files of pictures."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from shopbins.ledger.docs import size_doc, size_from, where_doc, where_from
from shopbins.ledger.files import network_kind_in
from shopbins.ledger.model import Away, Fitted, InGroup, InZone, Mass, Size, WorkPoint
from shopbins.ledger.photofile import FOLDER, photo_file
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.ledger.values import MOST_MM, checked, checked_place, checked_tree
from shopbins.ledger.whereabouts import ordinal, whereabouts


def test_an_origin_has_twenty_parts_at_most() -> None:
    twenty = [f"part {n}" for n in range(20)]
    assert len(checked({"origin": twenty})["origin"]) == 20
    with pytest.raises(BadValue, match="has 21 parts"):
        checked({"origin": [*twenty, "one more"]})


def nested(depth: int) -> Any:
    return (("a", nested(depth - 1)),) if depth else ()


def test_a_tree_is_ten_assemblies_deep_at_most() -> None:
    assert checked_tree(nested(10)) == nested(10)
    with pytest.raises(BadValue, match="deeper than 10"):
        checked_tree(nested(11))


def test_a_place_has_both_of_x_and_y_or_neither_and_is_measured_only_with_both() -> None:
    assert checked_place(InZone("bench", measured=True)) == InZone("bench", measured=False)
    assert checked_place(InZone("bench", "", 1.0, 2.0, 0.0, True)) == InZone("bench", "", 1.0, 2.0, 0.0, True)
    for x, y in ((1.0, None), (None, 2.0)):
        with pytest.raises(BadValue, match="both x and y"):
            checked_place(InZone("bench", "", x, y))


@pytest.mark.parametrize("kept", [
    None, InZone("bench"), InZone("rack", "top", 10.0, 20.0, 90.0, True), InGroup("k", "on"), Fitted(),
    Fitted("2026-11-25"), Fitted("2026-11-25", True), Away("the grinder", "2026-12-24"),
])  # fmt: skip
def test_where_something_is_is_read_back_as_it_was_written(kept: Any) -> None:
    assert where_from(where_doc(kept)) == kept


@pytest.mark.parametrize("size", [None, Size(1.0, 2.0, 3.0), Size(1.0, 2.0, 3.0, True)])
def test_a_size_is_read_back_as_it_was_written(size: Size | None) -> None:
    assert size_from(size_doc(size)) == size


def test_of_what_is_mounted_at_one_point_the_later_lies_on_top() -> None:
    """Over a mount point the file system mounted last is what a path there reaches (mount(8))."""
    mounts = "/dev/vda / ext4 rw 0 0\n/dev/vdb /home ext4 rw 0 0\nserver:/home /home nfs4 rw 0 0\n"
    assert network_kind_in(mounts, "/home/mia/shop.ledger") == "nfs4"
    again = mounts + "/dev/vdc /home ext4 rw 0 0\n"
    assert network_kind_in(again, "/home/mia/shop.ledger") is None
    assert network_kind_in(mounts, "/homework/shop.ledger") is None


def test_what_is_in_itself_is_nowhere_and_what_is_in_nothing_known_is_in_a_part_that_is_gone() -> None:
    state = State(prefix="T")
    into = {"code": "T1", "qty": 1, "counted": "pieces"}
    state.apply({"group:a": {**into, "name": "tub", "where": {"group": "b", "how": "in"}}}, 1)
    state.apply({"group:b": {**into, "code": "T2", "name": "box", "where": {"group": "a", "how": "on"}}}, 2)
    assert whereabouts(state, InGroup("a", "in")).startswith("nowhere (in itself), ")
    assert whereabouts(state, InGroup("c", "in")) == "in a part that is gone"
    assert whereabouts(state, InZone("rack a", "3")) == "rack a/3"
    assert whereabouts(state, Fitted(None, True)) == "on the machine, on trial"
    assert whereabouts(state, Fitted(None)) == "on the machine"
    assert whereabouts(state, Away("the grinder", "2026-12-24")) == "away at the grinder until 2026-12-24"
    assert whereabouts(state, None) == "waiting"


def test_ordinals_are_as_english_has_them() -> None:
    numbers = (1, 2, 3, 4, 10, 11, 12, 13, 21, 22, 23, 101, 111, 112, 113)
    assert " ".join(map(ordinal, numbers)) == (
        "1st 2nd 3rd 4th 10th 11th 12th 13th 21st 22nd 23rd 101st 111th 112th 113th"
    )


def test_a_picture_is_only_a_file_of_its_own_key_in_the_folder_of_pictures(tmp_path: Path) -> None:
    key = "ab" + "0" * 62
    good = f"ab/{key}.jpg"
    assert photo_file(tmp_path, key, {"file": good}) == tmp_path / FOLDER / good
    for doc in (None, {}, {"file": 1}, {"file": f"../{good}"}, {"file": f"cd/{key}.jpg"}, {"file": key}):
        assert photo_file(tmp_path, key, doc) is None
    assert photo_file(tmp_path, "cd" + "0" * 62, {"file": good}) is None
    (tmp_path / FOLDER).mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / FOLDER / "ab").symlink_to(tmp_path / "elsewhere")
    assert photo_file(tmp_path, key, {"file": good}) is None, "a link out of the folder is not followed"


def test_what_was_guessed_is_said_as_about_and_what_was_measured_is_not() -> None:
    assert (Mass(4.2).said, Mass(4.2, True).said) == ("4.2 kg", "about 4.2 kg")
    assert Size(300, 200, 150).said == "300 x 200 x 150 mm"
    assert Size(300, 200, 150, True).said == "about 300 x 200 x 150 mm"


def test_a_place_is_exact_only_with_both_of_x_and_y() -> None:
    known = (None, None), (1.0, None), (None, 2.0), (0.0, 0.0)
    assert [InZone("bench", "", x, y).posed for x, y in known] == [False, False, False, True]


@pytest.mark.parametrize(("fields", "said"), [
    ({"outline": [(0, 0), (1, 0), (0, 1)]}, ""), ({"outline": [(0, 0), (1, 0)]}, "has 2 points"),
    ({"outline": [(n, n % 7) for n in range(200)]}, ""),
    ({"outline": [(n, n % 7) for n in range(201)]}, "has 201 points"),
    ({"outline": [(0, 0), (MOST_MM, 0), (0, -MOST_MM)]}, ""),
    ({"outline": [(0, 0), (MOST_MM + 1, 0), (0, 1)]}, "reaches beyond"),
    ({"outline": [(0, 0), (1, -MOST_MM - 1), (0, 1)]}, "reaches beyond"),
    ({"work": [WorkPoint(f"wash {n}") for n in range(20)]}, ""),
    ({"work": [WorkPoint(f"wash {n}") for n in range(21)]}, "has 21 points"),
    ({"work": [WorkPoint(" ")]}, "has no name"), ({"work": [WorkPoint("wash", "2026-02-30")]}, "not a date"),
    ({"cautions": "sharp"}, "list of texts"), ({"cautions": ["sharp", " "]}, "is empty"),
    ({"container": "TUB"}, ""), ({"container": "sack"}, "is not known"),
    ({"order": 0}, "must be 1 to"), ({"qty": True}, "whole number"), ({"colour": "red"}, "no 'colour'"),
    ({"details": {"made": "1700"}}, ""), ({"details": {"made": "1699"}}, "is no year"),
    ({"details": {"made": "2100"}}, ""), ({"details": {"made": "2101"}}, "is no year"),
    ({"details": {"made": "19x0"}}, "is no year"), ({"details": {"weight": "4 kg"}}, "no detail 'weight'"),
    ({"details": {"chained": "perhaps"}}, "neither yes nor no"),
    ({"details": {"kept in": "bag"}}, "is no container"),
    ({"details": {"stands": "flat"}}, "no way to stand"),
])  # fmt: skip
def test_what_cannot_be_kept_is_refused_and_says_why(fields: dict[str, Any], said: str) -> None:
    if not said:
        assert checked(fields).keys() == fields.keys()
        return
    with pytest.raises(BadValue, match=said):
        checked(fields)


def test_details_are_kept_as_they_are_meant_and_one_nobody_knows_is_not_kept() -> None:
    typed = {"chained": "Yes", "cap": "no", "stands": " Leaning ", "made": "1975", "tied": "unknown"}
    assert checked({"details": typed})["details"] == {
        "chained": True, "cap": False, "stands": "leaning", "made": 1975,
    }  # fmt: skip


def test_a_point_of_work_named_twice_is_one_with_its_later_day() -> None:
    twice = [WorkPoint("Wash"), WorkPoint("wash ", "2026-03-01")]
    assert checked({"work": twice})["work"] == (WorkPoint("wash", "2026-03-01"),)
