"""Whether the instrument itself is well: the record, the wires, what was not believed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

from server.faults import Fault
from server.reading import Flag
from server.stores.port import History
from server.words import Sentence, Words, render

DAY_MS = 86_400_000
StoreState = Literal["writing", "full"]


@dataclass(frozen=True, slots=True)
class Vitals:
    """What the running server knows of itself, as the app hands it over."""

    version: str
    now_ms: int
    up_s: float
    clock_is_set: bool
    store: StoreState
    store_error: str
    queued: int
    dropped: int
    turns: int
    readings: int
    sources: dict[str, str]
    broker: str | None
    restarted: bool
    rejected: Mapping[str, Mapping[Flag, int]] = field(default_factory=dict)
    """Per series and reason, what was not believed since the start."""
    clock_jumps: int = 0
    clock_moved_by_ms: int = 0
    not_watched: Mapping[str, str] = field(default_factory=dict)
    """Per rule without its input, the key of the sentence that says why."""
    faults: Sequence[Fault] = ()


class Reason(BaseModel):
    """A sentence with the key and figures it was made from."""

    model_config = ConfigDict(extra="forbid")
    text: str
    key: str
    values: dict[str, float | int | str]


class FaultDocument(BaseModel):
    """A bug of ours in a ``part`` that works beside the engine: ``times`` since the start, the last ``about`` that lot
    or zone. The log has its trace, once."""

    model_config = ConfigDict(extra="forbid")
    part: str
    what: str
    where: str
    about: str
    times: int
    first_ms: int
    last_ms: int


class HealthDocument(BaseModel):
    """Counts are since the start but for ``rejected``: per sensor and reason, in a day (``rejected_since_start``
    is told without looking into the record). ``clock_jumps`` is how often the wall clock was
    set or stepped, ``clock_moved_by_ms`` by how much what was written before it was set has been moved.
    ``not_watched``: why a rule has nothing to look at; ``faults``: what of ours is broken."""

    model_config = ConfigDict(extra="forbid")
    version: str
    now_ms: int
    up_s: float
    clock_set: bool
    store: StoreState
    store_error: str
    store_bytes: int
    log_bytes: int
    queued: int
    dropped: int
    turns: int
    readings: int
    sources: dict[str, str]
    broker: str | None
    restarted: bool
    clock_jumps: int
    clock_moved_by_ms: int
    rejected: dict[str, dict[str, int]]
    rejected_since_start: dict[str, dict[str, int]]
    not_watched: dict[str, Reason]
    faults: list[FaultDocument]


def health(vitals: Vitals, history: History, store_file: Path, lang: str = "en") -> HealthDocument:
    """The document. Reads the record, so it is called off the event loop.

    Raises WordsError for a language there is no file for.
    """
    words = Words(lang)
    rejected = history.rejections(vitals.now_ms - DAY_MS, vitals.now_ms + 1)
    return HealthDocument(
        version=vitals.version,
        now_ms=vitals.now_ms,
        up_s=round(vitals.up_s, 1),
        clock_set=vitals.clock_is_set,
        store=vitals.store,
        store_error=vitals.store_error,
        store_bytes=_size(store_file),
        log_bytes=_size(store_file.with_name(store_file.name + "-wal")),
        queued=vitals.queued,
        dropped=vitals.dropped,
        turns=vitals.turns,
        readings=vitals.readings,
        sources=vitals.sources,
        broker=vitals.broker,
        restarted=vitals.restarted,
        clock_jumps=vitals.clock_jumps,
        clock_moved_by_ms=vitals.clock_moved_by_ms,
        rejected=_by_reason(rejected),
        rejected_since_start=_by_reason(vitals.rejected),
        not_watched={
            rule: Reason.model_validate(render(Sentence(key), words)) for rule, key in vitals.not_watched.items()
        },
        faults=[FaultDocument(**asdict(fault)) for fault in vitals.faults],
    )


def _by_reason(rejected: Mapping[str, Mapping[Flag, int]]) -> dict[str, dict[str, int]]:
    return {
        series: {_name(flag): n for flag, n in counts.items()}
        for series, counts in rejected.items()
        if not series.startswith("zone:")
    }


def _name(flag: Flag) -> str:
    return "+".join((f.name or "?").lower().replace("_", "-") for f in flag)


def _size(file: Path) -> int:
    try:
        return file.stat().st_size
    except FileNotFoundError:
        return 0
