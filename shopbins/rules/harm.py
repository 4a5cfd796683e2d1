"""Parts that harm whoever opens, moves or cleans them: what is done with them as they lie there."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from shopbins.ledger.model import Group
from shopbins.rules import hazards
from shopbins.rules.finding import Finding
from shopbins.rules.partcautions import ASBESTOS_BEFORE, FIRST
from shopbins.rules.rule import Rule
from shopbins.rules.things import walk
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.units import counted

STORED = frozenset(("charged capacitor", "spring under load", "accumulator", "refrigerant"))
"""Words of what is let out before it is handled; the others of `partcautions` are closed in."""

SHOWN = 3


def _look_harm(scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    del scene
    zone, _, group = thing
    for word in dict.fromkeys(h.word for h in hazards.of(group.cautions) if h.word in FIRST):
        detail = "released" if word in STORED else "sealed"
        done, text = group.details.get(detail), FIRST[word][0]
        if done:
            continue
        asked = (
            "let down, discharged or emptied" if detail == "released" else "bagged or closed in, and marked"
        )
        subjects, write = (f"group:{group.code}", f"word:{word}"), f"shopbins set {group.code} --detail"
        if done is None:
            yield HARM.unjudged(
                subjects, f"{group.shown}, marked '{word}': not told whether it is {asked}. First: {text}",
                room=zone.room, remedy=f"{write} '{detail}=yes' once that is done",
            )  # fmt: skip
        else:
            yield HARM.found(
                "correct", subjects, f"{group.shown}, marked '{word}', is not {asked}. First: {text}",
                room=zone.room, remedy=f"do that, then {write} '{detail}=yes'", source=FIRST[word][1],
            )  # fmt: skip


HARM = Rule(
    key="part-harm",
    title="A part that harms, as it lies there",
    text="Of a part marked asbestos, brake dust, lead, mercury, PCB, beryllium, chromate or radium it "
    "is told "
    "whether it is closed in and marked (`sealed`), of a charged capacitor, a spring under load, an "
    "accumulator, "
    "a refrigerant whether that was let out (`released`). Not told: not checked; told as no: to fix.",
    limit="done",
    source="what is said first of such a part; that it is asked for is own judgement",
    mark="own",
    remedy="do what is said first, then tell it",
    each="part that harms",
    look=_look_harm,
)

# --- what may be asbestos ---------------------------------------------------------------------------------


def _audit_old(scene: Scene, _today: date) -> Iterator[Finding]:
    lead = "not-judged/part-old/"
    dismissed = {
        each for key in scene.state.docs("accepted") if key.startswith(lead)
        for each in key.removeprefix(lead).split("+")
    }  # fmt: skip
    asked = [(group, year) for tag, (group, year) in walk(scene, "old part") if tag not in dismissed]
    if asked:
        named = ", ".join(f"{group.shown} ({year})" for group, year in asked[:SHOWN])
        more = f" and {len(asked) - SHOWN} more" if len(asked) > SHOWN else ""
        yield AGED.unjudged(
            tuple(f"group:{group.code}" for group, _ in asked)[:12],
            f"{counted(len(asked), 'part')} of before {ASBESTOS_BEFORE} may hold asbestos, and no "
            f"caution says "
            f"so: {named}{more}. Is it?",
            remedy=f"shopbins set {asked[0][0].code} --caution asbestos, or dismiss this",
        )  # fmt: skip


AGED = Rule(
    key="part-old",
    title="Lagging, linings and the like that may be asbestos",
    text="Where the part (`made`), its room or the shop (`built`) is of before 2000, a name like "
    "lagging, brake "
    "shoe or clutch lining without the caution asks once: is it asbestos? Until it is tested, treat it so.",
    limit="before 2000",
    source="year: HSE (presume in buildings and vehicles before 2000); words of names: own judgement",
    mark="from memory",
    remedy="treat it as asbestos until it is tested",
    audit=_audit_old,
    each="old part",
)

RULES = (HARM, AGED)
