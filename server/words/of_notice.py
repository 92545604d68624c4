"""What the instrument says about itself: its wires, its clock, its record; and the steps on an empty wall."""

from __future__ import annotations

from dataclasses import dataclass

from server.reading import Flag, SourceState, Word, ZoneAir
from server.words.sentence import Sentence
from server.words.telling import Telling

LOST = {"mqtt": "source-lost", "serial": "port-lost"}
"""Kind of source to the notice that it is lost; any other kind is a wire."""
NEWS_MS = 600_000
"""How long it is worth saying that a wire was away, or that the server started again."""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something the shop should know about its own instrument. ``key`` names its kind."""

    key: str
    word: Word
    title: Sentence
    why: Sentence


def source_notice(telling: Telling, source: SourceState) -> Notice | None:
    """A wire that is lost or refused; None for one that is well."""
    name = telling.name(source.source)
    at = telling.at(source.since_ms)
    if source.state == "refused":
        key, reason = "source-refused", source.last_error.strip().rstrip(".") or "no"
        why = Sentence(f"notice-{key}-why", {"reason": reason})
    elif source.state == "lost":
        key = LOST.get(source.kind, "wire-lost")
        why = Sentence(f"notice-{key}-why", {"source": name, "at": at} if key == "port-lost" else {"at": at})
    else:
        return None
    return Notice(key, "look", Sentence(f"notice-{key}-title", {"source": name}), why)


def back_notice(telling: Telling, source: SourceState) -> Notice | None:
    """A wire that was away until a moment ago, so that a short loss is told too; None for any other."""
    if source.state != "listening" or not source.reconnects or telling.now_ms - source.since_ms >= NEWS_MS:
        return None
    # A broker and its devices keep what they could not hand on; a serial line cannot.
    why = "notice-source-back-kept-why" if source.kind == "mqtt" else "notice-source-back-why"
    title = Sentence(
        "notice-source-back-title", {"source": telling.name(source.source), "at": telling.at(source.since_ms)}
    )
    return Notice("source-back", "wait", title, Sentence(why))


def restarted_notice(telling: Telling, started_ms: int) -> Notice:
    """The server started again over an older record."""
    title = Sentence("notice-server-restarted-title", {"at": telling.at(started_ms)})
    return Notice("server-restarted", "wait", title, Sentence("notice-server-restarted-why"))


def clock_notice() -> Notice:
    """The wall clock is not set."""
    return _plain("clock-not-set", "look")


def store_notice() -> Notice:
    """Nothing can be written: the record itself is being lost."""
    return _plain("store-full", "act")


def apart_notice(telling: Telling, air: ZoneAir) -> Notice | None:
    """Sensors of one zone that say different airs; None where they agree."""
    if not air.flags & Flag.WITNESSES_APART:
        return None
    title = Sentence("notice-sensors-apart-title", {"zone": telling.name(air.zone)})
    return Notice("sensors-apart", "look", title, Sentence("notice-sensors-apart-why"))


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


def _plain(key: str, word: Word) -> Notice:
    return Notice(key, word, Sentence(f"notice-{key}-title"), Sentence(f"notice-{key}-why"))
