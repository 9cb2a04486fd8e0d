"""Every code of a mistake is explained in the reference, and every explained code exists."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def codes_in_program() -> set[str]:
    folder = ROOT / "src" / "tankwright"
    files = [*(folder / "plan").glob("*.py"), folder / "units.py", folder / "units_text.py"]
    return {
        code for file in files for code in re.findall(r'"(PLAN-\d{3})"', file.read_text(encoding="utf-8"))
    }


def test_the_reference_explains_every_code_and_no_other() -> None:
    page = (ROOT / "docs" / "reference" / "plan-mistakes.md").read_text(encoding="utf-8")
    explained = re.findall(r"^\| (PLAN-\d{3}) \|", page, flags=re.MULTILINE)
    assert len(explained) == len(set(explained))
    assert set(explained) == codes_in_program()
