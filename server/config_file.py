"""Reading the configuration file, so that one start shows all its mistakes.

Everything is looked at before anything is refused; each mistake says file, line, key, what was found and what would be
right. TOML is the standard library's to parse; a line is found again by looking for its header and key.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from server.config import (
    TABLES,
    Api,
    BrokerTable,
    Config,
    ConfigError,
    Destination,
    Mistake,
    OwnSpecies,
    RemoteTable,
    SaltCheckTable,
    ScreeningTable,
    Sensor,
    Shop,
    StoreTable,
)
from server.config_cross import cross_mistakes
from server.config_words import explained, nearest
from server.config_zone import Zone

T = TypeVar("T", bound=BaseModel)


class Reader:
    """Checks one file's content, table by table, gathering mistakes."""

    def __init__(
        self,
        text: str,
        file: str,
        source_schemas: Mapping[str, type[BaseModel]],
        rules: Mapping[str, type[BaseModel]],
        regions: Iterable[str] = (),
    ) -> None:
        self.text, self.file = text, file
        self.source_schemas, self.rule_schemas, self.regions = source_schemas, rules, tuple(regions)
        self.mistakes: list[Mistake] = []
        self._refused: set[str] = set()  # tables with a row that failed: an id missing there is no second mistake
        self._place: dict[int, int] = {}  # which row of its table a checked row was

    def read(self) -> Config:
        """The configuration; raises :class:`ConfigError` with every mistake there is."""
        return self.read_tables(self._parsed())

    def read_species(self) -> tuple[OwnSpecies, ...]:
        """The shop's own species alone, for questions that ask for nothing else. Raises :class:`ConfigError`."""
        config = Config(species=self._rows("species", OwnSpecies, self._parsed()))
        self._cross_check(config)
        if self.mistakes:
            raise ConfigError(self.mistakes)
        return config.species

    def _parsed(self) -> dict[str, Any]:
        try:
            return tomllib.loads(self.text)
        except tomllib.TOMLDecodeError as e:
            line = re.search(r"line (\d+)", str(e))
            self._miss("the file", "text that is not TOML", str(e), int(line[1]) if line else None)
            raise ConfigError(self.mistakes) from e

    def read_tables(self, raw: dict[str, Any]) -> Config:
        """The same for tables that are parsed already (the demo's)."""
        for name in raw.keys() - set(TABLES):
            self._miss(name, "a table nobody knows", nearest(name, TABLES), self._line(name))
        config = Config(
            shop=self._table("shop", Shop, raw),
            api=self._table("api", Api, raw),
            broker=self._table("broker", BrokerTable, raw),
            destinations=self._rows("destination", Destination, raw),
            zones=self._rows("zone", Zone, raw),
            sources=self._source_rows(raw),
            sensors=self._rows("sensor", Sensor, raw),
            remotes=self._rows("remote", RemoteTable, raw),
            species=self._rows("species", OwnSpecies, raw),
            store=self._table("store", StoreTable, raw),
            screening=self._table("screening", ScreeningTable, raw),
            salt_check=self._table("salt_check", SaltCheckTable, raw),
            rules=self._rules(raw),
        )
        self._cross_check(config)
        if self.mistakes:
            raise ConfigError(self.mistakes)
        return config

    def read_more(self, config: Config, raw: Mapping[str, list[Any]]) -> Config:
        """``config`` with further destinations, zones, sources and sensors, whose tables are parsed already. Each is
        checked like a table of a file, and all together as if they stood in one. Raises :class:`ConfigError`."""
        tables = dict(raw)
        config = replace(
            config,
            destinations=(*config.destinations, *self._rows("destination", Destination, tables)),
            zones=(*config.zones, *self._rows("zone", Zone, tables)),
            sources=(*config.sources, *self._source_rows(tables)),
            sensors=(*config.sensors, *self._rows("sensor", Sensor, tables)),
        )
        self._cross_check(config)
        if self.mistakes:
            raise ConfigError(self.mistakes)
        return config

    def _table(self, name: str, model: type[T], raw: dict[str, Any], key: str | None = None) -> T:
        return self._checked(model, raw.get(name, {}), key or name, name, None) or model.model_construct()

    def _rows(self, name: str, model: type[T], raw: dict[str, Any]) -> tuple[T, ...]:
        rows = [self._checked(model, row, f"{name}[{i}]", name, i) for i, row in enumerate(self._list(name, raw))]
        return tuple(row for row in rows if row is not None)

    def _source_rows(self, raw: dict[str, Any]) -> tuple[BaseModel, ...]:
        rows: list[BaseModel | None] = []
        for i, row in enumerate(self._list("source", raw)):
            kind = row.get("kind") if isinstance(row, dict) else None
            model = self.source_schemas.get(str(kind))
            if model is None:
                found = "nothing" if kind is None else repr(kind)
                right = "one of " + ", ".join(self.source_schemas)
                self._miss(f"source[{i}].kind", found, right, self._line("source", "kind", i))
            else:
                rows.append(self._checked(model, row, f"source[{i}]", "source", i))
        return tuple(row for row in rows if row is not None)

    def _rules(self, raw: dict[str, Any]) -> dict[str, BaseModel]:
        given = raw.get("rules", {})
        if not isinstance(given, dict):
            self._miss("rules", type(given).__name__, "tables such as [rules.dry-limit]", self._line("rules"))
            return {}
        for name in given.keys() - self.rule_schemas.keys():
            self._miss(
                f"rules.{name}", "a rule nobody knows", nearest(name, self.rule_schemas), self._line(f"rules.{name}")
            )
        return {name: self._table(name, schema, given, f"rules.{name}") for name, schema in self.rule_schemas.items()}

    def _list(self, name: str, raw: dict[str, Any]) -> list[Any]:
        rows = raw.get(name, [])
        if isinstance(rows, list):
            return rows
        self._miss(name, f"[{name}]", f"[[{name}]] with double brackets: there may be several", self._line(name))
        return []

    def _checked(self, model: type[T], data: Any, key: str, header: str, row: int | None) -> T | None:
        if not isinstance(data, dict):
            self._miss(key, type(data).__name__, "a table", self._line(header))
            return None
        try:
            checked = model.model_validate(data)
            self._place[id(checked)] = row or 0
            return checked
        except ValidationError as e:
            self._refused.add(header)
            for error in e.errors(include_url=False):
                loc = [str(part) for part in error["loc"]]
                found, right = explained(error, model)
                line = self._line(key.partition("[")[0], loc[0] if loc else None, row)
                self._miss(".".join([key, *loc]), found, right, line)
            return None

    def _cross_check(self, config: Config) -> None:
        for one in cross_mistakes(config, self._refused, self.regions):
            self._miss_in(*one)

    def _miss_in(self, table: str, row: BaseModel, key: str, found: str, right: str) -> None:
        n = self._place.get(id(row))
        if n is None:  # of a configuration that more is added to: right until then
            self._miss(f"{table} '{getattr(row, 'id', '')}'.{key}", found, right, None)
            return
        self._miss(f"{table}[{n}].{key}", found, right, self._line(table, key, n))

    def _miss(self, key: str, found: str, right: str, line: int | None) -> None:
        self.mistakes.append(Mistake(self.file, line, key, found, right))

    def _line(self, header: str, key: str | None = None, row: int | None = None) -> int | None:
        return find_line(self.text, header, key, row or 0)


def check_row(model: type[T], data: Any, key: str) -> T:
    """One table that came another way than in a file. Raises :class:`ConfigError` as for a file."""
    reader = Reader("", "the request", {}, {})
    checked = reader._checked(model, data, key, key, None)
    if checked is None:
        raise ConfigError(reader.mistakes)
    return checked


def find_line(text: str, header: str, key: str | None, row: int) -> int | None:
    """Line number of ``key`` below the ``row``-th (0 is the first) ``[header]`` or ``[[header]]``.

    The header's own line where the key is not there; None where there is no such header.
    """
    heading = re.compile(rf"\s*\[\[?\s*{re.escape(header)}\s*\]")
    assignment = re.compile(rf"\s*{re.escape(key)}\s*=") if key else None
    seen, header_line = -1, None
    for number, line in enumerate(text.splitlines(), 1):
        if heading.match(line):
            seen += 1
            if seen == row:
                header_line = number
        elif header_line is not None and line.lstrip().startswith("["):
            break
        elif header_line is not None and assignment is not None and assignment.match(line):
            return number
        if seen > row:
            break
    return header_line


def config_path() -> Path:
    """The shop's configuration: $STILLSTACK_CONFIG, else stillstack.toml in the folder one starts from."""
    return Path(os.environ.get("STILLSTACK_CONFIG") or "stillstack.toml").absolute()


def load_species(path: Path) -> tuple[OwnSpecies, ...]:
    """The shop's own species of a file, whatever else it holds. Raises :class:`ConfigError`, also for a file that
    cannot be read."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as e:
        found = e.strerror if isinstance(e, OSError) else "bytes that are no UTF-8"
        raise ConfigError([Mistake(str(path), None, "the file", str(found), "a file we may read, in UTF-8")]) from e
    return Reader(text, path.name, {}, {}).read_species()


def load(
    path: Path,
    source_schemas: Mapping[str, type[BaseModel]],
    rules: Mapping[str, type[BaseModel]],
    regions: Iterable[str] = (),
) -> Config:
    """Read and check a file. Raises :class:`ConfigError` with all its mistakes, OSError when it cannot be read."""
    config = Reader(path.read_text(encoding="utf-8"), path.name, source_schemas, rules, regions).read()
    return replace(config, path=path)
