"""The changes of alerts read as a story: who went from which state to which, and how long anyone was in one. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from server.alerts.book import Key
from server.alerts.lifecycle import UNWATCHED
from server.alerts.shelving import PUT_AWAY
from server.reading import Alert, AlertState


@dataclass(frozen=True, slots=True)
class Step:
    """One change: the alert as it was afterwards, and the state before it."""

    before: AlertState
    alert: Alert

    @property
    def at_ms(self) -> int:
        return self.alert.changed_ms

    @property
    def key(self) -> Key:
        return self.alert.rule, self.alert.subject

    @property
    def annunciated(self) -> bool:
        """Whether somebody is asked to look who was not asked before it: a new alarm, in the standards' sense; also
        one that is said again because it got worse, or comes from the shelf or out of its suppression."""
        return self.alert.state == "unacknowledged" and self.before != "unacknowledged"

    @property
    def raised(self) -> bool:
        """Whether the condition came, as far as anybody was told."""
        return self.annunciated and self.before in ("normal", "returned")

    @property
    def acknowledged(self) -> bool:
        """Whether a person did it."""
        return self.alert.state == "acknowledged" or (PUT_AWAY in self.alert.values and self.alert.state == "normal")

    @property
    def unwatched(self) -> bool:
        """Whether it went because nobody looks any more."""
        return UNWATCHED in self.alert.values


@dataclass(frozen=True, slots=True)
class Stay:
    """A time that an alert spent in some states without a break. ``ended`` is False for one that goes on at the end of
    what was read; ``first`` is how it was when it came there."""

    first: Alert
    from_ms: int
    to_ms: int
    ended: bool

    def within_ms(self, from_ms: int, to_ms: int) -> int:
        """How much of it lies in a span, in ms."""
        return max(0, min(self.to_ms, to_ms) - max(self.from_ms, from_ms))


def steps_of(changes: Iterable[Alert]) -> list[Step]:
    """The changes, in the order they were made, each with the state before it."""
    states: dict[str, AlertState] = {}
    steps = []
    for change in changes:
        steps.append(Step(states.get(change.id, "normal"), change))
        states[change.id] = change.state
    return steps


def stays_of(steps: Sequence[Step], states: Iterable[AlertState], until_ms: int) -> Iterator[Stay]:
    """Every time that any alert spent in ``states``, those that go on until ``until_ms`` last."""
    wanted = frozenset(states)
    open_: dict[str, Alert] = {}
    for step in steps:
        name, first = step.alert.id, open_.get(step.alert.id)
        if first is not None and step.alert.state not in wanted:
            yield Stay(first, first.changed_ms, step.at_ms, ended=True)
            del open_[name]
        elif first is None and step.alert.state in wanted:
            open_[name] = step.alert
    for first in open_.values():
        yield Stay(first, first.changed_ms, max(until_ms, first.changed_ms), ended=False)
