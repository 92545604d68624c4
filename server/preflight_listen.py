"""``stillstack preflight --listen``: what devices say before anybody has configured them, and what would read them."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from sensors.mqtt.source import MqttSource
from sensors.ports import SERIAL_FOLDER
from server.clock import Clock, SystemClock
from server.config import Config, ConfigError
from server.config_file import check_row
from server.documents import Said
from server.heard import BrokerPart, GuessPart, HeardDocument, Place, PortPart
from server.listening import Listening
from server.reading import SourceState
from server.serve import config_path, read_whole
from server.snapshot import Speaker
from server.stores.folder_lock import FolderLock
from server.stores.port import StoreBusy, StoreError
from server.words import Words

OK, FAILED = 0, 1
EVERYTHING = "#"


def preflight_listen(
    state: Path, seconds: float, broker: tuple[str, int | None] | None = None, *, folder: Path = SERIAL_FOLDER
) -> int:
    """Print what is heard on every serial port and on a broker (else on those configured); 1 when the configuration
    cannot be read or ``broker`` is no address. Ports that a running server reads are left to it. ``folder`` holds the
    ports' lasting names."""
    try:
        config = read_whole(config_path(), state)
        brokers = brokers_of(config) if broker is None else [_broker(config, *broker)]
    except ConfigError as e:
        sys.stderr.write(f"{e}\n")
        return FAILED
    clock = SystemClock()
    held = _held(config, state, clock)
    listening = Listening(clock, lambda: held, lambda: Place.of(config), folder=folder)
    sys.stdout.write(f"Listening for {seconds:g} s\n")
    sys.stdout.flush()
    speaker = Speaker(Words(config.shop.language), config.shop.units)
    document = asyncio.run(listening.listen("", listening.ports(), brokers, seconds, speaker))
    sys.stdout.writelines(f"{line}\n" for line in printed(document))
    return OK


def brokers_of(config: Config) -> list[MqttSource]:
    """Every broker that is configured, once, asked for everything; the private one where no source names it."""
    found: dict[tuple[str, int], MqttSource] = {}
    for source in config.sources:
        if isinstance(source, MqttSource):
            found.setdefault((source.host, source.broker_port), _all_of(source))
    if config.broker.enabled and not found:
        found["127.0.0.1", config.broker.port] = _plain("127.0.0.1", config.broker.port)
    return list(found.values())


def _broker(config: Config, host: str, port: int | None) -> MqttSource:
    """The broker asked for: as it is configured, if it is."""
    wanted = _plain(host, port)
    known = {(one.host, one.broker_port): one for one in brokers_of(config)}
    return known.get((host, wanted.broker_port), wanted)


def _plain(host: str, port: int | None) -> MqttSource:
    row = {"id": "listening", "kind": "mqtt", "host": host, "topics": [EVERYTHING]} | ({"port": port} if port else {})
    return check_row(MqttSource, row, "broker")


def _all_of(source: MqttSource) -> MqttSource:
    return source.model_copy(update={"topics": (EVERYTHING,), "discovery": None})


def _held(config: Config, state: Path, clock: Clock) -> list[SourceState]:
    """The wires of a server that runs on this folder, as far as the configuration tells; none if none runs."""
    try:
        FolderLock(state).release()
    except StoreBusy:
        waiting = SourceState("", "", "", "listening", clock.now().wall_ms, None, 0, 0, 0, 0, "", "")
        ports = [(str(getattr(s, "id")), str(getattr(s, "port", ""))) for s in config.sources]  # noqa: B009
        return [replace(waiting, source=name, where=port) for name, port in ports]
    except StoreError:  # a folder that cannot be written: no server runs on it
        return []
    return []


def printed(document: HeardDocument) -> Iterator[str]:
    """The document as lines."""
    for port in document.ports:
        yield from _port(port)
    for broker in document.brokers:
        yield from _broker_lines(broker)
    yield ""
    yield from (note.text for note in document.notes)


def _port(part: PortPart) -> Iterator[str]:
    yield ""
    yield part.port
    yield from _indented(part.said)
    yield from (f"    {line}" for line in part.last)
    if part.guess is not None:
        yield from _guess(part.guess)


def _broker_lines(part: BrokerPart) -> Iterator[str]:
    yield ""
    yield part.where
    yield from _indented(part.said)
    for topic in part.topics:
        yield f"    {topic.topic}: {topic.last[-1] if topic.last else ''}"
        if topic.said is not None:
            yield f"      {topic.said.text}"
    for guess in part.guesses:
        yield from _guess(guess)


def _guess(guess: GuessPart) -> Iterator[str]:
    yield f"  {guess.sure}:"
    yield from (f"    {reason.text}" for reason in guess.why)
    yield "  in the configuration:"
    yield from (f"    {line}".rstrip() for line in guess.config_lines.splitlines())


def _indented(said: list[Said]) -> Iterator[str]:
    return (f"  {one.text}" for one in said)
