"""The bench book's questions: what each asks for, what is sent, and which figures of the answer stand large. No Kivy.

The server answers; a test holds every question here against the schema of the server's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from kiosk.pages.book_fields import (
    AIM_HIGH,
    AIM_LOW,
    AIR,
    COVER,
    CUT,
    GRAVITY,
    MOISTURES,
    NOW,
    SPECIES,
    THICK,
    WARM,
    WIDE,
    aim_end,
    choice,
    cores,
    covers,
    number,
    salts,
)
from kiosk.pages.entering import MM_PER_INCH
from kiosk.pages.form import Field
from kiosk.pages.forms import constant, said, species

Body = dict[str, Any]
RENAMED = {"open_faces": "faces", "lies_flat": "faces", "book_cover": "cover"}
"""Fields that are called otherwise on the wall than in the question, because the rack has the name."""


def plain(values: Mapping[str, Any]) -> Body:
    """Every answer under its own name."""
    return {RENAMED.get(name, name): value for name, value in values.items() if name != "air"}


def series_of(days: int) -> Callable[[Mapping[str, Any]], Body]:
    """With a row for each of so many days, to be drawn."""
    return lambda values: {**plain(values), "days": days}


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure of the answer: ``key`` in it (dots go inside), of a ``kind`` that says how it is read. Its spread is
    ``KEY_low`` and ``KEY_high``, or plus and minus what stands under ``spread``. Its words are ``fact-KEY``."""

    key: str
    kind: str
    spread: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class BookQuestion:
    """``name`` is the question's in the API; its words are ``question-NAME`` and ``form-book-NAME``."""

    name: str
    fields: tuple[Field, ...]
    facts: tuple[Fact, ...] = ()
    body: Callable[[Mapping[str, Any]], Body] = plain
    path: str = ""
    """Where it is asked, if not at the book's own door of that name."""
    one_of: str = ""
    """The answer's list that is shown row by row, such as species or offers."""


def facts(kind: str, *keys: str) -> tuple[Fact, ...]:
    """Figures of one kind."""
    return tuple(Fact(key, kind) for key in keys)


def _several(values: Mapping[str, Any]) -> Body:
    named = [values[name] for name in ("species", "species_2", "species_3") if name in values]
    return {"species": list(dict.fromkeys(named))}


def _strips(values: Mapping[str, Any]) -> Body:
    strips = [values[name] for name in ("strip_1_mm", "strip_2_mm", "strip_3_mm") if name in values]
    rest = {name: value for name, value in values.items() if not name.startswith("strip_")}
    return {**rest, "strip_crook_mm": strips} if strips else rest


def _layers(values: Mapping[str, Any]) -> Body:
    end = f"{values['from_pct']:g},{values['to_pct']:g}"
    core = values["species"] if values["core"] == "wood" else values["core"]
    lies = "any" if values["core"] != "wood" else "along"
    face = f"{values['species']},{values['face_mm']:g},{values['cut']},{end}"
    middle = f"{core},{values['core_mm']:g},{lies},{end}"
    sides = [face, middle, face] if values["veneered"] == "both" else [face, middle]
    return {"layer": sides, "width_mm": values["width_mm"]}


def _offers(values: Mapping[str, Any]) -> Body:
    offers = [
        f"{who.upper()},{values[f'{who}_quarters']:g},{values[f'{who}_width_mm'] / MM_PER_INCH:.6g},"
        f"{values[f'{who}_length_mm'] / MM_PER_INCH:.6g},{values[f'{who}_price']:g}"
        for who in ("a", "b")
    ]
    return {"need_mm": values["need_mm"], "species": values["species"], "from_pct": values["from_pct"], "offer": offers}


def _offer(who: str) -> tuple[Field, ...]:
    return (
        number(f"{who}_quarters", "quarters", 4, 5, 6, 8, 10, 12),
        number(f"{who}_width_mm", "mm", 100, 150, 200, 250, 300, usual=150),
        number(f"{who}_length_mm", "mm", 1800, 2400, 3000, 3600, usual=2400),
        number(f"{who}_price", "", 4, 6, 8, 10, 12, 16),
    )


def _room(values: Mapping[str, Any]) -> Body:
    renamed = {
        "room_c": "indoor_temperature_c",
        "outside_c": "outdoor_temperature_c",
        "outside_pct": "outdoor_humidity_pct",
    }
    return {renamed.get(name, name): value for name, value in values.items() if name != "air"}


LIES_FLAT = choice("lies_flat", "book-lies", "one", "both")
LIES_OPEN = choice("open_faces", "book-lies", "both", "one")
STOOD = (number("stood_days", "days", 1, 3, 7, 14, 30, 60, usual=7), choice("stood_faces", "book-lies", "both", "one"))
BOARD = (SPECIES, THICK, WIDE, NOW, *AIR)
SLOT = (
    number("screw_mm", "mm", 3, 3.5, 4, 5, 6, usual=5),
    number("clearance_mm", "mm", 0, 0.3, 0.5, 1, 1.5, usual=0.5),
)
MADE_OF_AIR = (
    Field("dry_emc_pct", quantity="pct", usual=aim_end("dry"), quick=(4, 5, 6, 7, 8, 9)),
    Field("damp_emc_pct", quantity="pct", usual=aim_end("damp"), quick=(8, 9, 10, 11, 12, 13)),
)

QUESTIONS: tuple[BookQuestion, ...] = (
    BookQuestion(
        "gap",
        (
            choice("fit", "book-fit", "drawer", "door", "groove", "slot"),
            SPECIES, WIDE, number("now_pct", "pct", *MOISTURES), CUT, AIM_LOW, AIM_HIGH, *SLOT,
        ),
        facts("mm", "gap_today_mm", "gap_dry_mm", "gap_damp_mm", "slot_mm"),
    ),
    BookQuestion(
        "movement",
        (SPECIES, WIDE, NOW, number("to_pct", "pct", *MOISTURES), CUT),
        facts("mm", "change_mm"),
    ),
    BookQuestion(
        "meter",
        (
            SPECIES, number("reading_pct", "pct", *MOISTURES),
            number("wood_temperature_c", "c", 5, 10, 15, 20, 25, usual=20),
            choice("scale", "book-scale", "reference", "corrected"),
        ),
        (Fact("corrected_pct", "pct", "spread_pct"), Fact("correction_pct", "pct")),
    ),
    BookQuestion(
        "species",
        (SPECIES, *(Field(name, options=species, letters=True, optional=True) for name in ("species_2", "species_3"))),
        (
            *facts("plain", "specific_gravity"), *facts("force", "side_hardness_n"),
            *facts("share", "radial_mm_per_100_mm_pct", "tangential_mm_per_100_mm_pct"),
            *facts("days", "half_days", "settled_days"),
        ),
        _several, one_of="species",
    ),
    BookQuestion(
        "settle",
        (*BOARD, LIES_OPEN, COVER, CUT, number("pile", "", 1, 2, 4, 6, 8, 10, usual=1), GRAVITY),
        (
            *facts("days", "settled_days", "half_days", "good_to_mill_days"), *facts("mm", "movement_left_mm"),
            *facts("pct", "emc_pct"),
        ),
        lambda values: {**plain(values), "pile": int(values["pile"]), "days": 60},
    ),
    BookQuestion(
        "cup",
        (
            *BOARD, LIES_FLAT, COVER, CUT, number("ring_radius_mm", "mm", 50, 100, 150, 250, optional=True),
            choice("ends", "book-ends", "unknown", "sealed", "open"), GRAVITY,
        ),
        (*facts("mm", "peak_mm"), *facts("days", "peak_day"), *facts("plain", "tension_index")),
        series_of(60),
    ),
    BookQuestion(
        "mill",
        (
            *BOARD, number("take_top_mm", "mm", 0, 0.5, 1, 1.5, 2, 3),
            number("take_bottom_mm", "mm", 0, 0.5, 1, 1.5, 2, 3), *STOOD, LIES_FLAT, COVER, CUT,
            number("allow_twist_mm", "mm", 0, 0.5, 1, 2, 3, usual=0),
            number("allow_bow_mm", "mm", 0, 0.5, 1, 2, 3, usual=0), GRAVITY,
        ),
        (
            *facts("mm", "cup_at_once_mm", "peak_mm", "extra_mm"), *facts("days", "rest_days"),
            *facts("mm", "thickness_mm"),
        ),
    ),
    BookQuestion(
        "resaw",
        (*BOARD, number("kerf_mm", "mm", 1, 1.5, 2, 3, usual=1.5), *STOOD, LIES_OPEN, COVER, CUT, GRAVITY),
        (
            *facts("mm", "halves.0.cup_at_once_mm", "halves.0.peak_mm", "halves.0.flat_mm"),
            *facts("days", "rest_stickers_days", "rest_wrapped_days"),
        ),
    ),
    BookQuestion(
        "rip",
        (
            number("length_mm", "mm", 600, 900, 1200, 1800, 2400), WIDE,
            number("test_length_mm", "mm", 300, 600, 900, 1200), number("test_crook_mm", "mm", 0, 0.5, 1, 2, 3, 5),
            *(number(f"strip_{n}_mm", "mm", 0, 0.5, 1, 2, 3, 5, optional=True) for n in (1, 2, 3)),
            number("pass_mm", "mm", 0.5, 1, 1.5, 2, usual=1),
        ),
        facts("mm", "rip_width_mm", "oversize_mm", "crook_mm"),
        _strips,
    ),
    BookQuestion(
        "price",
        (number("need_mm", "mm", 18, 20, 22, 27, 34, 41), SPECIES, *_offer("a"), *_offer("b"),
         number("from_pct", "pct", *MOISTURES, usual=10)),
        (*facts("money", "cost_per_usable_bf", "cost"), *facts("plain", "board_feet"), *facts("days", "settled_days")),
        _offers, one_of="offers",
    ),
    BookQuestion(
        "offers",
        (number("need_mm", "mm", 18, 20, 22, 27, 34, 41),),
        (*facts("money", "cost_per_usable_bf", "cost"), *facts("plain", "board_feet"), *facts("days", "settled_days")),
        path="/api/offers/compare", one_of="offers",
    ),
    BookQuestion(
        "panel",
        (
            SPECIES, number("width_mm", "mm", 200, 300, 400, 500, 600, 900), THICK,
            number("made_at_pct", "pct", *MOISTURES), *MADE_OF_AIR, COVER,
            Field("back_cover", options=covers, optional=True), CUT, *SLOT,
            number("hold_mm", "mm", 1, 2, 3, 4, 6, usual=3), GRAVITY,
        ),
        facts(
            "mm",
            "swing_mm", "width_driest_mm", "width_dampest_mm", "groove_depth_mm", "groove_gap_today_mm", "slot_mm",
        ),
    ),
    BookQuestion(
        "layers",
        (
            SPECIES, number("face_mm", "mm", 0.6, 0.9, 1.5, 3, 5), CUT,
            Field("core", options=cores, usual=constant("mdf")), number("core_mm", "mm", 6, 9, 12, 16, 18, 22),
            Field("veneered", options=said("faces", "both", "one"), usual=constant("both")),
            WIDE, NOW, number("to_pct", "pct", *MOISTURES),
        ),
        facts("mm", "cup_mm", "width_change_mm", "thickness_mm"),
        _layers,
    ),
    BookQuestion("emc", AIR, (*facts("pct", "emc_pct"), *facts("c", "dew_point_c"))),
    BookQuestion(
        "humidity", (AIR[0], WARM, number("emc_pct", "pct", *MOISTURES)), facts("pct", "humidity_pct"),
    ),
    BookQuestion(
        "water",
        (
            number("volume_m3", "m3", 60, 120, 180, 250, 400), number("air_changes_per_h", "", 0.2, 0.5, 1, 2),
            number("room_c", "c", 10, 15, 18, 20, 22, usual=18), Field("aim_pct", quantity="pct", usual=aim_end("dry"),
            quick=MOISTURES), number("outside_c", "c", -15, -10, -5, 0, 5, 10),
            number("outside_pct", "pct", 60, 70, 80, 90, usual=80), choice("glazing", "book-glass", "double", "single"),
            number("extractor_m3_per_h", "m3h", 0, 500, 1000, 1500, 2000, usual=0),
            number("extractor_h_per_day", "h", 0, 0.5, 1, 2, 4, usual=0),
        ),
        (
            *facts("litres", "litres_per_day"), *facts("c", "same_aim_at_temperature_c"),
            *facts("pct", "glass_limit_humidity_pct"),
        ),
        _room,
    ),
    BookQuestion(
        "salt", (Field("salt", options=salts, usual=constant("NaCl")), AIR[0], WARM),
        (Fact("humidity_pct", "pct2", "uncertainty_pct"),),
    ),
)  # fmt: skip
BY_NAME = {question.name: question for question in QUESTIONS}
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("bench", ("gap", "movement", "panel", "meter", "species")),
    ("stock", ("settle", "cup", "mill", "resaw", "rip", "price")),
    ("room", ("emc", "humidity", "water", "salt", "layers")),
)
"""As a joiner thinks: what is asked every day, what of stock, what of rooms and of what lies there in layers."""
