"""The frame around the engine's state: what lies outside the spine (wires, record, clock), and the verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import astuple, replace
from typing import Protocol

from server.alerts.lifecycle import RANK
from server.config import Config
from server.engine_state import EngineState
from server.reading import Alert, SourceState
from server.ringing import somebody_from_ms
from server.rules.base import RuleView, SensorView, ZoneView
from server.season import within
from server.snapshot import ShopView
from server.verdict import notices, verdict
from server.words import Telling
from server.words.of_notice import NEWS_MS


class Wire(Protocol):
    """A supervised wire, as far as the frame looks: its state has the fields of :class:`SourceState`, in order."""

    def state(self) -> object:
        """How it is doing."""


class Frame:
    """Called by the engine with its state; returns what the wall may say."""

    def __init__(self, config: Config, first_steps: str | None, restarted_ms: int | None) -> None:
        self.use(config)
        self.first_steps = first_steps
        self.restarted_ms = restarted_ms
        self._wires: Mapping[str, Wire] = {}
        self._given_up: Mapping[str, int] = {}

    def use(self, config: Config) -> None:
        """From now on this is what is configured."""
        self.config = config
        sensors = {s.id: s.id for s in config.sensors}
        self._outdoors = {z.id for z in config.zones if z.outdoors}
        self._names = {**sensors, **{z.id: z.name for z in config.zones}}

    def watch(self, wires: Mapping[str, Wire], given_up: Mapping[str, int] | None = None) -> None:
        """Hand over the wires once they exist, and the count, by source, of what was given up behind them."""
        self._wires = wires
        self._given_up = {} if given_up is None else given_up

    def _without_aim(self, now_ms: int) -> set[str]:
        """Zones that are outdoors, or off for the season: no aim is held against them."""
        timezone = self.config.shop.timezone
        seasons = {zone.id: zone.off_season for zone in self.config.zones if zone.off_season is not None}
        return self._outdoors | {zone for zone, season in seasons.items() if within(season, now_ms, timezone)}

    def clock_moved(self, by_ms: int) -> None:
        """The clock was set: what was dated before is as much later."""
        if self.restarted_ms is not None:
            self.restarted_ms += by_ms

    def sources(self) -> list[SourceState]:
        """How each wire is doing. ``dropped`` is all that was heard and never reached the record, wherever it was lost
        on the way."""
        return [self._whole(SourceState(*astuple(wire.state()))) for wire in self._wires.values()]  # type: ignore[call-overload]

    def _somebody_ms(self, state: EngineState) -> int | None:
        shop = self.config.shop
        if not state.alerts:
            return None
        return somebody_from_ms(shop.hours, shop.timezone, state.away, state.now.wall_ms)

    def _whole(self, state: SourceState) -> SourceState:
        return replace(state, dropped=state.dropped + self._given_up.get(state.source, 0))

    def __call__(self, state: EngineState) -> ShopView:
        now_ms = state.now.wall_ms
        telling = Telling(now_ms, self.config.shop.timezone, self._names)
        sources = self.sources()
        writable = not state.store_error
        news = self.restarted_ms is not None and now_ms - self.restarted_ms < NEWS_MS
        no_aim = self._without_aim(now_ms)
        view = RuleView(
            now_ms,
            [ZoneView(z.zone, z.aim, z.air) for z in state.zones if z.zone not in no_aim],
            [SensorView(s.id, s.zone, _heard(state, s.zone), 0.0, None) for s in self.config.sensors],
        )
        return ShopView(
            now_ms=now_ms,
            clock_is_set=state.now.wall_is_set,
            shop=self.config.shop.name,
            timezone=self.config.shop.timezone,
            zones=state.zones,
            alerts=worst_first(state.alerts),
            verdict=verdict(telling, view, state.alerts, sources, store_writable=writable),
            notices=notices(
                telling,
                view,
                sources,
                alerts=state.alerts,
                store_writable=writable,
                clock_is_set=state.now.wall_is_set,
                restarted_ms=self.restarted_ms if news else None,
            ),
            sources=sources,
            telling=telling,
            marks=state.marks,
            recent=state.recent,
            somebody_ms=self._somebody_ms(state),
            first_steps=None if self.config.sensors else self.first_steps,
        )


def worst_first(alerts: Sequence[Alert]) -> list[Alert]:
    """For the list on the wall: what nobody has seen, graver words first, then the newest."""
    order = {"unacknowledged": 0, "returned": 1, "acknowledged": 2, "shelved": 3}
    return sorted(alerts, key=lambda a: (order.get(a.state, 4), -RANK[a.word], -a.raised_ms, a.rule, a.subject))


def _heard(state: EngineState, zone: str) -> int | None:
    return next((z.heard_ms for z in state.zones if z.zone == zone), None)
