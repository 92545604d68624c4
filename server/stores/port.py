"""The seams of the record: :class:`Store` for writing (one writer), :class:`History` for reading (many readers)."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from server.reading import Alert, Checkpoint, Flag, JournalEntry, Made, Reading, Refused

if TYPE_CHECKING:
    from server.stores.remote import Outbox

Resolution = Literal["raw", "hour", "day"]
Reply = dict[str, object]
"""The JSON object that was answered to a command."""
Command = tuple[str, Reply]
"""A command's id, made by whoever sent it, and what it is answered."""


Note = tuple[str, str | None]
"""A setting of the file and what it says; None takes it away."""


class StoreError(Exception):
    """Root of what goes wrong with the record.

    StoreError
    ├── StoreFull      no room, or the medium is read-only: nothing was written, nothing may be acknowledged
    ├── StoreBusy      another program holds this state folder
    └── StoreDamaged   the file fails its check; at a start it is salvaged instead
    """


class StoreFull(StoreError):
    """The disk is full or read-only; the transaction was rolled back whole."""


class StoreBusy(StoreError):
    """Another Stillstack runs on the same state folder."""


class StoreDamaged(StoreError):
    """The file failed its check, or could not be read; the text names the file and what was said."""


class OtherCommand(Exception):
    """A command id, or an entry's, that was used for something else before. The text names the id."""


@dataclass(frozen=True, slots=True)
class Rollup:
    """One hour or day of one series, from good readings only. ``start_ms`` in UTC; a day begins in the shop's zone."""

    series: str
    start_ms: int
    minimum: float
    mean: float
    maximum: float
    count: int


DAILY_FOR_DAYS, MONTH_DAYS = 100, 30
"""Of checkpoints older than so many days before the newest, one day in so many stays."""


def worth_keeping(at_ms: int, newest_ms: int) -> bool:
    """Whether a checkpoint of that midnight stays when there are some of ``newest_ms``."""
    return at_ms >= newest_ms - DAILY_FOR_DAYS * 86_400_000 or at_ms // 86_400_000 % MONTH_DAYS == 0


@dataclass(frozen=True, slots=True)
class Boot:
    """A stretch of one boot's time. ``token`` names the run of the machine's monotonic clock, ``wall_minus_mono_ms`` is
    what makes a label of it. Where the clock is not set, ``first_ms`` is the first label of the stretch: what is
    flagged CLOCK_UNSET from there on is moved once it is set; ``moved_by_ms`` says by how much that was."""

    id: int
    token: str
    wall_minus_mono_ms: int
    clock_set: bool
    first_ms: int
    moved_by_ms: int = 0


class Store(Protocol):
    """The one writer. Every call is one transaction: all of it is kept when it returns, or none of it. Readings are
    then safe from the death of the program, not yet from a power cut: the machine brings them to the medium in its own
    time, about half a minute, at the latest with the next call that is fully synced. A value that cannot be kept is a
    :class:`ValueError` that names it, and nothing of that call is written."""

    @property
    def outbox(self) -> Outbox:
        """What remotes are fed from."""

    async def append(
        self, readings: Sequence[Reading], refused: Sequence[Refused] = (), entries: Sequence[JournalEntry] = ()
    ) -> None:
        """Readings with their rollups, refused payloads, and what the journal says of them (then fully synced). Same
        (series, t_ms) and value: nothing happens, whatever its flags; another value replaces it and the old one is
        kept. Raises :class:`StoreFull`: then nothing of it was written, the caller still holds the rows, and may try
        again (:mod:`server.keeping` does)."""

    async def add_journal(
        self, entries: Sequence[JournalEntry], unsettles: tuple[Collection[str], int] | None = None
    ) -> int:
        """Append what people did, fully synced; entries whose id is there already are left alone. Returns how many
        were new. ``unsettles`` names lots and a moment: what is told changes their past from there on, so their later
        checkpoints go in the same transaction."""

    async def keep_checkpoints(self, checkpoints: Sequence[Checkpoint], mark: str | None) -> bool:
        """Keep states of lots; one of the same lot and moment is replaced. Older than a hundred days before the newest
        of them, one day in thirty stays. A zone's air that comes late, :meth:`add_journal` and :meth:`set_clock` forget
        what they make untrue. ``mark`` is what :meth:`History.lots_mark` said before these were worked out: if any past
        was changed since, nothing is kept and the answer is False."""

    async def forget_stale(self) -> bool:
        """Delete some of the checkpoints that are no longer true where there were too many for one transaction; whether
        there are more. None of them is read any more, and none is kept before all have gone."""

    async def put_alerts(
        self, alerts: Sequence[Alert], command: Command | None = None, entries: Sequence[JournalEntry] = ()
    ) -> Reply | None:
        """Keep each alert's newest state and append the change to its history, fully synced; one that is as it was kept
        is left alone. With a command, its reply and what the journal says of it are kept in the same transaction; if
        its id was there already, nothing at all is written and the reply given then is returned, so that asking twice
        is asking once. Else None."""

    async def remember_command(self, command_id: str, t_ms: int, reply: Reply) -> Reply | None:
        """Keep what was answered to a command, fully synced. Returns the earlier reply if the id was there already
        (nothing is written then), else None."""

    async def change_made(
        self,
        command: Command,
        *,
        made: Sequence[Made] = (),
        gone: Sequence[tuple[str, str]] = (),
        entries: Sequence[JournalEntry] = (),
        remake: tuple[Note, int] | None = None,
    ) -> Reply | None:
        """Keep what a person made at the wall, forget what is ``gone`` (kind, id), and append what the journal says of
        it, fully synced and with the command as in :meth:`put_alerts`. ``remake`` says that zones' air is to be made
        anew from a moment on: the note of it, and the moment after which checkpoints of lots go."""

    async def replace_air(
        self, zones: Collection[str], from_ms: int, to_ms: int, air: Sequence[Reading], note: Note
    ) -> None:
        """``air`` is from now on all the air of these zones from ``from_ms`` and before ``to_ms``; ``note`` says how
        far that has come. What was there and is not in it stays with the flag UNPLACED. Hours, days, checkpoints of
        lots and remotes follow. Where raw readings were pruned nothing changes. Raises :class:`StoreFull`."""

    async def begin_boot(self, token: str, wall_minus_mono_ms: int, first_ms: int, *, clock_set: bool) -> Boot:
        """Note the stretch of time that begins, fully synced, before anything of it is written. One that goes on (same
        token, offset and first label, clock still not set) is given back as it is."""

    async def set_clock(self, boot: int, wall_minus_mono_ms: int, entry: JournalEntry) -> int:
        """The clock of this stretch is set: move all that is its own to the time it happened, with ``entry`` to tell of
        it, in one fully synced transaction. Returns by how many ms; a stretch that is set already is left alone.

        Moved are readings flagged CLOCK_UNSET (RELABELLED from then on; at a taken place they replace, as
        :meth:`append` does), refused payloads, journal entries, alerts and their changes, commands, and what these say
        under names in ``_ms``. Hours and days are made again where they were and where they are."""

    async def prune(self, series: str, before_ms: int, most: int) -> int:
        """Delete raw readings of a series from before the whole hour in which ``before_ms`` lies, about ``most`` of the
        oldest in this call; how many went, 0 when there is no more. Hours and days stay for ever; what comes later for
        such an hour is kept as refused. Raises :class:`StoreFull`."""

    async def keep_picture(self, picture: str, kind: str, data: bytes, entry: JournalEntry) -> bool | None:
        """Keep a picture under an id, with what the journal says of it, fully synced. False where it was there already,
        None where another one is: nothing is written then."""

    async def keep_setting(self, name: str, value: str) -> None:
        """Keep a word about the file itself, fully synced; an earlier one of that name goes."""

    async def close(self) -> None:
        """Write what is queued, checkpoint, and let the file go."""


class History(Protocol):
    """Reading the record. Each call opens and ends its own short read; none pins the write-ahead log."""

    def readings(self, series: str, from_ms: int, to_ms: int, *, good_only: bool = True) -> list[Reading]:
        """Raw readings with ``from_ms <= t_ms < to_ms``, in time order."""

    def columns(self, series: str, from_ms: int, to_ms: int) -> tuple[list[int], list[float]]:
        """Good readings as (times, values): the quick way to a chart."""

    def arrays(self, series: str, from_ms: int, to_ms: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """The same as arrays, for a year of them at once: the quick way to a model."""

    def rollups(self, series: str, resolution: Literal["hour", "day"], from_ms: int, to_ms: int) -> list[Rollup]:
        """Hours or days that begin in the range, in time order."""

    def extent(self, series: str, from_ms: int, to_ms: int) -> tuple[int, int]:
        """How many hours that begin in the range have readings, and how many good readings they hold."""

    def latest(self, series: str) -> Reading | None:
        """The newest reading of a series, good or not."""

    def last_before(self, series: str, before_ms: int) -> Reading | None:
        """The newest good reading of a series from before a moment."""

    def series_names(self) -> list[str]:
        """Every series of the record, by name."""

    def setting(self, name: str) -> str | None:
        """What was kept about the file itself under that name."""

    def settings(self, prefix: str) -> dict[str, str]:
        """All that was kept about the file under names that begin like that."""

    def picture(self, picture: str) -> tuple[str, bytes] | None:
        """A picture's media type and its bytes; None where there is none of that id."""

    def has_picture(self, picture: str) -> bool:
        """Whether there is one."""

    def raw_from_ms(self, series: str) -> int:
        """From when on raw readings of a series are kept; 0 where none were pruned."""

    def newest_ms(self) -> int | None:
        """Time of the newest reading of any series; None in an empty record."""

    def newest_label_ms(self) -> int | None:
        """The newest time in the record of anything that was dated when it happened; None in an empty record."""

    def boot(self) -> Boot | None:
        """The last stretch of time that began; None in a record that knows none."""

    def rejections(self, from_ms: int, to_ms: int) -> dict[str, dict[Flag, int]]:
        """Per series, how many readings carried each flag that kept them from moving anything."""

    def journal(self, kind: str | None = None, subject: str | None = None) -> list[JournalEntry]:
        """What people did, in time order."""

    def lots_mark(self) -> str | None:
        """Another one each time a past of lots was changed."""

    def checkpoint_edges(self, before_ms: int) -> list[int]:
        """The moments up to ``before_ms`` of which there is a checkpoint of any lot, the newest first."""

    def checkpoints(self, at_ms: int, lots: Collection[str]) -> list[Checkpoint]:
        """Those of these lots at that moment, by lot."""

    def made(self) -> list[Made]:
        """What people made at the wall and have not removed, oldest first."""

    def command(self, command_id: str) -> Reply | None:
        """What was answered to a command; None if it never came."""

    def alerts(self) -> list[Alert]:
        """Every alert that is not normal, as last kept."""

    def alert_changes(self, from_ms: int, to_ms: int) -> list[Alert]:
        """Every change of every alert in the range, in time order."""

    def alert(self, alert_id: str) -> Alert | None:
        """An alert as it was last kept, also one that is normal; None if it never was."""

    def alert_story(self, from_ms: int, to_ms: int) -> list[Alert]:
        """Every change in the range, and before it every change of the alerts that stood at its beginning, in the
        order they were made."""

    def alert_page(self, from_ms: int, to_ms: int, before: int, most: int) -> list[tuple[int, Alert]]:
        """The newest ``most`` changes in the range that were made before the one of number ``before``, each with its
        number, the newest first."""
