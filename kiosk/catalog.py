"""The screens, in the order of the bar at the bottom. A new screen is one file beside the others and one line here."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Screen:
    """``key`` opens it from the keyboard; ``in_bar`` says whether the bar at the bottom shows it."""

    name: str
    module: str
    widget: str
    key: str
    in_bar: bool = True


SCREENS: tuple[Screen, ...] = (
    Screen("shop", "kiosk.screens.shop", "ShopScreen", "1"),
    Screen("rack", "kiosk.screens.rack", "RackScreen", "2"),
    Screen("glue_up", "kiosk.screens.glue_up", "GlueUpScreen", "3"),
    Screen("seasons", "kiosk.screens.seasons", "SeasonsScreen", "4"),
    Screen("bench_book", "kiosk.screens.bench_book", "BenchBookScreen", "5"),
    Screen("setup", "kiosk.screens.setup", "SetupScreen", "0", in_bar=False),  # opened by touching the clock
)
