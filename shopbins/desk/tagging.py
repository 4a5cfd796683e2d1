"""The desk's part about tags: which are to be printed, on what, and that they were."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from shopbins.desk.names import looks_like_code
from shopbins.desk.opened import OpenDesk
from shopbins.desk.problems import BadInput, NotDone, StorageFailed
from shopbins.ledger.whereabouts import place_said

if TYPE_CHECKING:
    from shopbins.ledger.events import Draft
    from shopbins.ledger.model import How
    from shopbins.ledger.state import State
    from shopbins.placing.recording import Laid
    from shopbins.tags.draw import Rendered
    from shopbins.tags.drawn import Drawn
    from shopbins.tags.labels import Label
    from shopbins.tags.layout import Layout

Which = Sequence[str] | Literal["all", "zones", "flags", "untagged", "stale", "due"]
"""Codes, names or places; or every group, every zone and level, every connection's flags, what has no tag
yet, what has one that is no longer right, or both of these."""

To = Literal["pdf", "png", "printer"]
FLAG_SHEET = "flag-a4-2x19"


class TagDesk(OpenDesk):
    """What `Desk` can do about tags."""

    def print_tags(
        self,
        path: str | os.PathLike[str],
        codes: Which = "all",
        *,
        blank: int = 0,
        sheet: str = "a4-3x7",
        start: int = 1,
        dpi: int | None = None,
        to: To = "pdf",
    ) -> Rendered:
        """Print labels: of these codes, every group, every zone and level and so on, or new blank ones.

        `path` is the PDF, the folder for pictures, or the printer's name ('' the system's own choice). Codes
        are given out first, so that a printed one is never given twice; what was printed is on record once
        the file is there or the printer has it.
        """
        from dataclasses import replace

        from shopbins.outputs import check_room
        from shopbins.tags import NotWritten, TagError

        try:
            plan, notes = self._layout(sheet, dpi)
            plan.check_start(start)  # before codes are given out
            if to == "pdf":
                check_room(path)
            elif to == "png":
                Path(path).mkdir(parents=True, exist_ok=True)
                check_room(Path(path) / "label.png")
            labels = self._labels(codes, blank)
            printed = self._digests(labels)  # of what is printed, whatever others change meanwhile
            rendered = _made(labels, plan, path, start, to)
        except NotWritten as problem:
            raise StorageFailed(*problem.args) from None
        except TagError as problem:
            raise BadInput(*problem.args) from None
        except OSError as problem:
            raise StorageFailed(f"{path}: {problem.strerror or problem}") from None
        on_paper = set(rendered.codes)
        self._record_printed([each for each in labels if each.code in on_paper], printed)
        return replace(rendered, problems=(*rendered.problems, *notes))

    def put_blank_into(self, code: str, holder: str, how: How = "in") -> Laid:
        """Record that something with this blank tag lies in or on a group, to be named later.

        Nothing is known of it that a rule could judge.
        """
        from shopbins.ledger.model import InGroup
        from shopbins.placing.recording import Laid
        from shopbins.records import acts

        event = self.record(lambda state: acts.lay_blank(state, code, InGroup(holder, how)))
        group = event.subjects[0].partition(":")[2]
        return Laid(True, None, (), event.seq, group, was_blank=True)

    def preview_tag(self, code: str, sheet: str = "a4-3x7") -> Drawn:
        """Return the label of a code, group's name or place as it would be printed; nothing is recorded."""
        from shopbins.tags import TagError
        from shopbins.tags.drawn import check
        from shopbins.tags.labels import labels_for

        try:
            plan, _ = self._layout(sheet, None)
            wanted = self._canonical(code, give=False)
            return check(labels_for(self.state, self.shop, [wanted]), plan)[0][0]
        except TagError as problem:
            raise BadInput(*problem.args) from None

    def not_printable(self, codes: Which) -> list[str]:
        """Return the words on these labels that no font here has all the letters of; nothing is given out."""
        from shopbins.tags.due import due_tags
        from shopbins.tags.fonts import printable
        from shopbins.tags.labels import flag_labels, labels_for

        texts: list[str] = []
        labels: list[Label] = []
        if codes == "zones":
            texts = [zone.name for zone in self.shop.all_zones()]
        elif codes == "flags":
            labels = flag_labels(self.state)
        elif codes == "all":
            labels = labels_for(self.state, self.shop, None)
        else:
            if isinstance(codes, str):
                due = due_tags(self.state, self.shop, untagged=codes != "stale", stale=codes != "untagged")
                known = [each.code for each in due if each.code]
                texts = [each.shown for each in due if not each.code]
            else:
                known = []
                for each in codes:
                    try:
                        known.append(self._canonical(each, give=False))
                    except (NotDone, BadInput):
                        texts.append(each)  # a place without a code; or printing says what is wrong with it
            labels = labels_for(self.state, self.shop, known) if known else []
        texts += [text for each in labels for text in (each.title, *each.lines, *each.cautions)]
        return list(dict.fromkeys(t for t in texts if not t.isascii() and printable(t).lost))

    def _layout(self, sheet: str, dpi: int | None) -> tuple[Layout, list[str]]:
        from shopbins.tags import TagError
        from shopbins.tags.layouts import layout
        from shopbins.tags.settings import all_layouts

        known, problems = all_layouts(self.shop_path)
        try:
            found = layout(sheet, known)
        except TagError as problem:
            raise TagError(*problem.problems, *problems) from None
        return (found if dpi is None else found.at_dots(dpi)), problems

    def _labels(self, codes: Which, blank: int) -> list[Label]:
        from shopbins.tags.labels import flag_labels, labels_for

        if codes == "flags" and not blank:
            labels = flag_labels(self.state)
        else:
            wanted = self._codes_to_print(codes, blank)
            labels = labels_for(self.state, self.shop, wanted, zones=codes == "zones" and not blank)
        if not labels:
            raise NotDone("there is nothing to print a label for")
        return labels

    def _codes_to_print(self, codes: Which, blank: int) -> list[str] | None:
        if blank:
            from shopbins.records import acts

            event = self.record(lambda state: acts.issue_blanks(state, blank))
            return [subject.partition(":")[2] for subject in event.subjects]
        if codes == "zones":
            from shopbins.tags.labels import places

            self._give_codes(places(self.shop))
            return None
        if codes == "all":
            return None
        if isinstance(codes, str):
            from shopbins.tags.due import due_tags

            wanted = due_tags(self.state, self.shop, untagged=codes != "stale", stale=codes != "untagged")
            self._give_codes([each.shown for each in wanted if not each.code])
            return [each.code or self.state.place_code(each.shown) or "" for each in wanted]
        return [self._canonical(code) for code in codes]

    def _digests(self, labels: Sequence[Label]) -> dict[str, str]:
        """Return the digest of what each label says by its code; of blank ones nothing is known."""
        from shopbins.strip.printed import digest
        from shopbins.tags.labels import digest_of

        printed: dict[str, str] = {}
        for each in labels:
            if each.kind == "group" and (group := self.state.by_code(each.code)) is not None:
                printed[each.code] = digest(self.state, self.state.group(group))
            elif each.kind == "place":
                printed[each.code] = digest_of(each)
        return printed

    def _record_printed(self, labels: Sequence[Label], printed: Mapping[str, str]) -> None:
        from shopbins.records import acts

        marked = [each.code for each in labels if each.kind != "flag"]
        if marked:
            self.record(lambda state: acts.mark_tagged(state, marked, printed=printed))
        elif labels:
            self._mark_flags()

    def _mark_flags(self) -> None:
        from shopbins.records import acts
        from shopbins.records.connection import change

        def work(state: State) -> Draft:
            keys = list(state.docs("connection"))
            return acts.join("print flags", *(change(state, key, tagged=True) for key in keys))

        self.record(work)

    def _canonical(self, text: str, *, give: bool = True) -> str:
        """Return the code meant by a code, a group's name or a place; a place without one is given it."""
        if not looks_like_code(text, self.shop.prefix):
            try:
                place = self.names.place(text)  # first, as a part of a group's name is enough for the group
            except NotDone as no_place:
                try:
                    return self.names.group(text).code
                except NotDone:
                    raise no_place from None
            return self._place_code(place_said(*place), give)
        kind, subject = self.names.code(text)
        return self.state.group(subject).code if kind == "group" else text.strip().upper()

    def _place_code(self, place: str, give: bool) -> str:
        if give:
            self._give_codes([place])
        code = self.state.place_code(place)
        if code is None:
            raise NotDone(f"{place} has no code yet: it is given one when its label is printed")
        return code

    def _give_codes(self, places: Sequence[str]) -> None:
        from shopbins.records import acts

        missing = [place for place in places if self.state.place_code(place) is None]
        if missing:
            self.record(lambda state: acts.issue_place_codes(state, missing))


def _made(
    labels: Sequence[Label], plan: Layout, path: str | os.PathLike[str], start: int, to: To
) -> Rendered:
    """Draw the labels and put them where they go."""
    if to == "png":
        from shopbins.tags.picture import pictures

        return pictures(labels, plan, Path(path))[0]
    from shopbins.tags import draw

    if to == "pdf":
        return draw.render(labels, plan, Path(path), start)
    from shopbins.tags import spool
    from shopbins.tags.drawn import check

    drawn, problems = check(labels, plan, start)
    data, pages = draw.pdf(drawn, plan, start)
    spool.send(data, plan, os.fspath(path))
    return draw.rendered(drawn, pages, problems)
