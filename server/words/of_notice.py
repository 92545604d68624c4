"""What the instrument says about itself: its wires, its clock, its record; and the steps on an empty wall."""

from __future__ import annotations

from dataclasses import dataclass

from server.reading import Flag, SourceState, Word, ZoneAir
from server.words.of_instrument import LOST, back_words, lost_words
from server.words.sentence import Sentence
from server.words.telling import Telling

NEWS_MS = 600_000
"""How long it is worth saying that a wire was away, or that the server started again."""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something the shop should know about its own instrument. ``key`` names its kind; ``alert`` is the rule and
    subject of the alert that says the same once it lasts."""

    key: str
    word: Word
    title: Sentence
    why: Sentence
    alert: tuple[str, str] | None = None


def source_notice(telling: Telling, source: SourceState) -> Notice | None:
    """A wire that is lost or refused; None for one that is well."""
    if source.state not in {"lost", "refused"}:
        return None
    refused = source.state == "refused"
    reason = (source.last_error.strip().rstrip(".") or "no") if refused else None
    said = lost_words(telling, source.source, source.kind, source.since_ms, reason)
    key = "source-refused" if refused else LOST.get(source.kind, "wire-lost")
    return Notice(key, "look", said.title, said.why, ("source-lost", source.source))


def back_notice(telling: Telling, source: SourceState) -> Notice | None:
    """A wire that was away until a moment ago, so that a short loss is told too; None for any other."""
    if source.state != "listening" or not source.reconnects or telling.now_ms - source.since_ms >= NEWS_MS:
        return None
    said = back_words(telling, source.source, source.kind, source.since_ms)
    return Notice("source-back", "wait", said.title, said.why, ("source-lost", source.source))


def restarted_notice(telling: Telling, started_ms: int) -> Notice:
    """The server started again over an older record."""
    title = Sentence("notice-server-restarted-title", {"at": telling.at(started_ms)})
    return Notice("server-restarted", "wait", title, Sentence("notice-server-restarted-why"))


def clock_notice() -> Notice:
    """The wall clock is not set."""
    return _plain("clock-not-set", "look", ("clock-unset", "clock"))


def store_notice() -> Notice:
    """Nothing can be written: the record itself is being lost."""
    return _plain("store-full", "act", ("record-failing", "record"))


def apart_notice(telling: Telling, air: ZoneAir) -> Notice | None:
    """Sensors of one zone that say different airs; None where they agree."""
    if not air.flags & Flag.WITNESSES_APART:
        return None
    title = Sentence("notice-sensors-apart-title", {"zone": telling.name(air.zone)})
    return Notice("sensors-apart", "look", title, Sentence("notice-sensors-apart-why"), ("sensors-apart", air.zone))


def outside_fit_notice(telling: Telling, air: ZoneAir) -> Notice | None:
    """Air for which the equation was not made; None for ordinary air."""
    if not air.flags & Flag.OUTSIDE_FIT:
        return None
    title = Sentence("notice-outside-fit-title", {"zone": telling.name(air.zone)})
    return Notice("outside-fit", "wait", title, Sentence("notice-outside-fit-why"))


def empty_wall(path: str) -> tuple[Sentence, tuple[Sentence, ...]]:
    """The title and the steps while there is no sensor; ``path`` is where the configuration lies."""
    first = Sentence("empty-line-1", {"path": path})
    return Sentence("empty-title"), (first, *(Sentence(f"empty-line-{n}") for n in (2, 3, 4)))


def _plain(key: str, word: Word, alert: tuple[str, str]) -> Notice:
    return Notice(key, word, Sentence(f"notice-{key}-title"), Sentence(f"notice-{key}-why"), alert)
