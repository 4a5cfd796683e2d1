"""What the Plan shows: the picture, what is under the cursor, what lies there, which thing is at hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from textual.containers import Container
from textual.widget import Widget

from shopbins.ledger.model import InZone
from shopbins.strip.told import marked
from shopbins.tui.canvas.picture import Picture, picture_of
from shopbins.tui.canvas.projection import box_of, scale_bar
from shopbins.tui.keys.actions import Action, of_scope
from shopbins.tui.keys.groupactions import GroupActions
from shopbins.tui.place import Place
from shopbins.tui.plan.arrange import BELOW_FEW_ROWS, BELOW_ROWS, Arrangement, arrange
from shopbins.tui.refit.stripactions import StripActions
from shopbins.tui.session import numbers
from shopbins.tui.troubles import Trouble, no_trouble, troubles_of
from shopbins.tui.widgets.detail import Told
from shopbins.tui.widgets.floorplan import FloorPlan
from shopbins.tui.widgets.hand import HandPanel
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.tui.widgets.lines import Line
from shopbins.tui.widgets.worst import Worst, records_words
from shopbins.tui.words import Under, finding_told, group_told, mass_words, under, where_short, zones_at
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.rules.finding import Finding
    from shopbins.scene.scene import Scene
    from shopbins.tui.dialogs.act import Item


FOOT_ROWS = 3
"""Head, keys and state."""


class PlanBase(StripActions, GroupActions, Place):
    """The Plan without its keys."""

    def __init__(self) -> None:
        super().__init__()
        self._under: list[Under] = []
        self._lying: list[str] = []
        self._at_hand: str | None = None
        self._room_at = -1
        self._finding: Finding | None = None
        self._trouble = ""
        self._stop = ""
        self._picture: tuple[Scene, str | None, Picture] | None = None
        self._troubles: list[Trouble] = []
        self._listed: tuple[object, object] = ((), None)

    def body(self) -> Iterator[Widget]:
        """Put the plan and what explains it side by side."""
        self._class_arranged(self.arranged(), update=False)  # later, it costs all styles anew
        yield FloorPlan(id="plan")
        with Container(id="side"):
            with Container(id="lists"):
                yield Line("Worst first: n goes to the next · enter: what to do", id="worst-head")
                yield Worst(id="worst")
                yield LineList(
                    (Column("lies here", 20, 1.0), Column("where", 9, 0.3), Column("mass", 12)),
                    empty="nothing lies here", id="lying",
                )  # fmt: skip
            yield Told(id="told")
            yield HandPanel(id="hand")

    @property
    def plan(self) -> FloorPlan:
        """The plan."""
        return self.query_one("#plan", FloorPlan)

    @property
    def hand(self) -> HandPanel:
        """The panel of the thing in hand."""
        return self.query_one("#hand", HandPanel)

    @property
    def worst(self) -> Worst:
        """The list of troubles."""
        return self.query_one("#worst", Worst)

    @property
    def lying(self) -> LineList:
        """The list of what lies under the cursor."""
        return self.query_one("#lying", LineList)

    def on_mount(self) -> None:
        """Begin with the keys on the plan."""
        self.plan.focus()

    # --- what is shown ------------------------------------------------------------------------------------

    def state_changed(self) -> None:
        """Draw the scene as it now is."""
        self.stale = False
        self._draw()
        self._explain()

    def _draw(self) -> None:
        scene = self.desk.scene()
        hand = self.hand.hand
        carried = hand.key if hand is not None and hand.kind == "group" else None
        whole = box_of([room.outline for room in scene.shop.rooms.values()])
        findings = self.shopbins.findings
        if self._listed[0] is not findings or self._listed[1] is not scene:
            self._listed = findings, scene
            self._troubles = troubles_of(findings, self.desk.state.by_code) if findings else []
            self._tell_worst(scene)
        if self._picture is None or self._picture[:2] != (scene, carried):
            self._picture = scene, carried, picture_of(scene, carried)
        first = self.plan.picture is None
        self.plan.show(self._picture[2], whole, self._troubles, self._lit())
        if first:  # later, it would cost a second layout and drawing
            self._arrange()

    def _tell_worst(self, scene: Scene) -> None:
        """List the troubles and, in one line, what the records lack."""
        findings = self.shopbins.findings
        places, counts = 0, list[tuple[str, int]]()
        if findings:
            from shopbins.rules.loose import LOOSE, lacking

            places = sum(1 for f in findings if f.rule == LOOSE.key)
            counts = [(kind, len(ids)) for kind, ids in lacking(scene).items()] if places else []
        empty = "checking the shop ..." if findings is None else no_trouble(self.desk.shop)
        self.worst.tell(self._troubles, records_words(counts, places, 60), empty)

    def findings_changed(self) -> None:
        """Show the troubles as last found."""
        self._draw()
        self._explain()

    def arranged(self) -> Arrangement:
        """Return where the list goes at the window's size."""
        cols, rows = self.app.size
        rooms = self.desk.shop.rooms.values()
        return arrange(self.desk.shop, box_of([r.outline for r in rooms]), cols, max(1, rows - FOOT_ROWS))

    def _class_arranged(self, how: Arrangement, *, update: bool = True) -> None:
        classes = {"-beside": how.beside, "-under": not how.beside, "-few": how.few}
        self.update_classes(classes, update=update)

    def _arrange(self) -> None:
        """Give the plan the rows it needs while the whole shop is shown, else all the list can spare."""
        how = self.arranged()
        whole = self.plan.shows_whole and self.hand.hand is None
        side = self.query_one("#side")
        self._class_arranged(how)
        if how.beside:
            side.styles.width, side.styles.height = how.list_cells, "100%"
        else:
            least = BELOW_FEW_ROWS if how.few else BELOW_ROWS
            side.styles.width, side.styles.height = "100%", how.list_cells if whole else least

    def _lit(self) -> set[str]:
        return {self._at_hand} if self._at_hand else set()

    def _within(self) -> float:
        return self.plan.view.mm_per_row / 2

    def _explain(self) -> None:
        """Say what is under the cursor, and list what lies there."""
        scene = self.desk.scene()
        self._under = under(scene, self.plan.at, self._within())
        if self._at_hand is not None and self.desk.state.has_group(self._at_hand):
            told = group_told(scene, scene.group(self._at_hand))
            self._under = [told, *(u for u in self._under if u.key != told.key)]
        if self._finding is not None:
            self._under.insert(0, finding_told(self._finding))
        self._under = [self._with_troubles(u) if u.kind == "room" else u for u in self._under]
        self.set_class(self._finding is not None, "-finding")
        self.query_one("#told", Told).tell(self._under)
        before = self._lying
        self._lying = self._what_lies(scene)
        if self._lying != before or self.lying.count != len(self._lying):
            at = self._lying.index(self._at_hand) if self._at_hand in self._lying else 0
            self.lying.show(len(self._lying), self._row, at)
        else:
            self.lying.redraw()
        self.fill_lines()

    def _with_troubles(self, room: Under) -> Under:
        """Add how many troubles a room has to what is told of it."""
        inside = [t for t in self._troubles if t.worst.room == room.key and not t.accepted]
        stops = sum(1 for t in inside if t.grade == "stop")
        said = [counted(stops, "stop")] if stops else []
        said += [f"{len(inside) - stops} to fix"] if len(inside) > stops else []
        return room._replace(lines=(", ".join(said), *room.lines)) if said else room

    def _what_lies(self, scene: Scene) -> list[str]:
        top = next((u for u in self._under if u.kind != "finding"), self._under[0])
        if top.kind == "group":
            below = scene.children(top.key)
            if below and self._at_hand is None:
                return [top.key, *below]
        where = scene.group(top.key).where if top.kind == "group" else None
        if isinstance(where, InZone):
            zone = scene.zone(where.zone)
            return scene.ids_in(zone, None) if zone is not None else []
        zones = zones_at(scene, self.plan.at)
        wanted = next((z for z in zones if z.key == top.key), zones[0] if zones else None)
        return scene.ids_in(wanted, None) if wanted is not None else []

    def _row(self, number: int) -> list[Cell]:
        scene = self.desk.scene()
        group = scene.group(self._lying[number])
        mark = "◆ " if group.id in self.shopbins.marked else ""
        where = group.where
        level = f"/{where.level}" if isinstance(where, InZone) and where.level else where_short(scene, group)
        shown = marked(self.desk.state, group.id, group.shown)
        grade = "stop" if shown != group.shown else ""
        return [(mark + shown, grade), level, (mass_words(group.mass), "" if group.mass else "dim")]

    def current_group(self) -> str | None:
        """Return the row's group while the list has the keys, else the thing under the cursor."""
        if self.hand.hand is not None:
            return None
        if self.focused is self.lying and self._lying:
            return self._lying[self.lying.cursor]
        if self._at_hand is not None and self.desk.state.has_group(self._at_hand):
            return self._at_hand
        return next((u.key for u in self._under[:1] if u.kind == "group"), None)

    def labelled_group(self) -> str | None:
        """Return the group whose label is meant: the one in hand, else as ever."""
        held = self.hand.hand
        return held.key if held is not None and held.kind == "group" else self.current_group()

    def described(self) -> tuple[str, str]:
        """Return what under the cursor is in the shop file: a group's place, else the thing itself."""
        if self.current_group() is not None:
            return super().described()
        for each in self._under:
            if each.kind in ("zone", "fixture", "door", "keep-clear", "walkway", "room"):
                return each.key, ""
        return "", ""

    def copied(self) -> tuple[str, ...]:
        """Return a group's code and line, else what is told of the thing under the cursor."""
        if found := super().copied():
            return found
        return tuple(f"{u.title} · {' · '.join(u.lines)}" for u in self._under[:1] if u.kind != "nothing")

    def act_menu(self) -> tuple[str, list[Item], list[str]]:
        """Return what can be done with the thing under the cursor: a part, else a place."""
        from shopbins.tui.keys.acting import place_items

        title, items, says = super().act_menu()
        if items:
            return title, items, [*self._trouble_says(), *says]
        for each in self._under:
            if each.kind in ("zone", "room"):
                zone = self.desk.scene().zone(each.key)
                if zone is not None:
                    return (
                        self._menu_title(each),
                        place_items(self, zone.key, zone.name),
                        [*self._trouble_says(), *each.lines],
                    )
        return "", [], []

    def _menu_title(self, place: Under) -> str:
        """Name what the cursor is on first, as the line does; what can be done is about its place."""
        first = self._under[0]
        return (
            place.title if first is place or first.kind == "finding" else f"{first.title}, in {place.title}"
        )

    def _trouble_says(self) -> list[str]:
        """Return the trouble gone to, and its fix, as the menu of what can be done begins."""
        found = self._finding
        return [] if found is None else [found.text, *([f"Fix: {found.remedy}"] if found.remedy else [])]

    def remember(self) -> dict[str, Any]:
        """Keep the cursor, the scale and the thing at hand."""
        view, fitted = self.plan.window
        kept: dict[str, Any] = {"at": list(self.plan.at), "group": self._at_hand}
        return kept if fitted else {**kept, "mm_per_col": view.mm_per_col, "middle": list(view.centre)}

    def recall(self, kept: Mapping[str, Any]) -> None:
        """Go back to cursor, scale and thing."""
        group, at = kept.get("group"), numbers(kept.get("at"), 2)
        if at is None:
            return
        if isinstance(group, str) and self.desk.state.has_group(group):
            self._at_hand = group
        middle, scale = numbers(kept.get("middle"), 2), numbers([kept.get("mm_per_col")], 1)
        self.plan.begin_at((at[0], at[1]), middle, scale[0] if scale else 0.0)

    def head_note(self) -> str:
        """Show the scale as a bar with its length, as on a drawing."""
        return scale_bar(self.plan.view.mm_per_col)

    def foot_actions(self) -> Iterator[Action]:
        """Show the carrying keys while something is in hand."""
        if self.hand.hand is not None:
            yield from (a for a in of_scope("carry") if a.foot)
            return
        yield from super().foot_actions()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """While something is in hand only the window's keys act beside the carrying ones."""
        if self.is_mounted and self.hand.hand is not None:
            return action in ("closer", "wider", "whole", "centre")
        return True
