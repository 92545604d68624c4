"""What listening found, as a document: for the wall, and printed by ``stillstack preflight --listen``."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from sensors.config_lines import table_lines
from sensors.guess import Guess, Reason, shown
from sensors.guessing import guess_lines
from sensors.guessing_topics import guess_topics, why_not
from sensors.listening import HeardBroker, HeardPort
from sensors.meaning import Sure
from sensors.mqtt.source import MqttSource
from sensors.supervise import printable
from server.config import Config
from server.documents import Said
from server.snapshot import Speaker
from server.words import Sentence

SHOWN_LINES = 5
SHOWN_LETTERS = 120
REACH = ("host", "port", "protocol", "tls", "ca_file", "cert_file", "key_file", "username")
SECRETS = ("password_file", "password_env")
"""What of a source's table says how to get to its broker."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid")


class FieldPart(_Part):
    """One field of a guess: where it stands, what it is, and the newest figure as it was written, in ``unit``."""

    place: str
    quantity: Literal["temperature_c", "humidity_pct"]
    unit: Literal["°C", "°F", "% RH"]
    example: float


class SensorProposal(_Part):
    """A sensor as the configuration would name it. ``zone`` is for a person to say where there are several."""

    id: str
    device: str
    zone: str | None


class GuessPart(_Part):
    """What devices seem to say, how sure that is and why, and what the configuration would be: as values to send to
    ``POST /api/sources``, and as lines for the file."""

    sure: Sure
    why: list[Said]
    fields: list[FieldPart]
    source: dict[str, Any]
    sensors: list[SensorProposal]
    config_lines: str


class PortPart(_Part):
    """One serial port. ``held_by`` is the source that reads it already."""

    port: str
    state: Literal["heard", "silent", "unreadable", "refused", "held"]
    held_by: str | None
    baud: int | None
    last: list[str]
    said: list[Said]
    guess: GuessPart | None


class TopicPart(_Part):
    """One topic: its newest payloads and, where no guess reads them, why not."""

    topic: str
    last: list[str]
    said: Said | None


class BrokerPart(_Part):
    """One broker."""

    where: str
    state: Literal["heard", "silent", "refused"]
    said: list[Said]
    topics: list[TopicPart]
    guesses: list[GuessPart]


class HeardDocument(_Part):
    """What was heard in so many seconds."""

    seconds: float
    ports: list[PortPart]
    brokers: list[BrokerPart]
    notes: list[Said]


@dataclass(frozen=True, slots=True)
class Place:
    """What is configured already: names that are taken, and where a new sensor may hang."""

    taken: frozenset[str] = frozenset()
    zones: tuple[str, ...] = ()
    destinations: tuple[str, ...] = ()

    @staticmethod
    def of(config: Config) -> Place:
        """That of a configuration."""
        ids = (str(getattr(row, "id")) for row in (*config.sources, *config.sensors, *config.zones))  # noqa: B009
        zones, places = (z.id for z in config.zones), (d.id for d in config.destinations)
        return Place(frozenset(ids), tuple(zones), tuple(places))


class Told:
    """Makes the parts; proposes each name once."""

    def __init__(self, speaker: Speaker, place: Place) -> None:
        self.speaker, self._place = speaker, place
        self._taken = set(place.taken)

    def port(self, heard: HeardPort) -> PortPart:
        """A port that was listened to."""
        last = [shown(line.decode("utf-8", "replace"), SHOWN_LETTERS) for line in heard.lines[-SHOWN_LINES:]]
        if heard.error:
            return _port(
                heard.port, "refused", None, last, [self._say(Reason("listen-error", {"reason": heard.error}))]
            )
        if not heard.last_bytes:
            return _port(heard.port, "silent", None, last, [self._say(Reason("listen-silent"))])
        if not heard.lines:
            last = [printable(heard.last_bytes[-SHOWN_LETTERS:])]
        if heard.baud is None:
            why = Reason("listen-unreadable", {"bytes": len(heard.last_bytes)})
            return _port(heard.port, "unreadable", None, last, [self._say(why)])
        said = [self._say(Reason("listen-heard", {"lines": len(heard.lines), "baud": heard.baud}))]
        found = guess_lines(heard.lines)
        if isinstance(found, Reason):
            return _port(heard.port, "heard", heard.baud, last, [*said, self._say(found)])
        source = {"id": self._name("line"), "kind": "serial", "port": heard.port, "baud": heard.baud, **found.options}
        return _port(heard.port, "heard", heard.baud, last, said, self._guess(found, source))

    def held(self, port: str, source: str, last_bytes: str) -> PortPart:
        """A port that a source reads: from that source's own last bytes."""
        last = [last_bytes[-SHOWN_LETTERS:]] if last_bytes else []
        return PortPart(
            port=port,
            state="held",
            held_by=source,
            baud=None,
            last=last,
            said=[self._say(Reason("listen-held", {"source": source}))],
            guess=None,
        )

    def broker(self, heard: HeardBroker, source: MqttSource) -> BrokerPart:
        """A broker that was listened to."""
        if heard.error:
            said = [Reason("listen-error", {"reason": heard.error})]
        elif not heard.said:
            said = [Reason("listen-quiet-broker")]
        else:
            said = [Reason("listen-topics", {"messages": heard.messages, "topics": len(heard.said)})]
        if heard.left_out:
            said.append(Reason("listen-left-out", {"messages": heard.left_out}))
        found = guess_topics(heard.said)
        read = {topic for topics, _ in found for topic in topics}
        given = source.model_dump(mode="json", exclude_unset=True)
        reach = {key: given[key] for key in (*REACH, *SECRETS) if given.get(key) is not None}
        return BrokerPart(
            where=heard.where,
            state="heard" if heard.said else "refused" if heard.error else "silent",
            said=[self._say(reason) for reason in said],
            topics=[self._topic(topic, payloads, topic in read) for topic, payloads in heard.said.items()],
            guesses=[
                self._guess(guess, {"id": self._name("broker"), "kind": "mqtt", **reach, **guess.options})
                for _, guess in found
            ],
        )

    def _topic(self, topic: str, payloads: Sequence[bytes], is_read: bool) -> TopicPart:
        last = [shown(one.decode("utf-8", "backslashreplace"), SHOWN_LETTERS) for one in payloads[-SHOWN_LINES:]]
        said = None if is_read else self._say(why_not(payloads))
        return TopicPart(topic=shown(topic, SHOWN_LETTERS), last=last, said=said)

    def _guess(self, guess: Guess, source: dict[str, Any]) -> GuessPart:
        zone = self._place.zones[0] if len(self._place.zones) == 1 else None
        sensors = [
            SensorProposal(id=self._name(device or "sensor", alone=bool(device)), device=device, zone=zone)
            for device in guess.devices
        ]
        return GuessPart(
            sure=guess.sure,
            why=[self._say(reason) for reason in guess.why],
            fields=[
                FieldPart(
                    place=shown(one.key),
                    quantity="humidity_pct" if one.field == "humidity_pct" else "temperature_c",
                    unit="°C" if one.unit == "C" else "°F" if one.unit == "F" else "% RH",
                    example=one.example,
                )
                for one in guess.reading.meanings
            ],
            source=source,
            sensors=sensors,
            config_lines=config_lines(source, sensors, self._place),
        )

    def _name(self, wanted: str, *, alone: bool = False) -> str:
        """An id of its own like ``wanted``: as it is where that may stand ``alone`` and is free, else numbered."""
        stem = re.sub(r"[^a-z0-9]+", "-", wanted.lower()).strip("-")[:34] or "sensor"
        names = [stem] if alone else []
        name = next(n for n in (*names, *(f"{stem}-{i}" for i in range(1, 10_000))) if n not in self._taken)
        self._taken.add(name)
        return name

    def _say(self, reason: Reason) -> Said:
        return self.speaker.say(Sentence(reason.key, reason.values))


def _port(  # noqa: PLR0917 - the part's own fields
    port: str,
    state: Literal["heard", "silent", "unreadable", "refused"],
    baud: int | None,
    last: list[str],
    said: list[Said],
    guess: GuessPart | None = None,
) -> PortPart:
    return PortPart(port=port, state=state, held_by=None, baud=baud, last=last, said=said, guess=guess)


def config_lines(source: dict[str, Any], sensors: Iterable[SensorProposal], place: Place) -> str:
    """The tables of a source and its sensors, as the configuration file wants them. Where no zone is named yet, one is
    made up, and a destination for it."""
    parts = []
    zone = place.zones[0] if place.zones else "room-1"
    if not place.zones:
        destination = place.destinations[0] if place.destinations else "heated-rooms"
        if not place.destinations:
            parts.append(
                table_lines("destination", {"id": destination, "name": "heated rooms", "region": "most-areas"})
            )
        parts.append(table_lines("zone", {"id": zone, "name": "Room 1", "destination": destination}))
    parts.append(table_lines("source", source))
    parts += [
        table_lines("sensor", {"id": s.id, "source": source["id"], "device": s.device or None, "zone": s.zone or zone})
        for s in sensors
    ]
    return "\n".join(parts)


def notes(speaker: Speaker, ports: Collection[str]) -> list[Said]:
    """What a person should know beside it."""
    keys = ("listen-opens", "listen-modbus") if ports else ("listen-no-port", "listen-modbus")
    return [speaker.say(Sentence(key)) for key in keys]
