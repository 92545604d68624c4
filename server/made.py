"""What a person made at the wall, put together with the configuration file at a start.

The file wins: an id that stands in both refuses the start, so that nobody wonders which of two he is looking at.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, Literal

from pydantic import BaseModel

from server.config import Config, ConfigError, Mistake, Shop
from server.config_file import Reader, check_row, find_line
from server.reading import Made

log = logging.getLogger(__name__)

WHERE = "the record, made at the wall"
SHOP: Literal["shop"] = "shop"
"""The kind and the id of what was set of the shop as a whole."""


def with_made(config: Config, made: Sequence[Made], source_schemas: Mapping[str, type[BaseModel]]) -> Config:
    """The configuration with what was made at the wall. Raises :class:`ConfigError` for an id that is in both, and for
    what no longer fits the file, such as a sensor whose zone was taken out of it."""
    if twice := list(_twice(config, made)):
        raise ConfigError(twice)
    return Reader("", WHERE, source_schemas, {}).read_more(config, tables_of(made))


def with_settings(config: Config, made: Iterable[Made]) -> Config:
    """The configuration with what was set of the shop at the wall. A key that stands in the file wins: it says so
    itself, and a start for the sake of a name is not refused. Raises :class:`ConfigError` for what no longer fits."""
    for one in made:
        if one.kind == SHOP:
            if passed := sorted(one.data.keys() & config.shop.model_fields_set):
                log.info("Set at the wall too, but the file's is used: %s", ", ".join(f"shop.{key}" for key in passed))
            config = replace(config, shop=shop_with(config.shop, one.data))
    return config


def shop_with(in_file: Shop, values: Mapping[str, object]) -> Shop:
    """The shop's table with further keys; those of the file stand. Raises :class:`ConfigError`."""
    named = {key: getattr(in_file, key) for key in in_file.model_fields_set}
    return check_row(Shop, {**values, **named}, SHOP)


def tables_of(made: Iterable[Made]) -> dict[str, list[Any]]:
    """As tables of a file, by kind."""
    tables: dict[str, list[Any]] = {}
    for one in made:
        tables.setdefault(one.kind, []).append(one.data)
    tables.pop(SHOP, None)
    return tables


def rows_of(config: Config) -> dict[str, tuple[Any, ...]]:
    """Every table whose rows may also be made at the wall."""
    return {
        "destination": config.destinations, "zone": config.zones, "source": config.sources, "sensor": config.sensors,
    }  # fmt: skip


def ids_of(config: Config) -> set[tuple[str, str]]:
    """Everything in a configuration that may also be made at the wall, as (kind, id)."""
    return {(kind, str(row.id)) for kind, found in rows_of(config).items() for row in found}


def _twice(config: Config, made: Sequence[Made]) -> Iterator[Mistake]:
    rows = rows_of(config)
    text = config.path.read_text(encoding="utf-8") if config.path is not None and config.path.exists() else ""
    for one in made:
        ids = [str(row.id) for row in rows.get(one.kind, ())]
        if one.id in ids:
            n = ids.index(one.id)
            day = datetime.fromtimestamp(one.made_ms / 1000.0, UTC).date()
            yield Mistake(
                config.path.name if config.path is not None else "the configuration",
                find_line(text, one.kind, "id", n),
                f"{one.kind}[{n}].id",
                f"'{one.id}', which a {one.kind} made at the wall on {day} has too; that one is kept in the record",
                f"another id here; or start once without this [[{one.kind}]] and remove the one at the wall",
            )
