"""Writing the demo into a folder: the shop file, and a ledger filled by the same acts people use."""

from __future__ import annotations

import contextlib
import os
import shutil
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.demo.groups import Evening, Item, evenings
from shopbins.ledger.endmark import BESIDE
from shopbins.ledger.files import Files
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InGroup, Whereabouts
from shopbins.ledger.problems import LedgerProblem
from shopbins.outputs import check_output
from shopbins.records import acts, acts_move
from shopbins.records import machine as machine_record
from shopbins.records.moving import moving_from

if TYPE_CHECKING:
    from shopbins.ledger.events import Draft
    from shopbins.shop.model import Shop

SHOP_FILE, LEDGER = "shop.yaml", "shop.ledger"
BLANKS = 21
BEGINS_AT, SECONDS_A_STEP = 19, 95.0
LEFT_AT_LEAST = timedelta(hours=10)
"""How long before now an evening began at the latest: even after midnight the last one is hours ago."""


class DemoProblem(Exception):  # noqa: N818 - an answer to a person
    """Why no demo was written, in one line; `there` where a shop is in the folder already."""

    def __init__(self, text: str, *, there: bool = False) -> None:
        super().__init__(text)
        self.there = there


def sample_shop() -> Path:
    """Return the demo's shop file: in the package once built, else at the top of the project."""
    packed = Path(__file__).with_name("sample_shop.yaml")
    return packed if packed.exists() else Path(__file__).parents[2] / "sample_shop.yaml"


def write_demo(
    folder: str | os.PathLike[str],
    by: str = "demo",
    today: date | None = None,
    opened: datetime | None = None,
) -> Path:
    """Write the demo's shop and ledger into `folder`, return the shop file's path.

    Dates count back from `today`; the last evening is some hours before `opened` (now), whatever the clock
    says. Nothing there is changed: DemoProblem where the folder has a shop already, or cannot be written. The
    shop file comes last, so a half-written demo is none.
    """
    opened = opened or datetime.now()
    home = Path(folder)
    shop_file, ledger = home / SHOP_FILE, home / LEDGER
    for each in (shop_file, ledger):
        if os.path.lexists(each):
            raise DemoProblem(f"{each}: is there already; nothing was changed", there=True)
    if home.is_dir():
        try:
            check_output(shop_file)
        except OSError as error:
            raise DemoProblem(_line(error, home)) from None
    building, copied = home / f".{LEDGER}.{os.getpid()}", home / f".{SHOP_FILE}.{os.getpid()}"
    try:
        home.mkdir(parents=True, exist_ok=True)
        _fill(building, by, opened, today or opened.date())
        _write_new(copied, sample_shop().read_bytes())
        _put_there(building, ledger, copied, shop_file)
    except (OSError, LedgerProblem) as error:
        raise DemoProblem(_line(error, home)) from None
    finally:
        shutil.rmtree(building, ignore_errors=True)
        for each in (copied, Path(f"{building}{BESIDE}")):
            with contextlib.suppress(OSError):
                each.unlink()
    return shop_file


def _put_there(building: Path, ledger: Path, copied: Path, shop_file: Path) -> None:
    """Give both their names, or neither."""
    building.rename(ledger)
    try:
        copied.rename(shop_file)
        Files().sync_folder(str(shop_file.parent))
    except OSError:
        shutil.rmtree(ledger, ignore_errors=True)
        raise


def _line(error: OSError | LedgerProblem, home: Path) -> str:
    """Say in one line what the disk or the ledger objected to."""
    if isinstance(error, OSError):
        return f"{error.filename or home}: {error.strerror or error}"
    return str(error)


def _write_new(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


class _AllAtOnce(Files):
    """The disk without waiting after each event: nobody is told of the demo before it is all there."""

    def sync(self, handle: int) -> None:
        """Do nothing; `_fill` flushes what was written when it is done."""

    def sync_folder(self, path: str) -> None:
        """Do nothing, as `sync`."""


@dataclass(slots=True)
class _Writing:
    """A ledger being filled, with a clock of its own."""

    ledger: Ledger
    shop: Shop
    today: date
    now: list[float]
    opened: datetime
    known: dict[str, str] = field(default_factory=dict)

    def record(self, draft_of: Draft) -> list[str]:
        """Record a draft and return the keys of its subjects."""
        event = self.ledger.transact(lambda _state: draft_of)
        self.now[0] += SECONDS_A_STEP
        return [subject.partition(":")[2] for subject in event.subjects]


def _fill(folder: Path, by: str, opened: datetime, today: date) -> None:
    """Fill a new ledger and leave it durable on the disk."""
    from shopbins.shop.reader import read

    shop = read(sample_shop())
    now = [0.0]
    plan = evenings()
    with Ledger.open(folder, by=by, prefix=shop.prefix, files=_AllAtOnce(), clock=lambda: now[0]) as ledger:
        writing = _Writing(ledger, shop, today, now, opened)
        _start(writing, plan[0])
        blanks = writing.record(acts.issue_blanks(ledger.state, BLANKS))
        for evening in plan:
            _spend(writing, evening, blanks)
        _describe(writing, plan)
    for each in folder.iterdir():
        handle = os.open(each, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _start(w: _Writing, first: Evening) -> None:
    """Record the machines, and print tags for every zone and level."""
    from shopbins.tags.labels import places

    _at_evening(w, first)
    for key, machine in w.shop.machines.items():
        given = {"name": machine.name, "owner": machine.owner, "job": machine.job}
        w.record(machine_record.add(w.ledger.state, key, **given))
    w.record(acts.issue_place_codes(w.ledger.state, places(w.shop)))
    codes = [code for place in places(w.shop) if (code := w.ledger.state.place_code(place)) is not None]
    w.record(acts.mark_tagged(w.ledger.state, codes))


def _at_evening(w: _Writing, evening: Evening) -> None:
    day = w.today - timedelta(days=evening.days_ago)
    begins = datetime(day.year, day.month, day.day, BEGINS_AT)
    if w.today == w.opened.date():
        begins = min(begins, w.opened - LEFT_AT_LEAST)
    w.now[0] = max(w.now[0], begins.timestamp())


def _spend(w: _Writing, evening: Evening, blanks: list[str]) -> None:
    """Record one evening: what came off, what was found lying there, and which tags were printed."""
    _at_evening(w, evening)
    printed = []
    for item in evening.items:
        group_id = _take(w, item, evening)
        if item.tagged:
            printed.append(w.ledger.state.group(group_id).code)
    for place in evening.blanks:
        w.record(acts.lay_blank(w.ledger.state, blanks.pop(0), place))
    w.record(acts.mark_tagged(w.ledger.state, printed))


def _take(w: _Writing, item: Item, evening: Evening) -> str:
    """Record one group, and where it went."""
    where: Whereabouts = None if item.anyway else item.at
    if item.held is not None:
        how, ref = item.held
        where = InGroup(w.known[ref], "on" if how == "on" else "in")
    draft = acts.take(w.ledger.state, item.name, where=where, ordered=not evening.catch_up, **item.fields)
    group_id = w.record(draft)[0]
    if item.ref:
        w.known[item.ref] = group_id
    if item.going is not None:
        due = item.going.days
        until = None if due is None else (w.today + timedelta(days=due)).isoformat()
        since = (w.today - timedelta(days=evening.days_ago - 1)).isoformat()
        going = item.going
        w.record(acts.send_away(w.ledger.state, group_id, going.to, until, going.reason, since))
    if item.anyway:
        _lay_anyway(w, group_id, item)
    return group_id


def _describe(w: _Writing, plan: list[Evening]) -> None:
    """Record what is known of the big things for moving them, once every part of theirs is on record."""
    for item in (each for evening in plan for each in evening.items if each.move is not None):
        doc = dict(item.move or {})
        doc["comes_off"] = [{**p, "group": w.known[p["group"]]} for p in doc.get("comes_off", ())]
        w.record(acts_move.describe(w.ledger.state, w.known[item.ref], moving_from(doc)))


def _lay_anyway(w: _Writing, group_id: str, item: Item) -> None:
    """Lay a group down where it stops something, with the reason on record as a person would give it."""
    from shopbins.placing.laying import lay_down

    if item.at is not None:
        lay_down(w.ledger, w.shop, group_id, item.at, override=item.anyway)
        w.now[0] += SECONDS_A_STEP
