"""Every door that says sentences says them in the language asked for; what a language lacks comes in English."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any, get_args

import pytest

from server.api.door import application
from server.words import Language
from tests.unit.api.walls import Wall
from tests.unit.spine import MINUTE, config, sample


@pytest.fixture
async def wall(tmp_path: Path) -> AsyncIterator[Wall]:
    made = await Wall(tmp_path / "state", config("[rules.dry-limit]\nraise_after_min = 0\n")).open()
    await made.bench.hear([sample("bench-1", (1 + n) * MINUTE, 20.0, 20.0) for n in range(2)], 2)
    yield made
    await made.bench.close()


async def test_a_door_that_knows_units_knows_languages(wall: Wall) -> None:
    paths = application(wall.rooms).openapi()["paths"]
    asked: dict[str, Any] = {}
    for path, ways in paths.items():
        for way, operation in ways.items():
            named = {p["name"]: p["schema"] for p in operation.get("parameters", ()) if p["in"] == "query"}
            if "units" in named or "lang" in named:
                asked[f"{way} {path}"] = named["lang"].get("enum")
    assert len(asked) >= 20
    assert {way: tuple(said or ()) for way, said in asked.items()} == dict.fromkeys(asked, get_args(Language))
    for door in ("snapshot", "lots", "panels", "glueup", "alerts", "round", "verdicts", "zones/{zone}/tonight"):
        assert any(way.endswith(f"/{door}") for way in asked), door


async def test_the_wall_speaks_german_beside_english(wall: Wall) -> None:
    said = {lang: await wall.get(f"snapshot?lang={lang}&units=imperial") for lang in ("en", "de")}
    assert {lang: doc["lang"] for lang, doc in said.items()} == {"en": "en", "de": "de"}
    assert said["en"]["version"] == said["de"]["version"], "one version, said twice"
    english, german = (said[lang]["alerts"][0] for lang in ("en", "de"))
    assert english["why"]["key"] == german["why"]["key"]
    assert english["why"]["text"] != german["why"]["text"]
    assert "[" not in german["why"]["text"]
    assert "," in german["why"]["text"], "a decimal comma"


async def test_a_language_nobody_wrote_is_refused_by_its_name(wall: Wall) -> None:
    reply = await wall.ask("GET", "snapshot?lang=xx")
    assert reply.status_code == 422
    assert "lang: found 'xx'; would be right: 'en' or 'de'" in reply.json()["detail"]
