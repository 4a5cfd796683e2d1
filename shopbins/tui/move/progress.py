"""What is worked out for the Move screen, and how far along the way it is shown."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from shopbins.geometry.shapes import Outline, Pose, between, turn_between
from shopbins.moves.pressing import covers_of
from shopbins.moves.route import open_holes
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.steps import shift_numbers, situation

if TYPE_CHECKING:
    from shopbins.moves.plan import Plan
    from shopbins.scene.scene import Scene

STEP_MM, STEP_DEG = 250.0, 10.0
LONG = 8


class Lying(NamedTuple):
    """What lies in or on the floor of a way; `is_open` of a pit, `is_laid` of plates and ramps."""

    outline: Outline
    name: str
    is_open: bool = False
    is_laid: bool = False


@dataclass(slots=True)
class Asking:
    """What is asked: thing, goal, gear, and how."""

    group: str | None = None
    zone: str | None = None
    gear: str | None = None
    turn_deg: float | None = None
    as_: str = "tonight"
    base: bool = True

    @property
    def whole(self) -> bool:
        """Tell whether enough is known to ask."""
        return self.group is not None and self.zone is not None

    def key(self, gear: str | None) -> tuple[object, ...]:
        """Return what a plan depends on besides the ledger."""
        return self.group, self.zone, gear, self.turn_deg, self.as_, self.base


@dataclass(slots=True)
class Showing:
    """A plan played: frames along its way, which one is shown, what lies on the floor (None: not looked)."""

    plan: Plan
    frames: list[Pose] = field(default_factory=list)
    at: int = 0
    lying: tuple[Lying, ...] | None = None

    def __post_init__(self) -> None:
        """Cut the way into frames."""
        self.frames = frames_of(self.plan.path)

    @property
    def pose(self) -> Pose | None:
        """The pose shown."""
        return self.frames[self.at] if self.frames else None

    def step(self, by: int) -> None:
        """Go on along the way, or back."""
        self.at = max(0, min(self.at + by, len(self.frames) - 1))

    def to_tightest(self) -> bool:
        """Go to the frame of the tightest pose; False where there is none."""
        tight = self.plan.tightest
        if tight is None or not self.frames:
            return False
        self.at = min(range(len(self.frames)), key=lambda i: _apart(self.frames[i], tight))
        self.frames[self.at] = tight
        return True

    @property
    def tight(self) -> bool:
        """Tell whether the tightest pose is shown."""
        return self.pose is not None and self.pose == self.plan.tightest

    def words(self) -> str:
        """Say how far along it is."""
        if not self.frames:
            return ""
        far = self.at / max(1, len(self.frames) - 1)
        return f"{far:.0%} of the way"


def _apart(a: Pose, b: Pose) -> float:
    turn = abs(turn_between(a.turn_deg, b.turn_deg))
    return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) + 10 * turn


def frames_of(path: Sequence[Pose]) -> list[Pose]:
    """Return poses along a way, about every 250 mm or 10 degrees."""
    if not path:
        return []
    found = [path[0]]
    left = 0.0
    for a, b in pairwise(path):
        leg = max(
            math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) / STEP_MM, abs(b.turn_deg - a.turn_deg) / STEP_DEG
        )
        at = 1.0 - left
        while leg > 0 and at <= leg:
            found.append(between(a, b, at / leg))
            at += 1.0
        left = (left + leg) % 1.0
    if found[-1] != path[-1]:
        found.append(path[-1])
    return found


def lying_on(scene: Scene, plan: Plan) -> tuple[Lying, ...]:
    """Return what lies on the way, as the sheet draws it: pits, covers, open leaves, plates and ramps."""
    it = situation(scene, plan)
    if it is None or plan.attempt is None or plan.attempt.ground is None:
        return ()
    ground, shop = plan.attempt.ground, scene.shop
    found = [Lying(pit.outline, f"{pit.name}, open", True) for pit in open_holes(shop, ground.outlines)]
    found += [Lying(cover.outline, cover.name) for cover in covers_of(shop, ground.outlines)]
    found += [Lying(leaf, "") for _, leaf in ground.leaves]
    for laid in it.laid:
        found += [Lying(piece.outline, laid.gear.name, is_laid=True) for piece in laid.pieces]
    for ramps in it.ramps:
        found += [Lying(piece.outline, ramps.gear.name, is_laid=True) for piece in ramps.pieces]
    return tuple(found)


def targets_of(scene: Scene, plan: Plan) -> tuple[tuple[Outline, str], ...]:
    """Return where shifted things go, numbered as in the list of steps."""
    after = shifted_scene(scene, plan.shift)
    there = {b.subject: b for room in after.shop.rooms for b in after.standing(room)}
    return tuple(
        (there[subject].outline, str(n)) for subject, n in shift_numbers(plan).items() if subject in there
    )
