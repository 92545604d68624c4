"""What somebody chose at this wall, kept for its next start: the language, and the units figures are read in."""

from __future__ import annotations

import json
import logging
import os
from dataclasses import asdict, dataclass
from pathlib import Path

from kiosk.figures import METRIC, Units
from kiosk.words import languages

log = logging.getLogger(__name__)

FILE = "choice.json"


@dataclass(frozen=True, slots=True)
class Choice:
    """Raises ValueError for a language without words."""

    language: str = "en"
    units: Units = METRIC

    def __post_init__(self) -> None:
        if self.language not in languages():
            right = ", ".join(languages())
            raise ValueError(f"language: found {self.language!r}; would be right: one of {right}")


def kept(folder: Path) -> Choice:
    """The one kept there; the usual one where there is none. A damaged file is said once and counts as none."""
    path = folder / FILE
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        return Choice(found["language"], Units(**found["units"]))
    except FileNotFoundError:
        return Choice()
    except (OSError, ValueError, TypeError, KeyError) as problem:  # ValueError: also what is no JSON or no UTF-8
        log.warning("%s: %s: %s; the usual language and units are used", path, type(problem).__name__, problem)
        return Choice()


def keep(folder: Path, choice: Choice) -> None:
    """Whole or not at all, also when the power goes. A folder that cannot be written is said; the choice then lasts
    until the window ends."""
    part = folder / f".{FILE}.part"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with part.open("w", encoding="utf-8") as file:
            json.dump(asdict(choice), file)
            file.flush()
            os.fsync(file.fileno())
        part.replace(folder / FILE)
    except OSError as problem:
        log.warning("%s: the language and units were not kept: %s", folder, problem)
