"""A room's water as it is asked for: figures by hand and by psychrolib, ceiling, what-if, refusals, cautions."""

from __future__ import annotations

import json

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.book.base import Answer, BadRequest, ask
from server.book.catalog import QUESTIONS
from server.wood import emc

psychrolib.SetUnitSystem(psychrolib.SI)
ROOM = {"volume_m3": 150, "air_changes_per_h": 0.5, "indoor_temperature_c": 20, "aim_pct": 8}
MILD = {"outdoor_temperature_c": 4, "outdoor_humidity_pct": 85}
COLD = {"outdoor_temperature_c": -5, "outdoor_humidity_pct": 80}


def water(**given: object) -> Answer:
    return ask(QUESTIONS["water"], {**ROOM, **given})


def test_litres_are_the_reference_librarys_balance() -> None:
    """psychrolib's humidity ratios and specific volume at the aim's humidity; 0.1 % for rounding of its constants."""
    figures = water(**MILD).figures
    inside = psychrolib.GetHumRatioFromRelHum(20, figures["humidity_pct"] / 100, 101325)
    outside = psychrolib.GetHumRatioFromRelHum(4, 0.85, 101325)
    by_library = 150 * 0.5 * 24 / psychrolib.GetMoistAirVolume(20, inside, 101325) * (inside - outside)
    assert figures["litres_per_day"] == pytest.approx(by_library, rel=1e-3)
    assert float(emc.emc_pct(20, figures["humidity_pct"] / 100)) == pytest.approx(8.0)


def test_without_glazing_no_ceiling_is_made_up() -> None:
    """By hand: 1,800 m³ x 1.1925 kg/m³ x (0.0060636 - 0.0020781), at 41.83 % and p_sat of 2,338.9 and 421.8 Pa."""
    answer = water(**COLD)
    assert answer.figures["litres_per_day"] == pytest.approx(8.555, abs=0.005)
    assert answer.figures["glass_limit_humidity_pct"] is None
    assert "whether the windows are single or double" in answer.text()


def test_water_that_would_run_down_the_glass_is_refused_by_name() -> None:
    """A single pane at 20 and -5 °C: 1.15 °C by U R = 5.8 x 0.13; psychrolib's dew point there is 28.4 % RH."""
    answer = water(**COLD, glazing="single")
    limit_pct = answer.figures["glass_limit_humidity_pct"]
    assert psychrolib.GetTDewPointFromRelHum(20, limit_pct / 100) == pytest.approx(20 - 25 * 5.8 * 0.13, abs=2e-3)
    assert answer.figures["litres_per_day"] is None
    assert answer.figures["glass_limit_litres_per_day"] == pytest.approx(4.36, abs=0.01)
    assert "glass-would-run" in answer.flags
    assert "condensation" in answer.text()
    assert "mould" in answer.text()
    assert "litres of water" not in answer.text()


def test_glass_that_stays_dry_gives_litres_with_their_ceiling() -> None:
    answer = water(**MILD, glazing="double")
    assert answer.figures["litres_per_day"] < answer.figures["glass_limit_litres_per_day"]
    assert answer.flags == ()
    assert "24 hours" in answer.text()
    assert "150 m³" in answer.text()
    assert "never more than" in answer.text()


def test_the_same_aim_without_water() -> None:
    """Outdoors 5.5 °C and 86 %: the vapour that comes in draws wood to 7 % at 19 °C, by the EMC of that air itself."""
    answer = water(outdoor_temperature_c=5.5, outdoor_humidity_pct=86, aim_pct=7)
    t = answer.figures["same_aim_at_temperature_c"]
    vapour_pa = 0.86 * psychrolib.GetSatVapPres(5.5)
    assert float(emc.emc_pct(t, vapour_pa / psychrolib.GetSatVapPres(t))) == pytest.approx(7.0, abs=2e-4)
    again = water(outdoor_temperature_c=5.5, outdoor_humidity_pct=86, aim_pct=7, indoor_temperature_c=t)
    assert again.figures["litres_per_day"] == pytest.approx(0.0, abs=1e-6)
    assert "with no water added" in answer.text()


@given(st.floats(1, 20), st.floats(-30, 30), st.floats(5, 100), st.sampled_from(["single", "double"]))
def test_every_day_has_an_answer_that_hangs_together(aim: float, out_c: float, out_pct: float, glazing: str) -> None:
    answer = water(aim_pct=aim, outdoor_temperature_c=out_c, outdoor_humidity_pct=out_pct, glazing=glazing)
    json.dumps(answer.document(), allow_nan=False)
    litres, ceiling = answer.figures["litres_per_day"], answer.figures["glass_limit_litres_per_day"]
    assert (litres is None) <= ("glass-would-run" in answer.flags)
    assert litres is None or litres <= ceiling + 1e-9
    t = answer.figures["same_aim_at_temperature_c"]
    assert (t is None) == bool({"same-aim-below-5-c", "same-aim-above-30-c"} & set(answer.flags))
    assert t is None or 5 <= t <= 30


@pytest.mark.parametrize(
    ("given", "flag", "said"),
    [
        (COLD, "same-aim-below-5-c", "too dry"),
        ({"outdoor_temperature_c": 32, "outdoor_humidity_pct": 80}, "same-aim-above-30-c", "too damp"),
        ({**MILD, "air_changes_per_h": 0, "people_kg_per_day": 1}, "gains-without-air-change", "without end"),
    ],
)
def test_a_what_if_without_an_answer_says_why(given: dict[str, object], flag: str, said: str) -> None:
    answer = water(**given)
    assert answer.figures["same_aim_at_temperature_c"] is None
    assert flag in answer.flags
    assert said in answer.text()


def test_sultry_air_has_to_be_dried() -> None:
    answer = water(outdoor_temperature_c=32, outdoor_humidity_pct=80, glazing="single")
    assert answer.figures["litres_per_day"] < 0
    assert "come out of the air" in answer.text()
    assert "−" not in answer.text()


@pytest.mark.parametrize("indoor_c", [-20, 20, 50])
def test_every_aim_that_is_let_in_has_a_humidity(indoor_c: float) -> None:
    answer = water(**COLD, aim_pct=25, indoor_temperature_c=indoor_c)
    assert 90 < answer.figures["humidity_pct"] <= 100


def test_a_closed_room_and_air_alike_need_nothing() -> None:
    assert water(**COLD, air_changes_per_h=0).figures["litres_per_day"] == 0
    rh_pct = 100 * float(emc.humidity_for_emc(20, 8))
    alike = water(outdoor_temperature_c=20, outdoor_humidity_pct=rh_pct).figures
    assert alike["litres_per_day"] == pytest.approx(0, abs=1e-9)
    assert alike["same_aim_at_temperature_c"] == pytest.approx(20, abs=1e-6)


def test_extractor_stock_people_and_flame_count() -> None:
    """1,000 m³/h for 3 h is 125 m³ an hour all day; a kg of propane burns to 72 / 44 kg of water."""
    plain = water(**COLD).figures["litres_per_day"]
    blown = water(**COLD, extractor_m3_per_h=1000, extractor_h_per_day=3).figures["litres_per_day"]
    assert blown / plain == pytest.approx((75 + 125) / 75)
    flame = water(**COLD, propane_kg_per_day=1, stock_kg_per_day=-1)
    assert plain - flame.figures["litres_per_day"] == pytest.approx(72 / 44 - 1, abs=0.005)
    assert "carbon monoxide" in flame.text()


def test_cautions_stand_beside_the_figure() -> None:
    caution = str(water(**COLD).caution_text())
    for word in ("humidifier", "cleaned", "Mains", "local code", "licensed person", "wood dust", "carbon monoxide"):
        assert word in caution
    assert "ISO 6946" in water(**COLD).source


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({**COLD, "volume_m3": 0}, "volume_m3: found 0; would be right: the room's volume, above 0 to 100,000 m³"),
        ({**COLD, "air_changes_per_h": -1}, "air_changes_per_h: found -1; would be right: how often an hour"),
        ({**COLD, "air_changes_per_h": 21}, "air_changes_per_h: found 21"),
        ({**COLD, "outdoor_humidity_pct": 101}, "outdoor_humidity_pct: found 101; would be right: relative humidity"),
        ({**COLD, "indoor_temperature_c": 68}, "indoor_temperature_c: found 68; would be right: the room's temp"),
        ({**COLD, "outdoor_temperature_c": -60}, "outdoor_temperature_c: found -60; would be right: outdoors tonight"),
        ({**COLD, "aim_pct": 60}, "aim_pct: found 60; would be right: what the air should draw wood to, 0.5 to 25 %"),
        ({**COLD, "glazing": "triple"}, "glazing: found 'triple'; would be right: the windows' glass, single"),
        ({**COLD, "extractor_m3_per_h": 900}, "extractor_h_per_day: found nothing; would be right: hours a day"),
        ({**COLD, "extractor_h_per_day": 3}, "extractor_m3_per_h: found nothing; would be right: air blown outdoors"),
    ],
)  # fmt: skip
def test_refusals_name_range_and_unit(given: dict[str, object], said: str) -> None:
    with pytest.raises(BadRequest) as refused:
        water(**given)
    assert str(refused.value).startswith(said)
