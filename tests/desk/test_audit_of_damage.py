"""What is damaged on the disk while a desk is open is said, by the audit too."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.desk.problems import StorageFailed


def test_the_audit_says_that_the_journal_was_damaged_meanwhile(desk):
    desk.take("one")
    desk.audit()
    desk.take("two")
    journal = Path(desk.ledger.folder) / "journal.log"
    data = bytearray(journal.read_bytes())
    at = data.rindex(b'"two"')
    data[at + 1] ^= 1
    with journal.open("r+b") as file:  # in place, as a bad block would
        file.write(data)
    with pytest.raises(StorageFailed):
        desk.audit()
