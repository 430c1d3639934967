"""Charts that were read from a table → the store."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.people import add_player, find_player, list_players
from hoopwright.actions.sameness import same_shot
from hoopwright.actions.shots import add_set, change_set, record_shots, start_workout
from hoopwright.actions.tables_in.charts import read_charts
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.records import Chart, Player, Shot, ShotSet, Workout
from hoopwright.store import people, workouts
from hoopwright.store.shots import known_shots


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportReport:
    """What was added to the store."""

    players: int
    workouts: int
    sets: int
    shots: int
    #: shots of the table that the store held already
    shots_already: int
    #: what was passed over or assumed, as plain sentences
    notes: tuple[str, ...] = ()


def import_file(session: Session, data: bytes, *, name: str, who: str) -> ImportReport:
    """Read a CSV or spreadsheet file and store its charts; the same file twice adds nothing.

    Raises
    ------
    BadTable
        The file can't be read; ``rows`` says what is wrong row by row. Nothing is stored.
    BadInput, Conflict
        As :func:`import_charts`.
    """
    read = read_charts(data, name=name, players=list_players(session))
    return replace(import_charts(session, read.charts, who=who), notes=read.notes)


def import_charts(session: Session, charts: Sequence[Chart], *, who: str) -> ImportReport:
    """Store charts that were read from a table; the same charts twice add nothing.

    Players are found by name, and by year of birth where the table gives it; those that are not
    in the store are added.

    Raises
    ------
    BadInput
        A chart has no dates, or its player can't be told from another of the same name.
    Conflict
        The store holds shots that differ from the table's at the same place.
    """
    total = ImportReport(players=0, workouts=0, sets=0, shots=0, shots_already=0)
    for chart in charts:
        total = _sum(total, _import_one(session, chart, who=who))
    return total


def _sum(one: ImportReport, other: ImportReport) -> ImportReport:
    return ImportReport(
        players=one.players + other.players,
        workouts=one.workouts + other.workouts,
        sets=one.sets + other.sets,
        shots=one.shots + other.shots,
        shots_already=one.shots_already + other.shots_already,
    )


def _import_one(session: Session, chart: Chart, *, who: str) -> ImportReport:
    days = dict(chart.days)
    if any(one.workout_id not in days for one in chart.sets):
        raise BadInput(
            f"The shots of {chart.player.name} have no dates, so they can't be stored; "
            "add a column date.",
            field="date",
        )
    player, new_player = _player_for(session, chart.player, who=who)
    before = {one.id for one in workouts.list_workouts(session, player.id)}
    started: set[UUID] = set()
    added_sets = added = 0
    for one in _unknown_sets(session, chart.sets, player):
        if one.workout_id not in started:
            visit = Workout(id=one.workout_id, player_id=player.id, day=days[one.workout_id])
            start_workout(session, visit, who=who)
            started.add(one.workout_id)
        new_set, new_shots = _keep_set(session, one, player, who=who)
        added_sets += new_set
        added += new_shots
    shots = sum(len(one.shots) for one in chart.sets)
    return ImportReport(
        players=new_player, workouts=len(started - before), sets=added_sets,
        shots=added, shots_already=shots - added,
    )  # fmt: skip


def _player_for(session: Session, player: Player, *, who: str) -> tuple[Player, int]:
    """Return the stored player that a chart is about, and 1 if it had to be added."""
    of_name = people.players_named(session, player.name)
    if player.birth_year is not None:
        of_name = [one for one in of_name if one.birth_year in (None, player.birth_year)]
    if of_name:
        return (of_name[0] if len(of_name) == 1 else find_player(session, player.name)), 0
    try:
        # renamed since an earlier table was stored
        return people.get_player(session, player.id), 0
    except NotFound:
        return add_player(session, player, who=who), 1


def _unknown_sets(session: Session, sets: Sequence[ShotSet], player: Player) -> list[ShotSet]:
    """Leave out shots that are stored in another set, as in a table the store itself wrote."""
    ids = [shot.id for one in sets for shot in one.shots]
    known = known_shots(session, ids)
    left = []
    for one in sets:
        new = tuple(shot for shot in one.shots if not _is_elsewhere(shot, one, known, player))
        if new:
            left.append(replace(one, shots=new))
    return left


def _is_elsewhere(
    shot: Shot, inside: ShotSet, known: dict[UUID, tuple[UUID, Shot]], player: Player
) -> bool:
    where, before = known.get(shot.id, (inside.id, shot))
    if where == inside.id:
        return False
    if not same_shot(shot, before):
        raise _differs(player, inside)
    return True


def _keep_set(session: Session, one: ShotSet, player: Player, *, who: str) -> tuple[int, int]:
    """Return 1 if the set was new, and how many shots were."""
    try:
        before = workouts.get_set(session, one.id)
    except NotFound:
        return 1, len(add_set(session, one, who=who).shots)
    if before.miss_detail is not one.miss_detail:
        # rows added to the table since then may say more of the misses than the earlier ones
        change_set(session, replace(before, miss_detail=one.miss_detail), who=who)
    try:
        return 0, record_shots(session, one.id, one.shots, who=who)
    except Conflict as trouble:
        raise _differs(player, one) from trouble


def _differs(player: Player, one: ShotSet) -> Conflict:
    return Conflict(
        f"The store holds other shots of {player.name} for the same day and set "
        f"({one.spot.name}); give these rows a number of their own in the column set to add them, "
        "or correct the stored shots."
    )
