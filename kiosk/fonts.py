"""The kiosk's letters: Barlow Semi Condensed from its font package, its digits made one width.

The family's own digits are proportional, so a number that changes would dance. It carries digits of one width behind
the OpenType feature ``tnum``, which Kivy cannot switch on; so the character map is pointed at them, once, in a copy.
"""

from __future__ import annotations

import importlib
import logging
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from kiosk import environment

log = logging.getLogger(__name__)

FAMILY = "Barlow Semi Condensed"
REGULAR = "BarlowSemiCondensed-Medium.ttf"
BOLD = "BarlowSemiCondensed-SemiBold.ttf"
EDITION = 1  # raise it when the copies are made differently, so that old ones are not used


def packaged(name: str) -> Path:
    """The font file of that name inside the font package."""
    module = importlib.import_module("fontpkg_barlow_semi_condensed")
    return Path(str(module.__file__)).parent / "files" / name


def _point_at(tables: Iterable[Any], swaps: dict[str, str], where: str) -> None:
    for part in tables:
        for digit in "0123456789":
            glyph = part.cmap.get(ord(digit))
            if glyph in swaps:
                part.cmap[ord(digit)] = swaps[glyph]
            elif glyph is not None and glyph not in swaps.values():  # two tables may share one map, already done
                raise ValueError(f"{where}: found no tnum form of {digit}; would be right: one for each digit")


def even_digits(source: Path, target: Path) -> None:
    """Write a copy of ``source`` whose digits are its ``tnum`` ones. The file appears whole or not at all.

    Raises ValueError naming the digit when the font has no such form, OSError when it cannot be written.
    """
    ttlib = importlib.import_module("fontTools.ttLib")
    with ttlib.TTFont(source) as font:
        swaps: dict[str, str] = {}
        table = font["GSUB"].table
        for record in table.FeatureList.FeatureRecord:
            if record.FeatureTag == "tnum":
                for index in record.Feature.LookupListIndex:
                    for lookup in table.LookupList.Lookup[index].SubTable:
                        swaps.update(getattr(lookup, "mapping", {}))
        _point_at(font["cmap"].tables, swaps, source.name)
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, suffix=".ttf")
        os.close(handle)
        try:
            font.save(name)
            with Path(name).open("rb") as written:  # a power cut must not leave an empty file under the final name
                os.fsync(written.fileno())
            Path(name).replace(target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise


def _is_whole(target: Path) -> bool:
    """Whether the copy begins and ends like a font: one that a power cut left empty or full of noughts is made again.
    Reading it through would cost the first picture a tenth of a second."""
    try:
        content = target.read_bytes()
    except OSError:
        return False
    return content[:4] in (b"\0\1\0\0", b"OTTO") and any(content[-512:])


def prepared(name: str, folder: Path | None = None) -> Path:
    """The even-digit copy of ``name``, made if it is not there; the package's own file if it cannot be made."""
    source = packaged(name)
    target = (folder or environment.state_folder() / "fonts") / f"{source.stem}-even-{EDITION}.ttf"
    if _is_whole(target):
        return target
    try:
        even_digits(source, target)
    except (OSError, ValueError, KeyError, AttributeError, ImportError) as problem:
        log.warning("digits keep their own widths: %s", problem)
        return source
    return target
