"""The panel of the thing in hand: it hears the carrying keys, judges each step, tells what is in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.timer import Timer
from textual.widget import Widget
from textual.worker import get_current_worker

from shopbins.desk.problems import DeskError
from shopbins.ledger.whereabouts import place_said
from shopbins.scene.frames import to_shop
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.host import InApp
from shopbins.tui.keys.actions import bindings
from shopbins.tui.text import wrapped
from shopbins.tui.words import measured_words, told
from shopbins.units import counted, show_angle, show_length

if TYPE_CHECKING:
    from shopbins.placing.places import Suggestion
    from shopbins.rules.finding import Finding
    from shopbins.scene.scene import Scene
    from shopbins.shop.model import Zone
    from shopbins.tui.plan.carry import Hand

MOST_BEST = 8
MOST_TOLD, MOST_WORDS = 3, 8
"""So many troubles in full while carrying, and so many words why a place is a good one."""

FINE = 10.0
IDLE_S = 0.4
"""How long it is held still before what takes longer is judged."""


class HandPanel(InApp, Widget, can_focus=True):
    """Holds one thing between picking up and laying down."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("carry")]
    DEFAULT_CSS = "HandPanel { height: 1fr; width: 100%; padding: 0 1; }"

    @dataclass(eq=False, repr=False)
    class Moved(Message):
        """The thing is held elsewhere."""

        hand: Hand
        findings: list[Finding]

    @dataclass(eq=False, repr=False)
    class Lay(Message):
        """It is to be laid down."""

        hand: Hand

    @dataclass(eq=False, repr=False)
    class Back(Message):
        """It is to be put back."""

        hand: Hand

    @dataclass(eq=False, repr=False)
    class AskPlace(Message):
        """A zone is to be chosen for it."""

        hand: Hand

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.hand: Hand | None = None
        self.findings: list[Finding] = []
        self._scene: Scene | None = None
        self._best: Sequence[Suggestion] = ()
        self._best_at = -1
        self._reason = ""
        self._trouble = ""
        self._clear: list[str] = []
        self._idle: Timer | None = None

    # --- taking and giving up -----------------------------------------------------------------------------

    def take_group(self, group_id: str, spot: tuple[float, float]) -> None:
        """Take a group in hand."""
        from shopbins.tui.plan.carry import pick_up_group

        scene = self.desk.scene()
        self._take(scene, pick_up_group(scene, group_id, spot))

    def take_thing(self, key: str) -> bool:
        """Take a movable fixture or bench in hand; False where it cannot be moved."""
        from shopbins.tui.plan.carry import pick_up_thing

        scene = self.desk.scene()
        hand = pick_up_thing(scene, key)
        if hand is not None:
            self._take(scene, hand)
        return hand is not None

    def _take(self, scene: Scene, hand: Hand) -> None:
        self._scene = scene
        self._best, self._best_at = (), -1
        self.hold(hand)

    def drop(self) -> None:
        """Have nothing in hand."""
        self.hand = None
        self.findings = []
        self._scene = None
        if self._idle is not None:
            self._idle.stop()
        self.workers.cancel_group(self, "best")
        self.workers.cancel_group(self, "closer")

    def again(self) -> None:
        """Judge again after the state has changed under it."""
        if self.hand is not None:
            self._scene = self.desk.scene()
            self.hold(self.hand, self._reason)

    def hold(self, hand: Hand, reason: str = "") -> None:
        """Hold it so, and judge what laying it there would cause; `reason`: why that is a best place."""
        self.hand, self._reason = hand, reason
        from shopbins.tui.plan.clearance import clear_lines

        self._judge(hand)
        self._clear = clear_lines(self._scene, hand) if self._scene is not None else []
        self.post_message(self.Moved(hand, self.findings))
        self.refresh()
        if self._idle is not None:
            self._idle.stop()
        self._idle = self.set_timer(IDLE_S, self._look_closer)

    def _look_closer(self) -> None:
        if self.hand is not None and self._scene is not None and not self._trouble:
            self.look_closer(self.hand, self._scene)

    @work(thread=True, exclusive=True, group="closer", exit_on_error=False)
    def look_closer(self, hand: Hand, scene: Scene) -> None:
        """Judge in a thread what takes too long at every step: ways out, and what a shuffle would do."""
        worker = get_current_worker()
        try:
            found = self._judged(hand, scene, thorough=True) or []
        except (DeskError, KeyError):
            return  # the step itself said so, or laying down will
        if not worker.is_cancelled:
            self.shopbins.call_from_thread(self._looked_closer, hand, found)

    def _looked_closer(self, hand: Hand, found: list[Finding]) -> None:
        """Show what the closer look found, if it is still held so; what is in order there is not told."""
        if self.hand != hand:
            return
        known = {finding.id for finding in self.findings}
        told_now = [f for f in found if f.id in known or f.grade != "note"]
        if told_now != self.findings:
            self.findings = told_now
            self.post_message(self.Moved(hand, self.findings))
            self.refresh()

    def _judged(self, hand: Hand, scene: Scene, *, thorough: bool = False) -> list[Finding] | None:
        """Return what laying it there would cause; None over no zone."""
        from shopbins.placing.judging import judge_thing
        from shopbins.rules.finding import worst_first

        if hand.kind == "thing":
            return judge_thing(scene, hand.thing_place(scene), thorough=thorough)
        target = hand.target(scene)
        if target is None:
            return None
        x, y, turn = target.x_mm, target.y_mm, target.turn_deg
        judge = self.desk.judge
        return worst_first(judge(hand.key, target.zone, target.level, x, y, turn, thorough=thorough))

    def _judge(self, hand: Hand) -> None:
        self._trouble = ""
        self.findings = []
        assert self._scene is not None
        try:
            found = self._judged(hand, self._scene)
            if found is None:
                self._trouble = "outside every place: cannot be put down here"
            else:
                self.findings = found
        except DeskError as problem:
            self._trouble = problem.lines[0]
        except KeyError:
            self._trouble = "that place or thing is gone"

    # --- what is told -------------------------------------------------------------------------------------

    def lines(self, width: int, height: int = 7) -> list[tuple[str, str]]:
        """Return what the panel tells, each line with a style: what is clear before any note.

        Where there is no room how to fix it is left out first, then all but the worst; notes that have none
        are counted on the last line. What is clear is always told.
        """
        hand = self.hand
        if hand is None:
            return []
        step = f"step {show_length(hand.step_mm)}"
        out: list[tuple[str, str]] = [(f"{hand.name} · {self._place_words(hand)} · {step}", "bold")]
        if self._reason:
            out.append((self._best_words(), "bold"))
        if self._trouble:
            out.append((f"! {self._trouble}", "bold"))
        elif not self.findings:
            out.append(("no trouble found here", ""))
        wrong = [f for f in self.findings if f.grade != "note"]
        notes = [f for f in self.findings if f.grade == "note"]
        behind: list[tuple[str, str]] = []
        if self._clear:
            behind.append((f"clear: {' · '.join(self._clear)}", ""))
        if lacking := self._lacking():
            behind.append((f"{lacking}: m asks for it and checks again", ""))
        ways = ([_told_with_fix(f) for f in wrong[:MOST_TOLD]], [_told(f) for f in wrong[:MOST_TOLD]])
        for said in (*ways, ways[1][:1]):
            told_lines = [each for line in (*out, *said, *behind) for each in _wrapped(line, width)]
            more = len(wrong) > len(said) or bool(notes)
            if len(told_lines) + more <= height:
                break
        untold = len(wrong) - len(said)
        unjudged = [f for f in notes if is_unjudged(f)][: max(0, MOST_TOLD - len(wrong))]
        for finding in unjudged:
            lines = _wrapped(_told_with_fix(finding), width)
            if len(told_lines) + len(lines) + (len(notes) > 1) > height:
                break
            told_lines += lines
            notes.remove(finding)
        rest = [f"+ {untold} more"] if untold else []
        rest += [f"+ {counted(len(notes), 'note')}"] if notes else []
        if rest:
            told_lines = [*told_lines[: height - 1], (f"{' · '.join(rest)} (v)", "dim")]
        return told_lines

    def _lacking(self) -> str:
        """Say which figures of what is carried are not known."""
        hand = self.hand
        if hand is None or hand.kind != "group" or not self.desk.state.has_group(hand.key):
            return ""
        group = self.desk.state.group(hand.key)
        words = ("not weighed" if group.mass is None else "", "not measured" if group.size is None else "")
        return ", ".join(word for word in words if word)

    def action_measure(self) -> None:
        """Ask for mass and size of what is carried, beginning with what is not known; it is checked again."""
        from shopbins.tui.parts.measuring import lacking_rows, measure

        hand = self.hand
        if hand is None or hand.kind != "group":
            self.shopbins.tell("its size is in the shop file: F4 opens it there", bad=True)
            return
        group = self.desk.state.group(hand.key)
        rows = lacking_rows(group)
        measure(self.shopbins, group, at=rows[0].key if len(rows) == 1 else "")

    def _best_words(self) -> str:
        """Say which of the best places this is and why, in few words; what it needs comes first."""
        from shopbins.placing.places import hard_to_lift

        which = str(self._best_at + 1) if self._best_at else "best"
        hard = ", but needs a hoist or more people" if hard_to_lift(self.findings) else ""
        return f"{which} of {len(self._best)}{hard}: {in_few_words(self._reason)}"

    def action_details(self) -> None:
        """Show all checks for this spot with their limits and sources."""
        if self.hand is None:
            return
        lines = [self._place_words(self.hand)]
        lines += [f"why here: {self._reason}"] if self._reason else []
        for finding in self.findings:
            lines += ["", told(finding)]
            lines += [f"  {t}" for t in (measured_words(finding), finding.remedy, finding.source) if t]
        lines += ["", *self._clear] if self._clear else []
        self.shopbins.open_page(f"All checks: {self.hand.name}", lines)

    def _place_words(self, hand: Hand) -> str:
        if hand.zone is None:
            return "outside"
        place = place_said(hand.zone, hand.level)
        if not hand.posed:
            return f"{place}, no exact spot"
        target = hand.target(self._scene) if self._scene is not None else None
        if hand.kind == "thing" or target is None or target.x_mm is None or target.y_mm is None:
            return f"{place} at {hand.x_mm:.0f}, {hand.y_mm:.0f} mm, turned {show_angle(hand.turn_deg)}"
        return f"{place} at {target.x_mm:.0f}, {target.y_mm:.0f} mm, turned {show_angle(target.turn_deg)}"

    def render(self) -> Text:
        """Draw what is told."""
        text = Text(no_wrap=True)
        height = max(1, self.size.height)
        for i, (line, style) in enumerate(self.lines(self.size.width, height)[:height]):
            text.append(("\n" if i else "") + line, style)
        return text

    # --- keys ---------------------------------------------------------------------------------------------

    def _step(self, across: int, up: int, part: float = 1.0) -> None:
        if self.hand is not None and self._scene is not None:
            by = max(1.0, self.hand.step_mm / part)
            self.hold(self.hand.moved(self._scene, across * by, up * by))

    def action_left(self) -> None:
        """A step to the left."""
        self._step(-1, 0)

    def action_right(self) -> None:
        """A step to the right."""
        self._step(1, 0)

    def action_up(self) -> None:
        """A step up on the plan."""
        self._step(0, 1)

    def action_down(self) -> None:
        """A step down on the plan."""
        self._step(0, -1)

    def action_fine_left(self) -> None:
        """A tenth of a step to the left."""
        self._step(-1, 0, FINE)

    def action_fine_right(self) -> None:
        """A tenth of a step to the right."""
        self._step(1, 0, FINE)

    def action_fine_up(self) -> None:
        """A tenth of a step up."""
        self._step(0, 1, FINE)

    def action_fine_down(self) -> None:
        """A tenth of a step down."""
        self._step(0, -1, FINE)

    def action_step(self) -> None:
        """Change the step."""
        if self.hand is not None:
            self.hand = self.hand.next_step()
            self.refresh()

    def _turn(self, by_deg: float) -> None:
        if self.hand is not None:
            self.hold(self.hand.turned(by_deg))

    def action_quarter(self) -> None:
        """Turn by 90 degrees to the left."""
        self._turn(90)

    def action_quarter_back(self) -> None:
        """Turn by 90 degrees to the right."""
        self._turn(-90)

    def action_turn(self) -> None:
        """Turn by 5 degrees to the left."""
        self._turn(5)

    def action_turn_back(self) -> None:
        """Turn by 5 degrees to the right."""
        self._turn(-5)

    def action_higher(self) -> None:
        """Onto the next surface up."""
        self._lift(True)

    def action_lower(self) -> None:
        """Onto the next surface down."""
        self._lift(False)

    def _lift(self, up: bool) -> None:
        if self.hand is not None and self._scene is not None and self.hand.kind == "group":
            self.hold(self.hand.lifted(self._scene, up))

    def action_anywhere(self) -> None:
        """Give up the exact place."""
        if self.hand is not None and self.hand.kind == "group":
            self.hold(replace(self.hand, posed=False))

    def action_go_to(self) -> None:
        """Choose a zone by name."""
        if self.hand is not None and self.hand.kind == "group":
            self.post_message(self.AskPlace(self.hand))

    def action_lay(self) -> None:
        """Lay it down."""
        if self._trouble:
            self.shopbins.tell(self._trouble, bad=True)
        elif self.hand is not None:
            self.post_message(self.Lay(self.hand))

    def action_back(self) -> None:
        """Put it back."""
        if self.hand is not None:
            self.post_message(self.Back(self.hand))

    # --- best places --------------------------------------------------------------------------------------

    def action_best(self) -> None:
        """Step to the next best place."""
        self._step_best(1)

    def action_best_before(self) -> None:
        """Step to the best place before."""
        self._step_best(-1)

    def _step_best(self, by: int) -> None:
        if self.hand is None or self.hand.kind != "group":
            return
        if not self._best:
            self._reason = ""
            self.shopbins.tell("looking for the best places ...")
            self.look_for_best(self.hand.key)
        else:
            self._hold_best((self._best_at + by) % len(self._best))

    @work(thread=True, exclusive=True, group="best", exit_on_error=False)
    def look_for_best(self, group_id: str) -> None:
        """Look for the best places in a thread."""
        from shopbins.placing.places import best_places

        worker = get_current_worker()
        found: Sequence[Suggestion] = ()
        problem = ""
        try:
            found = best_places(self.desk.scene(), group_id, most=MOST_BEST)
        except DeskError as trouble:
            problem = trouble.lines[0]
        except KeyError:
            problem = "that thing is gone"
        if not worker.is_cancelled:
            self.shopbins.call_from_thread(self._found_best, group_id, found, problem)

    def _found_best(self, group_id: str, found: Sequence[Suggestion], problem: str) -> None:
        if self.hand is None or self.hand.key != group_id:
            return
        if problem or not found:
            self.shopbins.tell(problem or "no place found where it can lie", bad=True)
            return
        self._best = found
        self.shopbins.hush()
        self._hold_best(0)

    def _hold_best(self, number: int) -> None:
        assert self.hand is not None and self._scene is not None
        self._best_at = number
        offer = self._best[number]
        zone = self._scene.zone(offer.zone)
        if zone is None:
            return
        self.hold(_held_at(self.hand, zone, offer), offer.reason)


def _held_at(hand: Hand, zone: Zone, offer: Suggestion) -> Hand:
    """Return the thing held at an offered place."""
    where = offer.pose
    if where is None or where.x_mm is None or where.y_mm is None:
        return hand.put_in(zone, offer.level)
    pose = to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)
    return replace(
        hand,
        zone=zone.key,
        level=offer.level,
        x_mm=pose.x_mm,
        y_mm=pose.y_mm,
        turn_deg=pose.turn_deg,
        posed=True,
    )


def marks_of(findings: Sequence[Finding]) -> list[tuple[tuple[float, float], str]]:
    """Return where the findings point, with their grades."""
    return [(f.at_mm, f.grade) for f in findings if f.at_mm is not None and f.grade in GRADE_GLYPH]


def in_few_words(reason: str) -> str:
    """Return the first parts of a reason that take no more than `MOST_WORDS` words."""
    said: list[str] = []
    for part in reason.split(", "):
        if said and len(" ".join([*said, part]).split()) > MOST_WORDS:
            break
        said.append(part)
    return ", ".join(said)


def _told(finding: Finding) -> tuple[str, str]:
    return told(finding), "bold" if finding.grade == "stop" else ""


def _told_with_fix(finding: Finding) -> tuple[str, str]:
    text, style = _told(finding)
    return f"{text} · {finding.remedy}" if finding.remedy else text, style


def _wrapped(line: tuple[str, str], width: int) -> list[tuple[str, str]]:
    return [(each, line[1]) for each in wrapped(line[0], max(10, width))]


def is_unjudged(finding: Finding) -> bool:
    """Tell whether a note says that something could not be checked, so that it is not folded away."""
    return finding.rule == "not-judged" or (not finding.judged and finding.gap != "keeps")
