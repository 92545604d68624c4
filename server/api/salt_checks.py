"""Salt checks over HTTP: a sensor over a saturated salt, begun, looked at, finished, given up, withdrawn."""

from __future__ import annotations

from collections.abc import Awaitable
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, ConfigDict, Field

from server.api.commands import Command
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.documents import Said
from server.salt_checks import Look, SaltCheckError
from server.stores.port import StoreFull
from server.wood.salts import salt
from server.words import Words, render
from server.words.of_salt import CAUTION, check_line

router = APIRouter(prefix="/api/salt-checks", responses=RESPONSES)
CheckId = Annotated[str, Path(max_length=64)]


class Begin(Command):
    """A sensor has been put over a salt."""

    sensor: str = Field(max_length=40)
    salt: str = Field(max_length=20, description="its formula, such as NaCl")


class CorrectionPart(BaseModel):
    """Humidity as it should be = gain x what the sensor says + offset, good to the uncertainty (± % RH)."""

    model_config = ConfigDict(extra="forbid")
    gain: float
    offset_pct: float
    uncertainty_pct: float
    points: Literal[1, 2]


class SaltCheckDocument(BaseModel):
    """One check. Figures of the last hours while it is open, of its end when it is done; None where there is none."""

    model_config = ConfigDict(extra="forbid")
    id: str
    sensor: str
    salt: str
    salt_name: str
    state: Literal["settling", "steady", "done", "given up", "withdrawn"]
    line: Said
    caution: Said
    begun_ms: int
    ended_ms: int | None
    due_ms: int | None
    humidity_pct: float | None
    temperature_c: float | None
    published_pct: float | None
    published_uncertainty_pct: float | None
    slope_pct_per_h: float | None
    scatter_pct: float | None
    correction: CorrectionPart | None
    source: str


@router.get("")
async def checks(request: Request, lang: Lang = "en", units: Units = "metric") -> list[SaltCheckDocument]:
    """Every check, the newest first."""
    rooms = Rooms.of(request)
    return [_document(look, rooms, lang, units) for look in await rooms.salt_checks.looks()]


@router.post("")
async def begin(request: Request, body: Begin, lang: Lang = "en", units: Units = "metric") -> SaltCheckDocument:
    """The sensor hangs over the salt now; until it is back it does not speak for its zone."""
    deed = Rooms.of(request).salt_checks.begin(str(body.command_id), body.sensor, body.salt)
    return await _done(request, deed, lang, units)


@router.post("/{check}/finish")
async def finish(
    request: Request, check: CheckId, body: Command, lang: Lang = "en", units: Units = "metric"
) -> SaltCheckDocument:
    """It has settled: keep the correction."""
    return await _done(request, Rooms.of(request).salt_checks.finish(str(body.command_id), check), lang, units)


@router.post("/{check}/give-up")
async def give_up(
    request: Request, check: CheckId, body: Command, lang: Lang = "en", units: Units = "metric"
) -> SaltCheckDocument:
    """End it without a result."""
    return await _done(request, Rooms.of(request).salt_checks.give_up(str(body.command_id), check), lang, units)


@router.post("/{check}/withdraw")
async def withdraw(
    request: Request, check: CheckId, body: Command, lang: Lang = "en", units: Units = "metric"
) -> SaltCheckDocument:
    """Its correction counts no longer."""
    return await _done(request, Rooms.of(request).salt_checks.withdraw(str(body.command_id), check), lang, units)


async def _done(request: Request, deed: Awaitable[Look], lang: str, units: Units) -> SaltCheckDocument:
    try:
        return _document(await deed, Rooms.of(request), lang, units)
    except SaltCheckError as e:
        status, title = (404, "No such thing") if e.missing else (409, "Not possible now")
        raise Problem(status, title, e.field, e.found, e.would_be_right) from e
    except StoreFull as e:
        raise Problem(
            503, "The record cannot be written", "store", str(e), "room on the disk; then the same again"
        ) from e


def _document(look: Look, rooms: Rooms, lang: str, units: Units) -> SaltCheckDocument:
    check, settled, limits, words = look.check, look.settled, rooms.salt_checks.limits, Words(lang)
    known, made, data = salt(check.salt), check.correction, check.data
    figures = {
        "least_h": limits.least_h,
        "most_pct_per_h": limits.slope_pct_per_h,
        "most_pct": limits.scatter_pct,
        "most_c": limits.temperature_spread_c,
        "salt": known.name,
        **{key: data[key] for key in ("read_pct", "published_pct", "uncertainty_pct") if key in data},
    }
    state, line, air = check.kept, str(check.kept), look.air
    if made is not None and check.leans_on is not None:
        line = "done by two"
    if made is not None and (between := data.get("between_c")):
        line, figures["low_c"], figures["high_c"] = f"{line} between rows", between[0], between[1]
    if settled is not None:
        line = settled.waiting or ("outside" if look.air is None else "steady")
        figures |= {
            "hours": settled.hours,
            "slope_pct_per_h": settled.slope_pct_per_h or 0.0,
            "scatter_pct": settled.scatter_pct or 0.0,
            "spread_c": settled.temperature_spread_c or 0.0,
            "humidity_pct": settled.humidity_pct or 0.0,
            "temperature_c": settled.temperature_c or 0.0,
            "expected_pct": 0.0 if look.air is None else look.air.humidity_pct,
        }
    return SaltCheckDocument(
        id=check.id,
        sensor=check.sensor,
        salt=check.salt,
        salt_name=known.name,
        state=("steady" if line == "steady" else "settling") if state == "open" else state,
        line=Said.model_validate(render(check_line(line, figures), words, units)),
        caution=Said.model_validate(render(CAUTION, words, units)),
        begun_ms=check.begun_ms,
        ended_ms=check.ended_ms,
        due_ms=look.due_ms,
        humidity_pct=data.get("read_pct") if settled is None else settled.humidity_pct,
        temperature_c=data.get("temperature_c") if settled is None else settled.temperature_c,
        published_pct=data.get("published_pct") if look.air is None else look.air.humidity_pct,
        published_uncertainty_pct=None if look.air is None else look.air.uncertainty_pct,
        slope_pct_per_h=None if settled is None else settled.slope_pct_per_h,
        scatter_pct=None if settled is None else settled.scatter_pct,
        correction=None
        if made is None
        else CorrectionPart(
            gain=made.gain,
            offset_pct=made.offset_pct,
            uncertainty_pct=made.uncertainty_pct,
            points=1 if check.leans_on is None else 2,
        ),
        source=str(data.get("source", known.source)) if air is None else f"{air.source} [{air.provenance}]",
    )
