"""One window without a screen for all of these tests; the surroundings are set before Kivy is first imported."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

os.environ["SDL_VIDEODRIVER"] = "offscreen"
os.environ["LIBGL_ALWAYS_SOFTWARE"] = "1"

if TYPE_CHECKING:
    from tests.kiosk.stage import Stage


@pytest.fixture(scope="session")
def _letters(tmp_path_factory: pytest.TempPathFactory) -> None:
    before = os.environ.get("STILLSTACK_STATE")
    os.environ["STILLSTACK_STATE"] = str(tmp_path_factory.mktemp("state"))
    from kiosk import environment

    environment.settle(environment.Panel(1280, 800, offscreen=True))
    from kiosk import app

    app.letters()
    if before is None:
        del os.environ["STILLSTACK_STATE"]
    else:
        os.environ["STILLSTACK_STATE"] = before


@pytest.fixture
def stage(_letters: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[Stage]:
    from tests.kiosk.stage import Stage

    made = Stage(monkeypatch)
    yield made
    made.clear()


@pytest.fixture
def no_display(monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
