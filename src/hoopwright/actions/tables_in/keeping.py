"""Charts that were read from a table → the store."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.editing import note_added
from hoopwright.actions.people import add_player, find_player, list_players
from hoopwright.actions.resending import add_new_sets
from hoopwright.actions.sameness import same_shot
from hoopwright.actions.shots import change_set, record_shots
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
    player, new_player = player_for(session, chart.player, who=who)
    sets = _unknown_sets(session, chart.sets, player)
    visits = {
        one.workout_id: Workout(id=one.workout_id, player_id=player.id, day=days[one.workout_id])
        for one in sets
    }
    started = _start(session, visits, who=who)
    known = workouts.known_sets(session, [one.id for one in sets])
    new = [one for one in sets if one.id not in known]
    added = add_new_sets(session, new, player, who=who)
    added += sum(_add_to_set(session, one, player, who=who) for one in sets if one.id in known)
    shots = sum(len(one.shots) for one in chart.sets)
    return ImportReport(
        players=new_player, workouts=started, sets=len(new),
        shots=added, shots_already=shots - added,
    )  # fmt: skip


def _start(session: Session, visits: Mapping[UUID, Workout], *, who: str) -> int:
    """Add those workouts that are not stored, and return how many."""
    known = workouts.owners(session, list(visits))
    for one, player_id in known.items():
        if player_id != visits[one].player_id:
            raise Conflict(
                "Shots of this table are stored under another player, perhaps since a change "
                "of name; rename the player in the table or in the store."
            )
    new = [visit for one, visit in visits.items() if one not in known]
    workouts.add_workouts(session, new)
    for visit in new[:1]:
        note_added(session, new, who=who, player_id=visit.player_id)
    return len(new)


def player_for(session: Session, player: Player, *, who: str) -> tuple[Player, int]:
    """Return the stored player that a table is about, and 1 if it had to be added."""
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
    """Return the sets with those shots that are not stored as they are, here or elsewhere."""
    known = known_shots(session, [shot.id for one in sets for shot in one.shots])
    left = []
    for one in sets:
        new = tuple(shot for shot in one.shots if not _is_stored(shot, one, known, player))
        if new:
            left.append(replace(one, shots=new))
    return left


def _is_stored(
    shot: Shot, inside: ShotSet, known: Mapping[UUID, tuple[UUID, Shot]], player: Player
) -> bool:
    if shot.id not in known:
        return False
    where, before = known[shot.id]
    if same_shot(shot, before):
        return True
    if where != inside.id:
        raise _differs(player, inside)
    # perhaps it was corrected since; that is found out when the set's shots are sent again
    return False


def _add_to_set(session: Session, one: ShotSet, player: Player, *, who: str) -> int:
    """Add shots to a stored set and return how many were new."""
    before = workouts.get_set(session, one.id)
    if before.miss_detail is not one.miss_detail:
        # rows added to the table since then may say more of the misses than the earlier ones
        change_set(session, replace(before, miss_detail=one.miss_detail), who=who)
    try:
        return record_shots(session, one.id, one.shots, who=who)
    except Conflict as trouble:
        raise _differs(player, one) from trouble


def _differs(player: Player, one: ShotSet) -> Conflict:
    return Conflict(
        f"The store holds other shots of {player.name} for the same day and set "
        f"({one.spot.name}); give these rows a number of their own in the column set to add them, "
        "or correct the stored shots."
    )
