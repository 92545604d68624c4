"""How far from its ends and edges a board is what the one-dimensional answer says: sealing them is out of scope.

Where diffusion is linear the field of a bar is the product of a sheet's and of an end's (Newman's rule; Crank, The
Mathematics of Diffusion, 1975, 1.3): at a distance x from an open end the sheet's remaining departure is multiplied by
erf(x / 2 sqrt(D t)), so the one-dimensional answer is too slow by that departure times erfc(x / 2 sqrt(D t)). The
distance at which this comes to half a per cent is what is given. It leaves out the end's own air film, which makes it
long by a millimetre or two. D is that of one moisture, :data:`AT_SHARE` of the way from the start to the target: Crank
(10.8, recalled) weighs D by the way gone to the power of 2/3 for taking up and 0.85 for drying, whose centres lie at
0.63 and 0.65. Against a two-dimensional solution with film and with D as it varies, for starts within 6 % MC of the
target, the greatest distance is 3 % short to 8 % long (tests/wood/test_ends.py).

Along the grain moisture moves faster than across it: 12 times at most in spruce and 15 in beech (Sonderegger et al.
2011, abstract read), about 13 in American beech (Skaar 1958, abstract read), 10 to 15 by the Wood Handbook (recalled).
The greatest of these is taken. Langrish and Walker (1993, read as quoted) have about 100 at 5 % MC, falling to 2 to 4
at 25 %: in very dry wood the distance could be two and a half times as long.
"""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats

ALONG_GRAIN, LEAST_ALONG_GRAIN = 15.0, 10.0
"""D along the grain over D across it."""
AT_SHARE = 0.64
OFF_BY_PCT = 0.5
_QUANTILE = np.frompyfunc(NormalDist().inv_cdf, 1, 1)


def reach_m(
    times_s: ArrayLike, left_pct: ArrayLike, diffusivity_m2_s: ArrayLike, *, off_by_pct: float = OFF_BY_PCT
) -> Floats:
    """Distance from an open end within which the one-dimensional answer is off by more than ``off_by_pct``, m.

    ``times_s`` since the even start; ``left_pct`` what the sheet then still has to go, at its core where it is
    greatest; ``diffusivity_m2_s`` towards the end: across the grain for an edge, :data:`ALONG_GRAIN` times that for an
    end. Shapes broadcast. 0 where less is left than ``off_by_pct``. Raises ValueError for times below 0.
    """
    t, left = np.asarray(times_s, np.float64), np.abs(np.asarray(left_pct, np.float64))
    if np.any(t < 0):
        raise ValueError(f"times_s: found {t.min():g}; would be right: 0 s or more after the even start")
    share = np.divide(off_by_pct, left, out=np.ones(left.shape), where=left > off_by_pct)
    deep = np.asarray(-_QUANTILE(0.5 * share), np.float64) / np.sqrt(2.0)
    return np.asarray(2.0 * np.sqrt(np.asarray(diffusivity_m2_s, np.float64) * t) * deep)
