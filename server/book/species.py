"""How do these species compare: how hard, how much they move, how fast they settle, how long they last?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request, RestsOn
from server.book.board_request import found_species
from server.wood.settle import Days, Piece, settle
from server.wood.species import DECAY_CLASSES, NotPublished, Species, coefficients
from server.words import Sentence

CAUTION = Sentence("book-caution-species")
THICKNESS_MM, FROM_PCT, TEMPERATURE_C, HUMIDITY_PCT = 25.0, 8.0, 21.0, 30.0
SETTLING = "Settling: the wood model; good to a factor of two between boards."
_GROUPS = {
    "specific_gravity": "specific gravity", "shrinkage": "shrinkage", "movement": "movement",
    "side_hardness": "side hardness", "decay": "decay",
}  # fmt: skip
_LASTS = dict(zip(DECAY_CLASSES, ("long", "middling", "little"), strict=True))
_NOTHING = Sentence("book-nothing")


class SpeciesRequest(Request):
    """One species or more."""

    species: tuple[str, ...] = Field(
        min_length=1, max_length=12, description="a key of the species table, such as cherry_black, once or more"
    )


class SpeciesQuestion:
    """Several species side by side."""

    name = "species"
    summary = "how hard species are, how much they move, how fast they settle and how long they last"
    request: type[Request] = SpeciesRequest

    def answer(self, request: SpeciesRequest, /) -> Answer:
        """``species``, one object each: the figures, None where nobody gives one, each with its ``source`` beside it;
        ``radial_pct`` and ``tangential_pct`` green to oven-dry; what 100 mm move per 1 % MC; ``half_days`` and
        ``settled_days`` of a 25 mm board from 8 % into 21 °C and 30 % RH, with ``_low`` and ``_high``."""
        found = _found(request)
        rows = [_figures(one) for one in found]
        sources = (*_sources(rows), SETTLING)
        return Answer(
            {"species": rows}, (*_said(rows),), sources, CAUTION,
            rests_on=tuple(pair for one in found for pair in _rests_on(one)),
            table=(_HEAD, *map(_row, rows)),
        )  # fmt: skip


def _found(request: SpeciesRequest) -> list[Species]:
    found: list[Species] = []
    mistakes: list[Mistake] = []
    for key in dict.fromkeys(request.species):
        try:
            found.append(found_species(request, key))
        except BadRequest as unknown:
            mistakes += unknown.mistakes
    if mistakes:
        raise BadRequest(tuple(mistakes))
    return found


def _rests_on(one: Species) -> Iterator[RestsOn]:
    for group, provided in (
        ("specific_gravity", one.specific_gravity),
        ("shrinkage", one.shrinkage_radial_pct),
        ("coefficient", True),
        ("side_hardness", one.side_hardness_n),
        ("decay", one.decay_class),
    ):
        if provided:
            yield one, group


def _figures(one: Species) -> dict[str, Any]:
    return {
        "key": one.key,
        "common_name": one.common_name,
        "own": one.own,
        "specific_gravity": one.specific_gravity,
        "specific_gravity_source": _source(one, "specific_gravity", one.specific_gravity),
        "radial_pct": one.shrinkage_radial_pct,
        "tangential_pct": one.shrinkage_tangential_pct,
        "shrinkage_source": _source(one, "shrinkage", one.shrinkage_radial_pct),
        "side_hardness_n": one.side_hardness_n,
        "side_hardness_source": _source(one, "side_hardness", one.side_hardness_n),
        "decay_class": one.decay_class or None,
        "decay_source": _source(one, "decay", one.decay_class or None),
        **_movement(one),
        **_settling(one),
        "note": one.note,
        "source": _source(one, "shrinkage", one.shrinkage_radial_pct) or _movement(one)["movement_source"],
    }


def _source(one: Species, group: str, value: object) -> str | None:
    return None if value is None else str(one.sources[group])


def _movement(one: Species) -> dict[str, Any]:
    names = "radial_mm_per_100_mm_pct", "tangential_mm_per_100_mm_pct", "movement_source"
    try:
        c = coefficients(one)
    except NotPublished:
        return dict.fromkeys(names)
    return dict(zip(names, (100 * c.cr, 100 * c.ct, c.source), strict=True))


def _settling(one: Species) -> dict[str, float | None]:
    try:
        piece = Piece(THICKNESS_MM / 1000, one.gravity(), one.volumetric_shrinkage())
    except NotPublished:
        half = settled = Days(None, None, None)
    else:
        found = settle(piece, FROM_PCT, TEMPERATURE_C, HUMIDITY_PCT / 100)
        half, settled = found.half, found.settled
    return {
        f"{name}_days{end}": value
        for name, days in (("half", half), ("settled", settled))
        for end, value in (("", days.days), ("_low", days.low), ("_high", days.high))
    }


_HEAD = tuple(Sentence("book-species-head", {"column": c}) for c in ("name", "dense", "hard", "moves", "half", "lasts"))


def _row(figures: Mapping[str, Any]) -> tuple[Sentence, ...]:
    """One line of the comparison; a dash where nobody gives the figure."""

    def cell(key: str, **values: str) -> Sentence:
        given = {name: figures[source] for name, source in values.items()}
        return Sentence(key, given) if all(value is not None for value in given.values()) else _NOTHING

    decay = figures["decay_class"]
    return (
        cell("book-species-name", name="common_name"),
        cell("book-species-dense", value="specific_gravity"),
        cell("book-species-hard", value="side_hardness_n"),
        cell("book-species-moves", flat_mm="tangential_mm_per_100_mm_pct", quarter_mm="radial_mm_per_100_mm_pct"),
        cell("book-species-half", days="half_days", days_low="half_days_low", days_high="half_days_high"),
        Sentence("book-species-lasts", {"class": _LASTS[decay]}) if decay else _NOTHING,
    )


def _said(rows: Sequence[Mapping[str, Any]]) -> Iterator[Sentence]:
    air = {"thickness_mm": THICKNESS_MM, "from_pct": FROM_PCT}
    yield Sentence("book-species-columns", {**air, "temperature_c": TEMPERATURE_C, "humidity_pct": HUMIDITY_PCT})
    best: tuple[tuple[str, str, Callable[[Any], float]], ...] = (
        ("hard", "side_hardness_n", lambda newtons: -newtons),
        ("still", "tangential_mm_per_100_mm_pct", float),
        ("quick", "half_days", float),
        ("lasting", "decay_class", DECAY_CLASSES.index),
    )
    for what, figure, order in best:
        known = [(order(row[figure]), row["common_name"]) for row in rows if row[figure]]
        names = [name for place, name in known if place == min(known)[0]]
        if len(known) > len(names):  # where all are alike, or only one is known, there is nothing to compare
            yield Sentence("book-species-best", {"what": what, "names": "; ".join(names)})
    for row in rows:
        if row["note"]:
            yield Sentence("book-species-note", {"name": row["common_name"], "note": row["note"]})


def _sources(rows: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Each group's source once; where species differ, with whose it is."""
    for group, title in _GROUPS.items():
        whose: dict[str, list[str]] = {}
        for row in rows:
            if row[f"{group}_source"]:
                whose.setdefault(row[f"{group}_source"], []).append(row["common_name"])
        each = [source if len(whose) == 1 else f"{source} for {'; '.join(names)}" for source, names in whose.items()]
        if each:
            yield f"{title.capitalize()}: {', and '.join(each)}."
