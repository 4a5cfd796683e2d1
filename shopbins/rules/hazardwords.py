"""Cautions that are in no list of hazards: asked about once a shop, until each is dismissed as none."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from shopbins.ledger.model import Group
from shopbins.rules import hazards
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.things import groups_in, walk
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.units import counted

SHOWN = 3


def _dismissed(scene: Scene) -> set[str]:
    """Return the groups whose names somebody has dismissed as no hazard."""
    lead = "not-judged/hazard-words/"
    docs = scene.state.docs("accepted")
    return {each for key in docs if key.startswith(lead) for each in key.removeprefix(lead).split("+")}


def _audit_words(scene: Scene, _today: date) -> Iterator[Finding]:
    us, dismissed = scene.shop.rules == "us", _dismissed(scene)
    by_word: dict[str, list[str]] = {}
    for tag, group in walk(scene, "caution"):
        for word in hazards.unknown(group.cautions, us):
            by_word.setdefault(word.strip().lower(), []).append(tag)
    for zone in scene.zones():
        for word in hazards.unknown(zone.cautions, us):
            by_word.setdefault(word.strip().lower(), []).append(f"zone:{zone.key}")
    for word, tags in sorted(by_word.items()):
        yield WORDS.unjudged(
            (f"word:{word}",),
            f"caution not known as a hazard, so not checked: '{word}' ({counted(len(tags), 'part')})",
            measured=len(tags), unit="count",
            remedy="write it as in docs/rules.md, or dismiss this: then it is taken as no hazard",
        )  # fmt: skip
    yield from _names(scene, dismissed)


def _named_in(scene: Scene, zone: Zone) -> list[tuple[Group, str]]:
    """Return what lies in a zone and is named with a hazard word its cautions do not say; once a scene."""
    found: list[tuple[Group, str]] | None = scene.memo.get(("named", zone.key))
    if found is None:
        found = []
        for group in groups_in(scene, zone):
            words = hazards.named(group.name) if group.name else ()
            if words:
                said = {h.kind for h in hazards.of(group.cautions)}
                found += [(group, h.word) for h in words if h.kind not in said][:1]
        scene.memo[("named", zone.key)] = found
    return found


def _names(scene: Scene, dismissed: set[str]) -> Iterator[Finding]:
    """Ask once about names that hold a hazard word and no caution that says so."""
    told = (each for zone in scene.zones() for each in _named_in(scene, zone))
    asked = [(group, word) for group, word in told if f"group:{group.code}" not in dismissed]
    if asked:
        named = ", ".join(f"{group.shown} ('{word}')" for group, word in asked[:SHOWN])
        more = f" and {len(asked) - SHOWN} more" if len(asked) > SHOWN else ""
        yield WORDS.unjudged(
            tuple(f"group:{group.code}" for group, _ in asked)[:12],
            f"{counted(len(asked), 'name')} may tell of a hazard that no caution says: {named}{more}. Is it?",
            remedy=f"shopbins set {asked[0][0].code} --caution '{asked[0][1]}', or dismiss this", gap="keeps",
        )  # fmt: skip


WORDS = Rule(
    key="hazard-words",
    title="Cautions that are in no list",
    text="Cautions are read as a closed list of words, with negation. What is in no list is told, a note a "
    "word, until it "
    "is dismissed as no hazard. Names are not checked; one that holds a hazard word is asked about once.",
    limit="the lists of `rules.hazards`",
    source="H-statements: CLP/GHS list; everyday words: own judgement",
    mark="own",
    remedy="write it as in the list, or dismiss this",
    audit=_audit_words,
    each="caution",
)

RULES = (WORDS,)
