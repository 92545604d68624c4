"""What an entry stands on: a time that has come, zones and destinations that there are, entries that still count."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from server.reading import Aim
from server.shop.entries import Entry
from server.shop.journal import NotPossible, check_undoing
from server.shop.lots import Shop

AHEAD_MS = 120_000
"""So far ahead of the clock a time may be that somebody typed."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What there is at ``now_ms``, and was ``written`` so far; ``has_picture`` looks for a picture in the record."""

    now_ms: int
    zones: Sequence[str]
    destinations: Mapping[str, Aim]
    has_picture: Callable[[str], bool]
    written: Mapping[str, Entry]

    def check(self, entry: Entry) -> None:
        """What an entry itself names. Raises NotPossible."""
        check_undoing(entry, self.written)
        deed = getattr(entry.deed, "becomes", entry.deed)
        t_ms = getattr(entry.deed, "at_ms", entry.t_ms)
        if t_ms > self.now_ms + AHEAD_MS:
            raise NotPossible(entry.id, "t_ms", str(t_ms), f"a time that has come; it is {self.now_ms}")
        zone, place = getattr(deed, "zone", None), getattr(getattr(deed, "aim", None), "destination", None)
        if zone is not None and zone not in self.zones:
            raise NotPossible(entry.id, "zone", repr(zone), f"one of {', '.join(self.zones)}")
        if place is not None and place not in self.destinations:
            right = f"one of {', '.join(sorted(self.destinations))}"
            raise NotPossible(entry.id, "aim.destination", repr(place), right)
        picture = getattr(deed, "picture", None)
        if picture is not None and not self.has_picture(picture):
            right = "none, or one that was put at /api/pictures before"
            raise NotPossible(entry.id, "picture", repr(picture), right)

    def check_lots(self, new: Sequence[Entry], was: Shop, now: Shop) -> None:
        """Taking one of the ``new`` entries back may lay a lot where there is nothing any more; what was so before
        stays as it is. Raises NotPossible."""
        entry = new[0]
        for name, lot in now.lots.items():
            aim, before = lot.received.aim.destination, was.lots.get(name)
            if lot is before:
                continue
            unchanged = before is not None and not before.ended and before.zone == lot.zone
            if lot.ended or (unchanged and before is not None and before.received.aim == lot.received.aim):
                continue
            if lot.zone not in self.zones:
                found = f"lot {name!r} in {lot.zone!r}, which is no zone any more"
                raise NotPossible(entry.id, "zone", found, f"one of {', '.join(self.zones)}; make it again first")
            if aim is not None and aim not in self.destinations:
                found = f"lot {name!r} for {aim!r}, which is no destination any more"
                right = f"one of {', '.join(sorted(self.destinations))}; make it again first"
                raise NotPossible(entry.id, "aim.destination", found, right)
