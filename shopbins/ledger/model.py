"""What comes off a machine: groups, where they are, and what is to become of them.

Every value is immutable; `None` means unknown, never zero. A group is kept in the ledger as a JSON
document (see docs.py): absent keys mean the default.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

Doc = Mapping[str, Any]
Tree = tuple[tuple[str, "Tree"], ...]
"""Assemblies of a machine: each a name and what is in it."""

_NOTHING: Mapping[str, Any] = {}

DISPOSITIONS = (
    "undecided",
    "refit",
    "clean",
    "inspect",
    "repair",
    "remachine",
    "renew",
    "reuse elsewhere",
    "sell",
    "scrap",
)

ORDERS = ("clean", "inspect", "repair", "remachine")
"""Dispositions that order work: left undone only for a reason."""

OUT = frozenset(("renew", "reuse elsewhere", "sell", "scrap"))
"""Dispositions with which a group does not go back: its position is then to be filled, or struck out."""

# Outline sizes (length, width, height in mm) a container has where none was measured.
# Own figures, chosen as plausible; common practice, no source (the pallet: ISO 6780 plan 1200 x 1000).
CONTAINERS: Mapping[str, tuple[float, float, float] | None] = {
    "bare": None,
    "bag": (250.0, 180.0, 60.0),
    "box": (300.0, 200.0, 150.0),
    "tray": (400.0, 300.0, 80.0),
    "tub": (600.0, 400.0, 300.0),
    "pallet": (1200.0, 1000.0, 900.0),
    "own wheels": None,
}


class Size(NamedTuple):
    """Length along x, width along y and height at turn 0, in mm; `about` when not measured closely."""

    length_mm: float
    width_mm: float
    height_mm: float
    about: bool = False

    @property
    def said(self) -> str:
        """Say it: '300 x 200 x 150 mm'."""
        from shopbins.units import show_size

        return show_size((self.length_mm, self.width_mm, self.height_mm), about=self.about)


class Mass(NamedTuple):
    """A mass in kg; `about` when guessed rather than weighed."""

    kg: float
    about: bool = False

    @property
    def said(self) -> str:
        """Say it: 'about 4.2 kg'."""
        from shopbins.units import show_mass

        return show_mass(self.kg, about=self.about)


class InZone(NamedTuple):
    """Lies in a zone. x, y, turn are in the zone's own frame, of the footprint's centre; None: no pose."""

    zone: str
    level: str = ""
    x_mm: float | None = None
    y_mm: float | None = None
    turn_deg: float = 0.0
    measured: bool = False

    @property
    def posed(self) -> bool:
        """Tell whether the exact place in the zone is known."""
        return self.x_mm is not None and self.y_mm is not None


How = Literal["in", "on", "fitted", "tried"]
HOWS: tuple[How, ...] = ("in", "on", "fitted", "tried")


class InGroup(NamedTuple):
    """Lies in, or on, another group (by id); or is fitted to it for good, or only tried there."""

    group: str
    how: How = "in"

    @property
    def fitted(self) -> bool:
        """Tell whether it is fitted there for good rather than lying there or being tried."""
        return self.how == "fitted"


class Away(NamedTuple):
    """Is out of the shop at a named place until a date (ISO, local), for something.

    `lent`: to come back as it is, no work is done there.
    """

    to: str
    until: str | None = None
    since: str | None = None
    reason: str = ""
    lent: bool = False


class Fitted(NamedTuple):
    """Is back on its machine (where, its origin says), since a date; `trial`: to come off again."""

    since: str | None = None
    trial: bool = False


Whereabouts = InZone | InGroup | Away | Fitted | None
"""None: taken off but not laid down (unplaced)."""


class WorkPoint(NamedTuple):
    """One point of a group's short list: what is to be done to it, and when it was done (None: not yet)."""

    what: str
    done: str | None = None


class Group(NamedTuple):
    """A part group: what is kept and tagged together.

    `origin` is where on the machine it came from: (machine, assembly, ..., position), empty if unknown.
    `order` is which it was to come off its machine (1 is first), None where that is not known (catch-up).
    `also_codes` are the tags of groups merged into it: scanning one finds it. `parts` are the positions on
    the machine its pieces belong to (empty: its own, by its id; see strip/), `shares` how many pieces belong
    to each where there are several (see lots.py). `brought`: it did not come off but was bought, made or
    borrowed. `counted`: how its pieces are counted ('holes', 'bag', 'later', 'assumed' for a number taken
    from a list, or 'never' for what is no part of a machine: a tub, a tool).
    `one_use`: renewed whenever it comes off; `used`: it was on and came off since it was brought.
    `elsewhere`: the project it goes to, if not back on its machine.
    `printed`: digests of what its tag said when it was printed (see printed.py), '' if not known.
    `details` are told for the checks (see details.py).
    `extra` holds fields of the document this version does not know.
    """

    id: str
    code: str
    name: str = ""
    origin: tuple[str, ...] = ()
    container: str = "bare"
    size: Size | None = None
    outline: tuple[tuple[float, float], ...] | None = None
    mass: Mass | None = None
    qty: int = 1
    disposition: str = "undecided"
    note: str = ""
    cautions: tuple[str, ...] = ()
    where: Whereabouts = None
    order: int | None = None
    tagged: bool = False
    taken_at: str | None = None
    also_codes: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    work: tuple[WorkPoint, ...] = ()
    brought: bool = False
    counted: str = ""
    one_use: bool = False
    elsewhere: str = ""
    printed: str = ""
    shares: tuple[int, ...] = ()
    used: bool = False
    details: Mapping[str, Any] = _NOTHING
    extra: Mapping[str, Any] = _NOTHING

    @property
    def known_size(self) -> Size | None:
        """The measured size, else the container's usual one (then `about`)."""
        if self.size is not None:
            return self.size
        usual = CONTAINERS.get(self.container)
        return None if usual is None else Size(*usual, about=True)

    @property
    def positions(self) -> tuple[str, ...]:
        """The positions on the machine its pieces belong to, by id."""
        return self.parts or (self.id,)

    @property
    def seats(self) -> dict[str, int]:
        """How many of its pieces belong to each position."""
        return dict(zip(self.positions, self.shares or (self.qty,), strict=True))

    @property
    def shown(self) -> str:
        """The name, or the code of one not yet named."""
        return self.name or f"unnamed {self.code}"


class Machine(NamedTuple):
    """What is being stripped: owner, job number and its tree of assemblies."""

    key: str
    name: str = ""
    owner: str = ""
    job: str = ""
    note: str = ""
    tree: Tree = ()


class ThingPlace(NamedTuple):
    """Where a movable thing of the shop stands now: its centre in the shop frame, and its turn."""

    key: str
    x_mm: float
    y_mm: float
    turn_deg: float = 0.0
    room: str = ""
