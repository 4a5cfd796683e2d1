"""Machines and assemblies are the same whatever capitals they are named with; none is merged unasked."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from strip_job import Job

from shopbins.desk.names import Names
from shopbins.ledger.problems import Refused
from shopbins.records import acts, group, pieces
from shopbins.records import position as acts_of
from shopbins.strip.count import count
from shopbins.strip.tree import paths


def corvid() -> Job:
    job = Job()
    job.take("case", "corvid", "body")
    job.take("rotor", "heron", "body")
    return job


def test_capitals_make_no_other_machine_or_assembly() -> None:
    job = corvid()
    job.take("lock ring", "Corvid", "Body", "ring seat")
    job.take("pin", "CORVID", "ring")
    job.do(group.change(job.state, job.id("pin"), origin=("Corvid", "RING", "end")))
    job.do(acts_of.add(job.state, "stud", ("Corvid", "BODY")))
    job.do(acts_of.add_assembly(job.state, ("corvid", "Tail")))
    job.do(pieces.give(job.state, job.id("rotor"), ("CORVID", "tail"), "it runs first", by="ann"))
    assert set(paths(job.state)) == {
        ("corvid",), ("corvid", "body"), ("corvid", "body", "ring seat"), ("corvid", "ring"),
        ("corvid", "ring", "end"), ("corvid", "Tail"), ("heron",), ("heron", "body"),
    }  # fmt: skip
    assert count(job.state, "corvid").balance["came"] == 4


def test_a_renaming_may_change_the_capitals_and_is_followed() -> None:
    job = corvid()
    with pytest.raises(Refused, match="given to another machine"):
        acts_of.rename_path(job.state, ("corvid",), ("boat", "hull", "corvid"))
    job.do(acts_of.rename_path(job.state, ("corvid",), ("Corvid",)))
    job.take("pin", "corvid", "BODY")
    assert job.state.group(job.id("pin")).origin == ("Corvid", "body")


def test_an_older_ledger_with_both_keeps_both() -> None:
    job = corvid()
    for key, machine in (("x", "Corvid"), ("y", "corvid")):
        doc = {"code": f"T{key}", "name": key, "origin": [machine, "body"], "qty": 1}
        job.state.apply({f"group:{key}": doc}, job.state.seq + 1)
    before = acts.take(job.state, "pin", origin=("corvid", "body"))
    assert next(iter(before.after.values()))["origin"] == ["corvid", "body"]


def test_an_assembly_is_not_renamed_onto_one_there_is() -> None:
    job = corvid()
    for n in ("1", "2"):
        job.take("nuts", "corvid", f"cyl {n}", qty=4)
    for to in (("corvid", "cyl 2"), ("Corvid", "Cyl 2")):
        with pytest.raises(Refused, match="there is corvid > cyl 2 already"):
            acts_of.rename_path(job.state, ("corvid", "cyl 1"), to)


def test_of_two_machines_that_differ_in_capitals_the_one_written_so_is_meant() -> None:
    job = corvid()
    doc = {"code": "TX", "name": "x", "origin": ["Corvid", "body"]}
    job.state.apply({"group:x": doc}, job.state.seq + 1)
    names = Names(job.state, SimpleNamespace(machines={}))
    assert [names.one("machine", text) for text in ("corvid", "Corvid")] == ["corvid", "Corvid"]
