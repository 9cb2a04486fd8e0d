"""A finding and a number in JSON."""

from __future__ import annotations

from tankwright.finding import Finding, Number
from tankwright.units import DIMENSIONS


def json_number(number: Number | None) -> dict[str, object] | None:
    """A number with its SI unit."""
    if number is None:
        return None
    dimension = DIMENSIONS.get(number.dimension)
    return {"value": number.value, "unit": dimension.si_unit if dimension else "1", "kind": number.dimension}


def json_finding(finding: Finding) -> dict[str, object]:
    """One finding, its numbers beside its words."""
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "subject": finding.subject,
        "text": finding.text,
        "numbers": {name: json_number(number) for name, number in finding.numbers},
        "value": json_number(finding.value),
        "limit": json_number(finding.limit),
        "reason": finding.reason,
        "remedy": finding.remedy,
        "source": finding.source,
        "line": finding.line,
        "places": list(finding.places),
        "rests_on": list(finding.rests_on),
        "found": finding.found,
        "wanted": finding.wanted,
        "try": finding.attempt,
    }
