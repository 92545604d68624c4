"""Sizes, ages and what wires said, as Setup's pages have them read."""

from __future__ import annotations

import re

from kiosk.pages.base import Seen

FRESH_MS = 120_000
"""Younger than this a clock time is said and no age: the answer itself may be a minute old."""
RAW_LINES, RAW_BYTES, RAW_SIGNS = 6, 8, 64


def fetched(seen: Seen, key: str) -> str:
    """Why there is no answer yet."""
    answer = seen.answers.get(key)
    if answer is not None and answer.refused is not None:
        return seen.words("not-known", reason=answer.refused.text)
    return seen.words("being-fetched")


def size(seen: Seen, count: float) -> str:
    """Bytes as megabytes of 10⁶, as disks are sold by."""
    return f"{seen.figures.number(count / 1e6, 1)} MB"


def sure(true: bool) -> str:
    """The end of a key of words."""
    return "yes" if true else "no"


def waited(seen: Seen, seconds: float) -> str:
    """A duration in its largest whole unit."""
    for unit, length in (("days", 86_400), ("hours", 3_600), ("minutes", 60)):
        if seconds >= 2 * length:
            return seen.words(f"lasts-{unit}", count=int(seconds // length))
    return seen.words("lasts-seconds", count=int(seconds))


def last_word(seen: Seen, heard_ms: int | None) -> str:
    """When a wire said something last: by the clock, and by its age once it is older than two minutes."""
    if heard_ms is None:
        return seen.words("never-heard")
    age_ms = seen.now_ms - heard_ms
    if age_ms < FRESH_MS:
        return seen.words("heard-at", at=seen.figures.clock(heard_ms, seen.timezone))
    return seen.words("heard-ago", age=waited(seen, age_ms / 1000))


def raw_lines(said: str) -> tuple[str, ...]:
    """The last of what a wire said, as it came: lines of text, or bytes in hexadecimal. ``said`` is as the server
    prints it: what is no letter is written with a backslash."""
    plain = re.sub(r"\\x([0-9a-f]{2})", lambda m: chr(int(m[1], 16)), said.replace("\\r", "\r").replace("\\n", "\n"))
    plain = plain.replace("\\t", "\t").replace("\\\\", "\\")
    if "\\x" in said:
        numbers = [f"{ord(sign) & 0xFF:02x}" for sign in plain][-RAW_LINES * RAW_BYTES :]
        return tuple(" ".join(numbers[i : i + RAW_BYTES]) for i in range(0, len(numbers), RAW_BYTES))
    lines = [line.strip() for line in plain.replace("}{", "}\n{").splitlines()]
    return tuple(line[-RAW_SIGNS:] for line in lines if line)[-RAW_LINES:]
