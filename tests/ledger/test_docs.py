"""A group is read as it was written, with each of its fields; what is left out is as by default."""

from __future__ import annotations

from typing import Any

import pytest

from shopbins.ledger.docs import group_doc, group_from
from shopbins.ledger.model import Group, InGroup, InZone, Mass, Size, WorkPoint

BARE = Group("g", "RW0042", "")
FIELDS: dict[str, Any] = {
    "name": "head", "origin": ("engine", "top"), "container": "tub", "size": Size(300.0, 200.0, 90.0),
    "outline": ((0.0, 0.0), (10.0, 0.0), (0.0, 5.0)), "mass": Mass(12.5, about=True), "qty": 3,
    "disposition": "scrap", "note": "cracked", "cautions": ("sharp", "petrol"),
    "where": InZone("bench", "2", 10.0, 20.0, 90.0, measured=True), "order": 4, "tagged": True,
    "taken_at": "2026-11-01", "also_codes": ("RW0043",), "printed": "head",
    "work": (WorkPoint("clean"), WorkPoint("paint", "2026-11-02")), "brought": True, "counted": "later",
    "one_use": True, "used": True, "elsewhere": "Moss", "details": {"made": 1962},
}  # fmt: skip


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_is_read_as_written_and_changes_no_other(name: str) -> None:
    read = group_from("g", group_doc({"code": "RW0042", name: FIELDS[name]}))
    assert getattr(read, name) == FIELDS[name]
    for field in Group._fields:
        if field != name:
            assert getattr(read, field) == getattr(BARE, field), field


@pytest.mark.parametrize("value", [
    Size(300.0, 200.0, 90.0, True), Size(300.0, 200.0, 90.0), Mass(1.0), Mass(1.0, about=True),
    InGroup("tub"), InGroup("crank", "on"), InZone("hall", "", 1.0, 2.0, 3.0),
])  # fmt: skip
def test_measured_and_about_are_kept_apart(value: Any) -> None:
    name = {Size: "size", Mass: "mass"}.get(type(value), "where")
    assert getattr(group_from("g", group_doc({"code": "RW0042", name: value})), name) == value


def test_what_a_later_version_wrote_is_kept() -> None:
    assert group_from("g", {"code": "RW0042", "colour": "green"}).extra == {"colour": "green"}
