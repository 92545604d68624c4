"""A recording of what wires heard: one JSON object a line, ``{"t_s", "source", "topic", "bytes_b64"}``.

``t_s`` counts from the start of the recording on the monotonic clock; ``topic`` is "" on wires that have none. Bytes
are as they came, before anybody read them: a recording shows what a decoder was given, not what it made of it.
"""

from __future__ import annotations

import base64
import binascii
import json
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from sensors.driver import Now

logger = logging.getLogger(__name__)

LONGEST_LINE = 1_000_000
LONGEST_CONTENT = 600_000
"""Bytes; as base64 they fit into a line. No device says so much; what does is left out, said once in the log."""
LATEST_S = 1e9
_KEYS = {"t_s", "source", "topic", "bytes_b64"}


class RecordingError(ValueError):
    """A file that is no recording, or may not be written. The text names file and line, what was found and what would
    be right."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """Bytes that one wire heard ``t_s`` seconds after the start."""

    t_s: float
    source: str
    topic: str
    content: bytes

    def line(self) -> str:
        """The line of the file, its end included."""
        text = base64.b64encode(self.content).decode("ascii")
        entry = {"t_s": round(self.t_s, 6), "source": self.source, "topic": self.topic, "bytes_b64": text}
        return json.dumps(entry, ensure_ascii=True) + "\n"


class Recorder:
    """Writes a new file, a line as soon as something is heard. A file that can no longer be written ends the recording,
    said once in the log, and nothing else: the record of readings is another matter."""

    def __init__(self, path: Path, now: Now) -> None:
        """Raises :class:`RecordingError` where the file is there already or cannot be made."""
        self.path = path
        self._now = now
        self._began_s = now()[1]
        self._left_out = 0
        self._file: TextIO | None
        try:
            self._file = path.open("x", encoding="ascii", buffering=1)
        except FileExistsError:
            raise RecordingError(f"{path}: found a file; would be right: a name that is free") from None
        except OSError as err:
            raise RecordingError(f"{path}: {err.strerror}; would be right: a folder we may write in") from err

    def heard(self, source: str, topic: str, content: bytes) -> None:
        """Write down what a wire heard now."""
        if self._file is None:
            return
        if len(content) > LONGEST_CONTENT:
            if not self._left_out:
                logger.warning("Left out of %s: %d bytes at once from %s", self.path, len(content), source)
            self._left_out += 1
            return
        try:
            self._file.write(Recorded(self._now()[1] - self._began_s, source, topic, content).line())
        except OSError as err:
            logger.error("The recording %s ends here: %s", self.path, err)
            self.close()

    def close(self) -> None:
        """End the file. Twice is once."""
        file, self._file = self._file, None
        if file is not None:
            try:
                file.close()
            except OSError as err:
                logger.error("The recording %s may lack its end: %s", self.path, err)


def read_recording(path: Path) -> Iterator[Recorded]:
    """What a file holds, in its order. Raises :class:`RecordingError` for the first line that is wrong; times may not
    go back."""
    last_s = 0.0
    try:
        with path.open(encoding="utf-8") as file:
            for number, line in enumerate(iter(lambda: file.readline(LONGEST_LINE), ""), 1):
                entry = _entry(line, f"{path}:{number}")
                if entry.t_s < last_s:
                    found = f"found t_s {entry.t_s:g} after {last_s:g}"
                    raise RecordingError(f"{path}:{number}: {found}; would be right: lines in the order of their time")
                last_s = entry.t_s
                yield entry
    except OSError as err:
        raise RecordingError(f"{path}: {err.strerror}; would be right: a recording that may be read") from err
    except UnicodeDecodeError:
        raise RecordingError(f"{path}: found bytes that are no text; would be right: JSON lines") from None


def _entry(line: str, where: str) -> Recorded:
    def wrong(found: object, right: str) -> RecordingError:
        return RecordingError(f"{where}: found {str(found)[:60]}; would be right: {right}")

    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        raise wrong(repr(line.rstrip()), "one JSON object a line") from None
    if not isinstance(entry, dict) or entry.keys() != _KEYS:
        raise wrong(repr(line.rstrip()), f"an object with just the keys {', '.join(sorted(_KEYS))}")
    t_s, source, topic, text = (entry[key] for key in ("t_s", "source", "topic", "bytes_b64"))
    if isinstance(t_s, bool) or not isinstance(t_s, int | float) or not 0 <= t_s < LATEST_S:
        raise wrong(f"t_s {t_s!r}", "seconds since the start, 0 or more")
    if not isinstance(source, str) or not source or not isinstance(topic, str) or not isinstance(text, str):
        raise wrong(repr(line.rstrip()), "text for source, topic and bytes_b64")
    try:
        return Recorded(float(t_s), source, topic, base64.b64decode(text, validate=True))
    except (binascii.Error, ValueError):
        raise wrong(f"bytes_b64 {text!r}", "base64 (RFC 4648)") from None
