"""The configuration at a start: the example that is written, as it is and with everything in it used; what is wrong."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from server.config import Config, ConfigError, ScreeningTable
from server.rules.catalog import SCHEMAS
from server.serve import config_path, first_example, read_config
from server.shop.own_species import species_table
from tests.unit.sensors.brokers import authority


def uncommented(text: str) -> str:
    """The text with every comment that is TOML taken out of its comment."""

    def line(found: str) -> str:
        inside = found.removeprefix("# ")
        try:
            tomllib.loads(inside)
        except tomllib.TOMLDecodeError:
            return found
        return inside

    return "\n".join(line(one) if one.startswith("# ") else one for one in text.splitlines()) + "\n"


def written(folder: Path, text: str) -> Path:
    file = folder / "stillstack.toml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The example with everything in it used, and the files it names made."""
    folder = tmp_path_factory.mktemp("papers")
    authority(folder, "broker-ca")
    (folder / "broker-password").write_text("secret\n")
    (folder / "broker-password").chmod(0o600)
    return uncommented(first_example()).replace("/etc/stillstack", str(folder))


@pytest.fixture
def full(tmp_path: Path, whole: str) -> Config:
    return read_config(written(tmp_path, whole))


def test_a_first_start_writes_the_example_and_it_is_a_shop_without_a_sensor(tmp_path: Path):
    file = tmp_path / "stillstack.toml"
    config = read_config(file)
    assert file.read_text(encoding="utf-8") == first_example()
    assert (config.zones, config.sources, config.sensors) == ((), (), ())
    assert [d.id for d in config.destinations] == ["heated-rooms"]
    assert (config.shop.timezone, config.api.port, config.broker.enabled) == ("Europe/London", 8736, False)


def test_a_file_that_is_there_is_read_and_never_rewritten(tmp_path: Path):
    file = written(tmp_path, '[shop]\nname = "Mine"\n')
    assert read_config(file).shop.name == "Mine"
    assert file.read_text() == '[shop]\nname = "Mine"\n'


def test_with_everything_in_it_used_the_example_is_a_whole_shop(full: Config):
    assert [z.id for z in full.zones] == ["bench-room", "rack-loft", "yard"]
    assert [(s.id, s.source, s.zone) for s in full.sensors] == [
        ("bench-1", "bench-line", "bench-room"),
        ("loft-1", "shop-broker", "rack-loft"),
        ("loft-2", "loft-bus", "rack-loft"),
    ]
    assert [d.id for d in full.destinations] == ["heated-rooms", "porch"]
    assert len(full.sources) == 3
    assert species_table(full.species)["elm_lane"].own
    assert full.broker.enabled
    assert full.broker.port == full.sources[1].port  # type: ignore[attr-defined]


def test_every_table_there_is_stands_in_the_example(full: Config, whole: str):
    tables = tomllib.loads(whole)
    assert tables.keys() == {
        "shop", "api", "broker", "destination", "zone", "source", "sensor", "remote", "rules", "screening",
        "salt_check",
        "species", "store",
    }  # fmt: skip
    assert tables["rules"].keys() == SCHEMAS.keys()


def test_what_it_calls_defaults_are_the_defaults(full: Config):
    assert full.rules == {name: schema() for name, schema in SCHEMAS.items()}
    assert full.screening == ScreeningTable()


def test_every_key_of_it_is_explained_or_speaks_for_itself():
    assert all(len(line) <= 120 for line in first_example().splitlines())
    assert not re.search(r"[ \t]+$", first_example(), re.MULTILINE)


def test_all_mistakes_at_once_with_their_lines(tmp_path: Path, whole: str):
    broken = whole.replace('zone = "rack-loft"', 'zone = "rack"', 1)
    broken = broken.replace('region = "most-areas"', 'region = "most-area"').replace("baud = 9600", 'baud = "fast"')
    with pytest.raises(ConfigError) as refused:
        read_config(written(tmp_path, broken))
    lines = str(refused.value).splitlines()
    assert len(lines) == 3
    assert all(re.match(r"stillstack\.toml:\d+: \S+: found .+; would be right: .+", line) for line in lines), lines
    assert "found 'most-area'; would be right: 'most-areas'" in str(refused.value)


def test_a_mistake_among_a_buss_probes_says_which(tmp_path: Path, whole: str):
    probe = '[[source.probes]]\ndevice = "loft-3"\nunit_id = 1\ntemperature = { register = 1 }\n'
    place = whole.index("\n[[source.probes]]") + 1
    with pytest.raises(ConfigError) as refused:
        read_config(written(tmp_path, whole[:place] + probe + whole[place:]))
    (line,) = str(refused.value).splitlines()
    said = "input register 1 of unit_id 1 for temperature of 'loft-3' and for humidity of 'loft-2'"
    assert f"source[2].probes: found {said}; would be right: a unit_id of its own for each probe" in line


def test_a_sensor_on_a_bus_goes_by_the_name_of_a_probe_there(tmp_path: Path, whole: str):
    text = whole.replace('device = "loft-2"\nzone', 'device = "lotf-2"\nzone')
    with pytest.raises(ConfigError, match=r"sensor\[2\]\.device: found 'lotf-2'; would be right: 'loft-2'$"):
        read_config(written(tmp_path, text))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"[shop]\nname = \n", r"stillstack\.toml:2: the file: found text that is not TOML"),
        (b"[shop]\nname = '\xe9'\n", r"stillstack\.toml:2: the file: found byte 0xe9, which is no UTF-8; would be r"),
    ],
)
def test_what_is_no_toml_or_no_text_is_named_with_its_line(tmp_path: Path, content: bytes, said: str):
    file = tmp_path / "stillstack.toml"
    file.write_bytes(content)
    with pytest.raises(ConfigError, match=said):
        read_config(file)


def test_a_file_that_cannot_be_one_is_named_in_full(tmp_path: Path):
    with pytest.raises(
        ConfigError, match=rf"{tmp_path}: the file: found Is a directory; would be right: a file we may"
    ):
        read_config(tmp_path)
    missing = tmp_path / "no" / "such" / "stillstack.toml"
    with pytest.raises(ConfigError, match=rf"{missing}: the file: found No such file or directory; would be right: "):
        read_config(missing)


def test_where_the_configuration_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STILLSTACK_CONFIG", raising=False)
    assert config_path() == tmp_path / "stillstack.toml"
    monkeypatch.setenv("STILLSTACK_CONFIG", "elsewhere/shop.toml")
    assert config_path() == tmp_path / "elsewhere" / "shop.toml"
