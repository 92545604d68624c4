"""What is said beside end grain: the key of its colours, how many times a cup is drawn, shell and core. No Kivy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kiosk.figures import Figures
from kiosk.words import Words


@dataclass(frozen=True, slots=True)
class DepthText:
    """What stands beside a section's shell and core: ``shell 7.5 %``, ``core 7.9 %``."""

    shell: str
    core: str


@dataclass(frozen=True, slots=True)
class KeyView:
    """The key's words: what the colours are of, their two ends, and how many times cups are drawn; empty for none."""

    text: str
    dry: str
    damp: str
    cup: str = ""


def cup_text(words: Words, factor: float) -> str:
    """``cup drawn 20 times``; empty for 0, where none is seen."""
    if not factor:
        return ""
    return words("grain-cup", times=int(factor) if factor == int(factor) else factor)


def key_view(words: Words, factor: float) -> KeyView:
    """The key of a page whose cups are all drawn ``factor`` times (:func:`kiosk.grain.common_factor`)."""
    return KeyView(words("grain-key"), words("grain-dry"), words("grain-damp"), cup_text(words, factor))


def depth_text(words: Words, lot: dict[str, Any]) -> DepthText:
    """Of a lot's document; where nothing is held of its moisture it says so once."""
    moisture = lot.get("moisture")
    if not moisture:
        return DepthText(words("grain-unknown"), "")
    figures = Figures(words.language)
    shell, core = (figures.pct(moisture[part]["pct"]) for part in ("shell", "core"))
    return DepthText(words("grain-shell", pct=shell), words("grain-core", pct=core))
