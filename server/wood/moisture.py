"""The state of boards: all that has to be known at one moment to go on from it, and how it is kept."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats
from server.wood.boards import Boards
from server.wood.emc import emc_pct, humidity_for_emc
from server.wood.ranges import within

MOISTURE_RANGE_PCT = (0.0, 30.0)
"""Up to fibre saturation: dry lumber. Above it water lies free in the cells, which nothing here moves."""
_ROUNDING_PCT = 1e-6
"""So little beyond the range is the solver's rounding, and is taken as its end."""
_HEAD = struct.Struct("<8sIII")
_MARK, _FORM = b"moisture", 1


@dataclass(frozen=True, slots=True)
class Moisture:
    """Of n boards: ``profile_pct`` (n, cells) from the top face to the bottom, % MC; ``temperature_c`` (n,) of the
    wood; ``surface_rh`` (n, 2), the humidity 0..1 that stands at each face; ``unknown_s`` (n,), how long they lay in
    air that nobody recorded."""

    profile_pct: Floats
    temperature_c: Floats
    surface_rh: Floats
    unknown_s: Floats

    def __len__(self) -> int:
        return int(self.temperature_c.size)

    @classmethod
    def even(cls, boards: Boards, mc_pct: ArrayLike, temperature_c: ArrayLike = 20.0) -> Moisture:
        """The same from face to face: ``mc_pct`` and ``temperature_c`` are one number or n. Raises ValueError out of
        0..30 % and -50..100 °C."""
        m = np.broadcast_to(np.asarray(mc_pct, np.float64), len(boards))
        return cls.of_profile(boards, np.tile(m[:, None], (1, boards.cells)), temperature_c)

    @classmethod
    def of_profile(cls, boards: Boards, profile_pct: ArrayLike, temperature_c: ArrayLike = 20.0) -> Moisture:
        """From a profile (n, cells). The faces begin in balance with their outer cells. Raises ValueError out of 0..30
        % or where the shape is another."""
        profile = np.array(profile_pct, np.float64)
        low, high = MOISTURE_RANGE_PCT
        if profile.shape != (len(boards), boards.cells):
            raise ValueError(f"profile_pct: found shape {profile.shape}; would be right: {(len(boards), boards.cells)}")
        wrong = ~((profile >= low - _ROUNDING_PCT) & (profile <= high + _ROUNDING_PCT))
        if wrong.any():
            raise ValueError(
                f"moisture: found {profile[wrong][0]:g} %; would be right: {low:g} to {high:g} % (dry lumber)"
            )
        profile = np.clip(profile, low, high)
        t = np.array(np.broadcast_to(within("temperature_c", temperature_c, -50, 100, "°C"), len(boards)))
        faces = profile[:, [0, -1]]
        most = emc_pct(t, np.ones(t.shape))[:, None]
        return cls(profile, t, humidity_for_emc(t[:, None], np.minimum(faces, most)), np.zeros(t.shape))

    def take(self, which: ArrayLike) -> Moisture:
        """Of some boards, by number or by a mask."""
        i = np.asarray(which)
        return Moisture(self.profile_pct[i], self.temperature_c[i], self.surface_rh[i], self.unknown_s[i])

    def put(self, rows: NDArray[np.intp], other: Moisture) -> Moisture:
        """With ``other`` in place of some boards."""
        after = Moisture(*(a.copy() for a in self.arrays()))
        for mine, new in zip(after.arrays(), other.arrays(), strict=True):
            mine[rows] = new
        return after

    @classmethod
    def joined(cls, parts: Sequence[Moisture]) -> Moisture:
        """Several one after the other."""
        return cls(*(np.concatenate(arrays) for arrays in zip(*(p.arrays() for p in parts), strict=True)))

    def arrays(self) -> tuple[Floats, Floats, Floats, Floats]:
        """All it is made of, in the order of its fields."""
        return self.profile_pct, self.temperature_c, self.surface_rh, self.unknown_s

    @staticmethod
    def head(boards: int, cells: int) -> bytes:
        """What :meth:`to_bytes` begins with."""
        return _HEAD.pack(_MARK, _FORM, boards, cells)

    def to_bytes(self) -> bytes:
        """To keep: little-endian, every bit of it."""
        kept = (np.ascontiguousarray(a, "<f8").tobytes() for a in self.arrays())
        return self.head(*self.profile_pct.shape) + b"".join(kept)

    @classmethod
    def from_bytes(cls, kept: bytes) -> Moisture:
        """What :meth:`to_bytes` gave, bit for bit. Raises ValueError where it is something else or was cut short."""
        if len(kept) < _HEAD.size or kept[:8] != _MARK:
            raise ValueError("moisture: found bytes of something else; would be right: what to_bytes gave")
        _, form, boards, cells = _HEAD.unpack_from(kept)
        sizes = [boards * cells, boards, 2 * boards, boards]
        if form != _FORM or len(kept) != _HEAD.size + 8 * sum(sizes):
            right = f"form {_FORM} and {_HEAD.size + 8 * sum(sizes)} bytes"
            raise ValueError(f"moisture: found form {form} in {len(kept)} bytes; would be right: {right}")
        values = np.frombuffer(kept, "<f8", offset=_HEAD.size).astype(np.float64)
        profile, t, rh, unknown = np.split(values, np.cumsum(sizes)[:-1])
        return cls(profile.reshape(boards, cells), t, rh.reshape(boards, 2), unknown)
