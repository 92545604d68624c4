"""The first page of every screen that is made of pages."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.pages.base import Page
from kiosk.pages.bench_book import BookPage
from kiosk.pages.glue_up import GlueUpPage
from kiosk.pages.later import LaterPage
from kiosk.pages.rack import RackPage
from kiosk.pages.setup import SetupPage

FIRST: Mapping[str, Page] = {
    "rack": RackPage(),
    "glue_up": GlueUpPage(),
    "seasons": LaterPage("seasons"),
    "bench_book": BookPage(),
    "setup": SetupPage(),
}
