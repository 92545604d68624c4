"""The map: what there is, started in the order a sample flows and stopped in reverse.

    record -> engine -> broker -> door -> turns -> wires -> remotes -> outlooks -> companions (the demo's devices)

The door opens whether or not the broker is up: a wire keeps asking, and the wall can say what is wrong.

Only this file and the demo name concrete classes. A part that ends by itself ends the program (one task group), and is
started again with it; nothing acknowledged is lost by that. Parts beside the way outlive their bugs (`faults.py`).
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
from collections.abc import AsyncIterator, Callable, Coroutine, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any
from uuid import uuid4

from sensors.catalog import SOURCE_KINDS
from sensors.ports import SERIAL_FOLDER
from sensors.queue import HeardQueue
from sensors.recording import Recorder
from sensors.supervise import Supervisor, Tap
from sensors.threads import in_daemon_thread
from server.api.door import opened
from server.api.rooms import Rooms
from server.arranging import Arranger
from server.beside import Beside
from server.board import Board
from server.boots import Boots, begin
from server.broker import Broker
from server.clock import Clock
from server.config import Config, ConfigError
from server.engine import Engine
from server.frame import Frame
from server.heard import Place
from server.listening import Listening
from server.lot_verdicts import LotVerdicts
from server.made import with_made, with_settings
from server.making import Maker
from server.placing import KIND as PLACED
from server.placing import placed_entries, standing
from server.reading import Surroundings
from server.remotes import make_remotes
from server.rules.catalog import WatchingRule, make_rules
from server.running_wires import RunningWires, running
from server.salt_checks import SaltChecks
from server.screening import Screening
from server.shop.zone_aims import zone_aims
from server.shop_clock import ShopClock
from server.shop_facts import FactsOf
from server.stockroom import Stockroom
from server.stores.catalog import made_in, open_store
from server.stores.port import History, Store
from server.time_service import machine_boot
from server.upkeep import Upkeep
from server.watcher import Watcher
from server.wires import make_wires
from server.zones import Zones

log = logging.getLogger(__name__)

GIVE_UP_BUILDING_S = 1.5
"""How long a stop waits for a record that is just being opened."""

SOURCE_SCHEMAS = {name: kind.schema for name, kind in SOURCE_KINDS.items()}

Companion = Callable[[], Coroutine[Any, Any, None]]
Part = tuple[str, Coroutine[Any, Any, None]]


@dataclass(frozen=True, slots=True)
class Settings:
    """What a start is made from. ``first_steps`` names the configuration file while it holds no sensor."""

    config: Config
    state: Path
    clock: Clock
    restarted: bool = False
    first_steps: str | None = None
    serial_folder: Path = SERIAL_FOLDER
    companions: Sequence[Companion] = ()
    record_to: Path | None = None
    """A new file for what the wires hear, as it comes."""
    boot: str = field(default_factory=lambda: uuid4().hex[:6])
    machine_boot: str = field(default_factory=machine_boot)
    """Names the run of the clock's monotonic side: starts that share it know how long they were gone."""


@dataclass(frozen=True, slots=True)
class Spine:
    """The record and the engine on it, with no wire attached: what laying down a past needs."""

    store: Store
    history: History
    engine: Engine
    frame: Frame
    rules: list[WatchingRule]
    salt_checks: SaltChecks
    stockroom: Stockroom
    lot_verdicts: LotVerdicts
    config: Config
    """What is configured in all, also at the wall, sensors where they stand; ``hung`` is the zone in their table."""
    hung: Mapping[str, str]
    refused: ConfigError | None = None
    """Why what was made at the wall does not go with the file: then nothing may be started."""

    async def write_places(self, now_ms: int) -> None:
        """Where the sensors stand, for those of which the journal does not say so yet."""
        so_far = self.history.journal(PLACED)
        await self.store.add_journal(placed_entries(self.config.sensors, so_far, now_ms, configured=self.hung))


def build(settings: Settings) -> Spine:
    """Open the record and build the engine. Raises StoreError (busy, damaged), ValueError for a region not known."""
    config, clock = with_settings(settings.config, made_in(settings.state)), ShopClock(settings.clock)
    store, history = open_store(settings.state, config.shop.timezone, clock)
    begin(clock, history, settings.machine_boot)
    refused = None
    try:
        config = with_made(config, history.made(), SOURCE_SCHEMAS)
    except ConfigError as e:
        refused = e
    hung = {sensor.id: sensor.zone for sensor in config.sensors}
    config = standing(config, history.journal(PLACED))
    now, rules = clock.now(), make_rules(config.rules)
    frame = Frame(config, settings.first_steps, now.wall_ms if settings.restarted else None)
    screening = Screening(config.screening, config.sensors)
    salt_checks = SaltChecks(config.salt_check, screening.configured, clock, store, history, screening)
    salt_checks.fold()
    engine = Engine(
        clock=clock,
        store=store,
        history=history,
        board=Board(settings.boot, (config.shop.language, config.shop.units)),
        screening=screening,
        zones=Zones(config.sensors, now.mono_s),
        rules=rules,
        aims=zone_aims(config),
        zone_names={zone.id: zone.name for zone in config.zones},
        frame=frame,
    )
    stockroom = Stockroom.of(lambda: frame.config, clock, store, history, lambda: tuple(engine.aims))
    engine.air_heard, stockroom.faults = stockroom.air_heard, engine.faults
    engine.facts, anew = FactsOf(lambda: frame.config, stockroom), stockroom.begin_anew
    verdicts = LotVerdicts(engine, stockroom, settings.boot, lambda: frame.config.shop.hours)
    follow = [frame.clock_moved, lambda _: salt_checks.fold(), lambda _: anew()], [salt_checks.fold, anew]
    engine.before_turn = Boots(engine, clock, settings.machine_boot, config.shop.timezone, follow).before_turn
    return Spine(store, history, engine, frame, rules, salt_checks, stockroom, verdicts, config, hung, refused)


async def run(settings: Settings) -> None:
    """Run until a signal (SIGINT, SIGTERM); then stop everything in reverse order, also what had only half begun."""
    loop = asyncio.get_running_loop()
    living = loop.create_task(_live(settings), name="server")
    asked = asyncio.Event()

    def stop() -> None:
        if not asked.is_set():  # a second signal must not cut the stop short
            asked.set()
            living.cancel()

    for sign in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(sign, stop)
    try:
        await living
    except asyncio.CancelledError:
        if not asked.is_set():
            raise


async def _live(settings: Settings) -> None:
    async with serving(settings):
        await asyncio.Event().wait()


@contextlib.asynccontextmanager
async def serving(settings: Settings) -> AsyncIterator[int]:
    """Everything running inside the block; yields the door's port."""
    spine = await _built(settings)
    config, clock = spine.config, spine.engine.clock  # the shop's clock goes on where the machine's is not set
    async with contextlib.AsyncExitStack() as stack:
        stack.push_async_callback(spine.store.close)
        if spine.refused is not None:
            raise spine.refused
        stack.push_async_callback(lambda: spine.engine.keeper.finish(spine.store, clock.now()))
        stack.push_async_callback(lambda: spine.engine.alert_keeper.finish(spine.store, clock.now()))
        beside = Beside.of(spine.engine, clock, lambda: spine.frame.config)
        await beside.first()
        await spine.write_places(clock.now().wall_ms)
        group = await stack.enter_async_context(asyncio.TaskGroup())
        queue = HeardQueue()
        broker = await _start_broker(settings, clock, stack, group)
        made = partial(make_wires, state=settings.state, clock=clock, queue=queue, tap=_recorder(settings, stack))
        wires = RunningWires(group, made(config))
        spine.frame.watch(wires.wires, queue.dropped)
        maker = _maker(settings, spine, wires, made)
        arranger = Arranger(maker, spine.stockroom)
        remotes = await make_remotes(config.remotes, config.shop.name, spine.store.outbox, clock)
        upkeep = await Upkeep.begun(config, settings.state, spine.engine)
        spine.engine.surroundings = lambda: Surroundings(
            tuple(spine.frame.sources()), upkeep.record_state(), remotes.states()
        )
        watcher = Watcher(clock, settings.restarted, spine.engine, spine.frame.sources, spine.rules, queue, broker)
        rooms = Rooms(
            board=spine.engine.board,
            engine=spine.engine,
            history=spine.history,
            store_file=settings.state / "record.sqlite",
            maker=maker,
            arranger=arranger,
            upkeep=upkeep,
            listening=Listening(
                clock, spine.frame.sources, lambda: Place.of(maker.config), folder=settings.serial_folder
            ),
            vitals=watcher.vitals,
            remotes=remotes,
            salt_checks=spine.salt_checks,
            stockroom=spine.stockroom,
            lot_verdicts=spine.lot_verdicts,
            room_keeper=beside.rooms,
        )
        port = await stack.enter_async_context(opened(rooms, config.api.port, group))
        log.info("The door is open at http://127.0.0.1:%d", port)
        await stack.enter_async_context(running(group, spine.engine.run(queue.take), "turns"))
        if broker is not None:  # a wire that comes first would call one lost that only wakes up
            await broker.given_time()
        stack.push_async_callback(wires.stop_all)
        wires.start_all()
        parts: list[Part] = [(f"remote {name}", forwarder.run()) for name, forwarder in remotes.forwarders.items()]
        parts += [("upkeep", upkeep.run()), ("stockroom", spine.stockroom.run()), ("places", arranger.places.run())]
        parts += [*beside.parts(), ("verdicts", spine.lot_verdicts.run())]
        parts += [(f"companion {i}", start()) for i, start in enumerate(settings.companions)]
        for name, coroutine in parts:
            await stack.enter_async_context(running(group, coroutine, name))
        yield port


def _maker(
    settings: Settings, spine: Spine, wires: RunningWires, made: Callable[[Config], dict[str, Supervisor]]
) -> Maker:
    return Maker(
        config=spine.config,
        in_file=settings.config,
        source_schemas=SOURCE_SCHEMAS,
        engine=spine.engine,
        frame=spine.frame,
        clock=spine.engine.clock,
        wires=wires,
        make_wires=made,
        aims=zone_aims,
        state=settings.state,
        ports=settings.serial_folder,
    )


async def _built(settings: Settings) -> Spine:
    """The spine, built beside the loop. Given up while that lasts, it is closed again, if it comes soon enough."""
    building = in_daemon_thread(lambda: build(settings), "build")
    try:
        return await asyncio.shield(building)
    except asyncio.CancelledError:
        # What is left behind then (the check of a huge record) ends with the program: SQLite undoes what was half done.
        await asyncio.wait({building}, timeout=GIVE_UP_BUILDING_S)
        if building.done() and building.exception() is None:
            await building.result().store.close()
        raise


def _recorder(settings: Settings, stack: contextlib.AsyncExitStack) -> Tap | None:
    if settings.record_to is None:
        return None

    def now() -> tuple[int, float]:
        instant = settings.clock.now()
        return instant.wall_ms, instant.mono_s

    recorder = Recorder(settings.record_to, now)
    stack.callback(recorder.close)
    log.info("What the wires hear is recorded in %s", recorder.path)
    return recorder.heard


async def _start_broker(
    settings: Settings, clock: Clock, stack: contextlib.AsyncExitStack, group: asyncio.TaskGroup
) -> Broker | None:
    if not settings.config.broker.enabled:
        return None
    broker = Broker(settings.state / "broker", settings.config.broker.port, clock)
    broker.check()  # what only a person can mend is refused before the door opens
    await stack.enter_async_context(running(group, broker.run(), "broker"))
    return broker
