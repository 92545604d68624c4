"""What a person made at the wall, put together with the configuration file at a start.

The file wins: an id that stands in both refuses the start, so that nobody wonders which of two he is looking at.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from pydantic import BaseModel

from server.config import Config, ConfigError, Mistake
from server.config_file import Reader, find_line
from server.reading import Made

WHERE = "the record, made at the wall"


def with_made(config: Config, made: Sequence[Made], source_schemas: Mapping[str, type[BaseModel]]) -> Config:
    """The configuration with what was made at the wall. Raises :class:`ConfigError` for an id that is in both, and for
    what no longer fits the file, such as a sensor whose zone was taken out of it."""
    if twice := list(_twice(config, made)):
        raise ConfigError(twice)
    return Reader("", WHERE, source_schemas, {}).read_more(config, tables_of(made))


def tables_of(made: Iterable[Made]) -> dict[str, list[Any]]:
    """As tables of a file, by kind."""
    tables: dict[str, list[Any]] = {}
    for one in made:
        tables.setdefault(one.kind, []).append(one.data)
    return tables


def ids_of(config: Config) -> set[tuple[str, str]]:
    """Everything in a configuration that may also be made at the wall, as (kind, id)."""
    rows = {"zone": config.zones, "source": config.sources, "sensor": config.sensors}
    return {(kind, str(getattr(row, "id"))) for kind, found in rows.items() for row in found}  # noqa: B009


def _twice(config: Config, made: Sequence[Made]) -> Iterator[Mistake]:
    rows = {"zone": config.zones, "source": config.sources, "sensor": config.sensors}
    text = config.path.read_text(encoding="utf-8") if config.path is not None and config.path.exists() else ""
    for one in made:
        ids = [str(getattr(row, "id")) for row in rows[one.kind]]  # noqa: B009
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
