"""A stored reading as a line of InfluxDB's line protocol. The one place where points get their shape.

    reading,source=SHOP,sensor=bench-1,quantity=humidity_pct value=41.2,flags=0.0,raw=41.2 1799755200000

``zone=`` stands instead of ``sensor=`` for a zone's air. Fields are floats, always all three: the first write fixes a
field's type, and a point that replaces another must leave nothing of it. Times are ms since 1970 UTC.

Source of the grammar: InfluxDB OSS documentation, "Line protocol" (commas, equals signs and spaces in tags are escaped
by a backslash). What that grammar cannot carry in a tag (control characters, backslashes) and ``%`` are written as in a
URL, so ``%5C`` is a backslash.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from urllib.parse import quote

from server.stores.remote import Point

_ZONE = "zone:"
_ESCAPED = str.maketrans({",": "\\,", "=": "\\=", " ": "\\ "})


class LineWriter:
    """Makes lines; ``source`` tells this shop's points from another's in the same bucket."""

    def __init__(self, source: str) -> None:
        self._source = source
        self._heads: dict[str, str] = {}

    def body(self, points: Sequence[Point]) -> bytes:
        """All the points, one a line. Raises ValueError naming a point whose numbers are not finite."""
        return "\n".join([self.line(point) for point in points]).encode("utf-8")

    def line(self, point: Point) -> str:
        """One point. Raises ValueError where a number is not finite."""
        series, t_ms, value, flags, raw = point
        said = value if raw is None else raw
        if not (isfinite(value) and isfinite(said)):
            raise ValueError(f"{series} at {t_ms}: found value {value}, raw {raw}; would be right: finite numbers")
        head = self._heads.get(series) or self._head(series)
        return f"{head} value={float(value)!r},flags={float(flags)!r},raw={float(said)!r} {t_ms}"

    def _head(self, series: str) -> str:
        owner, _, quantity = series.rpartition("/")
        kind, name = ("zone", owner.removeprefix(_ZONE)) if owner.startswith(_ZONE) else ("sensor", owner)
        head = f"reading,source={tag(self._source)},{kind}={tag(name)},quantity={tag(quantity)}"
        self._heads[series] = head
        return head


def tag(text: str) -> str:
    """A tag's value as it stands in a line. No tag may be empty: that becomes ``%``, as nothing else does."""
    safe = "".join(c if c.isprintable() and c not in "\\%" else quote(c, safe="") for c in text)
    return safe.translate(_ESCAPED) or "%"
