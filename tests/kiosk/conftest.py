"""One window without a screen for all of these tests; the surroundings are set before Kivy is first imported."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from kiosk import environment, words

WHOLE = (1920, 1280)  # the largest of the layouts in both directions
os.environ["SDL_VIDEODRIVER"] = "offscreen"
os.environ["LIBGL_ALWAYS_SOFTWARE"] = "1"
environment.settle(environment.Panel(*WHOLE, offscreen=True))
words.strict_by_default = True

if TYPE_CHECKING:
    from tests.kiosk.stage import Stage


@pytest.fixture(scope="session")
def letters() -> None:
    from kiosk import app

    app.letters()


@pytest.fixture
def stage(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> Iterator[Stage]:
    from tests.kiosk.stage import Stage

    request.getfixturevalue("letters")
    made = Stage(monkeypatch)
    yield made
    made.clear()
