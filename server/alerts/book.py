"""The alerts as they stand: a value, replaced whole by every turn and every touch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Self

from server.reading import Alert, AlertState, Finding
from server.reason import Reason

Key = tuple[str, str]
"""(rule, subject): there is one alert for each."""
RAISES_KEPT_S = 86_400.0
"""For so long it is remembered when an alert was raised."""
BRIDGED_S = 6 * 3600.0
"""A silence of up to so long does not break a wait: what holds before and after it counts as having held meanwhile. A
radio that is heard now and then would else keep a warning back for ever. Of a longer one nobody knows. Common practice,
no source."""


WHILE_AWAY = "while_away"
"""Among the values of an alert that came and went while nobody was there."""


def to_state(
    alert: Alert, state: AlertState, now_ms: int, shelved_until_ms: int | None = None, why: Reason | None = None
) -> Alert:
    """The alert in another state from now on, suppressed for the reason ``why``. What was on the wall then counts as
    said."""
    values = dict(alert.values)
    if "past_limit_pct" in values:
        values["said_past_pct"] = values["past_limit_pct"]
    return replace(
        alert, state=state, changed_ms=now_ms, shelved_until_ms=shelved_until_ms, values=values, suppressed_by=why
    )


def told_after(alert: Alert, now_ms: int) -> Alert:
    """One that came and went while nobody was there, told now that somebody is: it asks for a look at the round."""
    return to_state(replace(alert, asks="round", values={**alert.values, WHILE_AWAY: 1}), "returned", now_ms)


class AlertError(Exception):
    """Root of what can be wrong with a command about an alert; carries what a problem document needs.

    AlertError
    ├── UnknownAlert    no alert that stands has this id
    ├── WrongState      this alert cannot go there from where it is
    └── ShelfTime       not a time an alert may be shelved for
    """

    def __init__(self, field: str, found: object, would_be_right: str) -> None:
        super().__init__(f"{field}: found {found!r}; would be right: {would_be_right}")
        self.field = field
        self.found = found
        self.would_be_right = would_be_right


class UnknownAlert(AlertError):
    """It never was, or it has gone back to normal since the picture was drawn."""


class WrongState(AlertError):
    """The text names the state it is in and from which states it would go."""


class ShelfTime(AlertError):
    """Too short, too long, or no number."""


@dataclass(frozen=True, slots=True)
class Watch:
    """What is remembered about one (rule, subject). Only ``alert`` outlives a restart.

    ``active`` is whether the condition counts as present after its times; None until the first finding after a restart
    where the stored state does not tell. ``since_s`` (monotonic) is since when what would change ``active`` has held.
    ``unknown_s`` (monotonic) is since when nothing has been known of it, None while something is.
    ``shelf_ends_s`` (monotonic) is when a shelved alert comes back. ``raised_s`` (monotonic) is when the alert was
    raised; None after a restart, where its label has to do. ``over_s`` (monotonic) is when the condition went, None
    while it is present. ``raises`` (monotonic, oldest first) are those of the last :data:`RAISES_KEPT_S`.
    """

    alert: Alert | None = None
    active: bool | None = False
    since_s: float | None = None
    shelf_ends_s: float | None = None
    raised_s: float | None = None
    over_s: float | None = None
    raises: tuple[float, ...] = ()
    unknown_s: float | None = None

    def unknown_since_s(self, finding: Finding, mono_s: float) -> float | None:
        """Since when nothing is known of it, after this finding."""
        if not finding.unknown:
            return None
        return mono_s if self.unknown_s is None else self.unknown_s


@dataclass(frozen=True, slots=True)
class AlertBook:
    """Every watch. Empty to begin with, or restored from the alerts the store kept."""

    watches: Mapping[Key, Watch] = field(default_factory=dict)

    @classmethod
    def restore(cls, alerts: Iterable[Alert], raises: Mapping[Key, tuple[float, ...]] | None = None) -> Self:
        """The book as it stood: each alert keeps its id, state and figures. Waits that had begun start
        anew, unless :func:`server.alerts.lifecycle.catch_up` is told what has been found meanwhile. ``raises``
        (monotonic) are those of the last day, as :func:`server.alerts.marks.raises_of` finds them."""
        watches: dict[Key, Watch] = {}
        raised = {} if raises is None else raises
        for alert in sorted(alerts, key=lambda a: a.changed_ms):
            watches.pop((alert.rule, alert.subject), None)
            if alert.state != "normal":
                active = False if alert.over_unseen else _ACTIVE_IN.get(alert.state)
                watches[alert.rule, alert.subject] = Watch(alert, active=active)
        return cls({k: replace(watches.get(k, Watch()), raises=raised.get(k, ())) for k in {**watches, **raised}})

    @property
    def alerts(self) -> list[Alert]:
        """Every alert that is not normal, oldest first."""
        return sorted(
            (w.alert for w in self.watches.values() if w.alert), key=lambda a: (a.raised_ms, a.rule, a.subject)
        )

    @property
    def standing(self) -> frozenset[Key]:
        """(rule, subject) of the alerts whose condition is present, in whatever state they are."""
        return frozenset(key for key, watch in self.watches.items() if watch.alert is not None and watch.active)

    def stands(self, rule: str, subject: str) -> bool:
        """Whether one of these does."""
        watch = self.watches.get((rule, subject))
        return watch is not None and watch.alert is not None and watch.active is True

    @property
    def kept_back(self) -> dict[Key, Reason]:
        """Why those that are suppressed are."""
        alerts = ((key, watch.alert) for key, watch in self.watches.items() if watch.alert is not None)
        return {key: one.suppressed_by for key, one in alerts if one.suppressed_by is not None}

    def find(self, alert_id: str) -> tuple[Key, Watch, Alert]:
        """The watch whose alert has this id. Raises :class:`UnknownAlert`."""
        for key, watch in self.watches.items():
            if watch.alert is not None and watch.alert.id == alert_id:
                return key, watch, watch.alert
        raise UnknownAlert("alert", alert_id, "the id of an alert in the snapshot")

    def with_watch(self, key: Key, watch: Watch) -> AlertBook:
        """This book with one watch replaced."""
        return AlertBook({**self.watches, key: watch})


_ACTIVE_IN = {"unacknowledged": True, "acknowledged": True, "suppressed": True, "returned": False}
"""Whether the condition is present in a state; shelved does not tell."""
