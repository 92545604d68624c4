"""Where a probe keeps its figures, which questions fetch them, and what the registers mean."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from sensors.decoding import Field, TemperatureUnit, measure
from sensors.modbus.rtu import FUNCTION_CODES, Ask, Function
from sensors.sample import Quantity

RegisterType = Literal["int16", "uint16", "int32", "uint32", "float32"]
WordOrder = Literal["big", "little"]
LAYOUTS: Mapping[RegisterType, tuple[str, int]] = {
    "int16": (">h", 1),
    "uint16": (">H", 1),
    "int32": (">i", 2),
    "uint32": (">I", 2),
    "float32": (">f", 2),
}
"""Each type: how its bytes are read, and how many registers it takes."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a probe: figure = registers × ``scale`` + ``offset``, in °C, °F or %.

    ``register`` counts from 0, as on the wire. ``word_order`` says which register of a pair holds the high half; within
    a register the high byte always comes first.
    """

    register: int
    function: Function = "input"
    scale: float = 1.0
    offset: float = 0.0
    type: RegisterType = "int16"
    word_order: WordOrder = "big"

    @property
    def span(self) -> range:
        """The registers it takes."""
        return range(self.register, self.register + LAYOUTS[self.type][1])


@dataclass(frozen=True, slots=True)
class Probe:
    """One device on the bus: the name it is heard by, its unit (1..247) and where its figures stand."""

    device: str
    unit: int
    figures: tuple[tuple[Field, Figure], ...]
    temperature_unit: TemperatureUnit = "C"

    def asks(self) -> tuple[Ask, ...]:
        """The fewest questions that fetch every figure: registers side by side are fetched together, nothing else is,
        since many probes refuse an answer that would hold a register they do not have."""
        return tuple(ask for code in FUNCTION_CODES for ask in self._asks(code))

    def _asks(self, function: Function) -> Iterable[Ask]:
        wanted = sorted({r for _, figure in self.figures if figure.function == function for r in figure.span})
        while wanted:
            run = [r for n, r in enumerate(wanted) if r == wanted[0] + n]
            yield Ask(self.unit, FUNCTION_CODES[function], run[0], len(run))
            wanted = wanted[len(run) :]

    def values(self, answers: Mapping[Ask, Sequence[int]]) -> tuple[tuple[Quantity, float], ...]:
        """Every figure in °C or %, from the registers that each of :meth:`asks` brought. Raises
        :class:`sensors.decoding.Unreadable` for a number that is none, naming the figure."""
        at = {(ask.function, ask.register + n): word for ask, words in answers.items() for n, word in enumerate(words)}
        return tuple(
            measure(
                field,
                figure_value(figure, [at[FUNCTION_CODES[figure.function], r] for r in figure.span]),
                f"{self.device} {field} in register {figure.register}",
                self.temperature_unit,
            )
            for field, figure in self.figures
        )


def figure_value(figure: Figure, words: Sequence[int]) -> float:
    """The figure that these registers hold; not finite where a float32 is not.

    Whole numbers are scaled in decimals, so that 204 × 0.1 is 20.4, as the probe's own display says.
    """
    ordered = reversed(words) if figure.word_order == "little" else words
    content = b"".join(word.to_bytes(2, "big") for word in ordered)
    (raw,) = struct.unpack(LAYOUTS[figure.type][0], content)
    if isinstance(raw, int):
        return float(raw * Decimal(str(figure.scale)) + Decimal(str(figure.offset)))
    return float(raw * figure.scale + figure.offset)
