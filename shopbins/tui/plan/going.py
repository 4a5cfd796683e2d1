"""Going about on the Plan: the cursor, from thing to thing, room by room, to a zone, to a finding."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from shopbins.geometry.shapes import Box, Point, bounds, centroid, contains
from shopbins.ledger.model import Away, Fitted, InZone
from shopbins.tui.places import NO_PLACE, place_choices, split_place
from shopbins.tui.plan.shown import PlanBase
from shopbins.tui.troubles import Trouble, marked, no_trouble
from shopbins.tui.widgets.linelist import LineList
from shopbins.tui.words import spot_unknown, where_whole

if TYPE_CHECKING:
    from shopbins.rules.finding import Finding
    from shopbins.scene.scene import Scene
    from shopbins.shop.model import Zone

FAR_CELLS = 8
BAND_MM = 600.0
MARGIN_MM = 400.0
CLOSE_MM = 75.0
CLEAR_STEPS = 12


class PlanGoing(PlanBase):
    """The Plan with the keys that move the cursor and the window."""

    _stops_of: tuple[Scene, list[tuple[Point, str, str | None]]] | None = None
    """Where tab stops, and in which scene."""

    def on_floor_plan_pointed(self) -> None:
        """Explain what the cursor now stands on."""
        if self.hand.hand is None:
            self._explain()

    def on_floor_plan_scaled(self) -> None:
        """Show the scale; give the plan the rows it now needs."""
        self._arrange()
        self.fill_lines()

    def on_resize(self) -> None:
        """Put the list where the shop leaves room at the new size."""
        super().on_resize()
        self._arrange()

    def on_line_list_moved(self, event: LineList.Moved) -> None:
        """Show the keys that fit the row."""
        if event.lines.has_focus:
            self.fill_lines()

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

    def _stops(self) -> list[tuple[Point, str, str | None]]:
        """Return where tab stops: point, key, group; room by room, from top to bottom and left to right."""
        scene = self.desk.scene()
        if self._stops_of is None or self._stops_of[0] is not scene:
            self._stops_of = scene, self._stops_in(scene)
        return self._stops_of[1]

    @staticmethod
    def _stops_in(scene: Scene) -> list[tuple[Point, str, str | None]]:
        rooms = list(scene.shop.rooms)
        found: list[tuple[tuple[int, float, float, str], Point, str, str | None]] = []
        for number, room in enumerate(rooms):
            for body in scene.standing(room):
                if body.kind == "group":
                    at = body.centre
                    order = (number, -round(at[1] / BAND_MM), at[0], body.subject)
                    found.append((order, at, body.subject, body.key))
        for zone in scene.zones():
            if zone.kind != "room" and zone.room in scene.shop.rooms:
                at = centroid(zone.outline)
                stop = f"zone:{zone.key}"
                order = (rooms.index(zone.room), -round(at[1] / BAND_MM), at[0] - 0.5, stop)
                found.append((order, at, stop, None))
        found.sort(key=lambda each: each[0])
        return [(at, stop, group) for _, at, stop, group in found]

    def _jump(self, by: int) -> None:
        stops = self._stops()
        if not stops:
            self.shopbins.tell("nothing recorded yet: e or k records parts")
            return
        at = self.plan.at
        here = next((i for i, (_, stop, _) in enumerate(stops) if stop == self._stop), None)
        if here is None or stops[here][0] != at:
            here = next(
                (i for i, (_, _, group) in enumerate(stops) if group and group == self._at_hand), None
            )
        if here is None:
            to = min(range(len(stops)), key=lambda i: _far(stops[i][0], at))
            if stops[to][0] == at:
                to = (to + by) % len(stops)
        else:
            to = (here + by) % len(stops)
        point, self._stop, group_id = stops[to]
        self._stand_at(point, group_id)

    def _stand_at(self, at: Point, group_id: str | None) -> None:
        if self._finding is not None and self._finding.at_mm != at:
            self._finding = None
        self._at_hand = group_id
        self._draw()
        self.plan.point(at)

    def action_go_to(self) -> None:
        """Go to a room or zone by name."""
        from shopbins.tui.dialogs.pick import Pick

        choices = list(place_choices(self.desk.scene(), levels=False))

        def chosen(key: str | None) -> None:
            if key is not None:
                self.go_to_zone(split_place(key)[0])

        self.shopbins.push_screen(Pick("Go to which room or place?", choices, empty=NO_PLACE), chosen)

    def go_to_zone(self, key: str) -> None:
        """Show a zone or a whole room, the cursor in it."""
        zone = self.desk.scene().zone(key)
        if zone is None:
            self.shopbins.tell(f"{key} is no longer in the shop file", bad=True)
            return
        self._at_hand = None
        if zone.kind == "room":
            self.plan.frame(bounds(zone.outline).grown(MARGIN_MM))
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
        if body is None and zone is None:
            self._finding, self._at_hand = None, group_id  # so that the keys told of are about it
            self.state_changed()
        if body is not None:
            self._stand_at(body.centre, group_id)
        elif zone is not None:
            self._stand_at(_clear_of_bodies(scene, zone), group_id)
            if spot_unknown(scene, where):
                self.shopbins.tell(f"{name}: {where_whole(scene, scene.group(group_id))}")
        elif isinstance(where, Away):
            self.shopbins.tell(
                f"{name} is away: {where.to}" + (f" until {where.until}" if where.until else "")
            )
        elif isinstance(where, Fitted):
            self.shopbins.tell(f"{name} is on the machine" + (", on trial" if where.trial else ""))
        elif isinstance(where, InZone):
            self.shopbins.tell(f"{name} is in {where.zone}, which is no longer in the shop file", bad=True)
        else:
            self.shopbins.tell(f"{name} is waiting: c carries it, p puts it by name")
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

    def next_trouble(self) -> None:
        """Go to the next trouble that has a spot, worst first, and say what to do about it."""
        spots = marked(self._troubles)
        if not spots:
            known = self.shopbins.findings is not None
            self.shopbins.tell(no_trouble(self.desk.shop) if known else "still checking the shop")
            return
        ids = [each.worst.id for each in spots]
        trouble = spots[(ids.index(self._trouble) + 1) % len(spots) if self._trouble in ids else 0]
        self.at_trouble(trouble)

    def at_trouble(self, trouble: Trouble) -> None:
        """Put the cursor on a trouble, its thing at hand."""
        at = trouble.at_mm
        if at is None:
            return
        self._trouble = trouble.worst.id
        self._finding = replace(trouble.worst, at_mm=at)
        group = next((key for key in trouble.keys if self.desk.state.has_group(key)), None)
        self._stand_at(at, group)
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
        if self.focused is self.lying or (self.focused is self.plan and not self._lying):
            self.remove_class("-listing")
            self.worst.focus()
        elif self.focused is self.worst:
            self.action_back()
        else:
            self.add_class("-listing")
            self.lying.focus()

    def action_back(self) -> None:
        """Back to the plan, without marks."""
        self.remove_class("-listing")
        self.plan.carry(None)
        self._leave_at_hand()
        self.plan.focus()
        self._explain()


def _clear_of_bodies(scene: Scene, zone: Zone) -> Point:
    """Return the point of a zone nearest its middle that no body covers."""
    middle = centroid(zone.outline)
    if zone.kind != "room":
        return middle
    x0, y0, x1, y1 = bounds(zone.outline)
    steps = [(k + 0.5) / CLEAR_STEPS for k in range(CLEAR_STEPS)]
    points = [(x0 + (x1 - x0) * i, y0 + (y1 - y0) * j) for i in steps for j in steps]
    for at in sorted((middle, *points), key=lambda p: _far(p, middle)):
        inside = contains(zone.outline, at)
        if inside and not any(contains(b.outline, at) for b in scene.near(zone.room, Box(*at, *at))):
            return at
    return middle


def _far(a: Point, b: Point) -> float:
    return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2
