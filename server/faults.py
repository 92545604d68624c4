"""Bugs in what works beside the engine: each is named in the log once and counted, and what can go on goes on.

A bug in the spine itself ends the program, and it is started again. A part beside it that a bug has stopped (verdicts,
outlooks, the lots' moisture, upkeep) must take no reading with it; that it is stopped stands in the health document.
"""

from __future__ import annotations

import logging
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

from server.clock import Clock

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Fault:
    """What went wrong in a ``part``, ``where`` in the code, how often since the start; ``about`` names the lot or zone
    it was last seen at, "" for none."""

    part: str
    what: str
    where: str
    about: str
    times: int
    first_ms: int
    last_ms: int


@dataclass(slots=True)
class Faults:
    """All since the start, by part and place; there are no more of them than places in the code."""

    _of: dict[tuple[str, str, str], Fault] = field(default_factory=dict)

    def note(self, part: str, error: Exception, now_ms: int, about: str = "") -> None:
        """Count one; the first of its kind is told in the log with its whole trace."""
        frames = traceback.extract_tb(error.__traceback__)
        where = f"{'/'.join(Path(frames[-1].filename).parts[-2:])}:{frames[-1].lineno}" if frames else ""
        key = part, type(error).__name__, where
        before = self._of.get(key)
        if before is None:
            log.error(
                "A bug of ours in %s%s; what can go on goes on, and it is not logged again", part,
                f" ({about})" if about else "", exc_info=error,
            )  # fmt: skip
            what = f"{type(error).__name__}: {error}"[:400]
            self._of[key] = Fault(part, what, where, about, 1, now_ms, now_ms)
            return
        self._of[key] = replace(before, about=about, times=before.times + 1, last_ms=now_ms)

    @contextmanager
    def noted(self, part: str, clock: Clock, about: str = "") -> Iterator[None]:
        """Whatever is raised inside ends there, and is noted."""
        try:
            yield
        except Exception as error:  # noqa: BLE001 - a part beside the engine must not take it along
            self.note(part, error, clock.now().wall_ms, about)

    def all(self) -> list[Fault]:
        """The newest first."""
        return sorted(self._of.values(), key=lambda fault: -fault.last_ms)
