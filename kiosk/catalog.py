"""The screens, in the order of the bar at the bottom. All but Shop are made of pages, whose first ones stand in
:mod:`kiosk.pages.catalog`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Screen:
    """``key`` opens it from the keyboard; ``in_bar`` says whether the bar at the bottom shows it."""

    name: str
    key: str
    module: str = "kiosk.screens.paged"
    widget: str = "PagedScreen"
    in_bar: bool = True


SCREENS: tuple[Screen, ...] = (
    Screen("shop", "1", "kiosk.screens.shop", "ShopScreen"),
    Screen("rack", "2"),
    Screen("glue_up", "3"),
    Screen("seasons", "4"),
    Screen("bench_book", "5"),
    Screen("setup", "0", in_bar=False),  # opened by touching the clock
)
