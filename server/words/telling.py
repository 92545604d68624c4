"""What every sentence needs to know: the moment, the shop's time zone, and what people call things."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from server.reading import Alert
from server.words.sentence import When


@dataclass(frozen=True, slots=True)
class Telling:
    """``names`` are what a person calls zones and sensors, by id; a thing without one goes by its id."""

    now_ms: int
    timezone: str
    names: Mapping[str, str] = field(default_factory=dict)

    def name(self, subject: str) -> str:
        """What a person calls it."""
        return self.names.get(subject, subject)

    def at(self, t_ms: int) -> When:
        """A moment, to be said as near to now as it is."""
        return When(t_ms, self.now_ms, self.timezone)

    def day(self, t_ms: int) -> When:
        """A day of the week."""
        return When(t_ms, self.now_ms, self.timezone, "day")

    def date(self, t_ms: int) -> When:
        """A day of the year."""
        return When(t_ms, self.now_ms, self.timezone, "date")


def zone_of(alert: Alert) -> str:
    """The zone an alert is about: its own subject, or where its sensor hangs."""
    return str(alert.values.get("zone", alert.subject))


def limit(value_pct: float) -> float | int:
    """A limit as people write it: 6, not 6.0; 6.5 stays."""
    return int(value_pct) if float(value_pct).is_integer() else round(value_pct, 1)
