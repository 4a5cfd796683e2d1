"""What the checks found, each finding by itself."""

from __future__ import annotations

from shopbins.lists.listing import Column, List
from shopbins.reports.audit import finding_text
from shopbins.rules.finding import JSON, Finding

_HEADS = {
    "id": "id", "rule": "check", "grade": "grade", "subjects": "about", "text": "what", "room": "room",
    "measured": "measured", "limit": "limit", "unit": "unit", "source": "source", "remedy": "what to do",
}  # fmt: skip
_GRADES = {"stop": "STOP", "correct": "to fix", "note": "note"}
_SHOWN = {"grade": ("", 0.8), "text": ("what", 4.2), "room": ("room", 1.0), "remedy": ("what to do", 2.6)}


def _accepted(finding: Finding) -> str:
    return "" if finding.accepted is None else finding.accepted.said


def _grade(finding: Finding) -> str:
    return f"{_GRADES[finding.grade]}{', accepted' if finding.accepted is not None else ''}"


def _below(finding: Finding) -> tuple[str, ...]:
    return (f"accepted {_accepted(finding)}",) if finding.accepted is not None else ()


AUDIT: List[Finding] = List(
    "Audit",
    "nothing found by the checks made",
    "Worst first. It was checked what was written down, against the figures each check names.",
    (
        *(
            Column(key, _HEADS.get(key, ""), value, _SHOWN.get(key, ("",))[0],
                   paper=_SHOWN.get(key, ("", 0.0))[1], text=_grade if key == "grade" else None)
            for key, value in JSON.items()
        ),
        Column("", "accepted", _accepted),
    ),
    lambda finding: "\n".join(finding_text(finding)),
    _below,
    boxed=True,
)  # fmt: skip
