"""``stillstack serve``: from the configuration file to a running server."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from importlib import resources
from pathlib import Path

from server.app import SOURCE_SCHEMAS, Settings, run
from server.clock import RELEASED_MS, SystemClock
from server.config import Config, ConfigError, Mistake
from server.config_file import config_path, load
from server.made import with_made, with_settings
from server.rules.catalog import SCHEMAS
from server.shop.destinations import regions
from server.stores.catalog import made_in

__all__ = ["config_path", "first_example", "read_config", "read_whole", "serve"]


def first_example() -> str:
    """The annotated example that a first start writes."""
    return resources.files("server").joinpath("example.toml").read_text(encoding="utf-8")


def read_config(path: Path) -> Config:
    """The configuration; writes the annotated example first where there is no file.

    Raises ConfigError with every mistake in it, also for a file that cannot be read or written.
    """
    try:
        if not path.exists():
            path.write_text(first_example(), encoding="utf-8")
        return load(path, SOURCE_SCHEMAS, SCHEMAS, regions())
    except OSError as e:
        right = "a file we may read, or a folder we may write the example in; $STILLSTACK_CONFIG names another"
        raise ConfigError([Mistake(str(path), None, "the file", str(e.strerror), right)]) from e
    except UnicodeDecodeError as e:
        line = e.object.count(b"\n", 0, e.start) + 1
        found = f"byte 0x{e.object[e.start]:02x}, which is no UTF-8"
        raise ConfigError([Mistake(path.name, line, "the file", found, "text saved as UTF-8")]) from e


def read_whole(path: Path, state: Path) -> Config:
    """The configuration with what the record in ``state`` says was made at the wall, as a start would put them
    together. Reads only. Raises ConfigError."""
    made = made_in(state)  # none of a record that a start brings up to date first, or says what is wrong with it
    return with_made(with_settings(read_config(path), made), made, SOURCE_SCHEMAS)


async def serve(state: Path, api_port: int | None, *, restarted: bool = False, record_to: Path | None = None) -> None:
    """Run until a signal. ``api_port`` overrides the file's; ``record_to`` is a new file for what the wires hear."""
    path = config_path()
    config = await asyncio.to_thread(read_config, path)
    if api_port is not None:
        config = replace(config, api=config.api.model_copy(update={"port": api_port}))
    first_steps = None if config.sensors else str(path)
    await run(Settings(config, state, SystemClock(RELEASED_MS), restarted, first_steps, record_to=record_to))
