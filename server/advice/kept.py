"""What was dear to work out, kept while nothing it depends on has changed: to the bit, or it is worked out again."""

from __future__ import annotations

import pickle
from collections import OrderedDict
from collections.abc import Callable
from hashlib import blake2b
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class Kept(Generic[T]):
    """The last ``most`` results, each by all that it rests on. From any thread; nobody changes a result."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: OrderedDict[bytes, T] = OrderedDict()
        self._lock = Lock()

    def of(self, rests_on: object, make: Callable[[], T]) -> T:
        """What ``make`` gives for that, which must be values (what pickles alike is alike)."""
        key = blake2b(pickle.dumps(rests_on, protocol=5), digest_size=16).digest()
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
                return self._found[key]
        made = make()
        with self._lock:
            self._found[key] = made
            while len(self._found) > self._most:
                self._found.popitem(last=False)
        return made
