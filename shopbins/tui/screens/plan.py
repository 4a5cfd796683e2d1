"""The Plan: the shop to scale, what is under the cursor explained, things carried and laid down."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.containers import Vertical
from textual.widget import Widget

from shopbins.floor.shapes import bounds, centroid
from shopbins.parts.model import Away, Fitted, InZone
from shopbins.tui.actions import Action, bindings, of_scope
from shopbins.tui.carry import Hand
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.groupactions import GroupActions
from shopbins.tui.laying import lay
from shopbins.tui.paint import picture_of
from shopbins.tui.places import place_choices, split_place
from shopbins.tui.projection import Box, Point, box_of
from shopbins.tui.screens.base import Place
from shopbins.tui.widgets.floorplan import FloorPlan, InHand
from shopbins.tui.widgets.hand import HandPanel, marks_of
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.tui.widgets.told import Told
from shopbins.tui.words import Under, finding_told, group_told, mass_words, under, where_short, zones_at

if TYPE_CHECKING:
    from shopbins.layout.scene import Scene
    from shopbins.rules.finding import Finding
    from shopbins.rules.recording import Laid

FAR_CELLS = 8
BAND_MM = 600.0
MARGIN_MM = 400.0
CLOSE_MM = 75.0


class PlanScreen(GroupActions, Place):
    """The Plan."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("plan", "group")]
    shown: ClassVar[str] = "Plan"
    scopes: ClassVar[tuple[str, ...]] = ("plan", "group")
    CSS = """
    PlanScreen #side { width: 42; height: 100%; }
    PlanScreen.-broad #side { width: 56; }
    PlanScreen #told { height: auto; max-height: 60%; }
    PlanScreen #lying { height: 1fr; }
    PlanScreen #hand { display: none; }
    PlanScreen.-carrying #told, PlanScreen.-carrying #lying { display: none; }
    PlanScreen.-carrying #hand { display: block; }
    PlanScreen.-two #side, PlanScreen.-broad #side { border-left: solid $panel; }
    PlanScreen.-one #main { layout: vertical; }
    PlanScreen.-one #side { width: 100%; height: 4; }
    PlanScreen.-one #lying { display: none; }
    PlanScreen.-one #told { max-height: 100%; }
    PlanScreen.-one.-carrying #side { height: 5; }
    PlanScreen.-one.-listing #plan { display: none; }
    PlanScreen.-one.-listing #side { height: 1fr; }
    PlanScreen.-one.-listing #lying { display: block; }
    """
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-thin"),
        (40, "-one"),
        (100, "-two"),
        (150, "-broad"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._under: list[Under] = []
        self._lying: list[str] = []
        self._at_hand: str | None = None
        self._room_at = -1
        self._finding: Finding | None = None

    def body(self) -> Iterator[Widget]:
        """Put the plan and what explains it side by side."""
        yield FloorPlan(id="plan")
        with Vertical(id="side"):
            yield Told(id="told")
            yield LineList(
                (Column("lies here", 20, 1.0), Column("where", 9, 0.3), Column("mass", 12)),
                empty="nothing lies here", id="lying",
            )  # fmt: skip
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
    def lying(self) -> LineList:
        """The list of what lies under the cursor."""
        return self.query_one("#lying", LineList)

    def on_mount(self) -> None:
        """Begin with the keys on the plan."""
        super().on_mount()
        self.plan.focus()

    # --- what is shown ------------------------------------------------------------------------------------

    def state_changed(self) -> None:
        """Draw the scene as it now is."""
        self.stale = False
        hand = self.hand.hand
        if hand is not None and hand.kind == "group" and not self.desk.state.has_group(hand.key):
            self._end()
            self.shopbins.tell(f"{hand.name} is no longer a group of its own", bad=True)
            return
        self._draw()
        if hand is not None:
            self.hand.again()
        self._explain()

    def _draw(self) -> None:
        scene = self.desk.scene()
        hand = self.hand.hand
        carried = hand.key if hand is not None and hand.kind == "group" else None
        whole = box_of([room.outline for room in scene.shop.rooms.values()])
        self.plan.show(picture_of(scene, carried, self._lit()), whole)

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
        self.query_one("#told", Told).tell(self._under)
        before = self._lying
        self._lying = self._what_lies(scene)
        if self._lying != before or self.lying.count != len(self._lying):
            at = self._lying.index(self._at_hand) if self._at_hand in self._lying else 0
            self.lying.show(len(self._lying), self._row, at)
        else:
            self.lying.redraw()
        self.fill_lines()

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
        level = f"/{where.level}" if isinstance(where, InZone) and where.level else ""
        if not level and not isinstance(where, InZone):
            level = where_short(scene, group)
        return [mark + group.shown, level, (mass_words(group.mass), "" if group.mass else "dim")]

    def current_group(self) -> str | None:
        """Return the row's group while the list has the keys, else the thing under the cursor."""
        if self.hand.hand is not None:
            return None
        if self.focused is self.lying and self._lying:
            return self._lying[self.lying.cursor]
        if self._at_hand is not None and self.desk.state.has_group(self._at_hand):
            return self._at_hand
        return next((u.key for u in self._under[:1] if u.kind == "group"), None)

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

    # --- going about --------------------------------------------------------------------------------------

    def on_floor_plan_pointed(self) -> None:
        """Explain what the cursor now stands on."""
        if self.hand.hand is None:
            self._explain()

    def on_floor_plan_clicked(self) -> None:
        """Take a double click as enter."""
        self.action_here()

    def on_line_list_moved(self) -> None:
        """Show the keys that fit the row."""
        self.fill_lines()

    def on_line_list_chosen(self, event: LineList.Chosen) -> None:
        """Pick the row's thing up."""
        self.pick_up(self._lying[event.row])

    def on_descendant_focus(self) -> None:
        """Show the keys that fit what has the focus."""
        self.fill_lines()

    def _step(self, cols: int, rows: int) -> None:
        self._leave_at_hand()
        self.plan.step(cols, rows)

    def _leave_at_hand(self) -> None:
        self._finding = None
        if self._at_hand is not None:
            self._at_hand = None
            self._draw()

    def action_left(self) -> None:
        """Move the cursor left."""
        self._step(-1, 0)

    def action_right(self) -> None:
        """Move the cursor right."""
        self._step(1, 0)

    def action_up(self) -> None:
        """Move the cursor up."""
        self._step(0, -1)

    def action_down(self) -> None:
        """Move the cursor down."""
        self._step(0, 1)

    def action_far_left(self) -> None:
        """Move the cursor far left."""
        self._step(-FAR_CELLS, 0)

    def action_far_right(self) -> None:
        """Move the cursor far right."""
        self._step(FAR_CELLS, 0)

    def action_far_up(self) -> None:
        """Move the cursor far up."""
        self._step(0, -FAR_CELLS // 2)

    def action_far_down(self) -> None:
        """Move the cursor far down."""
        self._step(0, FAR_CELLS // 2)

    def action_next_thing(self) -> None:
        """Jump to the next thing."""
        self._jump(1)

    def action_previous_thing(self) -> None:
        """Jump to the thing before."""
        self._jump(-1)

    def _stops(self) -> list[tuple[Point, str | None]]:
        """Return where tab stops: things and zones, room by room, from top to bottom and left to right."""
        scene = self.desk.scene()
        rooms = list(scene.shop.rooms)
        found: list[tuple[tuple[int, float, float], Point, str | None]] = []
        for number, room in enumerate(rooms):
            for body in scene.standing(room):
                if body.kind == "group":
                    at = body.centre
                    found.append(((number, -round(at[1] / BAND_MM), at[0]), at, body.key))
        for zone in scene.zones():
            if zone.kind != "room" and zone.room in scene.shop.rooms:
                at = centroid(zone.outline)
                found.append(((rooms.index(zone.room), -round(at[1] / BAND_MM), at[0] - 0.5), at, None))
        found.sort(key=lambda each: each[0])
        return [(at, key) for _, at, key in found]

    def _jump(self, by: int) -> None:
        stops = self._stops()
        if not stops:
            self.shopbins.tell("there is nothing to jump to yet: record what lies here with e or k")
            return
        at = self.plan.at
        here = next((i for i, (p, key) in enumerate(stops) if key and key == self._at_hand), None)
        if here is None:
            here = next((i for i, (p, _) in enumerate(stops) if p == at), None)
        if here is None:
            nearest = min(range(len(stops)), key=lambda i: _far(stops[i][0], at))
            to = nearest
        else:
            to = (here + by) % len(stops)
        point, key = stops[to]
        self._stand_at(point, key)

    def _stand_at(self, at: Point, group_id: str | None) -> None:
        if self._finding is not None and self._finding.at_mm != at:
            self._finding = None
        self._at_hand = group_id
        self._draw()
        self.plan.point(at)

    def action_go_to(self) -> None:
        """Go to a room or zone by name."""
        choices = list(place_choices(self.desk.scene(), levels=False))

        def chosen(key: str | None) -> None:
            if key is not None:
                self.go_to_zone(split_place(key)[0])

        self.shopbins.push_screen(Pick("Go to which room or zone?", choices), chosen)

    def go_to_zone(self, key: str) -> None:
        """Show a zone or a whole room, the cursor in it."""
        zone = self.desk.scene().zone(key)
        if zone is None:
            self.shopbins.tell(f"{key} is no longer in the shop file", bad=True)
            return
        self._at_hand = None
        if zone.kind == "room":
            self.plan.frame(_around(bounds(zone.outline)))
        self._stand_at(centroid(zone.outline), None)
        self.plan.focus()

    def go_to_group(self, group_id: str) -> None:
        """Show where a group lies: its outline, else its zone; say so where it is nowhere here."""
        scene = self.desk.scene()
        if not self.desk.state.has_group(group_id):
            return
        top = scene.top_of(group_id)
        where = None if top is None else top.where
        body = None if top is None else scene.body(top.id)
        zone = scene.zone(where.zone) if isinstance(where, InZone) else None
        name = scene.group(group_id).shown
        if body is not None:
            self._stand_at(body.centre, group_id)
        elif zone is not None:
            self._stand_at(centroid(zone.outline), group_id)
        elif isinstance(where, Away):
            self.shopbins.tell(
                f"{name} is away: {where.to}" + (f" until {where.until}" if where.until else "")
            )
        elif isinstance(where, Fitted):
            self.shopbins.tell(f"{name} is on the machine" + (", on trial" if where.trial else ""))
        elif isinstance(where, InZone):
            self.shopbins.tell(f"{name} is in {where.zone}, which is no longer in the shop file", bad=True)
        else:
            self.shopbins.tell(f"{name} is unplaced: c carries it, p puts it by name")
        if self.focused is not self.lying:
            self.plan.focus()

    def go_to_finding(self, finding: Finding, group_id: str | None) -> None:
        """Show the spot of a finding, marked, with what is to be done about it; its group is at hand."""
        if finding.at_mm is None:
            return
        self._finding = finding
        self.plan.carry(None, [(finding.at_mm, finding.grade)])
        self.plan.show_close(finding.at_mm, CLOSE_MM)
        self._stand_at(finding.at_mm, group_id)
        self.plan.focus()

    def action_next_room(self) -> None:
        """Show the next room."""
        self._room(1)

    def action_previous_room(self) -> None:
        """Show the room before."""
        self._room(-1)

    def _room(self, by: int) -> None:
        rooms = list(self.desk.shop.rooms.values())
        self._room_at = (
            (self._room_at + by) % len(rooms) if self._room_at >= 0 else (0 if by > 0 else len(rooms) - 1)
        )
        self.go_to_zone(rooms[self._room_at].key)

    def action_closer(self) -> None:
        """Zoom in."""
        self.plan.zoom(True)
        self._explain()

    def action_wider(self) -> None:
        """Zoom out."""
        self.plan.zoom(False)
        self._explain()

    def action_whole(self) -> None:
        """Show the whole shop."""
        self._room_at = -1
        self.plan.whole()

    def action_centre(self) -> None:
        """Bring the cursor to the middle."""
        self.plan.point(self.plan.at, centre=True)

    def action_list(self) -> None:
        """Go to the list of what lies here, or back to the plan."""
        if self.focused is self.lying:
            self.action_back()
            return
        self.add_class("-listing")
        self.lying.focus()

    def action_back(self) -> None:
        """Back to the plan, without marks."""
        self.remove_class("-listing")
        self.plan.carry(None)
        self._leave_at_hand()
        self.plan.focus()
        self._explain()

    # --- carrying -----------------------------------------------------------------------------------------

    def action_here(self) -> None:
        """Pick up the thing here, else go to the list of what lies here."""
        found = self.current_group()
        if found is not None:
            self.pick_up(found)
            return
        top = self._under[0] if self._under else None
        if top is not None and self._lying:
            self.action_list()
        else:
            self.shopbins.tell("nothing to pick up here")

    def action_carry(self) -> None:
        """Pick up the group here, or a movable bench or tool."""
        if self.current_group() is not None:
            super().action_carry()
            return
        for each in self._under:
            if each.kind in ("fixture", "zone") and self.hand.take_thing(each.key):
                self._begin()
                return
        if self._lying:
            self.action_list()
            self.shopbins.tell("which of these? enter picks it up")
        else:
            self.shopbins.tell("nothing here that can be carried: tab jumps to the next thing", bad=True)

    def action_best(self) -> None:
        """Carry the group at hand to its best place."""
        if (group := self._group()) is not None:
            self.pick_up(group.id, best=True)

    def action_unplaced(self) -> None:
        """List what is unplaced and carry one."""
        scene = self.desk.scene()
        groups = [scene.group(each) for each in self.desk.state.unplaced()]
        if not groups:
            self.shopbins.tell("everything is laid down")
            return
        choices = [Choice(g.id, g.shown, f"{mass_words(g.mass)} · {g.container}") for g in reversed(groups)]

        def chosen(group_id: str | None) -> None:
            if group_id is not None:
                self.pick_up(group_id)

        title = f"{len(groups)} taken off and not laid down: which one?"
        self.shopbins.push_screen(Pick(title, choices, hint="enter carries it (then b: best places)"), chosen)

    def pick_up(self, group_id: str, *, best: bool = False) -> None:
        """Take a group in hand."""
        if not self.desk.state.has_group(group_id):
            return
        group = self.desk.state.group(group_id)
        if isinstance(group.where, Away):
            self.shopbins.tell(f"{group.shown} is away: a says that it is back", bad=True)
            return
        self._leave_at_hand()
        self.hand.take_group(group_id, self.plan.at)
        self._begin()
        if best:
            self.hand.action_best()

    def _begin(self) -> None:
        self.shopbins.hush()
        self.remove_class("-listing")
        self.add_class("-carrying")
        self._draw()
        self.hand.focus()
        self.fill_lines()

    def _end(self) -> None:
        self.hand.drop()
        self.remove_class("-carrying")
        self.plan.carry(None)
        self._draw()
        self.plan.focus()
        self._explain()

    def on_hand_panel_moved(self, event: HandPanel.Moved) -> None:
        """Draw the thing where it is now held, with what is in its way."""
        if self.hand.hand is not event.hand:
            return
        scene = self.desk.scene()
        stop = any(f.grade == "stop" for f in event.findings)
        shown = InHand(event.hand.outline(scene), event.hand.at, event.hand.name, stop)
        self.plan.carry(shown, marks_of(event.findings))

    def on_hand_panel_back(self, event: HandPanel.Back) -> None:
        """Put it back where it was."""
        self._end()
        self.shopbins.tell(f"{event.hand.name} is back where it was")

    def on_hand_panel_ask_place(self, event: HandPanel.AskPlace) -> None:
        """Choose a zone for the thing in hand."""
        choices = list(place_choices(self.desk.scene()))

        def chosen(key: str | None) -> None:
            if key is None or self.hand.hand is None:
                return
            zone_key, level = split_place(key)
            zone = self.desk.scene().zone(zone_key)
            if zone is not None:
                self.hand.hold(self.hand.hand.put_in(zone, level or zone.levels[0].key))

        self.shopbins.push_screen(Pick(f"Where to with {event.hand.name}?", choices), chosen)

    def on_hand_panel_lay(self, event: HandPanel.Lay) -> None:
        """Lay it down; a stop asks for a reason and, without one, leaves it in hand."""
        hand = event.hand

        def then(done: bool) -> None:
            if done:
                at = self.plan.at
                self._end()
                self._stand_at(at, hand.key if hand.kind == "group" else None)

        lay(self.shopbins, lambda reason: self._put(hand, reason), lambda _: self._said(hand), then)

    def _put(self, hand: Hand, reason: str | None) -> Laid:
        if hand.kind == "thing":
            return self.desk.move_thing(hand.key, hand.x_mm, hand.y_mm, hand.turn_deg, override=reason)
        target = hand.target(self.desk.scene())
        assert target is not None
        return self.desk.put(
            hand.key, target.zone, target.level, x_mm=target.x_mm, y_mm=target.y_mm,
            turn_deg=target.turn_deg, override=reason,
        )  # fmt: skip

    def _said(self, hand: Hand) -> str:
        if hand.kind == "thing":
            return f"{hand.name} stands there now"
        return f"{self.desk.introduce(hand.key)}: laid down"


def _far(a: Point, b: Point) -> float:
    return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2


def _around(box: Box) -> Box:
    return box[0] - MARGIN_MM, box[1] - MARGIN_MM, box[2] + MARGIN_MM, box[3] + MARGIN_MM
