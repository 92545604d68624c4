"""What a broker's session with us may still be subscribed to: it outlives a change of the configuration."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable
from pathlib import Path

from sensors.payloads import check_pattern
from sensors.state_file import set_aside, write_whole

logger = logging.getLogger(__name__)


class KeptFilters:
    """A small file of topic filters. What cannot be read or written is said, and the hearing goes on without: then a
    filter that went stays with the session until that ends. For a thread of its own."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def begin(self, wanted: Iterable[str]) -> list[str]:
        """Keep that ``wanted`` are about to be asked for; returns those of before that are to be given up."""
        kept, asked = self._read(), set(wanted)
        if not asked <= kept:
            self.keep(asked | kept)
        return sorted(kept - asked)

    def keep(self, filters: Iterable[str]) -> None:
        """These and no others are the session's now."""
        try:
            write_whole(self._path, json.dumps(sorted(filters), indent=1).encode())
        except OSError as err:
            logger.warning("What is subscribed to could not be kept: %s", err)

    def forget(self) -> None:
        """The session is over."""
        self._path.unlink(missing_ok=True)

    def _read(self) -> set[str]:
        try:
            kept = json.loads(self._path.read_bytes())
            if not isinstance(kept, list) or not all(isinstance(one, str) and not check_pattern(one) for one in kept):
                raise ValueError
        except FileNotFoundError:
            return set()
        except OSError as err:
            logger.warning("What was subscribed to could not be read: %s", err)
            return set()
        except (ValueError, RecursionError):
            set_aside(self._path, "what was subscribed to before is not given up")
            return set()
        return set(kept)
