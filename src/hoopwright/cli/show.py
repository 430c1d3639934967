"""Numbers to JSON and to words for the terminal."""

import json
from collections.abc import Mapping
from typing import Any

import typer

from hoopwright.records import Estimate


def as_json(value: Mapping[str, Any]) -> None:
    """Print one JSON object; NaN and infinity are never written, as no reader takes them."""
    typer.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def estimate_json(estimate: Estimate, factor: float = 1.0) -> dict[str, float]:
    """Return an estimate times a factor as value and 50, 80 and 95 % ranges."""
    names = ("value", "low50", "high50", "low80", "high80", "low95", "high95")
    return {name: round(getattr(estimate, name) * factor, 6) for name in names}
