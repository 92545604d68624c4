"""One lot: its end grain and figures, what is advised of it question by question, and what can be done to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from kiosk.blocks import (
    Block,
    Button,
    Caution,
    Choices,
    Column,
    Facts,
    Heading,
    Line,
    PageView,
    Picture,
    QuestionRow,
    Questions,
    Table,
    TableRow,
)
from kiosk.client import Ask
from kiosk.grain import GrainView, grain_of
from kiosk.pages.base import Open, Seen, Stay, Step
from kiosk.pages.forms import DEEDS, FORMS, begun, tell_deed
from kiosk.pages.journal import JournalPage
from kiosk.viewmodel import SEVERITY
from kiosk.views import BandView, FigureView

QUICK = {
    "wrapped": ("unwrapped", "confirmed"),
    "one-face": ("wrapped", "stickered"),
    "dead-stacked": ("stickered", "wrapped"),
}
"""What is mostly done next to a lot that lies so; one touch, and undone by another."""
USUAL = ("wrapped", "confirmed")


@dataclass(frozen=True, slots=True)
class LotPage:
    """``doing`` says that all the deeds are shown."""

    lot: str
    doing: bool = False

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return Ask("lot", f"/api/lots/{self.lot}"), Ask("advice", f"/api/lots/{self.lot}/advice")

    def shown(self, seen: Seen) -> PageView:
        lot = self._document(seen, "lot", "id")
        if lot is None:
            return PageView((Column((Line(seen.words("being-fetched")),)),))
        if self.doing:
            return self._deeds(seen, lot)
        advice = self._document(seen, "advice", "lot")
        deeds = [Button(f"quick:{deed}", seen.words(f"do-{deed}")) for deed in QUICK.get(lot["lying"], USUAL)]
        deeds.append(Button("doing", seen.words("more-deeds")))
        deeds = [*([] if lot["ended"] else deeds), Button("journal", seen.words("journal"))]
        return PageView(
            (Column(_known(seen, lot), share=0.82), Column(_asked(seen, advice))),
            tuple(deeds),
            band=_band(seen, lot, advice),
        )

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        if kind == "quick":
            done = seen.words(f"done-{what}")
            return tell_deed({"kind": what, "lot": self.lot}, Stay(self), done)
        if kind == "doing":
            return Open(LotPage(self.lot, doing=True))
        if kind == "deed":
            return self._deed(seen, what)
        if kind == "line":
            return Open(LinePage(self.lot, what))
        return Open(JournalPage(self.lot)) if kind == "journal" else None

    def _deed(self, seen: Seen, what: str) -> Step:
        return Open(begun(FORMS[what], seen, lot=self.lot, about=seen.document("lot") or {}))

    def _deeds(self, seen: Seen, lot: dict[str, Any]) -> PageView:
        names = tuple(d for d in DEEDS if d != lot["lying"] and (d != "unwrapped" or lot["lying"] == "wrapped"))
        buttons = tuple(Button(f"deed:{name}", seen.words(f"do-{name}")) for name in names)
        heading = Heading(seen.words("what-was-done", lot=str(lot["name"])))
        return PageView((Column((heading, Choices("deeds", buttons))),))

    def _document(self, seen: Seen, key: str, of: str) -> Any:
        """Only of this lot: an answer about the one before may still stand under the key."""
        found = seen.document(key)
        return found if found is not None and found.get(of) == self.lot else None


@dataclass(frozen=True, slots=True)
class LinePage:
    """One question of a lot, with all that was said, its limit, its sources and its caution: help where one stands."""

    lot: str
    question: str

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (Ask("advice", f"/api/lots/{self.lot}/advice"),)

    def shown(self, seen: Seen) -> PageView:
        advice = seen.document("advice") or {"lines": ()}
        line = next((one for one in advice["lines"] if one["question"] == self.question), None)
        if line is None:
            return PageView((Column((Line(seen.words("being-fetched")),)),))
        return PageView(columns_of(seen, line))

    def touched(self, seen: Seen, name: str) -> Step | None:
        return None


def columns_of(seen: Seen, line: dict[str, Any]) -> tuple[Column, ...]:
    """What was said of a question at the left; where it comes from at the right."""
    said: list[Block] = [Heading(str(line["asked"]["text"]))]
    if line.get("title"):
        said.append(Line(str(line["title"]["text"]), strong=True))
    said += [Line(str(one["text"])) for one in line["said"]]
    rests: list[Block] = []
    if line.get("limit"):
        limit = line["limit"]
        rests += [
            Heading(seen.words("held-against")),
            Line(str(limit["said"]["text"])),
            Line(str(limit["source"]), quiet=True),
        ]
    if line["sources"]:
        rests += [Heading(seen.words("sources")), *(Line(str(one), quiet=True) for one in line["sources"])]
    if line.get("caution"):
        rests.append(Caution(seen.words("caution"), str(line["caution"]["text"])))
    return (Column(tuple(said)), Column(tuple(rests), share=0.8)) if rests else (Column(tuple(said)),)


def _known(seen: Seen, lot: dict[str, Any]) -> tuple[Block, ...]:
    words, held = seen.words, lot.get("moisture")
    section = section_of(lot)
    blocks: list[Block] = [] if section is None else [Picture(section, high=3.6)]
    if held is not None:
        blocks.append(
            Facts(
                tuple(FigureView(_held(seen, held[part]), words(f"part-{part}")) for part in ("mean", "shell", "core"))
            )
        )
    else:
        blocks.append(Line(str(lot["not_modelled"]) or words("nothing-held-yet"), quiet=True))
    zones = seen.snapshot["zones"] if seen.snapshot else ()
    zone = next((str(z["name"]) for z in zones if z["id"] == lot["zone"]), str(lot["zone"]))
    rows = [
        TableRow(words("field-size"), size_text(seen, lot)),
        TableRow(words("field-pieces"), str(lot["pieces"])),
        TableRow(words("field-zone"), zone),
        TableRow(words("field-lying"), words(f"lying-{lot['lying']}")),
        TableRow(words("field-since"), days_text(seen, int(lot["lies_so_since_ms"]))),
        TableRow(words("field-confirmed"), days_text(seen, int(lot["confirmed_ms"]))),
    ]
    if lot.get("rack"):
        rows.append(TableRow(words("field-rack"), str(lot["rack"])))
    blocks.append(Table("lot", tuple(rows)))
    return tuple(blocks)


def _asked(seen: Seen, advice: dict[str, Any] | None) -> tuple[Block, ...]:
    if advice is None:
        return (Line(seen.words("being-fetched")),)
    rows = tuple(
        QuestionRow(
            name=f"line:{line['question']}",
            word=str(line["word"] or ""),
            lean=str(advice["lean"]),
            title=str(line["asked"]["text"]),
            line=str(line["said"][0]["text"]) if line["said"] else "",
            said=seen.words(f"word-{line['word']}") if line["word"] else "",
        )
        for line in sorted(advice["lines"], key=_rank)
    )
    return (Questions(str(advice["lot"]), rows),)


def _rank(line: dict[str, Any]) -> int:
    """What bears on the verdict first, the worst before all."""
    return SEVERITY.index(line["word"]) if line["word"] in SEVERITY else len(SEVERITY)


def _band(seen: Seen, lot: dict[str, Any], advice: dict[str, Any] | None) -> BandView | None:
    if advice is None:
        return None
    title = f"{lot['name']}: {advice['title']['text']}"
    why = str((advice.get("if_still") or advice["why"])["text"])
    return BandView(advice["word"], advice["lean"], title, why, title, seen.words(f"word-{advice['word']}"))


def _held(seen: Seen, held: dict[str, float]) -> str:
    return f"{seen.figures.pct(held['pct'])} {seen.figures.spread(held['low_pct'], held['high_pct'])}"


def section_of(lot: dict[str, Any]) -> GrainView | None:
    """Its end grain; None of a document that makes no sense, which is shown without."""
    try:
        return grain_of(lot)
    except (ValueError, LookupError, TypeError):
        return None


def size_text(seen: Seen, lot: dict[str, Any]) -> str:
    """Thickness and cut, as a board is called for at the rack."""
    cut = "" if lot.get("sheet") else seen.words(f"cut-{lot['cut']}")
    return " ".join(part for part in (seen.figures.length(lot["thickness_mm"], 0), cut) if part)


def moisture_line(seen: Seen, lot: dict[str, Any]) -> str:
    """Shell and core; nothing where nothing is held."""
    held = lot.get("moisture")
    if held is None:
        return ""
    shell, core = (seen.figures.number(held[part]["pct"], 1) for part in ("shell", "core"))
    return seen.words("shell-and-core", shell=shell, core=core)


def days_text(seen: Seen, t_ms: int) -> str:
    """How long ago, in whole days."""
    days = max(0, (seen.now_ms - t_ms) // 86_400_000)
    return seen.words("days-ago", days=days)
