"""What is looked at only when it is told: sizes that look like another unit (inches, quarters, tenths of a millimetre,
metres), times that look like seconds, sheet products nobody knows, readings that say nothing.

A size is only asked about where no stock is sold in it; a person who means it says so (``sizes_checked``). What the
journal holds already is not judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from server.shop.deed import INCH_MM
from server.shop.entries import Away, EndsSealed, Entry, ForkTested, InWrap, Metered, Straightedged, Weighed
from server.shop.journal import NotPossible
from server.shop.lot import Lot
from server.shop.receiving import Received
from server.wood.sheet_goods import UnknownProduct, products

SOLID_MM, SHEET_MM = (9.0, 130.0), (2.0, 60.0)
"""Between these solid wood and sheet goods are bought: rough lumber from 4/4, resawn stock and mouldings from 9 mm, the
thickest planks 5 inches; sheets from 2 mm to worktops. Common practice, no source."""
SHORT_MM = 100.0
"""Nobody stacks shorter boards. Common practice, no source."""
LONGEST_AGO_MS = round(5 * 365.25 * 86_400_000)
"""What happened before says nothing any more of how damp a board is now, and every half hour since would be run."""
LONGEST_AWAY_MS = 366 * 86_400_000
"""Whoever is away for longer says so again."""
OF_SOLID_WOOD = (Metered, InWrap, Weighed, Straightedged, ForkTested, EndsSealed)
CHECKED = "sizes_checked: true if it is really {found:g} mm"


def check_told(entry: Entry, now_ms: int, lots: Mapping[str, Lot]) -> None:
    """All of it, of an entry that is told now; ``lots`` are those there are. Raises NotPossible."""
    deed = getattr(entry.deed, "becomes", entry.deed)
    check_time(entry.id, getattr(entry.deed, "at_ms", entry.t_ms), now_ms)
    if isinstance(deed, Received):
        check_received(entry.id, deed)
    check_reading(entry.id, deed, lots)
    if isinstance(deed, Away):
        check_away(entry.id, deed, now_ms)


def check_away(entry: str, deed: Away, now_ms: int) -> None:
    """A time in which nobody is there. Raises NotPossible for one so long ago, or so long, that it is a mistake."""
    if deed.to_ms < now_ms - LONGEST_AGO_MS:
        right = f"ms since 1970 UTC, within the last five years or to come; it is {now_ms}. Is it in seconds?"
        raise NotPossible(entry, "to_ms", str(deed.to_ms), right)
    if deed.to_ms - deed.from_ms > LONGEST_AWAY_MS:
        found = f"{(deed.to_ms - deed.from_ms) / 86_400_000:g} days after from_ms"
        raise NotPossible(entry, "to_ms", found, "within 366 days of it; of a longer time away it is said again")


def check_time(entry: str, t_ms: int, now_ms: int) -> None:
    """When something happened. Raises NotPossible for what is too long ago, and may be in seconds."""
    if t_ms < now_ms - LONGEST_AGO_MS:
        right = f"ms since 1970 UTC, within the last five years; it is {now_ms}. Is it in seconds?"
        raise NotPossible(entry, "t_ms", str(t_ms), f"{right} Of older stock: the day from which its moisture is known")


def check_received(entry: str, lot: Received) -> None:
    """Of a lot that is told now. Raises NotPossible for a sheet product nobody knows, and for what is asked about."""
    if lot.sheet is not None and lot.sheet not in (known := products()):
        raise NotPossible(
            entry, "sheet", repr(lot.sheet), f"one of {', '.join(UnknownProduct(lot.sheet, [*known]).near)}"
        )
    if (asked := asked_about(lot)) is not None:
        raise NotPossible(entry, *asked)


def check_reading(entry: str, deed: Any, lots: Mapping[str, Lot]) -> None:
    """Meters, scales and forks tell the moisture of solid wood, in per cent, and that alone has ends to seal. Raises
    NotPossible where one was put to a sheet, and for a share of one."""
    if isinstance(deed, Metered) and 0.0 < deed.reading_pct < 1.0:
        right = f"per cent, as the meter shows it: {100 * deed.reading_pct:g}?"
        raise NotPossible(entry, "reading_pct", f"{deed.reading_pct:g}", right)
    lot = lots.get(getattr(deed, "lot", ""))
    if isinstance(deed, OF_SOLID_WOOD) and lot is not None and lot.received.sheet is not None:
        found = f"{lot.id!r}, which is {lot.received.sheet}"
        raise NotPossible(entry, "lot", found, f"a lot of solid wood: {deed.kind} says nothing of sheet goods")


class Asked(NamedTuple):
    """A size that is asked about: the field, what was found, what would be right."""

    field: str
    found: str
    would_be_right: str


def asked_about(lot: Received) -> Asked | None:
    """The first size of a lot that looks like another unit; None where all are likely, or said to be right."""
    if lot.sizes_checked:
        return None
    return _thickness(lot) or _length(lot) or _width(lot)


def _thickness(lot: Received) -> Asked | None:
    found = lot.thickness_mm
    least, most = SHEET_MM if lot.species is None else SOLID_MM
    if found is None or least <= found <= most:
        return None
    if found > most:
        return _asked("thickness_mm", found, [f"{found / 10:g} mm, if it was tenths of a millimetre"])
    rights = [f"{found * INCH_MM:g} mm, if it was inches"] if found * INCH_MM <= most else []
    if lot.species is not None and found == int(found):
        rights.append(f"quarters {found:g} ({found * INCH_MM / 4:g} mm), if it was quarters of an inch")
    return _asked("thickness_mm", found, rights)


def _length(lot: Received) -> Asked | None:
    found = lot.length_mm
    if found >= SHORT_MM:
        return None
    rights = [f"{found * INCH_MM:g} mm, if it was inches", f"{found * 10:g} mm, if it was centimetres"]
    return _asked("length_mm", found, [f"{found * 1000:g} mm, if it was metres", *rights] if found <= 20 else rights)


def _width(lot: Received) -> Asked | None:
    found = lot.width_mm
    if found >= lot.thick_mm:
        return None
    more = [f"{found * INCH_MM:g} mm, if it was inches", f"{lot.thick_mm:g} mm or more, the thickness"]
    return _asked("width_mm", found, more)


def _asked(field: str, found: float, rights: list[str]) -> Asked:
    return Asked(field, f"{found:g} mm", "; ".join([*rights, CHECKED.format(found=found)]))
