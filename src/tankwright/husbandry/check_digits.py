"""Check digits of numbers that people copy from paper: a slip of the pen is told, not stored."""

from __future__ import annotations

import re
from typing import Final

_CODE: Final = re.compile(r"\s*(\d{1,6})(?:\s*[./]\s*(\d{1,3}))?\s*[-–\s]\s*(\d{2})\s*")


def check_digits(number: str) -> str:
    """The two check digits of a number: with them at its end it leaves 1 when divided by 97.

    Every single wrong digit and every swap of two neighbours is found, and all but about one in a hundred of other
    slips. Raises ValueError for what is no number.

    Source: ISO/IEC 7064:2003, MOD 97-10; its example 794 has 44, as test files of several public programs repeat.

    >>> check_digits("794"), check_digits("33769")
    ('44', '59')
    """
    if not (number.isascii() and number.isdigit()):
        raise ValueError(f'"{number}" is no number')
    return f"{98 - int(number + '00') % 97:02d}"


def is_checked(number: str) -> bool:
    """True when the last two digits of a number are its check digits.

    >>> is_checked("79444"), is_checked("79454")
    (True, False)
    """
    return number.isascii() and number.isdigit() and len(number) > 2 and int(number) % 97 == 1


def sheet_code(sheet: int, row: int | None = None) -> str:
    """How a printed sheet, or one row of it, is called on paper.

    >>> sheet_code(417), sheet_code(417, 12)
    ('417-11', '417.12-71')
    """
    if row is None:
        return f"{sheet}-{check_digits(str(sheet))}"
    return f"{sheet}.{row:02d}-{check_digits(f'{sheet}{row:03d}')}"


def read_code(text: str) -> tuple[int, int | None] | None:
    """The sheet and the row of a code as somebody types it; None when it is none, or a digit is wrong.

    >>> read_code("417-11"), read_code(" 417 11 "), read_code("417.12-71"), read_code("417-12")
    ((417, None), (417, None), (417, 12), None)
    """
    found = _CODE.fullmatch(text)
    if found is None:
        return None
    sheet, row, check = found.groups()
    number = sheet if row is None else f"{sheet}{int(row):03d}"
    if not is_checked(number + check):
        return None
    return int(sheet), None if row is None else int(row)
