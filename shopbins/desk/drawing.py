"""Drawing in the shop file at the desk: steps are checked, saved under the ledger's lock, and taken back.

A step that leaves no problem is saved at once; one that does stays on the screen until it is put right, taken
back, or written all the same. What lies in a zone whose places are counted in the shop's frame goes along.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from hashlib import sha256
from math import atan2, degrees
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import BadInput, NotDone, StorageFailed, translated
from shopbins.ledger.docs import where_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.model import InZone
from shopbins.ledger.takeback import DREW
from shopbins.scene.frames import to_shop, to_zone
from shopbins.shop.editing.drawing import Drawing
from shopbins.shop.editing.merge import BothChanged
from shopbins.shop.editing.save import ChangedMeanwhile, keep_copy, load, save
from shopbins.shop.editing.splice import Edit, SpliceRefused
from shopbins.shop.editing.steps import Move

if TYPE_CHECKING:
    from shopbins.desk.desk import Desk
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop
    from shopbins.shop.problems import Problem

BEFORE = "shop-before"


class ShopDrawing:
    """The shop file of a desk, being drawn."""

    def __init__(self, desk: Desk) -> None:
        """Read the file; raises StorageFailed."""
        self._desk = desk
        try:
            self.drawing = Drawing(desk.shop_path)
        except (OSError, UnicodeDecodeError) as problem:
            raise StorageFailed(f"{desk.shop_path}: {problem}") from None
        self.shop: Shop = desk.shop
        self.problems: tuple[Problem, ...] = desk.shop_problems
        self._kept = False
        self._waiting: list[Mapping[str, Move]] = []  # of each step that is not in the file yet
        self._waiting_back: list[Mapping[str, Move]] = []
        self._poses: list[dict[str, Any]] = []
        self._poses_back: list[dict[str, Any]] = []
        self._restored: dict[str, Any] = {}
        self._home = ""

    @property
    def text(self) -> str:
        """The file as drawn."""
        return self.drawing.text

    @property
    def unsaved(self) -> bool:
        """Whether steps are not in the file yet."""
        return self.drawing.unsaved

    def step(self, edits: Sequence[Edit], *, along: Mapping[str, Move] | None = None, home: str = "") -> None:
        """Do a step and save it if it leaves no problem; raises BadInput where it cannot be spliced.

        `along` says of zones and rooms whose places count in the shop's frame how what lies there moves.
        `home` names a movable thing whose place in the ledger is now that of the file.
        """
        if not edits:
            return
        try:
            self.drawing.do(edits)
        except SpliceRefused as refused:
            raise BadInput(f"{refused}: F4 opens your editor there") from None
        self._waiting.append(along or {})
        self._waiting_back.clear()
        self._home = home
        self._poses.append({})
        self._poses_back.clear()
        self._look_and_save()

    def take_back(self) -> None:
        """Undo the last step; raises NotDone where there is none, or somebody else changed the same line."""
        self._history(
            self.drawing.can_take_back,
            self.drawing.take_back,
            (self._poses, self._poses_back),
            (self._waiting, self._waiting_back),
        )

    def do_again(self) -> None:
        """Redo the last step taken back; raises NotDone."""
        self._history(
            self.drawing.can_do_again,
            self.drawing.do_again,
            (self._poses_back, self._poses),
            (self._waiting_back, self._waiting),
        )

    def _history(
        self,
        possible: bool,
        do: Callable[[], None],
        stacks: tuple[list[dict[str, Any]], list[dict[str, Any]]],
        waiting: tuple[list[Mapping[str, Move]], list[Mapping[str, Move]]],
    ) -> None:
        """Go a step back or on; parts that went along with it go along again."""
        if not possible:
            raise NotDone("nothing drawn is left for that")
        try:
            do()
        except BothChanged as both:
            raise NotDone(f"{both}: not taken back") from None
        if waiting[0]:  # the step never came into the file
            waiting[1].append(waiting[0].pop())
        source, target = stacks
        back = source.pop() if source else {}
        self._restored |= back
        target.append({subject: self._where(subject) for subject in back})
        self._look_and_save()

    def _where(self, subject: str) -> dict[str, Any] | None:
        """Return what the ledger now has of where a part or a movable thing is."""
        table, _, key = subject.partition(":")
        if table == "thing":
            found = self._desk.state.docs("thing").get(key)
            return None if found is None else dict(found)
        return {"where": where_doc(self._desk.state.group(key).where)}

    def look_again(self) -> bool:
        """Take in what others wrote in the file; raises NotDone where both changed a line."""
        try:
            news = self.drawing.look_again()
        except (OSError, UnicodeDecodeError):
            return False
        except BothChanged as both:
            raise NotDone(f"{both}: F4 shows theirs, u takes yours back") from None
        if news:
            self._read()
        return news

    def _look_and_save(self) -> None:
        self._read()
        if not self.problems and self.drawing.unsaved:
            self.save()

    def _read(self) -> None:
        shop, self.problems = self.drawing.read()
        if shop is not None:
            self.shop = shop

    def save(self) -> None:
        """Put the text on the disk and note it in the ledger, with nobody else writing.

        Of a file with problems the last good reading stays in use.
        """
        drawing, path = self.drawing, self._desk.shop_path
        before, after = drawing.seen, drawing.text
        written = False

        def work(state: State) -> Draft:
            nonlocal written
            moved = self._restored or self._along(state)
            if self._home and not self._restored:
                moved[f"thing:{self._home}"] = None
            if self._poses and moved is not self._restored:
                self._poses[-1] = {subject: self._where(subject) for subject in moved}
            if not self._kept:
                stamp = datetime.now().strftime("%Y%m%d-%H%M%S-%f")
                keep_copy(path, Path(self._desk.ledger.folder) / BEFORE, stamp)
            save(path, after, before)
            written = True
            return Draft(DREW, moved, (f"shop:{_digest(before)}", f"shop:{_digest(after)}"))

        try:
            with translated():
                self._desk.ledger.transact(work)
        except ChangedMeanwhile:
            raise NotDone(f"{path.name} was changed by somebody else: look again") from None
        except Exception:
            if written and load(path) == after:  # the ledger refused: the old bytes go back
                save(path, before, after)
            raise
        self._kept = True
        self._waiting.clear()
        self._waiting_back.clear()
        self._restored, self._home = {}, ""
        drawing.saved(after)
        self._desk.refresh()

    def _along(self, state: State) -> dict[str, Any]:
        """Return the new places of what lies where places are counted in the shop's frame."""
        after: dict[str, Any] = {}
        for key, moves in self._moves().items():
            old, new = self._desk.shop.zone(key), self.shop.zone(key)
            if old is None or new is None:
                continue
            for group in state.groups():
                where = group.where
                if isinstance(where, InZone) and where.zone == key and where.posed:
                    pose = to_shop(old, where.x_mm or 0.0, where.y_mm or 0.0, where.turn_deg)
                    (x, y), ahead = (pose.x_mm, pose.y_mm), (pose.x_mm + 1000.0, pose.y_mm)
                    for move in moves:
                        (x, y), ahead = move((x, y)), move(ahead)
                    turn = pose.turn_deg + _bearing(x, y, *ahead)
                    there = to_zone(new, x, y, turn)
                    after[f"group:{group.id}"] = {
                        "where": where_doc(
                            where._replace(x_mm=there.x_mm, y_mm=there.y_mm, turn_deg=there.turn_deg)
                        )
                    }
        return after

    def _moves(self) -> dict[str, list[Move]]:
        """Return for each zone the moves of all steps that are not in the file yet, in turn."""
        found: dict[str, list[Move]] = {}
        for step in self._waiting:
            for key, move in step.items():
                found.setdefault(key, []).append(move)
        return found

    def lying_in(self, key: str) -> list[str]:
        """Return the names of the parts that lie in a zone or on a room's open floor."""
        scene = self._desk.scene()
        found = []
        for group in scene.groups():
            where = group.where
            if isinstance(where, InZone) and scene.shop.renamed.get(where.zone, where.zone) == key:
                found.append(group.shown)
        return found


def _bearing(x: float, y: float, ax: float, ay: float) -> float:
    return degrees(atan2(ay - y, ax - x))


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:16]
