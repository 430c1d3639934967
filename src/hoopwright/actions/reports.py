"""What a coach reads: the findings of one player, read beside the same coach's other players.

Readings are kept in memory by the chart they come from, as one page asks for the same reading
several times; a new shot makes a new chart, so nothing kept is ever out of date.
"""

from dataclasses import dataclass
from functools import lru_cache
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.people import list_players
from hoopwright.actions.shots import chart_of
from hoopwright.chart.findings import Findings
from hoopwright.chart.group import ENOUGH_PLAYERS, group_prior, prior_for
from hoopwright.chart.infer import read_chart
from hoopwright.chart.posterior import Posterior, age_of, posteriors
from hoopwright.chart.prior import Prior
from hoopwright.errors import BadInput
from hoopwright.records import Chart, Landing, Miss, Player, Shot, ShotSet, Spot

NOTHING_YET = "Nothing is charted yet; chart about 20 shots first, then look again."


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
    if not _readable(chart):
        return PlayerReading(chart=chart, findings=None)
    return PlayerReading(chart=chart, findings=_read(chart, _group(session, chart)))


def make_findings(session: Session, player_id: UUID) -> Findings:
    """Return the findings of a player.

    Raises
    ------
    BadInput
        Nothing is charted yet.
    NotFound
        There is no such player.
    """
    found = read_player(session, player_id).findings
    if found is None:
        raise BadInput(NOTHING_YET)
    return found


def warm_up() -> None:
    """Read an invented chart, so that no coach waits while the reading is compiled."""
    spot = Spot(name="free throw", x=0.0, y=4.225)
    place = Landing(along=0.0, across=0.0, along_sd=0.05, across_sd=0.05)
    nobody = UUID(int=0)
    shots = (
        Shot(id=nobody, made=True),
        Shot(id=nobody, made=False, miss=(Miss.SHORT,)),
        Shot(id=nobody, made=True, landing=place),
    )
    one = ShotSet(id=nobody, workout_id=nobody, position=0, spot=spot, shots=shots)
    read_chart(Chart(player=Player(id=nobody, name="Nobody"), sets=(one,)))


def forget_readings() -> None:
    """Drop all readings kept in memory, as when a player is erased."""
    for kept in (_read, _prior, _alone):
        kept.cache_clear()


def _readable(chart: Chart) -> bool:
    return any(one.shots and not one.stops_on_makes for one in chart.sets)


def _group(session: Session, chart: Chart) -> tuple[Chart, ...]:
    """Return the charts of all players of the same coach, or none where they are too few."""
    coach = chart.player.coach
    players = [one for one in list_players(session) if one.coach == coach]
    if len(players) < ENOUGH_PLAYERS:
        return ()
    charts = (chart_of(session, one.id) for one in players)
    return tuple(one for one in charts if _readable(one))


@lru_cache(maxsize=64)
def _read(chart: Chart, group: tuple[Chart, ...]) -> Findings:
    prior = _prior(group)
    return read_chart(chart, prior=None if prior is None else prior_for(prior, age_of(chart)))


@lru_cache(maxsize=16)
def _prior(group: tuple[Chart, ...]) -> Prior | None:
    if len(group) < ENOUGH_PLAYERS:
        return None
    return group_prior([_alone(one) for one in group], [age_of(one) for one in group])


@lru_cache(maxsize=128)
def _alone(chart: Chart) -> Posterior:
    """Return a player's habit read alone, so that one new shot refits one player only."""
    return posteriors(chart)[0]
