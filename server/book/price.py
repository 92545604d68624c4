"""Which offer of lumber is really the cheapest, and how long each would have to settle?"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import after
from server.book.offer_text import FORM, read_offer
from server.wood.offers import KERF_MM, BadOffer, Costed, Offer, cost, grades
from server.words import Sentence
from server.words.sentence import Value

SOURCES = (
    "Board foot: 144 cubic inches of nominal lumber.",
    "Thickness after planing: common practice, no source (3/16 in off, from 8/4 on 1/4 in), unless a planing loss is "
    "given.",
    "Prices and hours: your own.",
)
CAUTION = Sentence("caution-resaw")
SAFE = Sentence("caution-lumber")

UNKNOWN, MIDDLING = "settling-unknown", "settling-by-density-alone"
"""Nobody answers for the days; or they are those of wood of the density asked for, of no species."""
Settling = Callable[["Need", float], float | None]
"""Days that stock of a thickness, mm, needs to settle in what was asked; None past 10 years."""


class Need(Request):
    """The thickness that is needed, what is lost on the way to it, and the air the stock would settle in."""

    need_mm: float = Field(ge=1, le=400, description="the finished thickness that is needed, 1 to 400 mm")
    kerf_mm: float = Field(KERF_MM, ge=0, le=10, description="what a resawing cut takes, 0 to 10 mm; 1.5 if not given")
    planing_loss_mm: float | None = Field(
        None, ge=0, le=50, description="what planing both faces takes off, 0 to 50 mm; common practice if not given"
    )
    species: str | None = Field(None, description="what the stock is, for its days: a key of the species table")
    specific_gravity: float = Field(
        0.5,
        ge=0.1,
        le=1.0,
        description="basic specific gravity where no species is given, 0.1 to 1.0; 0.5 if not given",
    )
    from_pct: float = Field(10.0, ge=0, le=30, description="the stock's moisture, 0 to 30 % MC; 10 if not given")
    temperature_c: float = Field(
        20.0, ge=-20, le=60, description="your air's temperature, −20 to 60 °C; 20 if not given"
    )
    humidity_pct: float = Field(40.0, ge=0, le=100, description="your air's humidity, 0 to 100 %; 40 if not given")
    price_per_hour: float = Field(
        0, ge=0, le=1e6, description="what your own hour costs, 0 to 1,000,000 in the money of the prices"
    )


class PriceRequest(Need):
    """Two offers or more, and what is needed."""

    offer: tuple[str, ...] = Field(min_length=2, max_length=50, description=f"twice or more, each {FORM}")


class PriceQuestion:
    """Offers side by side. ``settling`` answers for the days; without it they stay empty and are flagged."""

    name = "price"
    summary = "what offers of lumber really cost by the thickness that is needed"
    request: type[Request] = PriceRequest

    def __init__(self, settling: Settling | None = None) -> None:
        self._settling = settling

    def answer(self, request: PriceRequest, /) -> Answer:
        """``offers``, one object an offer in the order given. Raises BadRequest naming every offer that cannot be."""
        graded = any("grade=" in text for text in request.offer)
        return compared([(offer, request) for offer in _offers(request.offer)], self._settling, graded=graded)


def compared(offers: Sequence[tuple[Offer, Need]], settling: Settling | None = None, *, graded: bool = False) -> Answer:
    """Offers side by side, each with what is needed of it; they differ in the species at most. ``graded`` says that a
    yield is that of a grade. Raises BadRequest for a species nobody knows."""
    costed = [
        cost(
            offer, need.need_mm, kerf_mm=need.kerf_mm, planing_mm=need.planing_loss_mm,
            price_per_hour=need.price_per_hour,
        )
        for offer, need in offers
    ]  # fmt: skip
    rows = [_row(offer, need, found, settling) for (offer, need), found in zip(offers, costed, strict=True)]
    said = [_said(offer, need, found, row) for (offer, need), found, row in zip(offers, costed, rows, strict=True)]
    if any(row["settled_days"] is not None for row in rows):
        airs = ("from_pct", "temperature_c", "humidity_pct")
        said.append(Sentence("book-price-air", {name: getattr(offers[0][1], name) for name in airs}))
    flags = (UNKNOWN,) if settling is None else () if all(need.species for _, need in offers) else (MIDDLING,)
    caution = CAUTION if any(offer.resaw for offer, _ in offers) else SAFE
    named = {need.species: need.known.get(need.species) for _, need in offers if need.species and settling}
    rests_on = [(one, figure) for one in named.values() if one for figure in ("specific_gravity", "shrinkage")]
    sources = _sources(graded=graded)
    return Answer({"offers": rows}, (*said, *_cheapest(rows)), sources, caution, flags, tuple(rests_on))


def _row(offer: Offer, need: Need, found: Costed, settling: Settling | None) -> dict[str, Any]:
    days = settling(need, found.settling_mm) if settling and not found.why_not else None
    return {
        "label": offer.label,
        "board_feet": found.board_feet,
        "cost": found.cost,
        "cost_per_usable_bf": found.cost_per_usable_bf,
        "settled_days": days,
        "usable_board_feet": found.usable_board_feet,
        "yield_pct": offer.usable_pct,
        "pieces": found.pieces,
        "piece_thickness_mm": found.piece_mm,
        "settling_thickness_mm": found.settling_mm,
        "reason": found.why_not or None,
    }


def _offers(typed: tuple[str, ...]) -> list[Offer]:
    offers, mistakes = [], []
    for text in typed:
        try:
            offers.append(read_offer(text))
        except BadOffer as bad:
            mistakes.append(Mistake("offer", f"{bad.found} as {bad.part} in {text!r}", bad.would_be_right))
    if mistakes:
        raise BadRequest(tuple(mistakes))
    return offers


def _said(offer: Offer, need: Need, found: Costed, row: Mapping[str, Any]) -> Sentence:
    bought: dict[str, Value] = {
        "label": offer.label,
        "board_feet": found.board_feet,
        "cost": found.cost,
        "piece_mm": found.piece_mm,
    }
    if found.cost_per_usable_bf is None:
        return Sentence(f"book-price-{found.why_not}", {**bought, "need_mm": need.need_mm})
    usable: dict[str, Value] = {"pieces": found.pieces, "per_usable": found.cost_per_usable_bf}
    days: float | None = row["settled_days"]
    settles = "unknown" if days is None else "known" if days else "already"
    usable |= {"settles": settles, **after(days or 0.0)}
    return Sentence("book-price", {**bought, **usable})


def _cheapest(rows: list[dict[str, Any]]) -> tuple[Sentence, ...]:
    usable = [row for row in rows if row["cost_per_usable_bf"] is not None]
    if not usable:
        return (Sentence("book-price-none"),)
    return (Sentence("book-price-least", {"label": min(usable, key=lambda row: row["cost_per_usable_bf"])["label"]}),)


def _sources(*, graded: bool) -> tuple[str, ...]:
    if not graded:
        return SOURCES
    fas = grades()["FAS"]
    return *SOURCES, f"Least clear face of a grade: {fas.source} [{fas.provenance}]."
