"""A history goes into the record whole, marked, through screening and into its zone's air; or not at all."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from server.cli import main
from server.clock import ManualClock
from server.importing import Imported, import_history
from server.reading import Flag
from server.shop.csv_history import CsvHistoryError, Mapping
from server.stores.port import StoreBusy
from server.stores.sqlite_history import SqliteHistory
from server.wood.emc import emc_pct
from tests.unit.spine import CONFIG, config

NOW_MS = 1_800_000_000_000
ALWAYS = (0, 2**53)
PLAIN = Mapping("time", "t", "rh", time_format="s")
PUBLIC = Path(__file__).parents[3].parent / "shared" / "data" / "house_rooms_belgium_2016.csv"


def written(folder: Path, rows: list[tuple[int, object, object]]) -> Path:
    path = folder / "logger.csv"
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([("time", "t", "rh"), *rows])
    return path


async def imported(path: Path, folder: Path, mapping: Mapping = PLAIN, sensor: str = "bench-1") -> Imported:
    clock = ManualClock(NOW_MS)
    return await import_history(path, sensor, mapping, config=config(), state=folder / "state", clock=clock)


def record(folder: Path) -> SqliteHistory:
    return SqliteHistory(folder / "state" / "record.sqlite")


async def test_readings_zone_and_journal_say_where_they_come_from(tmp_path: Path) -> None:
    start_s = 1_700_000_000
    path = written(tmp_path, [(start_s + 600 * n, 20 + n / 100, 40 + n / 10) for n in range(10)])
    done = await imported(path, tmp_path)
    assert (done.rows, done.readings, done.flagged) == (10, 20, {})
    found = record(tmp_path)
    readings = found.readings("bench-1/humidity_pct", *ALWAYS)
    assert [r.value for r in readings] == [40 + n / 10 for n in range(10)]
    assert all(r.good and r.flags & Flag.IMPORTED for r in readings)
    zone = found.readings("zone:bench/emc_pct", *ALWAYS)
    assert zone[3].value == pytest.approx(float(emc_pct(20.03, 0.403)))  # the equation itself, at the values imported
    assert all(r.flags & Flag.IMPORTED for r in zone)
    (entry,) = found.journal("imported")
    assert (entry.subject, entry.data["file"], entry.data["rows"]) == ("bench-1", "logger.csv", 10)
    assert found.rollups("zone:bench/emc_pct", "day", *ALWAYS)


async def test_what_no_air_can_be_is_kept_and_flagged_as_ever(tmp_path: Path) -> None:
    rows = [(1_700_000_000 + 600 * n, t, rh) for n, (t, rh) in enumerate([(20, 40), (-45, 41), (20, 130), (20.1, 42)])]
    done = await imported(written(tmp_path, rows), tmp_path)
    assert done.flagged.get("range") == 2
    assert "2 range" in done.text()
    good = record(tmp_path).readings("bench-1/humidity_pct", *ALWAYS)
    assert 130 not in [r.value for r in good]


async def test_one_bad_row_among_many_leaves_the_record_as_it_was(tmp_path: Path) -> None:
    rows: list[tuple[int, object, object]] = [(1_700_000_000 + 60 * n, 20, 40) for n in range(5000)]
    rows[4321] = (rows[4321][0], "20,5", 40)
    with pytest.raises(CsvHistoryError, match="row 4323, temperature: found '20,5'"):
        await imported(written(tmp_path, rows), tmp_path)
    assert not (tmp_path / "state").exists()


async def test_readings_that_are_there_already_are_not_mixed_with_others(tmp_path: Path) -> None:
    path = written(tmp_path, [(1_700_000_000 + 600 * n, 20, 40) for n in range(10)])
    await imported(path, tmp_path)
    before = record(tmp_path).readings("bench-1/humidity_pct", *ALWAYS)
    with pytest.raises(CsvHistoryError, match="found 10 readings of it in that time already"):
        await imported(path, tmp_path)
    assert record(tmp_path).readings("bench-1/humidity_pct", *ALWAYS) == before
    assert len(record(tmp_path).journal("imported")) == 1


async def test_what_other_sensors_of_the_zone_have_mixed_to_stands(tmp_path: Path) -> None:
    start_s = 1_700_000_000
    await imported(written(tmp_path, [(start_s + 600 * n, 20, 77) for n in range(10)]), tmp_path)
    later = [(start_s + 600 * n, 20, 40) for n in range(30)]
    await imported(written(tmp_path, later), tmp_path, sensor="bench-2")
    zone = record(tmp_path).readings("zone:bench/humidity_pct", *ALWAYS)
    assert [round(r.value) for r in zone][:10] == [77] * 10
    assert {round(r.value) for r in zone[10:]} == {40}
    assert zone[10].t_ms - zone[9].t_ms >= 1_800_000, "where the first still speaks the second does not"
    assert len(record(tmp_path).readings("bench-2/humidity_pct", *ALWAYS)) == 30


async def test_readings_and_journal_are_one_transaction(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> int:
        raise RuntimeError("the power went")

    with monkeypatch.context() as patched:
        patched.setattr("server.stores.sqlite_ledger.Ledger.add_journal", broken)
        with pytest.raises(RuntimeError):
            await imported(written(tmp_path, [(1_700_000_000, 20, 40)]), tmp_path)
    assert record(tmp_path).readings("bench-1/humidity_pct", *ALWAYS, good_only=False) == []
    await imported(written(tmp_path, [(1_700_000_000, 20, 40)]), tmp_path)
    assert len(record(tmp_path).journal("imported")) == 1


async def test_who_and_when_must_fit(tmp_path: Path) -> None:
    path = written(tmp_path, [(1_700_000_000, 20, 40)])
    with pytest.raises(CsvHistoryError, match="sensor: found 'attic'; would be right: one of bench-1"):
        await imported(path, tmp_path, sensor="attic")
    later = written(tmp_path, [(NOW_MS // 1000 + 60, 20, 40)])
    with pytest.raises(CsvHistoryError, match="found a time that is still to come"):
        await imported(later, tmp_path)


async def test_a_server_at_work_is_not_written_beside(tmp_path: Path) -> None:
    from server.stores.folder_lock import FolderLock

    held = FolderLock(tmp_path / "state")
    try:
        with pytest.raises(StoreBusy):
            await imported(written(tmp_path, [(1_700_000_000, 20, 40)]), tmp_path)
    finally:
        held.release()


@pytest.mark.skipif(not PUBLIC.exists(), reason="the public record of a Belgian house lies beside the checkout in CI")
async def test_a_public_record_of_a_house_comes_in_whole(tmp_path: Path) -> None:
    """Candanedo, Feldheim, Deramaix, Energy and Buildings 140 (2017) 81-97: nine rooms, uneven in time, local time."""
    mapping = Mapping("date", "T1", "RH_1", time_format="%Y-%m-%d %H:%M:%S", timezone="Europe/Brussels")
    # Its clock was not changed in spring: at 02:10 that night there was no such hour in Belgium.
    with pytest.raises(CsvHistoryError, match="row 2681, time: found 2016-03-27 02:10:00, which Europe/Brussels left"):
        await imported(PUBLIC, tmp_path, mapping)
    done = await imported(PUBLIC, tmp_path, replace(mapping, timezone="Etc/GMT-1"))
    with PUBLIC.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert done.rows == len(rows)
    values = [r.value for r in record(tmp_path).readings("bench-1/temperature_c", *ALWAYS, good_only=False)]
    assert values == [float(row["T1"]) for row in rows]
    assert sum(done.flagged.values()) <= 0.01 * done.readings, done.flagged


def test_the_command_takes_columns_units_and_zone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("STILLSTACK_CONFIG", str(tmp_path / "stillstack.toml"))
    monkeypatch.setenv("STILLSTACK_STATE", str(tmp_path / "state"))
    (tmp_path / "stillstack.toml").write_text(CONFIG)
    logger = tmp_path / "logger.csv"
    logger.write_text("when;t;rh\n12.01.2026 07:42;68,0;0,40\n12.01.2026 07:52;68,9;n/a\n")
    columns = ["--sensor", "bench-1", "--time", "when", "--temperature", "t:F", "--humidity", "rh:fraction"]
    written_as = ["--time-format", "%d.%m.%Y %H:%M", "--separator", ";", "--decimal", ",", "--missing", "n/a"]
    assert main(["store", "import", str(logger), *columns, *written_as, "--timezone", "Etc/GMT-1"]) == 0
    assert capsys.readouterr().out == "2 rows became 3 readings\n"
    (first, second) = record(tmp_path).readings("bench-1/temperature_c", *ALWAYS)
    assert (first.value, second.t_ms - first.t_ms) == (pytest.approx(20.0), 600_000)
    assert main(["store", "import", str(logger), *columns, *written_as]) == 2
    assert "readings of it in that time already" in capsys.readouterr().err
    for wrong, said in (
        (["--timezone", "Europe/Atlantis"], "timezone: found 'Europe/Atlantis'"),
        (["--separator", ";;"], "would be right: one sign each"),
        (["--humidity", "rh:F"], "--humidity: found the unit F; would be right: % or fraction"),
    ):
        assert main(["store", "import", str(logger), *columns, *written_as, *wrong]) == 2
        assert said in capsys.readouterr().err
