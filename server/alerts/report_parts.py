"""The parts of the report on how well the alerts serve, as it is sent."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from server.reading import Word


class Part(BaseModel):
    """A part of the report."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Measure(Part):
    """One figure; its ``key`` names the sentence that says what it is. ``acceptable`` is the standards' bound for what
    is very likely to be borne, ``most`` for what can just be managed; both None where they give none. ``provenance``
    says where the bound is from."""

    key: str
    value: float
    unit: str
    acceptable: float | None = None
    most: float | None = None
    holds: bool | None = None
    provenance: Literal["memory", "ours", "none"] = "memory"

    @property
    def title_key(self) -> str:
        """Of the sentence that says what it is."""
        return f"measure-{self.key.replace('_', '-')}"


class Frequent(Part):
    """How often one alert was annunciated, and what share of all that is. Of a rule alone, ``subject`` is empty."""

    rule: str
    subject: str
    count: int
    share_pct: float


class WordShare(Part):
    """How many alarms bore a word."""

    word: Word
    count: int
    share_pct: float
    bound_pct: float | None


class Chattering(Part):
    """An alert that was raised ``raises`` times within ``within_s``, at the most."""

    rule: str
    subject: str
    raises: int
    within_s: float


class Span(Part):
    """A time for which an alert stood, was shelved or suppressed, clipped to the report's; ``goes_on`` at its end.
    ``reason`` is the key of the sentence that says why it was suppressed."""

    alert: str
    rule: str
    subject: str
    from_ms: int
    hours: float
    goes_on: bool
    reason: str | None = None


class Acknowledging(Part):
    """From an annunciation until a person acknowledged it, in seconds; ``waiting`` are those nobody has at the end.
    ``by_itself`` went, were shelved or suppressed before anybody did."""

    count: int
    median_s: float | None
    ninetieth_s: float | None
    longest_s: float | None
    by_itself: int
    waiting: int


class Report(Part):
    """All of it, for one span of time."""

    from_ms: int
    to_ms: int
    annunciated: int
    measures: list[Measure]
    most_frequent: list[Frequent]
    most_frequent_rules: list[Frequent]
    by_word: list[WordShare]
    chattering: list[Chattering]
    coming_and_going: list[Chattering]
    stale: list[Span]
    shelved: list[Span]
    suppressed: list[Span]
    acknowledging: Acknowledging
