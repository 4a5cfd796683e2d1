"""The Audit: every finding, worst first; from each to its spot, and to putting it right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static

from shopbins.rules.finding import PAPERWORK
from shopbins.rules.tally import tally
from shopbins.tui.dialogs.act import Item
from shopbins.tui.keys.acting import open_menu, why_not
from shopbins.tui.keys.actions import BY_ID, Action, bindings
from shopbins.tui.keys.groupactions import GroupActions
from shopbins.tui.place import ListPlace
from shopbins.tui.plan.laying import accept_finding
from shopbins.tui.refit.stripactions import StripActions
from shopbins.tui.text import plain
from shopbins.tui.troubles import troubles_of
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.tui.widgets.lines import Words
from shopbins.tui.words import grade_word, measured_words, told
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.rules.finding import Finding
    from shopbins.tui.dialogs.act import Item

FIGURES_AT_ONCE = 3
WHICH = ("all", "only stops", "only to fix", "only accepted", "only for now")

SIGNS = {
    "stop": "■",
    "accepted": "□",
    "to fix": "▲",
    "records": "…",
    "note": "●",
    "not checked": "?",
    "more": "?",
}
LOOKS = {"stop": "mark-stop", "to fix": "mark-correct", "accepted": "stop", "note": "note"}


@dataclass(frozen=True, slots=True)
class Row:
    """A row: what kind it is, its sign with the number of its trouble, its text, its finding.

    `fold` names the folded line it stands for or belongs to; `held` are the findings folded in it.
    """

    kind: str
    sign: str
    text: str
    finding: Finding | None
    remedy: str = ""
    fold: str = ""
    held: tuple[Finding, ...] = ()


class AuditScreen(StripActions, GroupActions, ListPlace):
    """The Audit."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("audit", "group")]
    shown: ClassVar[str] = "Audit"
    scopes: ClassVar[tuple[str, ...]] = ("audit", "group")
    DEFAULT_CSS = """
    AuditScreen #all { height: 100%; width: 1fr; }
    AuditScreen #detail { height: 7; width: 100%; padding: 0 1; background: $panel; }
    AuditScreen.-low #detail { display: none; }
    AuditScreen.-two #main { layout: horizontal; }
    AuditScreen.-two #detail { height: 9; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._shown: list[Row] = []
        self._which = 0
        self._unfolded: set[str] = set()

    def body(self) -> Iterator[Widget]:
        """Put the findings and the detail of one under each other."""
        with Vertical(id="all"):
            yield LineList(_columns("worst first"), empty="checking the shop ...", id="findings")
            yield Words(id="detail")

    @property
    def lines(self) -> LineList:
        """The list."""
        return self.query_one("#findings", LineList)

    def on_mount(self) -> None:
        """Begin with the keys on the list."""
        self.lines.focus()

    def copied(self) -> tuple[str, ...]:
        """Return the finding's line, then its thing's code and line."""
        finding = self.current()
        line = () if finding is None else (f"{grade_word(finding)}: {finding.text}",)
        return (*line, *super().copied())

    def described(self) -> tuple[str, str]:
        """Return the zone, door or other thing of the shop file that the finding is about."""
        finding = self.current()
        for subject in finding.subjects if finding is not None else ():
            kind, _, key = subject.partition(":")
            if kind != "group":
                zone, _, level = key.partition("/")
                return zone, level
        return super().described()

    def remember(self) -> dict[str, Any]:
        """Keep which grades are shown."""
        return {"which": self._which}

    def recall(self, kept: Mapping[str, Any]) -> None:
        """Show the same grades again."""
        which = kept.get("which")
        if isinstance(which, int) and 0 <= which < len(WHICH):
            self._which = which

    # --- what is shown ------------------------------------------------------------------------------------

    def state_changed(self) -> None:
        """Show that what is listed is being judged again."""
        self.stale = False
        self.findings_changed()

    def findings_changed(self) -> None:
        """List the findings as last checked, the cursor staying on its row."""
        before = self._row_at()
        every = self.shopbins.findings
        self._shown = [] if every is None else list(self._rows_of(every))
        checking = "checking the shop ..." if self.shopbins.auditing else "not checked: F5 checks the shop"
        self.lines.empty = checking if every is None else "nothing found by the checks made"
        self.lines.set_columns(_columns(self._heading(every)))
        keys = [(row.fold, row.text) for row in self._shown]
        here = None if before is None else (before.fold, before.text)
        at = keys.index(here) if here in keys else self.lines.cursor
        self.lines.show(len(keys), self._row, at)
        self._detail()
        self.fill_lines()

    def _heading(self, findings: Sequence[Finding] | None) -> str:
        """Count the findings over the list; the foot counts what there is to be put right."""
        if findings is None:
            return "worst first"
        total = tally(findings)
        return f"{counted(total.in_findings, 'finding')}, {counted(total.notes, 'note')}, worst first"

    def _rows_of(self, findings: Sequence[Finding]) -> Iterator[Row]:
        """Go through the rows: danger by its numbers, records and notes folded, last what was not checked."""
        from shopbins.rules.folding import lines

        troubles = troubles_of(findings, self.desk.state.by_code)
        signs = {f.id: t.sign for t in troubles for f in t.findings}
        for number, line in enumerate(lines(self.desk.scene(), findings)):
            if not self._wanted(line.kind, line.first):
                continue
            first = line.first
            if first is not None and line.kind in ("stop", "to fix", "accepted"):
                yield Row(line.kind, signs.get(first.id, SIGNS[line.kind]), line.text, first, line.remedy)
                continue
            fold = f"{line.kind}/{number}" if len(line.findings) > 1 or line.kind == "records" else ""
            held = line.findings if fold else ()
            yield Row(line.kind, SIGNS[line.kind], line.text, first, line.remedy, fold, held)
            if fold in self._unfolded:
                for each in line.findings:
                    yield Row("held", "", f"  {each.text}", each, each.remedy, fold)
        if self._which == 0:
            yield Row("coverage", "?", f"looked at: {self._looked()} (v lists it)", None)

    def _looked(self) -> str:
        from shopbins.rules.coverage import coverage, one_line

        return one_line(coverage(self.desk.scene(), self.shopbins.findings or []), self.desk.shop)

    def _wanted(self, kind: str, finding: Finding | None) -> bool:
        """Tell whether a line is of those shown."""
        accepted = finding is not None and finding.accepted is not None
        if self._which == 1:
            return kind == "stop" or (accepted and finding is not None and finding.grade == "stop")
        if self._which == 2:
            return kind == "to fix"
        if self._which == 3:
            return accepted
        if self._which == 4:
            return finding is not None and finding.accepted is not None and finding.accepted.for_now
        return True

    def _row(self, number: int) -> list[Cell]:
        row = self._shown[number]
        room = self._room_name(row.finding) if row.finding is not None and not row.held else ""
        if row.kind == "accepted" and row.finding is not None and row.finding.accepted is not None:
            return [(row.sign, "stop"), f"{row.text}, accepted {row.finding.accepted.said}", (room, "dim")]
        folded = " (enter opens)" if row.held and row.fold not in self._unfolded else ""
        look = "strong" if row.kind == "stop" else "" if row.kind == "to fix" else "dim"
        return [(row.sign, LOOKS.get(row.kind, "dim")), (f"{row.text}{folded}", look), (room, "dim")]

    def _room_name(self, finding: Finding) -> str:
        room = self.desk.shop.rooms.get(finding.room or "")
        return room.name if room is not None else finding.room or ""

    def current(self) -> Finding | None:
        """Return the finding of the row."""
        row = self._row_at()
        return None if row is None or row.held else row.finding

    def _row_at(self) -> Row | None:
        row = self.lines.cursor
        return self._shown[row] if 0 <= row < len(self._shown) else None

    def current_group(self) -> str | None:
        """Return the first part the finding is about, else the first its fix says to move."""
        finding = self.current()
        for subject in (*finding.subjects, *finding.moves) if finding is not None else ():
            kind, _, code = subject.partition(":")
            if kind == "group":
                found = self.desk.state.by_code(code) or (code if self.desk.state.has_group(code) else None)
                if found is not None:
                    return found
        return None

    def act_menu(self) -> tuple[str, list[Item], list[str]]:
        """Return what can be done about the finding; its last line opens the menu of its part."""
        finding = self.current()
        return ("", [], []) if finding is None else self._finding_menu(finding)

    def _finding_menu(self, finding: Finding, *, again: bool = False) -> tuple[str, list[Item], list[str]]:
        """Return title, lines and what is said of the menu of a finding.

        Enter, its last line, opens the menu of its part; `again`: opened by enter, it shows the spot.
        """
        app, part = self.shopbins, self.current_group()
        group = app.desk.state.group(part) if part is not None else None
        no_part = "" if group is not None else "it is about no part"
        accepted = finding.accepted is not None
        accept = (
            "let it count again" if accepted else "dismiss it" if finding.grade == "note" else "accept it"
        )
        best = "carry its part to the best place"
        items = [
            Item("b", best, self.action_best, why_not(self, group, BY_ID["plan.best"])),
            Item(
                "c",
                "carry its part",
                self.action_carry,
                no_part or why_not(self, group, BY_ID["group.carry"]),
            ),
            Item("a", f"{accept}, with a reason on record", self.action_stand, _not_acceptable(finding)),
            Item("m", "measure its part: mass and size", self.action_mass, no_part),
            Item("F4", "open the shop file in your editor", app.action_edit),
        ]
        spot, part_too = "show its spot on the Plan", ""
        if group is not None:
            part_too = f"everything that can be done with {group.shown}"
            items.append(Item("p" if again else "enter", part_too, self.menu_of_part))
        items.insert(len(items) if again else -1, Item("enter" if again else "s", spot, self.show_spot))
        said = [measured_words(finding), f"Fix: {finding.remedy}" if finding.remedy else ""]
        said.append(f"Source: {finding.source}" if finding.source else "")
        return told(finding), items, [line for line in said if line]

    def menu_of_part(self) -> None:
        """Open the menu of the part the finding is about."""
        title, items, says = super().act_menu()
        if items:
            open_menu(self.shopbins, title, items, says)

    def _detail(self) -> None:
        row, finding, text = self._row_at(), self.current(), Text()
        if finding is not None:
            text.append(f"{plain(told(finding), 600)}\n", "bold")
            measured = f"measured {measured_words(finding)}" if measured_words(finding) else ""
            text.append(" · ".join(filter(None, (self._room_name(finding), measured))) + "\n")
            if finding.remedy:
                text.append(f"Fix: {plain(finding.remedy, 400)}\n")
            source = f" · {plain(finding.source, 300)}" if finding.source else ""
            text.append(f"rule: {finding.rule}{source}")
        elif row is not None:
            text.append(f"{plain(row.text, 400)}\n", "bold")
            text.append(plain(f"Fix: {row.remedy}" if row.remedy else "", 400))
        self.query_one("#detail", Static).update(text)

    def head_note(self) -> str:
        """Say which findings are shown, where not all are."""
        return WHICH[self._which] if self._which else ""

    # --- keys ---------------------------------------------------------------------------------------------

    def action_show(self) -> None:
        """Open it: what, limit, fix and what can be done; enter once more shows its spot on the Plan.

        Where all it asks for are figures, it opens the rows to type them in.
        """
        row = self._row_at()
        if row is not None and row.held:
            self._unfolded ^= {row.fold}
            self.findings_changed()
        elif row is not None and row.kind == "coverage":
            self.action_coverage()
        elif (finding := self.current()) is not None and (lacking := self._lacking(finding)):
            from shopbins.tui.parts.measuring import measure_lacking

            measure_lacking(self.shopbins, finding.text, lacking)
        elif finding is not None:
            title, items, says = self._finding_menu(finding, again=True)
            open_menu(self.shopbins, title, items, says)

    def _lacking(self, finding: Finding) -> list[Group]:
        """Return the parts of which a finding asks for mass or size, the first three."""
        asks = finding.rule == "loose" or (not finding.judged and finding.gap == "missing")
        if not asks or finding.accepted is not None:
            return []
        from shopbins.tui.parts.measuring import lacking_rows

        state = self.desk.state
        codes = [s.partition(":")[2] for s in finding.subjects if s.startswith("group:")]
        ids = [state.by_code(code) or code for code in codes]
        found = [state.group(each) for each in ids if state.has_group(each)]
        return [group for group in found if lacking_rows(group)][:FIGURES_AT_ONCE]

    def show_spot(self) -> None:
        """Show the spot on the Plan, or the part or place it is about."""
        finding = self.current()
        if finding is None:
            return
        if finding.at_mm is not None:
            self.shopbins.show_finding(finding, self.current_group())
            return
        group = self.current_group()
        zone = next((s.partition(":")[2] for s in finding.subjects if s.startswith("zone:")), finding.room)
        if group is not None:
            self.shopbins.show_group(group)
        elif zone is not None and self.desk.shop.zone(zone.partition("/")[0]) is not None:
            self.shopbins.show_zone(zone.partition("/")[0])
        else:
            self.shopbins.tell("this finding has no spot on the plan")

    def action_stand(self) -> None:
        """Accept it with a reason, or let what is accepted count again."""
        if (finding := self.current()) is not None:
            accept_finding(self.shopbins, finding)

    def action_coverage(self) -> None:
        """Show what was and what was not checked."""
        from shopbins.rules.coverage import LAST_LINE, coverage, lines

        rows = coverage(self.desk.scene(), self.shopbins.findings or [])
        self.shopbins.open_page("What was checked", [*lines(rows, self.desk.shop), "", LAST_LINE])

    def action_which(self) -> None:
        """Show other grades."""
        self._which = (self._which + 1) % len(WHICH)
        self.findings_changed()

    def offers(self, action: Action) -> bool:
        """Stopping makes sense while the shop is being judged."""
        return self.shopbins.auditing if action.id == "audit.stop" else super().offers(action)

    def action_stop(self) -> None:
        """Stop judging."""
        if self.shopbins.auditing:
            self.shopbins.stop_judging()
            self.shopbins.tell("checking stopped: F5 checks again")

    def action_again(self) -> None:
        """Judge the shop again."""
        self.desk.forget_audit()
        self.shopbins.auditing, self.shopbins.audited = True, 0.0
        self.shopbins.judge_now()
        self.shopbins.tell("checking the shop again")


def _columns(heading: str) -> tuple[Column, ...]:
    """Return the columns; where there is no room beside whole findings the room is told below the list."""
    return Column("", 4), Column(heading, 66, 3.0), Column("room", 13, 0.4)


def _not_acceptable(finding: Finding) -> str:
    """Say why a finding cannot be accepted; what is only counted is put right, not let through."""
    return "do what it lists, and it is gone" if finding.rule in PAPERWORK else ""
