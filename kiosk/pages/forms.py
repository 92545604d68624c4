"""Every deed that needs something asked, as a form; and which deeds there are."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from kiosk.client import Ask
from kiosk.ids import lot_id
from kiosk.pages.base import Seen
from kiosk.pages.form import Field, Form, Options, Values, begun, tell_deed
from kiosk.words import Words

__all__ = ["DEEDS", "FORMS", "RECEIVE", "begun", "tell_deed"]

SPECIES = Ask("species", "/api/species")
DESTINATIONS = Ask("destinations", "/api/destinations")
COVERS = (
    "shellac-3", "lacquer-3", "polyurethane-3", "urethane-varnish-3", "spar-varnish-3", "tung-oil-3", "linseed-oil-3",
    "furniture-wax", "epoxy-3",
)  # fmt: skip
"""Of the finishes that the server knows, those of furniture."""
LYING = ("stickered", "wrapped", "dead-stacked", "one-face", "on-edge")
DEEDS = (
    "metered", "moved", "milled", "stickered", "wrapped", "unwrapped", "one-face", "dead-stacked", "on-edge",
    "confirmed", "ripped", "resawn", "straightedged", "weighed", "fork-tested", "split", "ends-sealed", "finished",
    "delivered", "used-up",
)  # fmt: skip
"""In the order in which they are mostly done."""
CHECKS = ("face_checks", "twist", "bow", "loose_knots", "bug_holes", "sapwood", "stain", "damaged_edges")


TEXTS: dict[str, Callable[[Words, str], str]] = {
    "amount": lambda words, value: words(f"amount-{value}"),
    "checked": lambda words, value: words(f"checked-{value}"),
    "cover": lambda words, value: words(f"cover-{value}"),
    "cut": lambda words, value: words(f"cut-{value}"),
    "hour": lambda words, value: words(f"hour-{value}"),
    "face": lambda words, value: words(f"face-{value}"),
    "faces": lambda words, value: words(f"faces-{value}"),
    "lying": lambda words, value: words(f"lying-{value}"),
    "method": lambda words, value: words(f"method-{value}"),
    "prongs": lambda words, value: words(f"prongs-{value}"),
    "start": lambda words, value: words(f"start-{value}"),
    "yes-no": lambda words, value: words(f"yes-no-{value}"),
}
"""Families of words, written out so that every key can be found."""


def said(family: str, *values: str) -> Options:
    """Choices whose texts are words of ours."""
    return lambda seen, _: tuple((value, TEXTS[family](seen.words, value)) for value in values)


def constant(value: Any) -> Callable[[Seen, Values], Any]:
    """The usual answer, whatever else was said."""
    return lambda _seen, _values: value


def zones(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """The shop's, by name."""
    every = seen.snapshot["zones"] if seen.snapshot else ()
    return tuple((str(zone["id"]), str(zone["name"])) for zone in every)


def other_zones(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """All but where the lot lies."""
    here = (values.get("about") or {}).get("zone")
    return tuple(one for one in zones(seen, values) if one[0] != here)


def species(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """By common name."""
    found = [(str(one["key"]), str(one["common_name"])) for one in seen.document("species") or ()]
    return tuple(sorted(found, key=lambda pair: pair[1].lower()))


def destinations(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """The shop's, by name."""
    return tuple((str(one["id"]), str(one.get("name") or one["id"])) for one in seen.document("destinations") or ())


def first_of(options: Options) -> Callable[[Seen, Values], Any]:
    """The usual answer: the first there is."""

    def found(seen: Seen, values: Values) -> Any:
        every = options(seen, values)
        return every[0][0] if every else None

    return found


def checked(seen: Seen, values: Values) -> bool:
    """Whether something was found when it came in."""
    return values.get("checked") == "some"


def metered_start(seen: Seen, values: Values) -> bool:
    """Whether the meter was put to it."""
    return values.get("start") == "metered"


def usual_name(seen: Seen, values: Values) -> str | None:
    """The species and its thickness, as a stack is mostly called."""
    name = dict(species(seen, values)).get(values.get("species"))
    thick = values.get("thickness_mm")
    return (
        None if name is None or thick is None else seen.words("usual-name", species=name, thickness=f"{thick:g}")[:40]
    )


def _received(seen: Seen, values: Values) -> dict[str, Any]:
    start: dict[str, Any] = {"kind": values["start"]}
    if "mc_pct" in values:
        start["mc_pct"] = values["mc_pct"]
    checklist = {name: values[name] for name in CHECKS if name in values}
    if "ends_sealed" in values:
        checklist["ends_sealed"] = values["ends_sealed"] == "yes"
    return {
        "kind": "received", "lot": lot_id(values["name"], seen.words.language + str(seen.now_ms)),
        "name": values["name"], "species": values["species"], "cut": values["cut"],
        "thickness_mm": values["thickness_mm"], "pieces": int(values["pieces"]), "width_mm": values["width_mm"],
        "length_mm": values["length_mm"], "zone": values["zone"], "lying": values["lying"], "start": start,
        "aim": {"destination": values["destination"]}, "checklist": checklist, "sizes_checked": True,
    }  # fmt: skip


def _received_asks(values: Values) -> Iterable[Ask]:
    return SPECIES, DESTINATIONS


RECEIVE = Form(
    "receive",
    (
        Field("species", options=species, letters=True),
        Field("thickness_mm", quantity="mm", quick=(20, 25.4, 27, 34, 41, 52)),
        Field("pieces", quantity=""),
        Field("cut", options=said("cut", "flat", "rift", "quarter"), usual=constant("flat")),
        Field("width_mm", quantity="mm", usual=constant(150.0), quick=(100, 125, 150, 175, 200, 250)),
        Field("length_mm", quantity="mm", usual=constant(2400.0), quick=(1200, 1800, 2400, 3000, 3600)),
        Field("start", options=said("start", "kiln-dried-yard", "heated-store", "unheated-shed", "metered", "unknown")),
        Field("mc_pct", quantity="pct", asked=metered_start),
        Field("zone", options=zones, usual=first_of(zones)),
        Field("lying", options=said("lying", *LYING), usual=constant("stickered")),
        Field("destination", options=destinations, usual=first_of(destinations)),
        Field("checked", options=said("checked", "nothing", "some")),
        *(
            Field(name, options=said("amount", "none", "some", "many"), usual=constant("none"), asked=checked)
            for name in CHECKS
        ),
        Field("ends_sealed", options=said("yes-no", "yes", "no"), usual=constant("no"), asked=checked),
        Field("name", usual=usual_name),
    ),
    _received,
    _received_asks,
    pages_back=1,
)


HOUR = Field("hour", options=said("hour", "0", "1", "3", "24"), usual=constant("0"))
"""Since when it is so: people tell it when they come by."""


def deed_of(kind: str, *fields: str, **renamed: str) -> Callable[[Seen, Values], dict[str, Any]]:
    """A deed of the lot, with these fields where they were answered; ``renamed`` says the name they are told by."""

    def deed(_seen: Seen, values: Values) -> dict[str, Any]:
        told = {renamed.get(name, name): values[name] for name in fields if name in values}
        return {"kind": kind, "lot": values["lot"], **told}

    return deed


def _whole(kind: str, *fields: str) -> Callable[[Seen, Values], dict[str, Any]]:
    plain = deed_of(kind, *fields)

    def deed(seen: Seen, values: Values) -> dict[str, Any]:
        return {name: int(v) if name == "pieces" else v for name, v in plain(seen, values).items()}

    return deed


def _split(seen: Seen, values: Values) -> dict[str, Any]:
    return {
        "kind": "split", "lot": values["lot"], "pieces": int(values["pieces"]), "name": values["name"],
        "into": lot_id(values["name"], seen.words.language + str(seen.now_ms)),
    }  # fmt: skip


def _part_name(seen: Seen, values: Values) -> str | None:
    name = (values.get("about") or {}).get("name")
    return None if name is None else seen.words("name-of-part", lot=str(name))[:40]


def _hollow(seen: Seen, values: Values) -> bool:
    return values.get("hollow_mm") not in {None, 0}


def _straightedged(seen: Seen, values: Values) -> dict[str, Any]:
    face = values.get("hollow_face", "top")
    return {"kind": "straightedged", "lot": values["lot"], "hollow_mm": values["hollow_mm"], "hollow_face": face}


FORMS: dict[str, Form] = {
    "metered": Form(
        "metered",
        (
            Field("reading_pct", quantity="pct"),
            Field("method", options=said("method", "pins", "dielectric"), usual=constant("pins")),
            Field("wood_temperature_c", quantity="c", usual=constant(20.0)),
        ),
        deed_of("metered", "reading_pct", "method", "wood_temperature_c"),
    ),
    "moved": Form(
        "moved",
        (
            Field("zone", options=other_zones),
            Field("lying", options=said("lying", *LYING), optional=True),
        ),
        deed_of("moved", "zone", "lying"),
    ),
    "milled": Form(
        "milled",
        (
            Field("take_top_mm", quantity="mm", quick=(0, 0.5, 1, 1.5, 2, 3)),
            Field("take_bottom_mm", quantity="mm", quick=(0, 0.5, 1, 1.5, 2, 3)),
        ),
        deed_of("milled", "take_top_mm", "take_bottom_mm"),
    ),
    "ripped": Form(
        "ripped",
        (
            Field("width_mm", quantity="mm"),
            Field("pieces", quantity=""),
            Field("crook_mm", quantity="mm", optional=True, quick=(0, 0.5, 1, 2, 3, 5)),
            Field("knot", options=said("yes-no", "yes", "no"), usual=constant("no")),
        ),
        lambda seen, v: {
            **_whole("ripped", "width_mm", "pieces", "crook_mm")(seen, v), "knot": v.get("knot") == "yes",
        },
    ),
    "resawn": Form("resawn", (Field("kerf_mm", quantity="mm", usual=constant(3.0)),), deed_of("resawn", "kerf_mm")),
    "straightedged": Form(
        "straightedged",
        (
            Field("hollow_mm", quantity="mm", quick=(0, 0.2, 0.5, 1, 1.5, 2)),
            Field("hollow_face", options=said("face", "top", "bottom"), asked=_hollow),
        ),
        _straightedged,
    ),
    "weighed": Form("weighed", (Field("kg", quantity="kg"),), deed_of("weighed", "kg")),
    "fork-tested": Form(
        "fork-tested",
        (Field("prongs", options=said("prongs", "straight", "pinch", "open")),),
        deed_of("fork-tested", "prongs"),
    ),
    "split": Form(
        "split", (Field("pieces", quantity=""), Field("name", usual=_part_name)), _split,
    ),
    "finished": Form(
        "finished",
        (
            Field("cover", options=said("cover", *COVERS)),
            Field("faces", options=said("faces", "both", "one"), usual=constant("both")),
        ),
        deed_of("finished", "cover", "faces"),
    ),
    "delivered": Form("delivered", (Field("to", optional=True),), deed_of("delivered", "to")),
}  # fmt: skip
FORMS |= {kind: Form(kind, (), deed_of(kind)) for kind in DEEDS if kind not in FORMS}
FORMS = {kind: replace(form, fields=(*form.fields, HOUR)) for kind, form in FORMS.items()}
