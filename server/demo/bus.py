"""The fictional probe on an RS-485 bus, up in the rack loft: it says the air of the moment, but only when asked."""

from __future__ import annotations

from sensors.simulated import PtyPair
from sensors.simulated_probe import Answerer, Fault, SimulatedBus, SimulatedProbe
from server.clock import Clock
from server.demo.indoor import IndoorAir, workshop_air
from server.demo.probe import said
from server.demo.scenario import HUMIDITY_REGISTER, SENSORS, TEMPERATURE_REGISTER, UNIT_IDS, Sensor


def asked(sensor: Sensor, t_ms: int, air: IndoorAir | None = None) -> SimulatedProbe:
    """The probe as it is found at this moment (ms since 1970 UTC): hundredths of °C and tenths of % in its registers.

    A silent hour gives no answer; a garbled one an answer whose CRC is wrong, as a bad line does.
    """
    what = said(sensor, [t_ms], air)
    fault: Fault | None = "crc" if what.garbled[0] else None
    registers = {
        TEMPERATURE_REGISTER: round(100 * float(what.temperature_c[0])) % 65536,
        HUMIDITY_REGISTER: round(10 * float(what.humidity_pct[0])),
    }
    return SimulatedProbe(registers, fault if what.spoke[0] else "silent")


async def answer(pair: PtyPair, clock: Clock, air: IndoorAir | None = None) -> None:
    """Let every probe of the workshop's bus answer at the far end of ``pair``, until cancelled.

    The air should have been looked at before: its first look takes most of a second, longer than a probe may take.
    """
    air = air or workshop_air()

    def answerer(sensor: Sensor) -> Answerer:
        return lambda question: asked(sensor, clock.now().wall_ms, air).answer(question)

    probes = {UNIT_IDS[sensor.id]: answerer(sensor) for sensor in SENSORS if sensor.wire == "modbus"}
    await SimulatedBus(pair, probes).run()
