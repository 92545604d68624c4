"""Which device may move which sensor, from the configuration to the queue."""

import asyncio
from pathlib import Path

from sensors.first_there import confirm
from sensors.queue import HeardQueue
from sensors.sample import RawSample, RefusedPayload
from server.clock import SystemClock
from server.wires import make_wires
from tests.unit.spine import config

LINE = """
[[source]]
id = "line"
kind = "serial"
port = "/dev/serial/by-path/fictional-socket"
[[sensor]]
id = "rack-1"
source = "line"
zone = "loft"
"""


def heard(device: str, source: str = "line", at_s: float = 0.0) -> RawSample:
    return RawSample(source, device, (("temperature_c", 20.4), ("humidity_pct", 41.0)), 7, at_s)


async def through(wires: object, queue: HeardQueue, sample: RawSample) -> object:
    wires[sample.source].heard(sample)  # type: ignore[index]
    (item,) = await queue.take()
    return item


async def test_a_port_with_one_sensor_takes_one_device_until_a_person_says_otherwise(tmp_path: Path) -> None:
    """Field pitfall 27: lines that name another device move nothing, over a restart too; a broker's wire is asked for
    the names that are configured, as before."""
    queue = HeardQueue()
    wires = make_wires(config(LINE), tmp_path, SystemClock(), queue)
    assert await through(wires, queue, heard("loft")) == heard("loft")
    wires = make_wires(config(LINE), tmp_path, SystemClock(), queue)
    assert isinstance(await through(wires, queue, heard("cellar")), RefusedPayload)
    assert wires["line"].state().refused == 1
    await asyncio.to_thread(confirm, "line", tmp_path)
    assert await through(wires, queue, heard("cellar", at_s=2.0)) == heard("cellar", at_s=2.0)
    for device in ("bench-1", "cellar"):  # a stranger is stored without a place, up to a limit
        assert await through(wires, queue, heard(device, "mq")) == heard(device, "mq")


async def test_a_port_whose_sensor_is_named_takes_any_name_and_moves_only_that_one(tmp_path: Path) -> None:
    """Field pitfall 27: other names are strangers, which screening flags as unplaced; no name is kept for the port."""
    queue = HeardQueue()
    named = LINE.replace('zone = "loft"', 'zone = "loft"\ndevice = "rack"')
    wires = make_wires(config(named), tmp_path, SystemClock(), queue)
    for device in ("rack", "cellar"):
        assert await through(wires, queue, heard(device)) == heard(device)
    assert not (tmp_path / "first-there").exists()
