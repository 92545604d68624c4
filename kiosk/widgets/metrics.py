"""The sizes of :mod:`kiosk.theme` as properties, so that layouts follow the window by themselves."""

from __future__ import annotations

from dataclasses import fields

from kivy.event import EventDispatcher
from kivy.properties import BooleanProperty, NumericProperty

from kiosk import theme


class Metrics(EventDispatcher):
    """One instance, :data:`METRICS`; every layout file imports it."""

    upright = BooleanProperty(False)
    scale = NumericProperty(1)
    small = NumericProperty(22)
    body = NumericProperty(26)
    heading = NumericProperty(28)
    title = NumericProperty(40)
    floor = NumericProperty(22)
    gap = NumericProperty(20)
    pad = NumericProperty(24)
    corner = NumericProperty(8)
    band = NumericProperty(112)
    bar = NumericProperty(84)
    zone_row = NumericProperty(112)
    px_per_mm = NumericProperty(5.87)
    target = NumericProperty(88)
    deed_gap = NumericProperty(70)
    far_text = NumericProperty(76)

    def follow(self, width_px: float, height_px: float, dpi: float | None) -> None:
        """Take the sizes for a window; a window below the smallest one laid out for keeps that one's sizes."""
        width, height = max(320, int(width_px)), max(320, int(height_px))
        sizes = theme.sizes(width, height, dpi or theme.guessed_dpi(width, height))
        for field in fields(sizes):
            setattr(self, field.name, getattr(sizes, field.name))


METRICS = Metrics()
