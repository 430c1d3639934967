"""A report as plain values for JSON."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from hoopwright.reports.people.parts import Report


def report_data(report: Report) -> Mapping[str, Any]:
    """Return everything a report says; pictures by name."""
    return asdict(report)
