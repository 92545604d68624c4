"""The whole server on a clock that is told: ``python -m tests.faults.night.server CLOCK PORT [--restarted]``."""

from __future__ import annotations

import asyncio
import logging
import os
import sys
from dataclasses import replace
from pathlib import Path

from server.app import Settings, run
from server.serve import config_path, read_config
from tests.faults.night.clock import ToldClock


def main(clock: str, port: str, *more: str) -> None:
    logging.basicConfig(level=logging.WARNING, format="%(name)s: %(message)s")
    config = read_config(config_path())
    config = replace(config, api=config.api.model_copy(update={"port": int(port)}))
    state = Path(os.environ["STILLSTACK_STATE"])
    boot = "one run of the test's clock"
    told = ToldClock(Path(clock))
    asyncio.run(run(Settings(config, state, told, restarted="--restarted" in more, machine_boot=boot)))


if __name__ == "__main__":
    main(*sys.argv[1:])
