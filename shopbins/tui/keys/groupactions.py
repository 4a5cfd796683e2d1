"""What the keys do with the part group at hand, the same on Plan, Parts, Audit and Refit."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, cast

from shopbins.desk.problems import DeskError
from shopbins.ledger.model import Away, InGroup
from shopbins.strip.told import introduce
from shopbins.tui.places import holder_choices, place_choices, split_place
from shopbins.tui.plan.laying import lay
from shopbins.units import counted

if TYPE_CHECKING:
    from collections.abc import Callable

    from shopbins.ledger.model import Group
    from shopbins.tui.dialogs.act import Item
    from shopbins.tui.dialogs.ask import Ask
    from shopbins.tui.host import Host
    from shopbins.tui.place import Place

MOST_CHOICES = 200


class GroupActions:
    """The actions of scope 'group', mixed into a Place that knows its `current_group`."""

    @property
    def _place(self) -> Place:
        return cast("Place", self)

    @property
    def _shopbins(self) -> Host:
        return self._place.shopbins

    def _group(self) -> Group | None:
        """Return the group at hand, or say that there is none."""
        found = self._place.current_group()
        if found is not None and self._shopbins.desk.state.has_group(found):
            return self._shopbins.desk.state.group(found)
        self._shopbins.tell("no part here: move to one first", bad=True)
        return None

    def act_menu(self) -> tuple[str, list[Item], list[str]]:
        """Return the menu of the group at hand: its title, its lines, what is said above them."""
        from shopbins.tui.keys.acting import part_items

        found = self._place.current_group()
        if found is None or not self._place.desk.state.has_group(found):
            return "", [], []
        group = self._place.desk.state.group(found)
        return f"{group.shown} · {group.code}", part_items(self._place, group), []

    def action_carry(self) -> None:
        """Carry it on the Plan."""
        if (group := self._group()) is not None:
            self._shopbins.carry_group(group.id)

    def action_best(self) -> None:
        """Carry it to its best place."""
        if (group := self._group()) is not None:
            self._shopbins.carry_group(group.id, best=True)

    def action_put(self) -> None:
        """Lay it down in a place by name."""
        if (group := self._group()) is not None:
            ask_place(self._shopbins, group, f"Where does {group.shown} go?")

    def action_disposition(self) -> None:
        """Say what becomes of it."""
        from shopbins.tui.parts.disposition import ask_disposition

        if (group := self._group()) is not None:
            ask_disposition(self._shopbins, group)

    def action_caution(self) -> None:
        """Say what is to be heeded when it is handled."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.working import ask_cautions

            ask_cautions(self._shopbins, group)

    def action_note(self) -> None:
        """Jot a note, or tick a job off."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.working import jot

            jot(self._shopbins, group)

    def action_rename(self) -> None:
        """Rename it."""
        if (group := self._group()) is not None:
            self._ask_text(
                group, "name", f"What is {group.shown} called?", group.name, "valve springs, inlet"
            )

    def action_correct(self) -> None:
        """Correct its pieces or container, or take it away where it was recorded by mistake."""
        if (group := self._group()) is not None:
            from shopbins.tui.parts.correcting import correct

            correct(self._shopbins, group)

    def _ask_text(self, group: Group, field: str, title: str, value: str, example: str) -> None:
        from shopbins.records.group import CHANGE

        app = self._shopbins

        def save(text: str) -> None:
            if text != value:
                app.desk.do(CHANGE(group.id, **{field: text}))
                app.changed()

        def given(text: str | None) -> None:
            if text is None or text == value:
                return
            if text:
                app.tell(f"{text}: {field} recorded · u undoes it")
            else:
                self._change(group, f"{group.shown}: no {field} any more · u undoes it", **{field: ""})

        app.push_screen(_ask(title, value, example=example, save=save), given)

    def action_origin(self) -> None:
        """Say where it came from."""
        from shopbins.records.group import CHANGE

        if (group := self._group()) is None:
            return
        offers = [" > ".join(each) for each in self._shopbins.desk.origins()]

        from shopbins.records.pieces import ORIGIN
        from shopbins.tui.asking import with_reason, wrong

        desk = self._shopbins.desk

        def path(text: str) -> tuple[str, ...]:
            return tuple(part.strip() for part in text.split(">") if part.strip())

        def of_a_machine(text: str) -> None:
            parts = path(text)
            if group.origin and parts and parts[0] != group.origin[0]:
                desk.known_origin(parts)

        def given(text: str | None) -> None:
            if text is not None:
                parts = path(text)
                with_reason(
                    self._shopbins,
                    lambda why: (
                        desk.do(ORIGIN(group.id, origin=desk.known_origin(parts), reason=why))
                        if why
                        else desk.do(CHANGE(group.id, origin=parts))
                    ),
                    f"{group.shown}: from {' > '.join(parts) or 'origin not known'}",
                )

        self._shopbins.push_screen(
            _ask(f"Where did {group.shown} come from?", " > ".join(group.origin),
                example="machine > assembly > position", offers=offers, wrong=wrong(of_a_machine)),
            given,
        )  # fmt: skip

    def action_mass(self) -> None:
        """Measure it: mass and size in one form."""
        if (group := self._group()) is not None:
            from shopbins.tui.parts.measuring import measure

            measure(self._shopbins, group)

    def action_size(self) -> None:
        """Measure its size: the same form, its second row."""
        if (group := self._group()) is not None:
            from shopbins.tui.parts.measuring import measure

            measure(self._shopbins, group, at="size")

    def action_history(self) -> None:
        """Show all that is known of it."""
        from shopbins.tui.dialogs.card import card_lines

        if (group := self._group()) is None:
            return
        try:
            lines = card_lines(self._shopbins.desk, group)
        except DeskError as problem:
            self._shopbins.tell(*problem.lines, bad=True)
            return
        self._shopbins.open_page(group.shown, lines)

    def action_away(self) -> None:
        """Send it away, or have it back."""
        from shopbins.records.group import AWAY, BACK

        if (group := self._group()) is None:
            return
        app = self._shopbins
        if isinstance(group.where, Away):
            app.attempt(
                lambda: app.desk.do(BACK(group.id)), f"{group.shown} is back, not yet put down: p puts it"
            )
            return

        def save(text: str) -> None:
            to, until, reason = read_away(text)
            app.desk.do(AWAY(group.id, to=to, until=until, reason=reason))
            app.changed()

        def given(text: str | None) -> None:
            if text:
                to, until, _ = read_away(text)
                said = f"{group.shown} is away: {to}" + (f" until {until}" if until else "")
                app.tell(f"{said} · u undoes it")

        app.push_screen(
            _ask(f"Where does {group.shown} go, until when?", example="Anna until 2026-12-24 for grinding",
                wrong=wrong_away, save=save),
            given,
        )  # fmt: skip

    def action_into(self) -> None:
        """Put it in or on another group."""
        from shopbins.tui.dialogs.pick import Choice, Pick

        if (group := self._group()) is None:
            return
        app = self._shopbins

        def source(typed: str) -> list[Choice]:
            if typed.strip():
                ids = [hit.id for hit in app.desk.find(typed, limit=50)]
            else:
                ids = [g.id for g in app.desk.state.groups() if g.container not in ("bare", "bag")][
                    :MOST_CHOICES
                ]
            return list(holder_choices(app.desk.scene(), ids, group.id))

        def chosen(other: str | None) -> None:
            if other is not None:
                self._ask_how(group, other)

        app.push_screen(Pick(f"In or on which part does {group.shown} go?", source), chosen)

    def _ask_how(self, group: Group, other_id: str) -> None:
        from shopbins.tui.dialogs.pick import Choice, Pick

        app = self._shopbins
        other = app.desk.state.group(other_id)
        ways = [
            Choice("in", f"in {other.shown}", "out of sight"),
            Choice("on", f"on {other.shown}", "stands on top"),
        ]

        def chosen(how: Any) -> None:
            if how is not None:
                lay(
                    app,
                    lambda reason: app.desk.put_into(group.id, other_id, how, override=reason),
                    lambda _: f"{group.shown}: {how} {other.shown}",
                    group_id=group.id,
                )

        app.push_screen(Pick(f"{group.shown}: in it or on it?", ways, digits=True), chosen)

    def action_lift(self) -> None:
        """Take it out of or off what it is in or on, or up from its place: unplaced."""
        from shopbins.records.group import LIFT_OFF

        if (group := self._group()) is None:
            return
        app = self._shopbins
        if group.where is None:
            app.tell(f"{group.shown} is waiting already", bad=True)
            return
        out = "out of the part it was in" if isinstance(group.where, InGroup) else "up from its place"
        app.attempt(lambda: app.desk.do(LIFT_OFF(group.id)), f"{group.shown} taken {out}: waiting now")

    def action_split(self) -> None:
        """Split pieces off: so many, or those beyond their limit with their values."""
        from shopbins.records.group import SPLIT
        from shopbins.records.measured import bad_pieces
        from shopbins.tui.dialogs.pick import Choice, Pick
        from shopbins.tui.parts.disposition import unless_warned
        from shopbins.tui.refit.working import split_beyond

        if (group := self._group()) is None:
            return
        app = self._shopbins

        def wrong(text: str) -> str | None:
            if not text.isascii() or not text.isdigit() or not 0 < int(text[:9]) < group.qty:
                return f"a whole number from 1 to {group.qty - 1}"
            return None

        def given(text: str | None) -> None:
            if text:
                app.attempt(
                    lambda: app.desk.do(SPLIT(group.id, qty=int(text))),
                    f"{text} of {group.shown} are a part of their own",
                )

        if group.qty < 2:
            app.tell(f"{group.shown} is one piece: there is nothing to split off", bad=True)
            return
        ask = _ask(f"How many of the {group.qty} pieces of {group.shown} go apart?", example="2", wrong=wrong)
        warned = app.desk.set_warnings([group.id], "split")

        def which() -> None:
            if not 0 < bad_pieces(app.desk.state, group)[0] < group.qty:
                _open(app, ask, given)
                return
            choices = [
                Choice("beyond", "those beyond their limit", "the rest is without their values"),
                Choice("some", "so many, whichever they are", "all of them stay rejected"),
            ]
            app.push_screen(Pick(f"Split {group.shown}", choices, digits=True), chosen)

        def chosen(answer: str | None) -> None:
            if answer == "beyond":
                split_beyond(app, group)
            elif answer == "some":
                _open(app, ask, given)

        unless_warned(app, f"Split {group.shown}?", warned, which)

    def action_mark(self) -> None:
        """Mark it, or take the mark away."""
        if (group := self._group()) is None:
            return
        marked = self._shopbins.marked
        if group.id in marked:
            del marked[group.id]
        else:
            marked[group.id] = None
        self._place.state_changed()

    def action_merge(self) -> None:
        """Merge the marked groups."""
        from shopbins.records.group import MERGE
        from shopbins.tui.dialogs.pick import Choice, Pick

        app = self._shopbins
        ids = [each for each in app.marked if app.desk.state.has_group(each)]
        if len(ids) < 2:
            app.tell("mark two or more parts with space first", bad=True)
            return
        first = app.desk.state.group(ids[0]).shown
        choices = [
            Choice("yes", f"merge {counted(len(ids), 'part')} into {first}", "their labels then all mean it"),
            Choice("no", "leave them as they are"),
        ]

        def chosen(answer: str | None) -> None:
            if (
                answer == "yes"
                and app.attempt(lambda: app.desk.do(MERGE(group_ids=ids)), f"merged into {first}") is not None
            ):
                app.marked.clear()
                app.changed()

        app.push_screen(Pick("Merge", choices, digits=True), chosen)

    def _change(self, group: Group, done: str, **fields: Any) -> None:
        from shopbins.records.group import CHANGE

        app = self._shopbins
        app.attempt(lambda: app.desk.do(CHANGE(group.id, **fields)), done)


def _open(app: Host, ask: Ask, given: Callable[[str | None], None]) -> None:
    app.push_screen(ask, given)


def _ask(title: str, value: str = "", **more: Any) -> Ask:
    """Make a dialog that asks for a line."""
    from shopbins.tui.dialogs.ask import Ask

    return Ask(title, value, **more)


def ask_place(app: Host, group: Group, title: str) -> None:
    """Ask where a group is put down, and put it there; a place's tag may be scanned."""
    from shopbins.tui.dialogs.pick import Pick

    def chosen(key: str | None) -> None:
        if key is None:
            return
        zone, level = split_place(key)
        if key.startswith("="):
            try:
                zone, level = app.desk.names.place(key[1:])
            except DeskError as problem:
                app.tell(*problem.lines, bad=True)
                return
        put_by_name(app, group, zone, level)

    app.push_screen(Pick(title, list(place_choices(app.desk.scene())), free=True), chosen)


def put_by_name(app: Host, group: Group, zone: str, level: str) -> None:
    """Lay a group down in a zone, the program choosing where one must be chosen."""
    lay(
        app,
        lambda reason: app.desk.put(group.id, zone, level, override=reason),
        lambda _: f"{introduce(app.desk.state, group.id)}: put down · u undoes it",
        group_id=group.id,
    )


def read_away(text: str) -> tuple[str, str | None, str]:
    """Read 'Anna until 2026-12-24 for grinding' as (to whom, until, for what)."""
    rest, found, reason = text.partition(" for ")
    to, until_found, until = rest.partition(" until ")
    return to.strip(), until.strip() if until_found else None, reason.strip() if found else ""


def wrong_away(text: str) -> str | None:
    """Say what is wrong with such a line."""
    to, until, _ = read_away(text)
    if not to:
        return "write to whom, as 'Anna until 2026-12-24 for grinding'"
    if until is not None:
        try:
            date.fromisoformat(until)
        except ValueError:
            return f"'{until}' is no date: write year-month-day, as 2026-12-24"
    return None
