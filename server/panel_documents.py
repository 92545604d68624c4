"""Panels as the wall and the page are told of them: what only a panel has, as a part of its lot's document."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from server.shop.deed import Cut
from server.shop.gluing import Against, Fit, House, Rings
from server.shop.panel import Panel, ReadThere, Stage


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid")


class BoardPart(_Part):
    """So many pieces of a lot, how wide each was, how it was cut, and which share of the panel's width they made."""

    lot: str
    pieces: int
    width_mm: float
    cut: Cut
    share: float


class SheetPart(_Part):
    """What the adhesive's maker says, as typed in. Times are pairs of °C and hours."""

    mc_low_pct: float | None
    mc_high_pct: float | None
    lowest_c: float | None
    clamp_h: list[tuple[float, float]]
    cure_h: list[tuple[float, float]]
    rest_days: float | None


class FittingPart(_Part):
    """When and how it was fitted; ``width_mm`` is its recorded width then."""

    t_ms: int
    held: str
    fit: Fit | None
    clearance_mm: float | None
    slot_mm: float | None
    screw_mm: float | None
    slot_outside_mm: float | None
    fixed: Literal["middle", "edge"] | None
    width_mm: float


class HomePart(_Part):
    """When it was delivered, where, and what was asked of the house; limits are None where it lives as it was aimed."""

    t_ms: int
    to: str
    destination: str | None
    dry_limit_pct: float | None
    damp_limit_pct: float | None
    house: House


class ReadTherePart(_Part):
    """A reading at the customer's place: its entry, and the air there where it was measured."""

    t_ms: int
    entry: str
    temperature_c: float | None
    humidity_pct: float | None


class PanelPart(_Part):
    """What a panel is made of and how far it has come; what is None has not happened."""

    glued_ms: int
    entry: str
    boards: list[BoardPart]
    adhesive: str | None
    sheet: SheetPart | None
    clamp_h: float
    rings: Rings
    against: list[Against]
    stage: Stage
    flattened_ms: int | None
    finished_ms: int | None
    fitting: FittingPart | None
    crated_ms: int | None
    house: House
    home: HomePart | None
    read_there: list[ReadTherePart]


def panel_part(panel: Panel) -> PanelPart:
    """A panel beside its lot."""
    boards = [
        BoardPart(lot=b.lot, pieces=b.pieces, width_mm=b.width_mm, cut=b.cut, share=b.share) for b in panel.boards
    ]
    return PanelPart(
        glued_ms=panel.glued_ms, entry=panel.entry, boards=boards, adhesive=panel.adhesive, sheet=_sheet(panel),
        clamp_h=panel.clamp_h, rings=panel.rings, against=list(panel.against), stage=panel.stage,
        flattened_ms=panel.flattened_ms, finished_ms=panel.finished_ms, fitting=_fitting(panel),
        crated_ms=panel.crated_ms, house=panel.house, home=_home(panel),
        read_there=[_read_there(one) for one in panel.read_there],
    )  # fmt: skip


def _sheet(panel: Panel) -> SheetPart | None:
    sheet = panel.sheet
    if sheet is None:
        return None
    low, high = sheet.mc_pct or (None, None)
    return SheetPart(
        mc_low_pct=low, mc_high_pct=high, lowest_c=sheet.lowest_c, clamp_h=list(sheet.clamp_h),
        cure_h=list(sheet.cure_h), rest_days=sheet.rest_days,
    )  # fmt: skip


def _fitting(panel: Panel) -> FittingPart | None:
    one = panel.fitting
    if one is None:
        return None
    return FittingPart(
        t_ms=one.t_ms, held=one.held, fit=one.fit, clearance_mm=one.clearance_mm, slot_mm=one.slot_mm,
        screw_mm=one.screw_mm, slot_outside_mm=one.slot_outside_mm, fixed=one.fixed, width_mm=one.width_mm,
    )  # fmt: skip


def _home(panel: Panel) -> HomePart | None:
    home = panel.home
    if home is None:
        return None
    aim = home.aim
    limits = (None, None, None) if aim is None else (aim.destination, aim.dry_limit_pct, aim.damp_limit_pct)
    return HomePart(
        t_ms=home.t_ms, to=home.to, destination=limits[0], dry_limit_pct=limits[1], damp_limit_pct=limits[2],
        house=home.house,
    )  # fmt: skip


def _read_there(one: ReadThere) -> ReadTherePart:
    return ReadTherePart(t_ms=one.t_ms, entry=one.entry, temperature_c=one.temperature_c, humidity_pct=one.humidity_pct)
