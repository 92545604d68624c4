"""When mould can grow: Hukka and Viitanen's curve as published, ISO 13788's 80 %."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from server.wood.mould import can_grow, critical_rh, least_surface_c, weeks_to_first_growth

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("temperature_c", "critical_pct"),
    [(5.0, 88.016), (10.0, 82.03), (15.0, 80.03), (20.0, 80.0), (35.0, 80.0)],
)
def test_the_published_cubic(temperature_c: float, critical_pct: float) -> None:
    """-0.00267 T³ + 0.160 T² - 3.13 T + 100, not below 80, by hand (Hukka, Viitanen 1999; read in a transcription)."""
    assert 100 * float(critical_rh(temperature_c)) == pytest.approx(critical_pct, abs=0.01)


def test_it_falls_with_warmth_and_stops_at_frost() -> None:
    """But for the cubic's own turn near 20 °C, where it ends 0.04 % above 80."""
    t = np.linspace(0.1, 49, 400)
    assert np.all(np.diff(critical_rh(t)) <= 0.0005)
    assert np.all(np.isnan(critical_rh([-5.0, 0.0, 50.0, 60.0])))
    assert can_grow([20, 20, -1, 8], [0.79, 0.81, 0.99, 0.82]).tolist() == [False, True, False, False]


def test_weeks_are_those_of_the_regression() -> None:
    """Tabulated for pine by the published regression: at 20 °C 1.5 weeks at 97 %, 21.6 at 80 %; spruce 15 % later."""
    pine = weeks_to_first_growth(20.0, [0.97, 0.80, 0.60])
    assert pine[0] == pytest.approx(np.exp(-0.68 * np.log(20) - 13.9 * np.log(97) + 66.02))
    assert pine[:2] == pytest.approx([1.48, 21.6], abs=0.05)
    assert np.isinf(pine[2])
    assert weeks_to_first_growth(20.0, 0.97, "spruce") / pine[0] == pytest.approx(np.exp(0.14))


def test_the_coldest_wall_has_80_percent_at_its_surface() -> None:
    """psychrolib's dew point of 1.25 times the vapour; at 20 °C and 50 %, 12.6 °C."""
    wall_c = float(least_surface_c(20.0, 0.5))
    assert wall_c == pytest.approx(12.6, abs=0.05)
    pressure = 0.5 * psychrolib.GetSatVapPres(20.0)
    assert pressure / psychrolib.GetSatVapPres(wall_c) == pytest.approx(0.8, abs=1e-4)


def test_out_of_range_is_refused() -> None:
    with pytest.raises(ValueError, match=r"surface_rh: found 85; would be right: 0 to 1 \(a fraction"):
        can_grow(20, 85)
    with pytest.raises(ValueError, match="temperature_c: found 200; would be right: -50 to 100 °C"):
        critical_rh(200)
