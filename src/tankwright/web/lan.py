"""The names and addresses this machine is reached by, found without asking a name server."""

from __future__ import annotations

import contextlib
import ipaddress
import re
import socket
import struct
import sys
import time
from collections.abc import Callable, Iterable
from typing import Final

_HERE: Final = ("127.0.0.1", "localhost", "[::1]")
_NAME: Final = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)(\.(?!-)[a-z0-9-]{1,63}(?<!-))*")
_AGAIN: Final = 15.0  # s between two looks at this machine's addresses

_GET_ADDRESS: Final = 0x8915  # SIOCGIFADDR of Linux's netdevice(7)


def why_not_a_lan_name(name: str) -> str:
    """What is wrong with a name for the network, or "" when nothing is.

    >>> why_not_a_lan_name("fishroom.home"), why_not_a_lan_name("fish room")
    ('', 'A name on the network is letters, digits, hyphens and points, like "fishroom" or "fishroom.home".')
    """
    if len(name) <= 253 and _NAME.fullmatch(name.lower()):
        return ""
    return 'A name on the network is letters, digits, hyphens and points, like "fishroom" or "fishroom.home".'


class Names:
    """The names and addresses this server answers to, as `Host` has them; called for every request.

    This machine's own names always. With `lan` also its addresses on the network, "<its name>.local", and the
    name its keeper has set (`lan_name`, asked anew each time). Addresses are looked up again after 15 s.

    >>> sorted(Names(9400)())
    ['127.0.0.1:9400', '[::1]:9400', 'localhost:9400']
    """

    def __init__(
        self,
        port: int,
        *,
        lan: bool = False,
        lan_name: Callable[[], str] = str,
        addresses: Callable[[], tuple[str, ...]] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._port = port
        self._lan = lan
        self._lan_name = lan_name
        self._addresses = addresses if addresses is not None else lan_addresses
        self._clock = clock
        self._looked: float | None = None
        self._found: tuple[str, ...] = ()
        self._known: dict[str, frozenset[str]] = {}

    def __call__(self) -> frozenset[str]:
        """Every `Host` that is ours."""
        name = self._lan_name() if self._lan else ""
        now = self._clock()
        if self._lan and (self._looked is None or now - self._looked >= _AGAIN):
            self._looked, self._found, self._known = now, self._addresses(), {}
        if name not in self._known:
            self._known = {name: self._all(name)}
        return self._known[name]

    def urls(self) -> tuple[str, ...]:
        """Where to go, best first: this machine's, then with `lan` those for the others."""
        name = self._lan_name() if self._lan else ""
        self()
        elsewhere = (*self._named(name), *self._found[:2]) if self._lan else ()
        return tuple(f"http://{one}{self._ending}/" for one in ("127.0.0.1", *elsewhere))

    def base_url(self) -> str:
        """Where the house finds this machine by the name its keeper has set; "" where none is, or without `lan`.

        >>> Names(9400, lan=True, lan_name=lambda: "fishroom.home", addresses=tuple).base_url()
        'http://fishroom.home:9400'
        """
        name = self._lan_name().lower() if self._lan else ""
        return f"http://{name}{self._ending}" if name and not why_not_a_lan_name(name) else ""

    @property
    def _ending(self) -> str:
        return "" if self._port == 80 else f":{self._port}"

    def _named(self, name: str) -> tuple[str, ...]:
        own = socket.gethostname().lower().removesuffix(".local")
        local = f"{own}.local" if own and own != "localhost" and not why_not_a_lan_name(own) else ""
        set_name = name.lower() if name and not why_not_a_lan_name(name) else ""
        return tuple(dict.fromkeys(one for one in (set_name, local) if one))

    def _all(self, name: str) -> frozenset[str]:
        names: Iterable[str] = _HERE
        if self._lan:
            names = (*_HERE, *self._found, *self._named(name))
        return frozenset(one + self._ending for one in names)


def lan_addresses() -> tuple[str, ...]:
    """IPv4 addresses others on the network can reach this machine at, the one of the way out first.

    >>> all(address.count(".") == 3 for address in lan_addresses())
    True
    """
    found = [_address_of_the_way_out(), *_addresses_of_interfaces()]
    good = (one for one in found if one and not _is_of_no_use(one))
    return tuple(dict.fromkeys(good))


def _is_of_no_use(address: str) -> bool:
    place = ipaddress.ip_address(address)
    return place.is_loopback or place.is_unspecified


def _address_of_the_way_out() -> str:
    """The address a packet to the outside would leave from; connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, contextlib.suppress(OSError):
        probe.connect(("192.0.2.1", 9))  # of the block kept for documents: RFC 5737
        return str(probe.getsockname()[0])
    return ""


def _addresses_of_interfaces() -> list[str]:
    if sys.platform != "linux":
        return []
    import fcntl  # noqa: PLC0415 - there is none elsewhere

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            with contextlib.suppress(OSError):  # an interface without an address
                asked = struct.pack("256s", name.encode()[:15])
                found.append(socket.inet_ntoa(fcntl.ioctl(probe.fileno(), _GET_ADDRESS, asked)[20:24]))
    return found
