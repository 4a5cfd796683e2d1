"""The desk's part about papers and pictures: reports of strip and refit, photographs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import BadInput
from shopbins.desk.strip import StripDesk

if TYPE_CHECKING:
    from shopbins.records.photos import PhotosFound


class PapersDesk(StripDesk):
    """What `Desk` can do about reports and photographs."""

    def write_report(
        self,
        kind: str,
        path: Path,
        machine: str | None = None,
        today: date | None = None,
        where: Sequence[str] = (),
    ) -> tuple[Path, list[str]]:
        """Write a list to a file (see lists/papers.py), whole or not at all.

        The file's ending says what sort it is; BadInput for another. `where` are conditions on its rows;
        what could not be compared is returned in words.
        """
        from shopbins.desk.problems import translated
        from shopbins.lists.papers import KINDS, TABLES, TYPES, About, report
        from shopbins.outputs import write_output

        sort = path.suffix.lower().lstrip(".")
        if sort not in TYPES:
            raise BadInput(f"{path}: a report is a file that ends in .{', .'.join(TYPES)}")
        if kind not in KINDS:
            raise BadInput(f"there is no report '{kind}' (one of: {', '.join(KINDS)})")
        if where and kind not in TABLES:
            raise BadInput(f"'{kind}' is of everything: it is not narrowed by a condition")
        found = self.search(TABLES[kind], where) if where else None
        only = None if found is None else frozenset(str(doc.doc_id) for doc in found.docs)
        about = About(
            self.state,
            self.hints,
            self.audit,
            self.shop.name,
            today or date.today(),
            machine,
            tuple(where),
            only,
            self.shop.machines,
        )
        with translated():
            write_output(path, report(kind, sort, about))
        return path, [] if found is None else found.not_compared

    # -- photographs

    def read_photos(self, folder: Path, tick: Callable[[int, int], Any] | None = None) -> PhotosFound:
        """Read a folder of photographs: which belong to which group; nothing is written.

        `tick(done, of)` is called as it goes. BadInput where reading tags from pictures is not installed.
        """
        from shopbins.desk.problems import translated
        from shopbins.records.photos import look_through

        with translated():
            return look_through(folder, self.state, self.shop.prefix, tick)

    def import_photos(self, found: PhotosFound) -> int:
        """Copy photographs into the ledger's folder and record whose they are; return how many were new."""
        from shopbins.desk.problems import translated
        from shopbins.records.photos import keep, photos_draft

        with translated():
            new = keep(found, self.state, self.ledger.folder)
        if new:
            self.record(lambda state: photos_draft(state, found))
        return new
