"""Reports for people: the player, the family, the team coach, the coach, and a group.

A report of one player names no other player: where a name was typed into a cue or the name of a
change, it is taken out.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions import games, trials
from hoopwright.actions.load import cautions_for
from hoopwright.actions.people import list_players, players_of
from hoopwright.actions.plans import focus_for, running_plan, view_plan
from hoopwright.actions.progress import progress_of
from hoopwright.actions.reports import read_player
from hoopwright.actions.trials.views import TrialView
from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import NotFound
from hoopwright.records import Player
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.figures import Figure
from hoopwright.reports.landing_map import Equipment
from hoopwright.reports.people.coach_report import coach_report
from hoopwright.reports.people.group_report import GroupMaterial, PooledTrials, group_report
from hoopwright.reports.people.material import (
    ComingTest,
    InGames,
    LoadSoFar,
    Material,
    PlanSoFar,
    TriedChange,
)
from hoopwright.reports.people.parent_report import parent_report
from hoopwright.reports.people.parts import Reader, Report, unnamed, without_names
from hoopwright.reports.people.pictures import picture
from hoopwright.reports.people.player_report import player_report
from hoopwright.reports.people.team_report import team_report
from hoopwright.store import films
from hoopwright.store.trials import TrialState

#: what makes the report of one player for each reader
_MADE: dict[Reader, Callable[[Material], Report]] = {
    Reader.PLAYER: player_report,
    Reader.PARENT: parent_report,
    Reader.TEAM: team_report,
    Reader.COACH: coach_report,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PersonalReport:
    """A report of one player, and what its pictures are drawn from."""

    report: Report
    material: Material
    #: whole names that must not be in it
    others: tuple[str, ...]

    def picture(self, name: str, scheme: Scheme = LIGHT) -> Figure:
        """Draw one picture of the report.

        Raises
        ------
        NotFound
            The report has no such picture.
        """
        if name not in {n for one in self.report.sections for n in one.pictures}:
            raise NotFound("There is no such picture in this report.")
        gear = _equipment(self.material.player)
        drawn = picture(
            self.material, name, equipment=gear, scheme=scheme, reader=self.report.reader
        )
        table = tuple(tuple(unnamed(c, self.others) for c in row) for row in drawn.table)
        return replace(
            drawn, title=unnamed(drawn.title, self.others), alt=unnamed(drawn.alt, self.others),
            table=table,
        )  # fmt: skip


def report_of(session: Session, player_id: UUID, *, reader: Reader, today: date) -> PersonalReport:
    """Return the report of one player for one reader.

    Raises
    ------
    BadInput
        The family's report of a grown-up player is asked for.
    NotFound
        There is no such player, or no such report of one player.
    """
    made = _MADE.get(reader)
    if made is None:
        raise NotFound("There is no such report of one player.")
    material = material_of(session, player_id, today=today)
    others = tuple(one.name for one in list_players(session) if one.id != player_id)
    return PersonalReport(
        report=without_names(made(material), others), material=material, others=others
    )


def report_of_group(session: Session, coach: str, *, names: bool = False, today: date) -> Report:
    """Return the report of a coach's players together.

    Parameters
    ----------
    coach
        As written with the players; "" for players without one.
    names
        True names the players.

    Raises
    ------
    NotFound
        No player is with that coach.
    """
    players = players_of(session, coach)
    if not players:
        raise NotFound(f"No player is with {coach or 'no coach'}; see the list of players.")
    members = tuple(_core(session, one.id, today=today) for one in players)
    found = GroupMaterial(coach=coach, day=today, members=members, trials=_together(session, coach))
    return group_report(found, names=names)


def material_of(session: Session, player_id: UUID, *, today: date) -> Material:
    """Return all that is known of a player on a day.

    Raises
    ------
    NotFound
        There is no such player.
    """
    announced = games.announced_changes(session, player_id)
    newest = sorted((one.change for one in announced), key=lambda change: change.day)[::-1]
    found = [games.has_transferred(session, player_id, change=one) for one in newest]
    reading = games.practice_to_games(session, player_id)
    return replace(
        _core(session, player_id, today=today),
        ratios=reading.rows,
        in_games=tuple(
            InGames(change=one.change, transfer=one.transfer, missing=one.missing) for one in found
        ),
    )


def _core(session: Session, player_id: UUID, *, today: date) -> Material:
    """Return what is known of a player but what games say beside practice."""
    reading = read_player(session, player_id)
    with_shots = {one.workout_id for one in reading.chart.sets if one.shots}
    progress = progress_of(session, player_id).progress
    return Material(
        player=reading.chart.player,
        day=today,
        days=tuple(sorted({day for visit, day in reading.chart.days if visit in with_shots})),
        sets=reading.chart.sets,
        findings=reading.findings,
        choices=focus_for(session, player_id),
        trials=tuple(_trial(session, one) for one in trials.list_trials(session, player_id)),
        plan=_plan(session, player_id, today),
        progress=progress.lines if progress is not None else (),
        games=len(games.list_games(session, player_id)),
        load=_load(session, player_id, today),
        films=len(films.list_films(session, player_id)),
    )


def _trial(session: Session, view: TrialView) -> TriedChange:
    reading = trials.read_trial(session, view.trial.id)
    return TriedChange(
        plan=view.trial.plan,
        verdict=reading.verdict,
        missing=reading.missing,
        going=view.state in (TrialState.PLANNED, TrialState.RUNNING),
        blocks_done=view.blocks_done,
    )


def _plan(session: Session, player_id: UUID, today: date) -> PlanSoFar | None:
    kept = running_plan(session, player_id)
    if kept is None:
        return None
    view = view_plan(session, kept.id)
    return PlanSoFar(
        plan=kept.plan,
        visits_done=sum(one.done for one in view.logs),
        coming=view.next_session,
        tests=tuple(
            ComingTest(day=one.day, kind=one.kind, shots=one.shots)
            for one in view.tests
            if one.day >= today and not one.taken and not one.skipped
        ),
        call=view.call,
    )


def _load(session: Session, player_id: UUID, today: date) -> LoadSoFar:
    reading = cautions_for(session, player_id, today)
    return LoadSoFar(
        age=reading.age, entries=reading.done, flags=reading.flags, cautions=reading.cautions
    )


def _together(session: Session, coach: str) -> tuple[PooledTrials, ...]:
    found = []
    for one in trials.group_questions(session, coach):
        asked = one.question
        reading = trials.pooled(session, coach, change=asked.change, measure=asked.measure)
        found.append(
            PooledTrials(
                question=asked, pooled=reading.pooled, crude=reading.crude, players=one.players
            )
        )
    return tuple(found)


def _equipment(player: Player) -> Equipment:
    book = rule_book(player.rules)
    return Equipment(
        ring_radius=book.ring.radius, ball_radius=ball(player.ball_size, rules=book.key).radius
    )
