"""The way of measured shots into a player's workouts: a filmed and a charted shot are one shot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.checks import checked_shot, checked_text
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.actions.films.filmed import (
    Filmed,
    as_shot,
    joined,
    lined_up,
    runs_of,
    spot_of,
    usable,
)
from hoopwright.actions.films.reading import read_of
from hoopwright.actions.films.stages import gear_of
from hoopwright.actions.resending import add_new_sets
from hoopwright.actions.shots import start_workout
from hoopwright.errors import BadInput, NotFound
from hoopwright.records import Film, Player, Shot, ShotSet, Workout
from hoopwright.store import films as stored
from hoopwright.store import people, workouts
from hoopwright.store import shots as stored_shots
from hoopwright.store.films import Entry

#: filmed shot → the charted shot it is, or None where it was not charted; as a person said
Pairs = Mapping[UUID, UUID | None]

UNSURE = (
    "It can't be told which charted shot this is; say so, or correct the chart first where a shot "
    "was left out."
)
NO_PLACE = (
    "From where it was shot can't be told without marks; say which set this film shows, or mark "
    "the camera place."
)
TAKEN_OUT = "Somebody took this shot out of its set; it is not put back."


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """What became of the shots of a film."""

    #: the sets that hold them, in order
    set_ids: tuple[UUID, ...]
    #: shots that were not charted before
    added: int
    #: charted shots that now have what was measured
    joined: int
    #: shots entered before, looked at again
    updated: int
    #: shots entered before that this reading does not bear out any more
    withdrawn: int
    #: shots of the film that are not in a set: filmed shot's id and why, in a sentence
    left_out: tuple[tuple[UUID, str], ...]
    #: shots charted as made and filmed as missed, or the other way; the chart's word is kept
    contradicted: tuple[UUID, ...]


@dataclass(kw_only=True)
class _Work:
    """One entering, while it goes on."""

    session: Session
    film: Film
    player: Player
    who: str
    known: dict[UUID, Entry]
    pairs: Pairs
    set_ids: list[UUID] = field(default_factory=list)
    added: int = 0
    joined: int = 0
    updated: int = 0
    withdrawn: int = 0
    left_out: dict[UUID, str] = field(default_factory=dict)
    contradicted: list[UUID] = field(default_factory=list)


def enter_shots(
    session: Session,
    film_id: UUID,
    *,
    who: str,
    set_id: UUID | None = None,
    day: date | None = None,
    condition: str = "",
    pairs: Pairs | None = None,
) -> Entered:
    """Enter a film's measured shots into the player's workouts; again after re-measuring.

    Into the set given, else the film's own set, else into new sets, one for each spot shot from in
    a row, in the film's workout or a new one. Entered again, shots are brought up to date, never
    doubled; what a person said of a shot, or that it was taken out, stays.

    Parameters
    ----------
    set_id
        A set of the same player.
    day
        Of a new workout; the day the film was added where left out.
    condition
        Of new sets: what was different; "" is the player's habit.
    pairs
        Which filmed shots are which charted ones, where a person had to say so.

    Raises
    ------
    BadInput
        The set is another player's, or a pair names a shot that is not in it.
    NotFound
        There is no such film or set, or the film is not measured yet.
    """
    film = stored.get_film(session, film_id)
    read = read_of(session, film_id)
    if read is None:
        raise NotFound("This film is not measured yet; measure it first.")
    work = _Work(
        session=session, film=film, player=people.get_player(session, film.player_id), who=who,
        known=stored.entries_of(session, film_id), pairs=pairs or {},
    )  # fmt: skip
    good, doubted = usable(read, camera=film.scene_id or film.id)
    work.left_out.update(doubted)
    _find_again(work, good)
    _withdraw(work, {one.shot.id for one in good})
    fresh = {one.shot.id for one in _bring_up_to_date(work, good)}
    target = set_id or film.set_id
    if target is not None:
        _into_set(work, workouts.get_set(session, target, lock=True), good, fresh)
    else:
        _into_runs(work, good, fresh, day=day, condition=condition)
    _note_workout(work)
    return _told(work)


def body_of(
    session: Session, shot_ids: Sequence[UUID]
) -> Mapping[UUID, Mapping[str, tuple[float, float]]]:
    """Return the body measures of those of some shots that were filmed.

    Returns
    -------
    Mapping
        Shot id → ``film.results.Body`` value → (value, error that differs from shot to shot, one
        standard deviation), SI.
    """
    return stored.measures_of(session, shot_ids)


def _told(work: _Work) -> Entered:
    return Entered(
        set_ids=tuple(dict.fromkeys(work.set_ids)),
        added=work.added,
        joined=work.joined,
        updated=work.updated,
        withdrawn=work.withdrawn,
        left_out=tuple(work.left_out.items()),
        contradicted=tuple(work.contradicted),
    )


def _find_again(work: _Work, good: Sequence[Filmed]) -> None:
    """Take up shots that were entered from this film before it was removed and added again."""
    unknown = [one for one in good if one.shot.id not in work.known]
    there = stored_shots.known_shots(work.session, [one.shot.id for one in unknown])
    for one in unknown:
        if one.shot.id in there:
            _link(work, one, there[one.shot.id][1], charted=False)


def _withdraw(work: _Work, good: set[UUID]) -> None:
    """Take back what this reading does not bear out: the shot, or only what was measured of it."""
    gone = [e for e in work.known.values() if e.filmed_id not in good and e.shot_id is not None]
    there = stored_shots.known_shots(work.session, [e.shot_id for e in gone if e.shot_id])
    for entry in gone:
        if entry.shot_id in there:
            _take_back(work, entry, there[entry.shot_id][1])


def _take_back(work: _Work, entry: Entry, shot: Shot) -> None:
    stored.delete_entry(work.session, work.film.id, entry.filmed_id)
    if entry.charted:
        _write(work, shot, replace(shot, release=None))
        stored.set_measures(work.session, shot.id, {})
    else:
        stored_shots.delete_shot(work.session, shot.id)
        note_removed(work.session, shot, who=work.who, player_id=work.player.id)
    work.withdrawn += 1


def _bring_up_to_date(work: _Work, good: Sequence[Filmed]) -> list[Filmed]:
    """Store anew what was entered before, and return what was not."""
    entries = [work.known[one.shot.id] for one in good if one.shot.id in work.known]
    there = stored_shots.known_shots(work.session, [e.shot_id for e in entries if e.shot_id])
    fresh = []
    for one in good:
        entry = work.known.get(one.shot.id)
        if entry is None:
            fresh.append(one)
        elif entry.shot_id is None or entry.shot_id not in there:
            work.left_out[one.shot.id] = TAKEN_OUT
        else:
            set_id, shot = there[entry.shot_id]
            work.set_ids.append(set_id)
            _update(work, one, shot, entry)
    return fresh


def _update(work: _Work, filmed: Filmed, shot: Shot, entry: Entry) -> None:
    after = joined(shot, filmed)
    # a result that is not what the film said then was charted, or corrected, by a person
    if not entry.charted and shot.made is entry.made:
        after = replace(as_shot(filmed), id=shot.id)
    elif shot.made is not filmed.made:
        work.contradicted.append(shot.id)
    _write(work, shot, after)
    stored.set_measures(work.session, shot.id, filmed.measures)
    if entry.made is not filmed.made:
        stored.delete_entry(work.session, work.film.id, entry.filmed_id)
        again = replace(entry, made=filmed.made)
        stored.add_entries(work.session, work.film.id, [again])
    work.updated += 1


def _write(work: _Work, before: Shot, after: Shot) -> None:
    if after != before:
        stored_shots.set_shot(work.session, after)
        note_changed(work.session, before, who=work.who, player_id=work.player.id)


def _link(work: _Work, filmed: Filmed, shot: Shot, *, charted: bool) -> None:
    entry = Entry(filmed_id=filmed.shot.id, shot_id=shot.id, charted=charted, made=filmed.made)
    stored.add_entries(work.session, work.film.id, [entry])
    stored.set_measures(work.session, shot.id, filmed.measures)
    work.known[filmed.shot.id] = entry


def _into_set(work: _Work, shot_set: ShotSet, run: Sequence[Filmed], fresh: set[UUID]) -> None:
    """Enter the new ones of some shots into a set: as the charted shots they are, or in between."""
    if workouts.owner_of(work.session, shot_set.workout_id) != work.player.id:
        raise BadInput("That set is another player's; choose one of this player.", field="set")
    by_film = stored.films_of_shots(work.session, [shot.id for shot in shot_set.shots])
    charted = [shot for shot in shot_set.shots if shot.id not in by_film]
    order = [shot.id for shot in shot_set.shots]
    work.set_ids.append(shot_set.id)
    new = [one for one in run if one.shot.id in fresh]
    for one, shot in _paired(work, new, charted):
        if shot is not None:
            _join(work, one, shot)
        elif (added := _add(work, one, shot_set)) is not None:
            order.insert(_place(work, one, run, order), added)
    stored_shots.set_order(work.session, shot_set.id, order)


def _place(work: _Work, filmed: Filmed, run: Sequence[Filmed], order: Sequence[UUID]) -> int:
    """Return where a shot goes among those of its set: next to its neighbours on the film."""
    before = [one for one in run if one.shot.position < filmed.shot.position]
    after = [one for one in run if one.shot.position > filmed.shot.position]
    for neighbour in reversed(before):
        if (there := _shot_of(work, neighbour)) in order:
            return order.index(there) + 1
    for neighbour in after:
        if (there := _shot_of(work, neighbour)) in order:
            return order.index(there)
    return len(order)


def _shot_of(work: _Work, filmed: Filmed) -> UUID | None:
    entry = work.known.get(filmed.shot.id)
    return entry.shot_id if entry else None


def _paired(
    work: _Work, new: Sequence[Filmed], charted: Sequence[Shot]
) -> list[tuple[Filmed, Shot | None]]:
    """Return filmed shots with the charted shot that each is; what can't be told is left out."""
    by_id = {shot.id: shot for shot in charted}
    said = {one.shot.id: work.pairs[one.shot.id] for one in new if one.shot.id in work.pairs}
    named = {shot_id for shot_id in said.values() if shot_id is not None}
    if not named <= by_id.keys():
        raise BadInput(
            "A shot that was named is not in this set, or is filmed already; choose it anew."
        )
    asked = [one for one in new if one.shot.id not in said]
    rest = [shot for shot in charted if shot.id not in named]
    found = list(zip(asked, lined_up(asked, rest), strict=True))
    unsure = {one.shot.id for one, (_, sure) in found if not sure}
    work.left_out.update(dict.fromkeys(unsure, UNSURE))
    told = {key: by_id.get(value) if value else None for key, value in said.items()}
    told |= {one.shot.id: None if at is None else rest[at] for one, (at, _) in found}
    return [(one, told[one.shot.id]) for one in new if one.shot.id not in unsure]


def _join(work: _Work, filmed: Filmed, shot: Shot) -> None:
    if shot.made is not filmed.made:
        work.contradicted.append(shot.id)
    _write(work, shot, joined(shot, filmed))
    _link(work, filmed, shot, charted=True)
    work.joined += 1


def _add(work: _Work, filmed: Filmed, shot_set: ShotSet) -> UUID | None:
    """Add a shot that was not charted; one that can't be right is left out."""
    try:
        shot = checked_shot(as_shot(filmed), shot_set)
    except BadInput as trouble:
        work.left_out[filmed.shot.id] = trouble.message
        return None
    stored_shots.append_shots(work.session, [(shot_set.id, shot)])
    note_added(work.session, [shot], who=work.who, player_id=work.player.id)
    _link(work, filmed, shot, charted=False)
    work.added += 1
    return shot.id


def _into_runs(
    work: _Work, good: Sequence[Filmed], fresh: set[UUID], *, day: date | None, condition: str
) -> None:
    """Enter shots into one set for each run from one spot; into its set where it has one."""
    condition = checked_text(condition, what="The condition", field="condition")
    entered = [e.shot_id for e in work.known.values() if e.shot_id is not None]
    there = stored_shots.known_shots(work.session, entered)
    placeless = [one.shot.id for one in good if one.ball is None and one.shot.id in fresh]
    work.left_out.update(dict.fromkeys(placeless, NO_PLACE))
    for run in runs_of(good):
        new = [one for one in run if one.shot.id in fresh]
        entries = [work.known[one.shot.id] for one in run if one.shot.id in work.known]
        sets = [there[e.shot_id][0] for e in entries if e.shot_id in there]
        if not new:
            continue
        try:
            set_id = sets[0] if sets else _new_set(work, run, day=day, condition=condition)
        except BadInput as trouble:
            work.left_out.update({one.shot.id: trouble.message for one in new})
        else:
            _into_set(work, workouts.get_set(work.session, set_id, lock=True), run, fresh)


def _new_set(work: _Work, run: Sequence[Filmed], *, day: date | None, condition: str) -> UUID:
    spot = spot_of(run, rules=work.player.rules)
    ball_size, ring_height = work.player.ball_size, work.player.ring_height
    if work.film.scene_id is not None:
        ball_size, ring_height = gear_of(stored.get_scene(work.session, work.film.scene_id))
    new = ShotSet(
        id=uuid5(work.film.id, f"set {run[0].shot.id}"),
        workout_id=_workout(work, day),
        position=0,
        spot=spot,
        condition=condition,
        ball_size=ball_size,
        ring_height=ring_height,
    )
    add_new_sets(work.session, [new], work.player, who=work.who)
    return new.id


def _workout(work: _Work, day: date | None) -> UUID:
    if work.film.workout_id is None:
        new = Workout(
            id=uuid5(work.film.id, "workout"),
            player_id=work.player.id,
            day=day or work.film.added_at.date(),
            note="from film",
        )
        try:
            workouts.owner_of(work.session, new.id)
        except NotFound:
            start_workout(work.session, new, who=work.who)
        work.film = replace(work.film, workout_id=new.id)
    assert work.film.workout_id is not None
    return work.film.workout_id


def _note_workout(work: _Work) -> None:
    before = stored.get_film(work.session, work.film.id)
    if before.workout_id != work.film.workout_id:
        stored.set_film(work.session, work.film)
        note_changed(work.session, before, who=work.who, player_id=work.player.id)
