"""What registers mean, against pymodbus' own conversion, and which questions fetch them."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pymodbus.client.mixin import ModbusClientMixin

from sensors.decoding import Unreadable
from sensors.modbus.registers import LAYOUTS, Figure, Probe, figure_value
from sensors.modbus.rtu import Ask
from tests.unit.sensors.bus import probe


@given(st.sampled_from(sorted(LAYOUTS)), st.sampled_from(["big", "little"]), st.tuples(*[st.integers(0, 0xFFFF)] * 2))
def test_every_type_reads_as_another_implementation_reads_it(kind: Any, order: Any, words: tuple[int, int]) -> None:
    held = list(words[: LAYOUTS[kind][1]])
    theirs = ModbusClientMixin.convert_from_registers(held, ModbusClientMixin.DATATYPE[kind.upper()], order)
    assert isinstance(theirs, (int, float))
    ours = figure_value(Figure(0, type=kind, word_order=order), held)
    assert ours == theirs or (math.isnan(ours) and math.isnan(theirs))


@pytest.mark.parametrize(
    ("figure", "words", "value"),
    [
        (Figure(0, scale=0.1), [204], 20.4),
        (Figure(0, scale=0.1), [0xFFCE], -5.0),
        (Figure(0, scale=0.01, offset=-40.0, type="uint16"), [6040], 20.4),
        (Figure(0, scale=0.001, type="int32"), [0xFFFF, 0xD8F0], -10.0),
        (Figure(0, scale=0.001, type="int32", word_order="little"), [0xD8F0, 0xFFFF], -10.0),
        (Figure(0, type="float32"), [0x41A3, 0x3333], 20.399999618530273),
    ],
)
def test_a_figure_is_scaled_as_the_probes_display_says_it(figure: Figure, words: list[int], value: float) -> None:
    assert figure_value(figure, words) == value


@given(st.integers(-32768, 32767), st.sampled_from([0.1, 0.01, 0.5, 1.0, 1.8]))
def test_scaling_and_back_is_the_register_again(word: int, scale: float) -> None:
    value = figure_value(Figure(0, scale=scale), [word % 65536])
    assert round(value / scale) == word


def test_figures_side_by_side_are_fetched_together_and_others_apart() -> None:
    def asks(temperature: Figure, humidity: Figure) -> tuple[Ask, ...]:
        return Probe("loft", 9, (("temperature", temperature), ("humidity_pct", humidity))).asks()

    assert asks(Figure(0), Figure(1)) == (Ask(9, 4, 0, 2),)
    assert asks(Figure(3), Figure(1, type="int32")) == (Ask(9, 4, 1, 3),)
    assert asks(Figure(0), Figure(2)) == (Ask(9, 4, 0, 1), Ask(9, 4, 2, 1))
    assert asks(Figure(0), Figure(1, function="holding")) == (Ask(9, 3, 1, 1), Ask(9, 4, 0, 1))


def test_both_figures_come_as_one_in_si() -> None:
    fahrenheit = probe(temperature_unit="F")
    (ask,) = fahrenheit.asks()
    values = dict(fahrenheit.values({ask: (680, 412)}))
    assert values == {"temperature_c": pytest.approx(20.0, abs=1e-12), "humidity_pct": 41.2}


@pytest.mark.parametrize("words", [(0x7FC0, 0), (0x7F80, 0), (0xFF80, 0)], ids=["nan", "inf", "-inf"])
def test_a_float_that_is_no_number_is_refused_by_its_register(words: tuple[int, int]) -> None:
    one = probe(figures=(("temperature", Figure(2, type="float32")),))
    (ask,) = one.asks()
    with pytest.raises(Unreadable, match=r"^loft temperature in register 2: found (nan|-?inf); would be right: a"):
        one.values({ask: words})
