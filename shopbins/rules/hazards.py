"""Hazard words: which written cautions mean what, as a closed list with negation.

A caution is matched as whole words, in any case, plural and hyphen ignored, the longest words first; H-codes
exactly (H-statement numbers: CLP/GHS list, read; which everyday word belongs where: own judgement). `non-`,
`not`, `no` before a word and `-free`, `proof`, `retardant` after it cancel it. What is in no list is unknown,
and asked about once. Only cautions are read: a name that holds such a word asks, and decides nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

Class = Literal[
    "flammable gas", "aerosol", "liquid 1", "liquid 2", "liquid 3", "liquid 4", "self-heating", "solid",
    "explosive", "with water", "combustible", "oxidiser", "gas", "acid", "alkali", "corrosive", "toxic",
    "part", "handling",
]  # fmt: skip
BURNS = frozenset(
    ("flammable gas", "aerosol", "liquid 1", "liquid 2", "liquid 3", "liquid 4", "self-heating", "solid",
     "explosive", "with water", "combustible")
)  # fmt: skip
LIQUIDS: tuple[Class, ...] = ("liquid 1", "liquid 2", "liquid 3", "liquid 4")
PETROL = frozenset(("petrol", "gasoline", "benzin", "gas", "gas can", "gas tank", "gas canister"))
FEEDS = frozenset(("oxygen", "nitrous oxide", "H270", "ox gas"))
"""Words of gases that feed a fire: kept as oxygen is."""
LIQUEFIED = frozenset(("lpg", "autogas", "propane", "butane", "camping gas", "mapp", "propylene", "propene"))
GREASE = frozenset(
    ("oil", "oily", "waste oil", "quench oil", "cutting oil", "engine oil", "gear oil", "hydraulic oil",
     "hydraulic fluid", "brake fluid", "grease", "oil soaked", "greasy", "oily rag", "oily waste", "linseed",
     "linseed oil")
)  # fmt: skip
"""Words of what oxygen sets alight by itself."""

_LIST = """\
explosive: H200, H201, H202, H203, H204, H205, H206, H207, H208, H240, H241, explosive, explosives,
  expl, unst expl, self react, gunpowder, black powder, ammunition, firework, detonator, blasting cap,
  dynamite, squib, flare, airbag, explosion, explosion hazard, explode, mass explosion
flammable gas: H220, H221, flam gas, flammable gas, extremely flammable gas, flammable gas category 1,
  flammable gas category 2, lpg, autogas, propane, butane, camping gas, acetylene, hydrogen, natural gas,
  methane, mapp, propylene, propene, ethylene
aerosol: H222, H223, H229, flam aerosol, flammable aerosol, extremely flammable aerosol, spray can,
  aerosol, starting fluid, brake cleaner, brake cleaner can
liquid 1: H224, flam liq 1, flam liq, extremely flammable, extremely flammable liquid, ether, pentane,
  petrol, gasoline, benzin, race fuel, gas can, gas tank, gas canister
liquid 2: H225, flam liq 2, highly flammable, highly inflammable, highly flammable liquid, acetone,
  thinner, cellulose, cellulose thinner, toluene, lacquer thinner, meths, methylated spirit, denatured
  spirit, ipa, isopropanol, ethanol, mek, solvent, naphtha, white gas, contact adhesive
liquid 3: H226, flam liq 3, flammable, inflammable, flammable liquid, white spirit, mineral spirit,
  turpentine, turps, kerosene, paraffin, xylene, fuel, jet fuel, paint, varnish, lacquer, resin, styrene,
  diesel, heating oil, gas oil
liquid 4: H227, flam liq 4, combustible liquid
self-heating: H251, H252, self heating, self heat, spontaneous, oily rag, linseed, linseed oil, oily
  waste, swarf wet with oil
solid: H250, H228, flam sol, pyr liq, pyr sol, pyrophoric, magnesium, magnesium swarf, magnesium dust,
  aluminium powder, aluminum powder, titanium swarf, zinc dust, coal dust, flammable solid, sulphur, sulfur,
  thermite, celluloid, phosphorus, lithium battery
with water: H260, H261, water react, carbide, sodium, potassium, lithium,
  in contact with water releases flammable gases
combustible: combustible, wood, cardboard, paper, excelsior, sawdust, foam, upholstery, tar, wax, oil
  soaked, greasy, burns, oil, oily, waste oil, quench oil, cutting oil, engine oil, gear oil, hydraulic oil,
  hydraulic fluid, brake fluid, grease, rag, cloth, coal, charcoal, coke, tyre, tire, rubber, plastic, straw,
  hay, sacking, felt
oxidiser: H270, H271, H272, H242, ox gas, ox liq, ox sol, org perox, oxidiser, oxidizer, oxidising,
  oxidizing, oxygen, peroxide, nitrate, chlorate, bleach, bleach powder, pool chlorine, chlorine,
  hypochlorite, sodium hypochlorite, sodium chlorate, sodium nitrate, potassium nitrate, potassium chlorate,
  ammonium nitrate, nitrous oxide, mekp, may cause fire or explosion
gas: H280, H281, press gas, compressed gas, gas cylinder, cylinder, argon, co2, nitrogen, accumulator,
  gas spring, helium, neon, shielding gas, inert gas, welding gas, forming gas, carbon dioxide,
  gas under pressure, gas under pressure may explode if heated
acid: acid, battery acid, hydrochloric, sulphuric, sulfuric, phosphoric, pickle, hydrochloric acid,
  sulphuric acid, phosphoric acid, pickling acid
alkali: alkali, caustic, lye, soda, caustic soda, sodium hydroxide, ammonia,
  alkaline degreaser, degreaser, cement
corrosive: H290, H314, skin corr, met corr, corrosive, burns skin
toxic: H300, H301, H302, H304, H310, H311, H312, H330, H331, H340, H350, H360, H372, acute tox, carc,
  muta, repr, stot, toxic, poison, cyanide, methanol, chlorinated solvent, tri, perc, trichloroethylene,
  perchloroethylene, dichloromethane, methylene chloride
part: asbestos, lead, lead paint, mercury, pcb, refrigerant, brake dust, beryllium, radium, chromate,
  spring under load, charged capacitor
handling: left hand thread, left handed thread, sharp, heavy, top heavy, fragile, matched, one use, hot,
  live, keep dry, keep upright, do not drop, delicate, glass, balanced, polished, long, hangs over,
  slippery, magnetic, two people, mind your fingers, keep clean, flame retardant, fire retardant,
  fireproof, flameproof, warm, awkward, kg, lb, hoist, sling, lift, block, jack, eyes, hands, loose,
  tight, spring, brittle, cracked, bent, worn, seized, do not turn, mind, water based paint, dry paint,
  painted, gas tight, rubber seal
"""


def _words() -> dict[Class, tuple[str, ...]]:
    found: dict[Class, tuple[str, ...]] = {}
    for line in _LIST.replace("\n  ", " ").strip().split("\n"):
        kind, _, words = line.partition(": ")
        found[cast(Class, kind)] = tuple(words.split(", "))
    for n, each in enumerate(LIQUIDS, start=1):
        found[each] += tuple(f"flammable liquid {word} {n}" for word in ("category", "cat"))
        found[each] += tuple(f"{word} {n} flammable liquid" for word in ("category", "cat"))
        found[each] += _CLASSES[n - 1]
    return found


_CLASSES = (
    ("class ia",),
    ("class ib", "class ib flammable"),
    ("class ic", "class ii liquid"),
    ("class iiia",),
)
WORDS = _words()
"""Every word by its class."""

_BEFORE = frozenset(("non", "not", "no", "never", "without"))
_AFTER = frozenset(("free", "proof", "retardant", "resistant", "less"))
_TOKEN = re.compile(r"[a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Hazard:
    """One meaning found in a caution: its class and the words that said so."""

    kind: Class
    word: str

    @property
    def burns(self) -> bool:
        """Tell whether it burns."""
        return self.kind in BURNS


@dataclass(frozen=True, slots=True)
class Read:
    """What a caution says: its hazards, words that were cancelled, and whether any word was known."""

    hazards: tuple[Hazard, ...] = ()
    cancelled: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """Tell whether the caution holds any word of the lists."""
        return bool(self.hazards or self.cancelled)


NOTHING = Read()


def _singular(word: str) -> str:
    if (
        len(word) > 3
        and word.endswith("s")
        and not word.endswith("ss")
        and word not in ("meths", "turps", "gas")
    ):
        return word[:-1]
    return word


def _tokens(text: str) -> tuple[str, ...]:
    return tuple(_singular(each) for each in _TOKEN.findall(text.lower()))


@cache
def _phrases() -> dict[str, tuple[tuple[tuple[str, ...], Class, str], ...]]:
    """Return every phrase as tokens, by its first."""
    found: dict[str, list[tuple[tuple[str, ...], Class, str]]] = {}
    for kind, words in WORDS.items():
        for word in words:
            found.setdefault(_tokens(word)[0], []).append((_tokens(word), kind, word))
    return {first: tuple(each) for first, each in found.items()}


@cache
def read(caution: str, *, us: bool = False) -> Read:
    """Read one caution; `us`: 'gas' and nothing else is petrol."""
    tokens, phrases = _tokens(caution), _phrases()
    if us and tokens == ("gas",):  # of any other gas there is more to say
        return Read((Hazard("liquid 1", "gas"),))
    there = [
        (-len(words), at, kind, word)
        for at, token in enumerate(tokens)
        for words, kind, word in phrases.get(token, ())
        if tokens[at : at + len(words)] == words
    ]
    if not there:
        return NOTHING
    taken = set[int]()
    hazards: list[Hazard] = []
    cancelled: list[str] = []
    for length, at, kind, word in sorted(there):
        span = range(at, at - length)
        if not taken.isdisjoint(span):
            continue
        taken.update(span)
        before = next((each for each in reversed(tokens[:at]) if each not in ("a", "an", "any")), "")
        after = tokens[at - length] if at - length < len(tokens) else ""
        if before in _BEFORE or after in _AFTER:
            cancelled.append(word)
        else:
            hazards.append(Hazard(kind, word))
    kinds = {each.kind for each in hazards}
    if "corrosive" in kinds and kinds & {"acid", "alkali"}:
        hazards = [each for each in hazards if each.kind != "corrosive"]
    return Read(tuple(dict.fromkeys(hazards)), tuple(dict.fromkeys(cancelled)))


@cache
def of(cautions: tuple[str, ...], us: bool = False) -> tuple[Hazard, ...]:
    """Return every hazard the cautions name."""
    return tuple(dict.fromkeys(h for each in cautions for h in read(each, us=us).hazards))


def unknown(cautions: tuple[str, ...], us: bool = False) -> tuple[str, ...]:
    """Return the cautions that hold no word of the lists."""
    return tuple(each for each in cautions if not read(each, us=us).known)


@cache
def named(name: str) -> tuple[Hazard, ...]:
    """Return the hazards a name holds words of: to be asked about, never judged by."""
    return tuple(h for h in read(name).hazards if h.kind not in ("handling", "combustible", "gas", "part"))


def liquid_category(cautions: tuple[str, ...], flash_c: float | None = None, us: bool = False) -> int | None:
    """Return the category 1 to 4 of a flammable liquid, the worst named; None where it is none.

    A flash point decides where it is told (GHS: below 23 C 1 or 2, to 60 C 3, to 93 C 4): 1 only where a word
    says so. Diesel and heating oil are 3 until theirs is told: much of it flashes below 60 C (own judgement).
    """
    named_kinds = [LIQUIDS.index(h.kind) + 1 for h in of(cautions, us) if h.kind in LIQUIDS]
    if not named_kinds:
        return None
    category = min(named_kinds)
    if flash_c is None:
        return category
    if flash_c < 23:
        return 1 if category == 1 else 2
    return 3 if flash_c <= 60 else 4
