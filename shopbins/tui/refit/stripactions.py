"""What the keys do with the part at hand about taking off, putting back and work, wherever a part is at hand.

What they do is imported when first asked for: the first frame does not wait for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.tui.host import Host
    from shopbins.tui.place import Place


class StripActions:
    """The actions of scope 'strip', mixed into a Place with a group or position at hand."""

    if TYPE_CHECKING:

        @property
        def _place(self) -> Place: ...
        @property
        def _shopbins(self) -> Host: ...
        def _group(self) -> Group | None: ...

    def current_position(self) -> str | None:
        """Return the position at hand: the group's first, unless a place knows better."""
        found = cast("Place", self).current_group()
        state = self._shopbins.desk.state
        return state.group(found).positions[0] if found is not None and state.has_group(found) else None

    def _position(self) -> str | None:
        """Return the position at hand, or say that there is none."""
        found = self.current_position()
        if found is None:
            self._shopbins.tell("no part here: move to one first", bad=True)
        return found

    def action_fit(self) -> None:
        """Put it back on for good."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.putting import put_on

            put_on(self._shopbins, group)

    def action_off(self) -> None:
        """Take off again what was put back or tried."""
        if (group := self._group()) is not None:
            from shopbins.records.fitting import OFF

            app = self._shopbins
            heed = " · ".join(app.desk.hints(group))
            app.attempt(
                lambda: app.desk.do(OFF(group.id)),
                f"off again: {group.shown}, not put down yet (p puts it)" + (f" · {heed}" if heed else ""),
            )

    def action_trial(self) -> None:
        """Put it on to try it, or take it off after the trial."""
        if (group := self._group()) is None:
            return
        from shopbins.records.fitting import OFF
        from shopbins.strip.tree import is_tried
        from shopbins.tui.refit.putting import put_on

        app = self._shopbins
        if is_tried(app.desk.state.docs("group")[group.id].get("where")):
            app.attempt(lambda: app.desk.do(OFF(group.id)), f"off after its trial: {group.shown}")
        else:
            put_on(app, group, trial=True)

    def action_before(self) -> None:
        """Ask what had to come off first."""
        if (position := self._position()) is not None:
            from shopbins.tui.refit.before import ask_before

            ask_before(self._shopbins, position)

    def action_reach(self) -> None:
        """Say what must come off to get at it."""
        if (position := self._position()) is not None:
            from shopbins.tui.dialogs.reach import show_reach

            show_reach(self._shopbins, position)

    def action_work(self) -> None:
        """Tick a point of its short list off, or give it one."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.working import jot

            jot(self._shopbins, group)

    def action_inspect(self) -> None:
        """Record a measured value against its limit."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.working import ask_inspection

            ask_inspection(self._shopbins, group)

    def action_renew(self) -> None:
        """Have it renewed: a shortage takes its place, at once."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.working import renew

            renew(self._shopbins, group)

    def action_lack(self) -> None:
        """Record something lacking before it can go back."""
        if (position := self._position()) is not None:
            from shopbins.tui.refit.working import add_shortage

            add_shortage(self._shopbins, position)

    def action_strike(self) -> None:
        """Let its place stay empty, with the reason, or take that back."""
        if (position := self._position()) is not None:
            from shopbins.tui.refit.working import strike

            strike(self._shopbins, position)

    def action_how(self) -> None:
        """Record how it came off."""
        if (position := self._position()) is not None:
            from shopbins.tui.refit.working import ask_how

            ask_how(self._shopbins, position)

    def action_match(self) -> None:
        """Have the marked groups be a matched set, each with its seat where given."""
        from shopbins.tui.refit.working import ask_match

        app = self._shopbins
        ids = [each for each in app.marked if app.desk.state.has_group(each)]
        if not ids and (found := cast("Place", self).current_group()) is not None:
            ids = [found]
        ask_match(app, ids)

    def action_last_seen(self) -> None:
        """Say where it was last seen, and what was moved from there since."""
        if (group := self._group()) is not None:
            from shopbins.tui.refit.working import show_last_seen

            show_last_seen(self._shopbins, group)

    def action_photos(self) -> None:
        """Show its photographs."""
        if (group := self._group()) is not None:
            from shopbins.tui.dialogs.picture import show_photos

            show_photos(self._shopbins, group)
