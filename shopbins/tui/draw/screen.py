"""Draw: the Plan's picture, and all that the shop file describes to be carried, turned, copied, renamed.

A step that leaves no problem is in the file at once. One that does stays on the screen; the head says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import work
from textual.binding import BindingType
from textual.containers import Vertical
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from shopbins import units
from shopbins.desk.drawing import ShopDrawing
from shopbins.desk.problems import DeskError
from shopbins.geometry.shapes import bounds, contains
from shopbins.rules.ways import least_of
from shopbins.scene.scene import Scene, build
from shopbins.shop.editing import steps
from shopbins.shop.editing.heights import Heights, levelled, levels_text, parted, read_heights
from shopbins.shop.editing.splice import Edit, SpliceRefused, edit, word
from shopbins.shop.editing.steps import SECTIONS, CannotDraw
from shopbins.shop.keys import Key
from shopbins.shop.problems import ShopProblems
from shopbins.tui.canvas.picture import Picture, picture_of
from shopbins.tui.canvas.projection import box_of, scale_bar
from shopbins.tui.dialogs.act import Item
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.draw.hand import Held, new_thing
from shopbins.tui.draw.newgear import ask_new_gear
from shopbins.tui.draw.panel import DrawHand
from shopbins.tui.draw.things import CALLED, Stop, Thing, caught, of_section, stops, things, under
from shopbins.tui.draw.values import value_said
from shopbins.tui.keys.acting import open_menu
from shopbins.tui.keys.actions import Action, bindings, of_scope
from shopbins.tui.place import Place
from shopbins.tui.places import NO_PLACE
from shopbins.tui.text import wrapped
from shopbins.tui.widgets.floorplan import FloorPlan, InHand
from shopbins.tui.widgets.lines import Words
from shopbins.tui.words import told
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.geometry.shapes import Point
    from shopbins.shop.model import Shop

FAR_CELLS = 8
CHECK_AFTER_S = 0.15
LARGE = 300
"""So many places are read too slowly to be waited for."""
MARGIN_MM = 400.0
ADDED = (
    ("1", "room", "rooms", "its name and size, as 'store, 3000x2000'"),
    ("2", "door", "doors", "its name and width, as 'back door, 900'"),
    ("3", "walkway", "walkways", "its name and width, as 'middle way, 800'"),
    ("4", "bench", "zones", "its name, size and height, as 'bench 2, 2000x700, 900'"),
    ("5", "shelf", "zones", "its name, size and heights, as 'rack b, 1800x500, 100; 650; 1200'"),
    ("6", "floor spot", "zones", "its name and size, as 'bay 1, 1200x1000'"),
    ("7", "keep clear", "keep clear", "its name and size, as 'switchboard, 900x1000'"),
    ("8", "fixture", "fixtures", "its name and size, as 'stove, 600x600'"),
    ("9", "outdoors", "rooms", "its name and size, as 'yard, 5000x4000'"),
    ("10", "truck or hoist", "gear", ""),
)


class DrawScreen(Place):
    """The shop file changed where it is seen."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("draw")]
    shown: ClassVar[str] = "Draw"
    scopes: ClassVar[tuple[str, ...]] = ("draw",)
    DEFAULT_CSS = """
    DrawScreen #side { width: 42; height: 100%; }
    DrawScreen #thing { height: 1fr; padding: 0 1; }
    DrawScreen #held { display: none; }
    DrawScreen.-carrying #held { display: block; }
    DrawScreen.-carrying #thing { display: none; }
    DrawScreen.-two #side { border-left: solid $panel; }
    DrawScreen.-one #main { layout: vertical; }
    DrawScreen.-one #side { width: 100%; height: 6; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._file: ShopDrawing | None = None
        self._trouble = ""
        self._timer: Timer | None = None
        self._way: list[Point] | None = None
        self._way_said = ("", "")
        self._room = 0
        self._stop: Stop | None = None
        self._pictured: tuple[Scene, Picture] | None = None

    def body(self) -> Iterator[Widget]:
        """Make plan and side."""
        yield FloorPlan(id="plan")
        with Vertical(id="side"):
            yield Words(id="thing")
            yield DrawHand(id="held")

    @property
    def plan(self) -> FloorPlan:
        """The picture."""
        return self.query_one(FloorPlan)

    @property
    def hand(self) -> DrawHand:
        """The panel of what is carried."""
        return self.query_one(DrawHand)

    @property
    def file(self) -> ShopDrawing:
        """The shop file being drawn."""
        if self._file is None:
            self._file = ShopDrawing(self.desk)
        return self._file

    def on_mount(self) -> None:
        """Show the shop and have the keys."""
        super().on_mount()
        self.plan.focus()
        self.call_after_refresh(self._explain)

    # -- showing

    def state_changed(self) -> None:
        """Take in what others wrote, and draw it."""
        self.stale = False
        try:
            self.file.look_again()
        except DeskError as problem:
            self.shopbins.tell(*problem.lines, bad=True)
        self._draw()
        self._explain()
        self.fill_lines()

    def _draw(self) -> None:
        shop = self.file.shop
        outlines = [room.outline for room in shop.rooms.values()]
        outlines += [door.passage for door in shop.doors.values()]
        self.plan.show(self._picture(), box_of(outlines).grown(MARGIN_MM))

    def _picture(self) -> Picture:
        """Return the picture of the shop as drawn, gathered once a state of it."""
        if self.file.shop is not self.desk.shop:  # steps that are not in the file yet
            return picture_of(build(self.file.shop, self.desk.state))
        scene = self.desk.scene()
        if self._pictured is None or self._pictured[0] is not scene:
            self._pictured = (scene, picture_of(scene))
        return self._pictured[1]

    def on_floor_plan_pointed(self) -> None:
        """Explain what the cursor now stands on."""
        self._explain()

    def on_floor_plan_scaled(self) -> None:
        """Show the scale."""
        self.fill_lines()

    def on_floor_plan_dragged(self, event: FloorPlan.Dragged) -> None:
        """Carry what is in hand with the mouse; with nothing in hand move the window."""
        held = self.hand.held
        if held is None:
            self.plan.pan(event.start, event.cell)
            return
        x, y = self.plan.view.middle(*event.cell)
        self.hand.hold(held.shifted(self.file.shop, x - held.at[0], y - held.at[1]))

    def on_floor_plan_refused(self) -> None:
        """Put back what is carried."""
        self._let_go()

    def on_floor_plan_clicked(self) -> None:
        """Take a double click as enter."""
        if self.hand.held is not None:
            self.hand.action_put()
        else:
            self.action_here()

    def head_note(self) -> str:
        """Return what is not in the file yet, else the scale."""
        if self._file is not None and self.file.unsaved:
            return self._not_in_the_file()
        return scale_bar(self.plan.view.mm_per_col)

    def foot_actions(self) -> Iterator[Action]:
        """Show the keys of carrying while something is carried."""
        if self.hand.held is not None:
            yield from (action for action in of_scope("drawing") if action.foot)
        else:
            yield from super().foot_actions()

    def found(self) -> list[Thing]:
        """Return what is under the cursor, uppermost first."""
        return under(things(self.file.shop), self.plan.at, 0.6 * self.plan.view.mm_per_col)

    def at_hand(self) -> Thing | None:
        """Return the uppermost thing under the cursor."""
        stop = self._on_stop()
        if stop is not None:
            return stop.thing
        found = self.found()
        return found[0] if found else None

    def _on_stop(self) -> Stop | None:
        """Return the stop of tab the cursor stands on, as the file now has it."""
        stop = self._stop
        if stop is None or stop.at != self.plan.at:
            return None
        return next((each for each in stops(self.file.shop) if each.mark == stop.mark), None)

    def described(self) -> tuple[str, str]:
        """Return the key in the shop file of what is at hand."""
        thing = self.at_hand()
        return ("", "") if thing is None else (thing.key, "")

    def _explain(self) -> None:
        if not self.is_mounted or self.hand.held is not None:
            return
        width, height = self.query_one("#thing").size
        width = max(20, width - 2)
        pieces = [(piece, style) for line, style in self._said() for piece in wrapped(line, width)]
        if 1 < height < len(pieces):
            more = len(pieces) - height + 1
            pieces[height - 1 :] = [(f"+ {more} lines more: m has all values", "")]
        said = Text(no_wrap=True, overflow="ellipsis")
        for piece, style in pieces:
            said.append(piece + "\n", style)
        self.query_one("#thing", Static).update(said)

    def _said(self) -> Iterator[tuple[str, str]]:
        for problem in self.file.problems[:3]:
            yield f"! {problem.what}", "bold"
        if self._way is not None:
            yield f"{self._way_said[0]}: {len(self._way)} points", "bold"
            yield f"at {self.plan.at[0]:.0f}, {self.plan.at[1]:.0f} mm", ""
            yield "enter adds a point, twice ends it · esc cancels", ""
            return
        thing, stop = self.at_hand(), self._on_stop()
        if thing is None:
            yield "nothing of the shop file here", ""
            return
        if stop is not None and stop.corner:
            yield f"corner {stop.corner} of {thing.key}, at {stop.at[0]:.0f}, {stop.at[1]:.0f} mm", ""
        yield f"{thing.key} · {CALLED[thing.section]}", "bold"
        keys = {key.name: key for key in SECTIONS[thing.section]}
        for name, value in steps.written(self.file.text, thing.section, thing.key).items():
            yield f"{name}: {value_said(keys.get(name), value)}", ""
        for under_it in [each for each in self.found() if each != thing][:3]:
            yield f"under it: {under_it.key} ({CALLED[under_it.section]})", ""

    # -- the cursor

    def action_left(self) -> None:
        """Move the cursor left."""
        self.plan.step(-1, 0)

    def action_right(self) -> None:
        """Move the cursor right."""
        self.plan.step(1, 0)

    def action_up(self) -> None:
        """Move the cursor up."""
        self.plan.step(0, -1)

    def action_down(self) -> None:
        """Move the cursor down."""
        self.plan.step(0, 1)

    def action_far_left(self) -> None:
        """Move the cursor far left."""
        self.plan.step(-FAR_CELLS, 0)

    def action_far_right(self) -> None:
        """Move the cursor far right."""
        self.plan.step(FAR_CELLS, 0)

    def action_far_up(self) -> None:
        """Move the cursor far up."""
        self.plan.step(0, -FAR_CELLS // 2)

    def action_far_down(self) -> None:
        """Move the cursor far down."""
        self.plan.step(0, FAR_CELLS // 2)

    def action_closer(self) -> None:
        """Zoom in."""
        self.plan.zoom(True)

    def action_wider(self) -> None:
        """Zoom out."""
        self.plan.zoom(False)

    def action_whole(self) -> None:
        """Show the whole shop."""
        self.plan.whole()

    def action_next_thing(self) -> None:
        """Jump to the next thing."""
        self._jump(1)

    def action_previous_thing(self) -> None:
        """Jump to the thing before."""
        self._jump(-1)

    def _jump(self, by: int) -> None:
        every = stops(self.file.shop)
        if not every:
            return
        marks, here = [each.mark for each in every], self._on_stop()
        if here is not None:
            to = (marks.index(here.mark) + by) % len(every)
        else:
            to = min(range(len(every)), key=lambda n: math.dist(every[n].at, self.plan.at))
        self._stop_at(every[to])

    def _stop_at(self, stop: Stop) -> None:
        self._stop = stop
        self.plan.point(stop.at)

    def action_next_room(self) -> None:
        """Show the next room as large as it fits."""
        rooms = list(self.file.shop.rooms.values())
        room = rooms[self._room % len(rooms)]
        self._room += 1
        box = bounds(room.outline)
        self.plan.point(box.middle)
        self.plan.frame(box.grown(MARGIN_MM))

    def action_go_to(self) -> None:
        """Go to a thing by name."""
        found = [each for each in stops(self.file.shop) if not each.corner]
        choices = [
            Choice(str(n), each.thing.key, f"{CALLED[each.thing.section]} · {each.thing.room}")
            for n, each in enumerate(found)
        ]

        def chosen(number: str | None) -> None:
            if number is not None:
                self._stop_at(found[int(number)])

        self.shopbins.push_screen(Pick("Go to which?", choices, empty=NO_PLACE), chosen)

    # -- carrying

    def action_here(self) -> None:
        """Pick up what is under the cursor; add a point to the way that is being drawn."""
        if self._way is not None:
            self._way_point()
            return
        thing = self.at_hand()
        if thing is None:
            self.shopbins.tell("nothing of the shop file here: tab jumps to the next thing")
        elif thing.key in self.desk.scene().shifted:
            self._moved_since(thing)
        else:
            self.take(Held(thing))

    def action_carry(self) -> None:
        """Pick up what is under the cursor."""
        self.action_here()

    def _moved_since(self, thing: Thing) -> None:
        """Ask of a movable thing that stands elsewhere than the file has it: its place is in the ledger."""
        choices = [
            Choice("carry", "carry it on the Plan", "its place in the ledger changes"),
            Choice("home", "make this its home", "where it stands now goes into the shop file"),
        ]

        def chosen(choice: str | None) -> None:
            if choice == "carry":
                self.shopbins.carry_thing(thing.key)
            elif choice == "home":
                self._make_home(thing)

        self.shopbins.push_screen(
            Pick(f"{thing.key} stands elsewhere than the file says", choices, digits=True), chosen
        )

    def _make_home(self, thing: Thing) -> None:
        place = self.desk.scene().shifted[thing.key]
        x, y = thing.middle
        move = steps.moved(place.x_mm - x, place.y_mm - y, place.turn_deg, thing.middle)
        self._step(
            lambda: steps.carried(
                self.file.text, self.file.shop, thing.section, thing.key, move, place.turn_deg
            ),
            f"{thing.key} has its home here",
            home=thing.key,
        )

    def take(self, held: Held) -> None:
        """Hold a thing in hand."""
        self.add_class("-carrying")
        self.hand.take(held, self.file.shop)
        self.fill_lines()

    def on_draw_hand_moved(self, event: DrawHand.Moved) -> None:
        """Draw it where it is held, and check it as soon as it rests."""
        held = event.held
        self.plan.carry(InHand(held.outline, held.at, held.thing.key, bool(self.hand.trouble)))
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(CHECK_AFTER_S, self._check)

    def _check(self) -> None:
        """Say what the file would have against it here; a large shop is read in a thread."""
        held = self.hand.held
        if held is None:
            return
        if not held.changed:
            self._checked(held, ())
        elif len(self.file.shop.zones) > LARGE:
            self._check_aside(held)
        else:
            self._checked(held, self._problems(held))

    @work(thread=True, exclusive=True, group="draw")
    def _check_aside(self, held: Held) -> None:
        found = self._problems(held)
        if not get_current_worker().is_cancelled:
            self.app.call_from_thread(self._checked, held, found)

    def _checked(self, held: Held, found: tuple[str, ...]) -> None:
        if self.hand.held is held:
            self.hand.told(found)
            self.plan.carry(InHand(held.outline, held.at, held.thing.key, bool(found)))

    def _problems(self, held: Held) -> tuple[str, ...]:
        from shopbins.shop.reader import parse

        try:
            shop = parse(
                edit(self.file.text, held.edits(self.file.text, self.file.shop)).removeprefix("\ufeff")
            )
        except ShopProblems as problems:
            return tuple(each.what for each in problems.problems)
        except (SpliceRefused, CannotDraw) as refused:
            return (str(refused),)
        return self._caused(held, shop)

    def _caused(self, held: Held, shop: Shop) -> tuple[str, ...]:
        """Return what a place or fixture would be against by the checks, notes left out."""
        from shopbins.placing.judging import judge_standing

        key = self._key_of(held)
        stands = of_section(shop, held.thing.section).get(key)
        if held.thing.section not in ("zones", "fixtures") or stands is None:
            return ()
        found = judge_standing(build(shop, self.desk.state), key, stands.room)
        return tuple(told(each) for each in found if each.grade != "note" and each.accepted is None)

    def on_draw_hand_put(self) -> None:
        """Put it down: the step is done."""
        held = self.hand.held
        if held is not None and (not held.changed or self._do(held)):
            self._let_go()

    def on_draw_hand_copy(self) -> None:
        """Put a copy here and carry another on."""
        held = self.hand.held
        if held is None:
            return
        if held.new is not None:
            self.shopbins.tell("put it down first: enter", bad=True)
        elif self._do(replace(held, copy=True)):
            self.hand.shop = self.file.shop
            self.hand.hold(replace(held, copy=True))

    def on_draw_hand_back(self) -> None:
        """Put it back."""
        self._let_go()

    def _let_go(self) -> None:
        self.hand.drop()
        at = self.plan.at
        self.remove_class("-carrying")
        self.plan.carry(None)
        self.plan.focus()
        self._draw()
        self.plan.point(at)
        self.call_after_refresh(self._explain)  # once it has its size again
        self.fill_lines()

    def _key_of(self, held: Held) -> str:
        """Return the key it has once it is put down: a copy gets one of its own."""
        return steps.free_name(self.file.shop, held.thing.key) if held.copy else held.thing.key

    def _do(self, held: Held) -> bool:
        against = self._problems(held) if len(self.file.shop.zones) <= LARGE else ()
        return self._step(
            lambda: held.edits(self.file.text, self.file.shop),
            " · ".join([*against[:1], f"{self._key_of(held)} is where you put it"]),
            along=held,
            against=bool(against),
        )

    def _step(
        self,
        edits: Callable[[], list[Edit]],
        said: str,
        *,
        along: Held | None = None,
        home: str = "",
        against: bool = False,
    ) -> bool:
        """Do a step, say what came of it, and draw; False where it could not be done."""
        try:
            follow = along.along(self.file.shop) if along is not None else None
            self.file.step(edits(), along=follow, home=home)
        except (DeskError, CannotDraw, SpliceRefused) as problem:
            lines = problem.lines if isinstance(problem, DeskError) else (str(problem),)
            self.shopbins.tell(*lines, bad=True)
            return False
        self._after(said, against=against)
        return True

    def _after(self, said: str, then: str = "u undoes it", *, against: bool = False) -> None:
        if self.file.unsaved:
            self.shopbins.tell(f"{self._not_in_the_file()}: something is against it", bad=True)
        else:
            self.shopbins.tell(f"{said} · {then}", bad=against, again=True)
        self._draw()
        self._explain()
        self.shopbins.changed()

    def _not_in_the_file(self) -> str:
        steps_ = self.file.drawing.waiting
        return f"{counted(steps_, 'step')} not in the file yet"

    # -- undo, leaving

    def undo_here(self) -> None:
        """Take the last drawing step back."""
        self._history(self.file.take_back, "taken back", "y does it again")

    def redo_here(self) -> None:
        """Do it again."""
        self._history(self.file.do_again, "done again", "u undoes it")

    def _history(self, do: Callable[[], None], said: str, then: str) -> None:
        try:
            do()
        except DeskError as problem:
            self.shopbins.tell(*problem.lines, bad=True)
            return
        self._after(said, then)

    def may_leave(self, then: Callable[[], None]) -> bool:
        """Tell whether nothing is left half-done; else ask, and go on afterwards."""
        if self._file is None or not self.file.unsaved:
            return True
        choices = [
            Choice("back", "take the steps back", "the file stays as it is"),
            Choice("write", "write it anyway", "the last good reading stays in use"),
            Choice("stay", "go on drawing"),
        ]
        says = [each.what for each in self.file.problems[:3]]

        def chosen(choice: str | None) -> None:
            if choice == "back":
                self.file.drawing.text = self.file.drawing.seen
                self._file = None
                self.state_changed()
                then()
            elif choice == "write":
                self.shopbins.attempt(self.file.save)
                then()

        title = self._not_in_the_file()
        self.shopbins.push_screen(Pick(title, choices, says=says, digits=True), chosen)
        return False

    # -- act on it

    def act_here(self) -> bool:
        """Open this screen's own menu."""
        self.action_act()
        return True

    def action_act(self) -> None:
        """Open what can be done with what is at hand; with nothing at hand, what can be added."""
        thing = self.at_hand()
        if thing is None or thing.section == "rooms":
            self.action_add()
            return
        self._act_on(thing)

    def _act_on(self, thing: Thing) -> None:
        lies = self.file.lying_in(thing.key)
        items = [
            Item("e", "edit its name", self.action_rename),
            Item("c", "carry it", self.action_carry),
            Item("m", "measure: its values", self.action_measure),
            Item("-", "delete it", self.action_delete, "something lies there" if lies else ""),
            Item("+", "add something here", self.action_add),
        ]
        open_menu(self.shopbins, f"{thing.key}, {CALLED[thing.section]}", items)

    def action_rename(self) -> None:
        """Give what is at hand another name."""
        thing = self.at_hand()
        if thing is None:
            self.shopbins.tell("nothing here to rename")
            return
        levels = of_section(self.file.shop, "zones")[thing.key].levels if thing.section == "zones" else ()
        if len(levels) < 2:
            self._ask_name(thing)
            return
        choices = [Choice("", thing.key), *(Choice(each.key, f"its level {each.key}") for each in levels)]

        def chosen(level: str | None) -> None:
            if level is not None:
                self._ask_name(thing, level)

        self.shopbins.push_screen(Pick("Rename which?", choices, digits=True), chosen)

    def _ask_name(self, thing: Thing, level: str = "") -> None:
        now = level or thing.key

        def named(new: str | None) -> None:
            if new and new != now:
                if self._stop is not None and self._stop.thing == thing and not level:
                    self._stop = replace(self._stop, thing=replace(thing, key=new))
                self._step(
                    lambda: steps.renamed(self.file.text, thing.section, thing.key, new, level),
                    f"{now} is now {new}",
                )

        wrong = self._taken if not level else None
        self.shopbins.push_screen(Ask(f"Rename {now}", now, wrong=wrong), named)

    def _taken(self, name: str) -> str | None:
        if not name or "/" in name:
            return "a short name without '/'"
        if any(name in of_section(self.file.shop, section) for section in SECTIONS):
            return f"there is '{name}' already"
        return None

    def action_delete(self) -> None:
        """Delete what is at hand, unless something lies there."""
        thing = self.at_hand()
        if thing is None:
            return
        gone = steps.with_it(self.file.shop, thing.section, thing.key)
        lying = self.file.lying_in(thing.key)
        for section, key in gone:
            lying += self.file.lying_in(key) if section == "zones" else []
        if lying:
            what = f"{len(lying)} parts lie there" if len(lying) > 1 else f"{lying[0]} lies there"
            self.shopbins.tell(f"{thing.key} is not deleted: {what}", bad=True)
            return
        says = [f"with it goes {CALLED.get(section, section)} {key}" for section, key in gone[:8]]
        choices = [Choice("yes", f"delete {thing.key}"), Choice("no", "keep it")]

        def chosen(choice: str | None) -> None:
            if choice == "yes":
                self._step(
                    lambda: steps.dropped(self.file.shop, thing.section, thing.key),
                    f"{thing.key} is deleted; a remark above it stays",
                )

        title = f"Delete the {CALLED[thing.section]} {thing.key}?"
        self.shopbins.push_screen(Pick(title, choices, says=says, digits=True), chosen)

    # -- its values

    def action_measure(self) -> None:
        """Show the values of what is at hand as rows, to be given one by one."""
        thing = self.at_hand()
        if thing is None:
            self.shopbins.tell("nothing here to measure")
            return
        self._form(thing)

    def _form(self, thing: Thing) -> None:
        written = steps.written(self.file.text, thing.section, thing.key)
        keys = {key.name: key for key in SECTIONS[thing.section] if key.name != "was"}
        rows = [
            Choice(
                key.name,
                f"{key.name}: {value_said(key, written.get(key.name, ''))}",
                key.meaning.replace("`", ""),
            )
            for key in keys.values()
        ]

        def chosen(name: str | None) -> None:
            if name is not None:
                self._value(thing, keys[name], written.get(name, ""))

        self.shopbins.push_screen(Pick(f"{thing.key}: which value?", rows), chosen)

    def _value(self, thing: Thing, key: Key, value: str) -> None:
        def given(new: str | None) -> None:
            if new and new != value and _is_heights(thing, key, new):
                self._asked_metres(read_heights(new), lambda heights: self._level(thing, heights))
                return
            if new is not None and new != value:
                self._step(
                    lambda: steps.valued(
                        self.file.text, thing.section, thing.key, {key.name: _quoted(key, new)}
                    ),
                    f"{thing.key}: {key.name} {new or 'left out'}",
                )
            self._form(thing)

        def wrong(new: str) -> str | None:
            return _wrong_heights(new) if new != value and _is_heights(thing, key, new) else None

        title = f"{thing.key}: {key.name}, {key.meaning.replace('`', '')} (empty: not known)"
        if key.name == "levels":
            title = f"{thing.key}: the heights of its boards, as 100; 700; 1300; or its levels whole"
        self.shopbins.push_screen(Ask(title, value, example=key.example, wrong=wrong), given)

    def _asked_metres(self, heights: Heights, then: Callable[[Heights], None]) -> None:
        """Go on with heights; first ask of figures that only make sense as metres."""
        if not heights.metres:
            then(heights)
            return

        def chosen(yes: str | None) -> None:
            if yes:
                then(replace(heights, metres=False))

        choices = [Choice("yes", f"yes: {'; '.join(heights.written)} mm"), Choice("", "no, leave it")]
        self.shopbins.push_screen(Pick("Are these metres?", choices, digits=True), chosen)

    def _level(self, thing: Thing, heights: Heights) -> None:
        """Give a shelf its levels; one that goes must be empty."""
        kept = {each.key for each in of_section(self.file.shop, "zones")[thing.key].levels}
        if len(heights.written) < len(kept) and self.file.lying_in(thing.key):
            self.shopbins.tell(f"{thing.key} keeps its {len(kept)} levels while parts lie there", bad=True)
        else:
            self._step(
                lambda: levelled(self.file.text, thing.key, heights),
                f"{thing.key}: {'; '.join(heights.written)}",
            )
        self._form(thing)

    # -- adding

    def action_add(self) -> None:
        """Add something where the cursor is."""
        choices = [Choice(number, what) for number, what, _, _ in ADDED]

        def chosen(number: str | None) -> None:
            if number is not None:
                self._ask_new(*ADDED[int(number) - 1][1:])

        self.shopbins.push_screen(Pick("Add what?", choices, digits=True), chosen)

    def _ask_new(self, what: str, section: str, says: str) -> None:
        if section == "gear":
            ask_new_gear(self.shopbins, self.file, lambda _: None)
            return

        def given(line: str | None) -> None:
            heights = ",".join(line.split(",")[2:]).strip() if line else ""
            if line and section == "zones" and heights:
                self._asked_metres(read_heights(heights), lambda said: self._add(what, section, line, said))
            elif line:
                self._add(what, section, line)

        self.shopbins.push_screen(
            Ask(f"New {what}: {says}", wrong=lambda t: self._wrong(what, section, t)), given
        )

    def _wrong(self, what: str, section: str, line: str) -> str | None:
        cells = [cell.strip() for cell in line.split(",")]
        if (taken := self._taken(cells[0])) is not None:
            return taken
        try:
            if len(cells) < 2:
                return "a name, then a comma and its size"
            if section in ("doors", "walkways"):
                units.parse_length(cells[1], zero=False)
            else:
                units.parse_size(cells[1])
            heights = ",".join(cells[2:])
            if what in ("bench", "shelf") and not heights:
                return f"how high is it above the floor? {cells[0]}, {cells[1]}, 900"
            if what != "shelf" and len(parted(heights)) > 1:
                return f"a {what} has one height"
            if heights:
                read_heights(heights)
        except units.UnitError as problem:
            return str(problem)
        return None

    def _add(self, what: str, section: str, line: str, heights: Heights | None = None) -> None:
        cells = [cell.strip() for cell in line.split(",")]
        name, at = cells[0], self.plan.at
        room = next((k for k, r in self.file.shop.rooms.items() if contains(r.outline, at)), "")
        if section == "walkways":
            self._way, self._way_said = [], (name, cells[1])
            self._explain()
            return
        if section != "rooms" and not room:
            self.shopbins.tell("put the cursor into a room first", bad=True)
            return
        if section == "doors":
            self._add_door(name, units.parse_length(cells[1]), room)
            return
        length, depth = units.parse_size(cells[1])[:2]
        values = {"size": steps.point_text((length, depth))}
        if section != "rooms":
            values = {"room": word(room), **values}
        if section == "zones":
            values["kind"] = {"floor spot": "floor"}.get(what, what)
            if heights is not None:
                many = len(heights.written) > 1
                values |= {"levels": levels_text(heights.written)} if many else {"height": heights.written[0]}
        if section == "keep clear":
            values["why"] = word(name)
        if what == "outdoors":
            values["outdoor"] = "yes"
        thing = new_thing(section, name, room or name, at, (length, depth))
        self.take(Held(thing, new=tuple(values.items())))

    def _add_door(self, name: str, width: float, room: str) -> None:
        """Put a door into the wall nearest to the cursor, sliding along it from there."""
        from shopbins.geometry.exact import point_gap

        outline = self.file.shop.rooms[room].outline
        foot = point_gap(outline, self.plan.at).point_a
        for a, b in zip(outline, [*outline[1:], outline[0]], strict=True):
            length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
            ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
            off = abs((foot[0] - a[0]) * uy - (foot[1] - a[1]) * ux)
            along = (foot[0] - a[0]) * ux + (foot[1] - a[1]) * uy
            if off < 1.0 and -1.0 <= along <= length + 1.0 and length >= width:
                start = min(max(along - width / 2, 0.0), length - width)
                jambs = [(a[0] + ux * s, a[1] + uy * s) for s in (start, start + width)]
                values = {
                    "room": word(room),
                    "to": "outside",
                    "jambs": steps.points_text(jambs),
                    "opens": "open",
                }
                self._step(
                    lambda values=values: steps.added(self.file.shop, "doors", name, values),  # type: ignore[misc]
                    f"{name} is in the wall: m says where it leads and how it opens",
                )
                return
        self.shopbins.tell(f"no wall here is {width:.0f} mm long", bad=True)

    def _way_point(self) -> None:
        assert self._way is not None
        at = caught(self.file.shop, self.plan.at, 0.6 * self.plan.view.mm_per_col)
        if self._way and self._way[-1] == at:
            name, wide = self._way_said
            line = self._way
            self._way = None
            if len(line) > 1:
                self._ask_least(name, {"line": steps.points_text(line), "width": wide})
            self._explain()
            return
        self._way.append(at)
        self.plan.carry(None, [(point, "note") for point in self._way])
        self._explain()

    def _ask_least(self, name: str, values: dict[str, str]) -> None:
        """Ask what must be left of a way at its tightest, and whether it is the way out; then draw it."""
        width = units.parse_length(values["width"])

        def wrong(text: str) -> str | None:
            try:
                if text and units.parse_length(text) > width:
                    return f"not more than the way is wide, {values['width']}"
            except units.UnitError as problem:
                return str(problem)
            return None

        def least(text: str | None) -> None:
            self._ask_way_out(name, {**values, **({"least": text} if text else {})})

        title = f"{name}: from which clear width down is it a stop? (empty: no limit of its own)"
        self.shopbins.push_screen(Ask(title, example="700", wrong=wrong), least)

    def _ask_way_out(self, name: str, values: dict[str, str]) -> None:
        choices = [
            Choice("", "no", "a way to walk and carry"),
            Choice("yes", "yes", "people leave by it: accepted only for now, by name"),
        ]

        def chosen(out: str | None) -> None:
            self._draw_way(name, {**values, **({"exit route": out} if out else {})})

        self.shopbins.push_screen(Pick(f"Is {name} the way out?", choices, digits=True), chosen)

    def _draw_way(self, name: str, values: dict[str, str]) -> None:
        done = self._step(lambda: steps.added(self.file.shop, "walkways", name, values), f"{name} is drawn")
        way = self.file.shop.walkways.get(name)
        if done and way is not None and least_of(self.file.shop, way) is None:
            self.shopbins.tell(
                f"{name} is drawn; no limit is set: narrower than {values['width']} is to fix,"
                " only shut is a stop (m: least)"
            )

    def action_leave_way(self) -> None:
        """Leave the way that is being drawn."""
        if self._way is not None:
            self._way = None
            self.plan.carry(None)
            self._explain()


def _is_heights(thing: Thing, key: Key, value: str) -> bool:
    """Tell whether a typed value is plain heights for the levels of a shelf, not YAML."""
    if thing.section != "zones" or value.startswith("{"):
        return False
    return bool(value) and (key.name == "levels" or (key.name == "height" and len(parted(value)) > 1))


def _wrong_heights(value: str) -> str | None:
    try:
        read_heights(value)
    except units.UnitError as problem:
        return str(problem)
    return None


def _quoted(key: Key, value: str) -> str:
    """Return a typed value as YAML: texts quoted where they must be, all else as typed."""
    if value and key.kind.name in ("TEXT", "NOTE", "ROOM"):
        return word(value)
    return value
