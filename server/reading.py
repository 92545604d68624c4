"""Every value that crosses a stage. Behaviour lives in the stage's own folder; here are only the shapes.

A *series* is named ``owner/quantity``: the owner is a sensor's id or ``zone:`` and a zone's id. Times are ms since 1970
UTC, durations are seconds, every other name carries its unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntFlag
from typing import Literal

from server.reason import Reason

ZONE_QUANTITIES = ("temperature_c", "vapour_pressure_pa", "humidity_pct", "emc_pct")
Word = Literal["ready", "wait", "look", "act"]
Lean = Literal["dry", "damp", "none"]
OVER_MS = "returned_ms"  # among the values of an alert: when its condition went, a label
Asks = Literal["now", "round", "nothing"]
"""Of a person: to do or look in time (only this rings), to look at the next closing round, or nothing: news."""


class Flag(IntFlag):
    """Why a reading is not plainly good. Stored as this number, so the bits never change meaning.

    ``STUCK`` has not moved for too long, or stands at its wet end (then with ``SATURATED``); ``UNPLACED`` does not
    stand in its zone: nobody configured it, or it hangs over a salt. ``SENTINEL`` is what a dead chip says, ``HEATING``
    was measured while the sensor's own heater ran or cooled down, ``CORRECTED`` carries an offset or a salt check's
    correction, ``RELABELLED`` was written before the clock was set and moved to its right time since, ``IMPORTED``
    comes from another logger's file, ``UNCORRECTED`` wants a correction for which its temperature is not known yet.
    """

    NONE = 0
    RANGE = 1
    RATE = 2
    STUCK = 4
    SATURATED = 8
    RETAINED = 16
    DUPLICATE = 32
    OUT_OF_ORDER = 64
    TIME = 128
    CLOCK_UNSET = 256
    WITNESSES_APART = 512
    UNPLACED = 1024
    BACKLOG = 2048
    OUTSIDE_FIT = 4096
    SENTINEL = 8192
    HEATING = 16384
    CORRECTED = 32768
    RELABELLED = 65536
    IMPORTED = 131072
    UNCORRECTED = 262144


INFORMATIVE = Flag.SATURATED | Flag.TIME | Flag.CLOCK_UNSET | Flag.WITNESSES_APART | Flag.OUTSIDE_FIT | Flag.CORRECTED
INFORMATIVE |= Flag.RELABELLED | Flag.IMPORTED
"""Flags that a good reading may carry; any other keeps it from moving anything."""
SPOILING = int(~INFORMATIVE)  # the others, as a plain number: arithmetic on enum members is slow for every reading


@dataclass(frozen=True, slots=True)
class Reading:
    """One screened value of one series. ``raw`` is what the device said where that differs, else None."""

    series: str
    t_ms: int
    value: float
    flags: Flag = Flag.NONE
    raw: float | None = None

    @property
    def good(self) -> bool:
        """Whether it may move anything: the zone's air, an alert, the model."""
        return self.flags == 0 or not int(self.flags) & SPOILING


@dataclass(frozen=True, slots=True)
class Correction:
    """What a salt check found of a sensor: humidity as it should be = ``gain`` x what it says + ``offset_pct``, good to
    ``uncertainty_pct`` (± % RH); ``made_ms`` is when."""

    gain: float = 1.0
    offset_pct: float = 0.0
    uncertainty_pct: float = 0.0
    made_ms: int = 0

    def corrected_pct(self, humidity_pct: float) -> float:
        """% RH, not held within 0..100."""
        return self.gain * humidity_pct + self.offset_pct


@dataclass(frozen=True, slots=True)
class Refused:
    """A payload that could not be read, as stored."""

    source: str
    t_ms: int
    where: str
    payload: bytes
    reason: str


@dataclass(frozen=True, slots=True)
class ZoneAir:
    """The combined air of a zone at one moment: mean temperature, mean vapour pressure, and what follows from them."""

    zone: str
    t_ms: int
    temperature_c: float
    vapour_pressure_pa: float
    humidity_pct: float
    dew_point_c: float
    emc_pct: float
    emc_low_pct: float
    emc_high_pct: float
    flags: Flag = Flag.NONE


@dataclass(frozen=True, slots=True)
class ClosedBin:
    """Half an hour of a zone's air, time-weighted over good readings; ``end_ms`` is a multiple of 30 minutes UTC."""

    zone: str
    end_ms: int
    temperature_c: float
    vapour_pressure_pa: float
    emc_pct: float
    covered: float
    """Share of the half hour for which there was air to speak of, 0..1."""


@dataclass(frozen=True, slots=True)
class Aim:
    """The band of moisture content that work lying in a zone must live in."""

    dry_limit_pct: float
    damp_limit_pct: float
    destination: str
    source: str


@dataclass(frozen=True, slots=True)
class OutlookPoint:
    """What a zone's air is expected to draw wood to, with the central 80 %."""

    t_ms: int
    emc_pct: float
    emc_low_pct: float
    emc_high_pct: float


@dataclass(frozen=True, slots=True)
class SourceState:
    """How a wire is doing, for Setup and for the health document."""

    source: str
    kind: str
    where: str
    state: Literal["starting", "listening", "lost", "refused", "stopped"]
    since_ms: int
    silent_since_ms: int | None
    heard: int
    refused: int
    dropped: int
    reconnects: int
    last_bytes: str
    last_error: str


@dataclass(frozen=True, slots=True)
class RecordState:
    """How the local record is doing. ``since_ms`` is when it last stopped (or began again) to take rows; ``ring_rows``
    wait in memory meanwhile and ``ring_dropped`` were given up there since this failure began, oldest first;
    ``salvaged_ms`` is when a damaged file was last replaced by what could be read of it. Bytes are None where the
    medium does not say."""

    writable: bool = True
    since_ms: int | None = None
    error: str = ""
    ring_rows: int = 0
    ring_dropped: int = 0
    free_bytes: int | None = None
    log_bytes: int = 0
    salvaged_ms: int | None = None
    backup_ms: int | None = None
    backup_error: str = ""


@dataclass(frozen=True, slots=True)
class RemoteState:
    """How the copy to one remote is doing. ``behind_rows`` are stored here and not yet there, the oldest of them
    ``behind_s`` old; ``held`` waits for the remote, ``refused`` for a person (``error`` says which); ``condemned`` rows
    were refused for their content and lie in the dead-letter table. ``left_s`` is how long the rest takes at the
    speed of late, None while that is not known."""

    remote: str
    where: str
    state: Literal["sending", "idle", "held", "refused"]
    since_ms: int
    sent: int
    behind_rows: int
    behind_s: float
    condemned: int = 0
    error: str = ""
    left_s: float | None = None


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What lies around the spine, as rules may look at it."""

    sources: tuple[SourceState, ...] = ()
    record: RecordState = RecordState()
    remotes: tuple[RemoteState, ...] = ()


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One thing a person did. ``id`` is made by whoever wrote it, so that twice is once."""

    id: str
    t_ms: int
    kind: str
    subject: str
    data: dict[str, object]


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """The state of a lot's wood at a midnight of UTC, as the model keeps it."""

    at_ms: int
    lot: str
    state: bytes


MadeKind = Literal["zone", "source", "sensor", "destination", "shop"]


@dataclass(frozen=True, slots=True)
class Made:
    """A table that a person made at the wall instead of in the configuration file: ``kind`` is the table it would be
    there, ``data`` its keys as given. Of the table ``shop``, which there is once, the keys that were set."""

    kind: MadeKind
    id: str
    data: dict[str, object]
    made_ms: int


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says about one subject this turn: whether its raise or clear condition holds, and the figures.
    ``unknown``: nothing is known of it this turn, as in a silence of its sensors, which neither breaks nor ends a wait.
    ``told_after``: what comes and goes while nobody is there is told afterwards. ``urgent``: it waits for no hours."""

    rule: str
    subject: str
    raise_holds: bool
    clear_holds: bool
    word: Word
    lean: Lean
    values: dict[str, float | int | str]
    raise_after_s: float = 0.0
    clear_after_s: float = 0.0
    asks: Asks = "now"
    unknown: bool = False
    stays: Word | None = None  # an alert of this word keeps it, though it was not raised with it: for words on a limit
    suppressed_by: Reason | None = None
    told_after: bool = False
    urgent: bool = False


AlertState = Literal["normal", "unacknowledged", "acknowledged", "returned", "shelved", "suppressed"]
"""As in ISA-18.2 / IEC 62682: *returned* is back to normal but not yet acknowledged."""


@dataclass(frozen=True, slots=True)
class Alert:
    """An alert as it stands. One per (rule, subject); the id names this spell of it."""

    id: str
    rule: str
    subject: str
    state: AlertState
    word: Word
    lean: Lean
    raised_ms: int
    changed_ms: int
    shelved_until_ms: int | None
    values: dict[str, float | int | str]
    suppressed_by: Reason | None = None
    asks: Asks = "now"
    urgent: bool = False

    @property
    def over_unseen(self) -> bool:
        """It came and went while it was kept back, and waits to be told: it is still suppressed."""
        return self.state == "suppressed" and OVER_MS in self.values
