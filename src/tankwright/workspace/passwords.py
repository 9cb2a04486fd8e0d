"""Passwords as the settings keep them: a salted scrypt hash with its cost beside it, compared in constant time."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import secrets
import unicodedata
from typing import Final

SHORTEST: Final = 8
LONGEST: Final = 1000
# 16 MB and some 0.2 s a try. Source: RFC 7914 for the function; the cost from a security cheat sheet, from memory
COST: Final = 2**14
BLOCK: Final = 8
LANES: Final = 5
_SALT: Final = 16
_LENGTH: Final = 32
_MOST_MEMORY: Final = 64 * 1024 * 1024


def hash_password(password: str) -> str:
    """The hash to keep.

    >>> hash_password("four plain words").split("$")[:4]
    ['scrypt', '16384', '8', '5']
    """
    salt = secrets.token_bytes(_SALT)
    made = _scrypt(password, salt, COST, BLOCK, LANES)
    kept = (base64.b64encode(part).decode() for part in (salt, made))
    return "$".join(("scrypt", str(COST), str(BLOCK), str(LANES), *kept))


def hash_of_nobody() -> str:
    """A hash of the usual form and cost that no password fits, to be tried where there is no such name: an answer
    that came sooner, or later once, would tell which names there are.

    >>> password_fits("four plain words", hash_of_nobody())
    False
    """
    kept = (base64.b64encode(secrets.token_bytes(length)).decode() for length in (_SALT, _LENGTH))
    return "$".join(("scrypt", str(COST), str(BLOCK), str(LANES), *kept))


def password_fits(password: str, kept: str) -> bool:
    """True when it is the password that was hashed; False too for a hash that cannot be read.

    >>> password_fits("four plain words", "scrypt$damaged")
    False
    """
    if len(password) > LONGEST:
        return False
    try:
        name, cost, block, lanes, salt, made = kept.split("$")
        wanted = base64.b64decode(made, validate=True)
        if name != "scrypt" or len(wanted) != _LENGTH or int(lanes) > 16:
            return False
        found = _scrypt(password, base64.b64decode(salt, validate=True), int(cost), int(block), int(lanes))
    except (ValueError, TypeError, binascii.Error, OverflowError, MemoryError):
        return False
    return hmac.compare_digest(found, wanted)


def _scrypt(password: str, salt: bytes, cost: int, block: int, lanes: int) -> bytes:
    typed = unicodedata.normalize("NFC", password).encode("utf-8", "surrogatepass")
    return hashlib.scrypt(typed, salt=salt, n=cost, r=block, p=lanes, maxmem=_MOST_MEMORY, dklen=_LENGTH)
