"""A device that changes its name with every message stops filling the record."""

import asyncio
import json
from contextlib import suppress

from sensors.driver import Listener
from sensors.sample import Heard, RawSample, RefusedPayload
from sensors.strangers import STRANGERS, Strangers
from sensors.supervise import Supervisor
from tests.unit.sensors.helpers import until


def acknowledge() -> None:
    """Nobody calls it; what counts is that it is handed on."""


def sample(device: str) -> RawSample:
    return RawSample("mq", device, (("temperature_c", 20.4), ("humidity_pct", 41.0)), 7, 0.5, acknowledge=acknowledge)


def test_so_many_names_pass_and_go_on_passing_and_one_more_is_refused_with_what_it_said() -> None:
    admit = Strangers(["loft-1"], limit=2)
    for device in ("a", "b", "loft-1", "a", "b"):
        assert admit(sample(device)) == sample(device)
    refused = admit(sample("c"))
    assert isinstance(refused, RefusedPayload)
    assert (refused.source, refused.where, refused.heard_ms, refused.acknowledge) == ("mq", "c", 7, acknowledge)
    assert json.loads(refused.payload) == {"id": "c", "temperature_c": 20.4, "humidity_pct": 41.0}
    assert "after 2 others; would be right: devices that keep their names" in refused.reason
    assert admit(sample("loft-1")) == sample("loft-1")


def test_a_sensor_that_takes_all_of_its_wire_has_no_strangers() -> None:
    admit = Strangers([""], limit=1)
    assert all(isinstance(admit(sample(f"id-{n}")), RawSample) for n in range(5))


def test_what_was_refused_already_stays_as_it_was() -> None:
    refused = RefusedPayload("mq", "shop/x", b"?", "why", 0)
    assert Strangers([], limit=1)(refused) is refused


async def test_a_wire_counts_them_as_refused() -> None:
    class Changing:
        async def run(self, listener: Listener) -> None:
            listener.connected()
            for n in range(STRANGERS + 30):
                listener.heard(sample(f"id-{n}"))
            await asyncio.Event().wait()

    heard: list[Heard] = []
    wire = Supervisor("mq", "mqtt", "here", Changing(), heard.append, lambda: (0, 0.0), admit=Strangers([]))
    task = asyncio.create_task(wire.run())
    await until(lambda: len(heard) == STRANGERS + 30)
    task.cancel()
    with suppress(asyncio.CancelledError):
        await task
    assert (wire.state().heard, wire.state().refused) == (STRANGERS, 30)
    assert sum(isinstance(item, RawSample) for item in heard) == STRANGERS
