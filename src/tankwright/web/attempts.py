"""Slowing whoever guesses passwords: after a few failures each next try has to wait, twice as long each time."""

from __future__ import annotations

import ipaddress
import time
from collections import OrderedDict
from collections.abc import Callable
from typing import Final

FREE: Final = 5
LONGEST_WAIT: Final = 60.0  # s
FORGOTTEN_AFTER: Final = 3600.0  # s without a try


class Attempts:
    """Counts failures under each key (an address, a name). Numbers are common practice, no source.

    The fifth failure in a row makes the next try wait 2 s, the sixth 4 s, up to 60 s. A try that comes too early
    is refused and not counted, so that waiting always helps. At most `most` keys are remembered; the one that
    failed longest ago is let go first.

    >>> tries = Attempts(clock=lambda: 0.0)
    >>> [tries.begin("name keeper") for _ in range(6)]
    [0.0, 0.0, 0.0, 0.0, 0.0, 2.0]
    """

    def __init__(self, *, clock: Callable[[], float] = time.monotonic, most: int = 4000) -> None:
        self._clock = clock
        self._most = most
        self._failed: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def __len__(self) -> int:
        return len(self._failed)

    def wait(self, *keys: str) -> float:
        """Seconds until a try under all these keys is allowed; 0 when it is now."""
        now = self._clock()
        return max((self._left(key, now) for key in keys), default=0.0)

    def begin(self, *keys: str) -> float:
        """Start a try: 0 when it may go ahead, else the seconds to wait. It counts as failed until `succeed` says
        otherwise, so that many tries at the same moment are counted too."""
        left = self.wait(*keys)
        if left > 0.0:
            return left
        now = self._clock()
        for key in keys:
            count, _ = self._failed.get(key, (0, now))
            self._failed[key] = (count + 1, now)
            self._failed.move_to_end(key)
        while len(self._failed) > self._most:
            self._failed.popitem(last=False)
        return 0.0

    def succeed(self, *keys: str) -> None:
        """The try was right: forget the failures under these keys."""
        for key in keys:
            self._failed.pop(key, None)

    def _left(self, key: str, now: float) -> float:
        count, last = self._failed.get(key, (0, now))
        if now - last >= FORGOTTEN_AFTER:
            self._failed.pop(key, None)
            return 0.0
        if count < FREE:
            return 0.0
        demanded = min(LONGEST_WAIT, 2.0 ** min(count - FREE + 1, 10))
        return max(0.0, last + demanded - now)


def address_key(address: str) -> str:
    """What counts as one guesser: an IPv4 address, or the 64-bit network of an IPv6 one, all of which one machine
    can use. Source: RFC 4291, section 2.5.4 (interface identifiers of 64 bits).

    >>> address_key("192.168.1.20"), address_key("2001:db8::1:2:3:4")
    ('192.168.1.20', '2001:db8::/64')
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address[:64]
    if found.version == 4:
        return str(found)
    return str(ipaddress.ip_network((found, 64), strict=False))
