"""What a coach reads: the findings of one player."""

from dataclasses import dataclass
from functools import lru_cache
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.shots import chart_of
from hoopwright.chart.findings import Findings
from hoopwright.chart.infer import read_chart
from hoopwright.records import Chart


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerReading:
    """A player's chart and what it says; no findings where nothing is charted yet."""

    chart: Chart
    findings: Findings | None


def read_player(session: Session, player_id: UUID) -> PlayerReading:
    """Return a player's chart and findings.

    Raises
    ------
    NotFound
        There is no such player.
    """
    chart = chart_of(session, player_id)
    readable = any(one.shots and not one.stops_on_makes for one in chart.sets)
    return PlayerReading(chart=chart, findings=_read(chart) if readable else None)


def make_findings(session: Session, player_id: UUID) -> Findings:
    """Return the findings of a player.

    Raises
    ------
    BadInput
        Nothing is charted yet.
    NotFound
        There is no such player.
    """
    return _read(chart_of(session, player_id))


def forget_readings() -> None:
    """Drop the readings kept in memory, as when a player is erased."""
    _read.cache_clear()


@lru_cache(maxsize=64)
def _read(chart: Chart) -> Findings:
    """Read a chart; kept, as one page asks for the same reading several times."""
    return read_chart(chart)
