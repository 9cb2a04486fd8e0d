"""Passwords: kept as a salted scrypt hash, compared in constant time."""

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
_COST, _BLOCK, _LANES = (
    2**14,
    8,
    5,
)  # 16 MB, some 0.2 s. Source: OWASP password storage cheat sheet, from memory
_MOST_MEMORY: Final = 64 * 1024 * 1024


def why_not_a_password(password: str) -> str:
    """What is wrong with a new password, or "" when nothing is.

    >>> why_not_a_password("short")
    'A password has at least 8 signs; this one has 5.'
    >>> why_not_a_password("four plain words")
    ''
    """
    if len(password) < SHORTEST:
        return f"A password has at least {SHORTEST} signs; this one has {len(password)}."
    if len(password) > LONGEST:
        return f"A password has at most {LONGEST} signs."
    if not password.strip():
        return "A password is not of blanks only."
    return ""


def hash_password(password: str) -> str:
    """The hash to keep, with its salt and cost.

    Source: RFC 7914, the scrypt function.

    >>> hash_password("four plain words").split("$")[:4]
    ['scrypt', '16384', '8', '5']
    """
    salt = secrets.token_bytes(16)
    made = _scrypt(password, salt, _COST, _BLOCK, _LANES)
    return f"scrypt${_COST}${_BLOCK}${_LANES}${base64.b64encode(salt).decode()}${base64.b64encode(made).decode()}"


def password_fits(password: str, kept: str) -> bool:
    """True when the password is the one that was hashed. False too for a hash that cannot be read.

    >>> password_fits("four plain words", hash_password("four plain words"))
    True
    >>> password_fits("anything", "scrypt$damaged")
    False
    """
    if len(password) > LONGEST:
        return False
    try:
        name, cost, block, lanes, salt, made = kept.split("$")
        wanted = base64.b64decode(made, validate=True)
        if name != "scrypt" or len(wanted) != 32 or int(lanes) > 16:
            return False
        found = _scrypt(password, base64.b64decode(salt, validate=True), int(cost), int(block), int(lanes))
    except (ValueError, TypeError, binascii.Error, OverflowError, MemoryError):
        return False
    return hmac.compare_digest(found, wanted)


def _scrypt(password: str, salt: bytes, cost: int, block: int, lanes: int) -> bytes:
    text = unicodedata.normalize("NFC", password).encode("utf-8", "surrogatepass")
    return hashlib.scrypt(text, salt=salt, n=cost, r=block, p=lanes, maxmem=_MOST_MEMORY, dklen=32)
