"""From a table of the configuration to a driver."""

import math
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from sensors.catalog import SOURCE_KINDS, MqttSource, SerialSource
from sensors.client_id import client_id
from sensors.modbus.bus import ModbusBus
from sensors.modbus.source import FigureTable, ProbeTable
from sensors.mqtt import MqttSubscription
from sensors.serial_lines import SerialLines
from tests.unit.sensors.helpers import real_now

SERIAL = {"id": "bench", "kind": "serial", "port": "/dev/serial/by-id/usb-x"}
LOFT = {"device": "loft-2", "unit_id": 1, "temperature": {"register": 0}, "humidity": {"register": 1}}
MODBUS = {"id": "bus", "kind": "modbus", "port": "/dev/serial/by-id/usb-y", "probes": [LOFT]}
MQTT = {"id": "shop", "kind": "mqtt", "topics": ["shop/+/air"]}


def test_a_serial_table_becomes_its_driver(tmp_path: Path) -> None:
    kind = SOURCE_KINDS["serial"]
    source = kind.schema.model_validate(SERIAL)
    assert isinstance(kind.build(source, real_now, tmp_path), SerialLines)
    assert kind.where(source) == "/dev/serial/by-id/usb-x"


def test_an_mqtt_table_becomes_its_driver(tmp_path: Path) -> None:
    kind = SOURCE_KINDS["mqtt"]
    source = kind.schema.model_validate({**MQTT, "host": "broker.example", "port": 1884})
    driver = kind.build(source, real_now, tmp_path)
    assert isinstance(driver, MqttSubscription)
    assert re.fullmatch(r"stillstack-shop-[0-9a-f]{12}", driver.client_id)
    assert kind.where(source) == "broker.example:1884"


def test_a_modbus_table_becomes_its_driver(tmp_path: Path) -> None:
    """Field pitfall 27: the port by what it is; a number such as ttyUSB1 is refused below."""
    kind = SOURCE_KINDS["modbus"]
    other = {"device": "shed", "unit_id": 1, "temperature": {"register": 9, "type": "float32"}, "temperature_unit": "F"}
    source = kind.schema.model_validate({**MODBUS, "probes": [LOFT, other]})
    assert isinstance(kind.build(source, real_now, tmp_path), ModbusBus)
    assert kind.where(source) == "/dev/serial/by-id/usb-y"


def test_every_format_can_be_chosen() -> None:
    bench = (("temperature_c", 20.0), ("humidity_pct", 41.2))
    for line, options in [
        (b"T=68F RH=41.2", {}),
        (b"Luft=68 RH=41.2", {"keys": {"luft": "temperature_f"}}),
        (b"68;41.2", {"format": "numbers", "order": ["temperature_f", "humidity_pct"], "separator": ";"}),
        (b'{"t": 68, "h": 41.2}', {"format": "json", "temperature_unit": "F"}),
    ]:
        assert SerialSource.model_validate({**SERIAL, **options}).line_format()(line).values == bench
    flat = MqttSource.model_validate(MQTT).payload_format()
    assert flat("shop/loft/air", b'{"temperature": 20, "humidity": 41.2}').values == bench
    nested = MqttSource.model_validate({**MQTT, "paths": {"temperature_f": "air.t", "humidity_pct": "air.h"}})
    assert nested.payload_format()("shop/loft/air", b'{"air": {"t": 68, "h": 41.2}}').values == bench
    number = MqttSource.model_validate({**MQTT, "format": "number", "field": "humidity_pct"}).payload_format()
    assert number("shop/loft/air", b"41.2").values == bench[1:]


@pytest.mark.parametrize(
    ("table", "where", "text"),
    [
        ({**SERIAL, "port": "/dev/ttyUSB0"}, "port", "^a name below /dev/serial/by-id, .*numbers change"),
        ({**SERIAL, "baud": 0}, "baud", "greater than or equal to 50"),
        ({**SERIAL, "format": "csv"}, "format", "'key=value', 'numbers' or 'json'"),
        ({**SERIAL, "format": "numbers", "order": ["skip"]}, "order", "^temperature_c or temperature_f, humidity_pct"),
        ({**SERIAL, "bauds": 9600}, "bauds", "not permitted"),
        ({**SERIAL, "id": "Bench 1"}, "id", "pattern"),
        ({**MODBUS, "port": "/dev/ttyUSB1"}, "port", "^a name below /dev/serial/by-id, .*numbers change"),
        ({**MODBUS, "probes": []}, "probes", "^at least one probe"),
        ({**MODBUS, "parity": "E"}, "parity", "'none', 'even' or 'odd'"),
        ({**MODBUS, "stop_bits": 3}, "stop_bits", "1 or 2"),
        ({**MODBUS, "period_s": 2, "timeout_s": 2}, "timeout_s", "^less than period_s"),
        ({**MODBUS, "probes": [LOFT, {**LOFT, "unit_id": 2}]}, "probes", "^a name of its own for each"),
        ({**MODBUS, "probes": [LOFT, {**LOFT, "device": "x"}]}, "probes", "^a unit_id of its own for each"),
        ({**MODBUS, "probes": [{**LOFT, "unit_id": 248}]}, "probes.0.unit_id", "less than or equal to 247"),
        ({**MODBUS, "probes": [{**LOFT, "device": " "}]}, "probes.0.device", "^a name of 1 to 64"),
        ({**MODBUS, "probes": [{"device": "x", "unit_id": 3}]}, "probes.0", "^one of them or both"),
        ({**MODBUS, "probes": [{**LOFT, "humidity": {"register": 0}}]}, "probes", "^a unit_id of its own for each"),
        (
            {**MODBUS, "probes": [{**LOFT, "humidity": {"register": 65535, "type": "int32"}}]},
            "probes.0.humidity",
            "^65534 or less",
        ),
        (
            {**MODBUS, "probes": [{**LOFT, "humidity": {"register": 1, "scale": 0}}]},
            "humidity.scale",
            "^a factor other",
        ),
        ({**MODBUS, "probes": [{**LOFT, "humidity": {"register": 1, "offset": math.nan}}]}, "offset", "finite number"),
        ({**MODBUS, "probes": [{**LOFT, "humidity": {"registre": 1, "register": 2}}]}, "registre", "not permitted"),
        ({**MQTT, "topics": []}, "topics", "^at least one topic filter"),
        ({**MQTT, "topics": ["shop#"]}, "topics", "^. for one whole level"),
        ({**MQTT, "paths": {"temperature": "a..b"}}, "paths", "^up to 16 names parted by points"),
        ({**MQTT, "device_path": "{{ value_json.a | int }}"}, "device_path", "without filters or sums"),
        ({**MQTT, "port": 70000}, "port", "less than or equal to 65535"),
        ({**MQTT, "password_env": "X"}, "password_env", "^a username beside it"),
        (
            {**MQTT, "username": "a", "password_env": "STILLSTACK_NO_SUCH"},
            "password_env",
            "^an environment variable that",
        ),
        ({**MQTT, "username": "a", "password_file": "/no/such"}, "password_file", "600 that we may read .No such"),
    ],
)
def test_mistakes_are_named(table: dict[str, Any], where: str, text: str) -> None:
    with pytest.raises(ValidationError) as caught:
        SOURCE_KINDS[table["kind"]].schema.model_validate(table)
    (error,) = caught.value.errors()
    assert where in ".".join(map(str, error["loc"]))
    assert re.search(text, str(error.get("ctx", {}).get("error") or error["msg"]))


def test_a_password_comes_from_a_closed_file_or_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "password"
    file.write_text("s3cret\n")
    file.chmod(0o644)
    table = {**MQTT, "username": "kiosk", "password_file": str(file)}
    with pytest.raises(ValidationError, match=r"chmod 600 .* \(it has mode 644\)"):
        MqttSource.model_validate(table)
    file.chmod(0o600)
    source = MqttSource.model_validate(table)
    assert source.password() == "s3cret"
    assert "s3cret" not in repr(source) + source.model_dump_json()
    monkeypatch.setenv("SHOP_PASSWORD", "other")
    by_name = {**MQTT, "username": "kiosk", "password_env": "SHOP_PASSWORD"}
    assert MqttSource.model_validate(by_name).password() == "other"


def test_every_option_has_a_description() -> None:
    for schema in (*(kind.schema for kind in SOURCE_KINDS.values()), ProbeTable, FigureTable):
        for name, option in schema.model_fields.items():
            assert option.description or name == "kind", name


def test_the_modbus_library_stays_in_one_file_and_out_of_a_shop_without_a_bus() -> None:
    """Field pitfall 31: where one outside library changes its calls, one file of ours changes."""
    root = Path(__file__).parents[3]
    files = [path for folder in ("sensors", "server") for path in (root / folder).rglob("*.py")]
    importers = [p for p in files if re.search(r"^\s*(from|import) pymodbus", p.read_text(), re.MULTILINE)]
    assert importers == [root / "sensors" / "modbus" / "link.py"]
    look = "import sys, sensors.catalog; sys.exit('pymodbus' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", look], cwd=root).returncode == 0


def test_the_client_id_stays_and_an_unreadable_one_is_kept_aside(tmp_path: Path) -> None:
    first = client_id("shop", tmp_path / "state")
    assert client_id("shop", tmp_path / "state") == first
    assert client_id("shop", tmp_path / "elsewhere") != first
    (tmp_path / "state" / "machine-id").write_bytes(b"\0\0\0")
    second = client_id("shop", tmp_path / "state")
    assert second != first
    assert client_id("shop", tmp_path / "state") == second
    assert (tmp_path / "state" / "machine-id.unreadable").read_bytes() == b"\0\0\0"
    assert not (tmp_path / "state" / "machine-id.new").exists()
