"""What a coach does with workouts, sets and shots."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.checks import check_day, checked_set, checked_shot, checked_text
from hoopwright.actions.counts import expand_counts
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.actions.quick_line import Mark, parse_line
from hoopwright.actions.resending import add_new_sets, new_among
from hoopwright.errors import Conflict, NotFound
from hoopwright.records import Chart, Edit, Miss, Shot, ShotSet, Workout
from hoopwright.store import edits, people, workouts
from hoopwright.store import shots as stored


def start_workout(session: Session, workout: Workout, *, who: str) -> Workout:
    """Add a workout, with its sets and shots if it has any; sent twice, it changes nothing.

    Raises
    ------
    BadInput
        Something in it can't be right.
    Conflict
        Another workout, set or shot has one of the ids.
    NotFound
        There is no such player.
    """
    check_day(workout.day)
    player = people.get_player(session, workout.player_id)
    note = checked_text(workout.note, what="The note", field="note")
    bare = replace(workout, note=note, sets=())
    try:
        known = workouts.get_workout(session, workout.id)
    except NotFound:
        workouts.add_workouts(session, [bare])
        note_added(session, [bare], who=who, player_id=player.id)
        stored_sets: set[UUID] = set()
    else:
        if replace(known, sets=()) != bare:
            raise Conflict("This id already stands for another workout; send it under a new id.")
        stored_sets = {one.id for one in known.sets}
    new = [one for one in workout.sets if one.id not in stored_sets]
    add_new_sets(session, new, player, who=who)
    for one in workout.sets:
        if one.id in stored_sets:
            add_set(session, one, who=who)
    return workouts.get_workout(session, workout.id)


def change_workout(session: Session, workout: Workout, *, who: str) -> Workout:
    """Store a workout's day and note anew; its player, sets and shots stay as they are.

    Raises
    ------
    BadInput
        The note is too long, or the day can't be right.
    NotFound
        There is no such workout.
    """
    check_day(workout.day)
    before = workouts.get_workout(session, workout.id)
    note = checked_text(workout.note, what="The note", field="note")
    after = replace(before, day=workout.day, note=note)
    if after != before:
        workouts.set_workout(session, after)
        bare = replace(before, sets=())
        note_changed(session, bare, who=who, player_id=before.player_id)
    return after


def list_workouts(session: Session, player_id: UUID) -> list[Workout]:
    """Return a player's workouts with sets and shots, oldest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return workouts.list_workouts(session, player_id)


def get_workout(session: Session, workout_id: UUID) -> Workout:
    """Return one workout with its sets and shots.

    Raises
    ------
    NotFound
        There is no such workout.
    """
    return workouts.get_workout(session, workout_id)


def remove_workout(session: Session, workout_id: UUID, *, who: str) -> Workout:
    """Remove a workout with its sets and shots; the log keeps them.

    Raises
    ------
    NotFound
        There is no such workout.
    """
    before = workouts.get_workout(session, workout_id)
    workouts.delete_workout(session, workout_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    return before


def add_set(session: Session, shot_set: ShotSet, *, who: str) -> ShotSet:
    """Add a set, with its shots if it has any; sent twice, it changes nothing.

    Where its place in the workout is taken, it goes to the end.

    Raises
    ------
    BadInput
        Something in it can't be right.
    Conflict
        Another set or shot has one of the ids.
    NotFound
        There is no such workout.
    """
    player = people.get_player(session, workouts.owner_of(session, shot_set.workout_id))
    bare = checked_set(shot_set, rules=player.rules)
    try:
        known = workouts.get_set(session, shot_set.id)
    except NotFound:
        add_new_sets(session, [shot_set], player, who=who)
    else:
        if replace(known, shots=(), position=bare.position) != bare:
            raise Conflict("This id already stands for another set; send it under a new id.")
        record_shots(session, shot_set.id, shot_set.shots, who=who)
    return workouts.get_set(session, shot_set.id)


def get_set(session: Session, set_id: UUID) -> ShotSet:
    """Return one set with its shots.

    Raises
    ------
    NotFound
        There is no such set.
    """
    return workouts.get_set(session, set_id)


def change_set(session: Session, shot_set: ShotSet, *, who: str) -> ShotSet:
    """Store a set's spot, condition, ball, ring and the like anew; its shots stay as they are.

    Raises
    ------
    BadInput
        Something can't be right, or shots of the set say more than the new miss detail allows.
    NotFound
        There is no such set.
    """
    before = workouts.get_set(session, shot_set.id, lock=True)
    player = people.get_player(session, workouts.owner_of(session, before.workout_id))
    bare = checked_set(shot_set, rules=player.rules)
    for shot in before.shots:
        checked_shot(shot, bare)
    after = replace(bare, workout_id=before.workout_id, position=before.position)
    if after != replace(before, shots=()):
        workouts.set_set(session, after)
        note_changed(session, replace(before, shots=()), who=who, player_id=player.id)
    return replace(after, shots=before.shots)


def remove_set(session: Session, set_id: UUID, *, who: str) -> ShotSet:
    """Remove a set with its shots; the log keeps them.

    Raises
    ------
    NotFound
        There is no such set.
    """
    before = workouts.get_set(session, set_id)
    owner = workouts.owner_of(session, before.workout_id)
    workouts.delete_set(session, set_id)
    note_removed(session, before, who=who, player_id=owner)
    return before


def record_shots(session: Session, set_id: UUID, shots: Sequence[Shot], *, who: str) -> int:
    """Add shots at the end of a set and return how many were new.

    A shot that is stored already, or was undone or corrected since it was first sent, changes
    nothing: a phone may send it again whenever it is not sure of the answer.

    Raises
    ------
    BadInput
        A number can't be right, or a miss says more than the set's miss detail allows.
    Conflict
        One of the ids stands for a shot that differs, or is in another set.
    NotFound
        There is no such set.
    """
    shot_set = workouts.get_set(session, set_id, lock=True)
    new = new_among(session, [(set_id, checked_shot(shot, shot_set)) for shot in shots])
    stored.append_shots(session, new)
    owner = workouts.owner_of(session, shot_set.workout_id)
    note_added(session, [shot for _, shot in new], who=who, player_id=owner)
    return len(new)


def undo_last(session: Session, set_id: UUID, *, who: str) -> Shot:
    """Take the last shot of a set out again and return it.

    Raises
    ------
    NotFound
        There is no such set, or no shot in it.
    """
    shot_set = workouts.get_set(session, set_id, lock=True)
    if not shot_set.shots:
        raise NotFound("There is no shot to undo in this set.")
    return _remove(session, shot_set, shot_set.shots[-1], who=who)


def remove_shot(session: Session, shot_id: UUID, *, who: str) -> Shot:
    """Take any one shot out of its set and return it.

    Raises
    ------
    NotFound
        There is no such shot.
    """
    set_id, shot = stored.get_shot(session, shot_id)
    return _remove(session, workouts.get_set(session, set_id, lock=True), shot, who=who)


def correct_shot(session: Session, shot: Shot, *, who: str) -> Shot:
    """Store a shot anew, at its place in its set.

    Raises
    ------
    BadInput
        A number can't be right, or a miss says more than the set's miss detail allows.
    NotFound
        There is no such shot.
    """
    set_id, before = stored.get_shot(session, shot.id)
    shot_set = workouts.get_set(session, set_id, lock=True)
    after = checked_shot(shot, shot_set)
    if after != before:
        stored.set_shot(session, after)
        owner = workouts.owner_of(session, shot_set.workout_id)
        note_changed(session, before, who=who, player_id=owner)
    return after


def enter_counts(
    session: Session,
    set_id: UUID,
    *,
    made: int,
    attempts: int,
    misses: Mapping[Miss, int],
    who: str,
    entry_id: UUID,
) -> int:
    """Add shots known by their counts only and return how many were new.

    The set is marked as one whose order is not known. Sent twice under one ``entry_id``, the
    counts change nothing.

    Parameters
    ----------
    misses
        How many missed each way, one way a miss; the rest missed without a direction.

    Raises
    ------
    BadInput
        The counts do not go together, or say more than the set's miss detail allows.
    Conflict
        ``entry_id`` stands for other counts.
    NotFound
        There is no such set.
    """
    marks = expand_counts(made=made, attempts=attempts, misses=misses)
    before = workouts.get_set(session, set_id, lock=True)
    shots = _under(entry_id, marks)
    added = record_shots(session, set_id, shots, who=who)
    if added and before.ordered:
        change_set(session, replace(before, ordered=False), who=who)
    return added


def enter_line(
    session: Session, set_id: UUID, line: str, *, who: str, entry_id: UUID
) -> tuple[Shot, ...]:
    """Add the shots of a line with one letter per shot and return them.

    Sent twice under one ``entry_id``, the line changes nothing.

    Raises
    ------
    BadInput
        A character is wrong, or a miss says more than the set's miss detail allows.
    Conflict
        ``entry_id`` stands for another line.
    NotFound
        There is no such set.
    """
    shots = _under(entry_id, parse_line(line))
    record_shots(session, set_id, shots, who=who)
    return shots


def chart_of(session: Session, player_id: UUID) -> Chart:
    """Return everything charted of one player, oldest first; sets without shots are left out.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    visits = workouts.list_workouts(session, player_id)
    with_shots = [one for one in visits if any(s.shots for s in one.sets)]
    return Chart(
        player=player,
        sets=tuple(s for one in with_shots for s in one.sets if s.shots),
        year=with_shots[-1].day.year if with_shots else None,
        days=tuple((one.id, one.day) for one in with_shots),
    )


def edits_of(session: Session, thing_id: UUID) -> list[Edit]:
    """Return every change of a player, workout, set or shot, oldest first, also once removed."""
    return edits.list_edits(session, thing_id)


def _under(entry_id: UUID, marks: Sequence[Mark]) -> tuple[Shot, ...]:
    return tuple(
        Shot(id=uuid5(entry_id, str(i)), made=mark.made, miss=mark.miss, half=mark.half)
        for i, mark in enumerate(marks)
    )


def _remove(session: Session, shot_set: ShotSet, shot: Shot, *, who: str) -> Shot:
    owner = workouts.owner_of(session, shot_set.workout_id)
    stored.delete_shot(session, shot.id)
    note_removed(session, shot, who=who, player_id=owner)
    return shot
