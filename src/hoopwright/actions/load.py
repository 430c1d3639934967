"""Load: hours, shots, games, pain and head knocks as written down, and what to be careful about.

Nothing here tells what is wrong with a player, and a coach never clears a head knock.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from hoopwright.actions.checks import LONGEST_NOTE, check_day, checked_text, checked_who
from hoopwright.actions.editing import note_added, note_changed, note_removed
from hoopwright.errors import BadInput, Conflict, NotFound
from hoopwright.load.cautions import YEAR, cautions
from hoopwright.load.limits import careful_age
from hoopwright.load.nouns import Caution, Clearer, Flag, LoadEntry, Severity
from hoopwright.load.stops import stops
from hoopwright.store import games, people, workouts
from hoopwright.store import load as stored


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadReading:
    """What one player did and what to be careful about on one day."""

    player_id: UUID
    day: date
    #: careful age in whole years; None where the year of birth isn't told
    age: int | None
    #: as written down, oldest first
    entries: tuple[LoadEntry, ...]
    #: those, and what was charted or played beside them: what the cautions are read from
    done: tuple[LoadEntry, ...]
    flags: tuple[Flag, ...]
    #: stops first
    cautions: tuple[Caution, ...]

    @property
    def stopped(self) -> bool:
        """Tell whether the player does not practise that day."""
        return any(one.severity is Severity.STOP for one in self.cautions)


def note_load(session: Session, entry: LoadEntry, *, who: str) -> LoadEntry:
    """Write down what a player did on a day; sent twice, it changes nothing.

    Raises
    ------
    BadInput
        The day can't be right, or nothing was done.
    Conflict
        Another entry has this id.
    NotFound
        There is no such player.
    """
    entry = _checked_entry(entry)
    people.get_player(session, entry.player_id)
    try:
        known = stored.get_entry(session, entry.id)
    except NotFound:
        stored.add_entry(session, entry)
        note_added(session, [entry], who=who, player_id=entry.player_id)
        return entry
    if known != entry:
        raise Conflict("This id already stands for another load entry; send it under a new id.")
    return known


def change_load(session: Session, entry: LoadEntry, *, who: str) -> LoadEntry:
    """Store a load entry anew; it stays its player's.

    Raises
    ------
    BadInput
        As :func:`note_load`.
    NotFound
        There is no such entry.
    """
    before = stored.get_entry(session, entry.id)
    after = replace(_checked_entry(entry), player_id=before.player_id)
    if after != before:
        stored.set_entry(session, after)
        note_changed(session, before, who=who, player_id=before.player_id)
    return after


def remove_load(session: Session, entry_id: UUID, *, who: str) -> LoadEntry:
    """Remove a load entry; the log keeps it.

    Raises
    ------
    NotFound
        There is no such entry.
    """
    before = stored.get_entry(session, entry_id)
    stored.delete_entry(session, entry_id)
    note_removed(session, before, who=who, player_id=before.player_id)
    return before


def load_of(session: Session, player_id: UUID, *, since: date | None = None) -> list[LoadEntry]:
    """Return what was written down of a player's load from a day on, oldest first.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return stored.list_entries(session, player_id, since=since)


def raise_flag(session: Session, flag: Flag, *, who: str) -> Flag:
    """Stop a player: pain or a knock to the head; sent twice, it changes nothing.

    Raises
    ------
    BadInput
        The day can't be right, or the flag comes cleared already.
    Conflict
        Another flag has this id.
    NotFound
        There is no such player.
    """
    if flag.cleared_on is not None:
        raise BadInput("A new flag can't be cleared already; raise it first, then clear it.")
    reporter = checked_text(flag.reported_by, what="Who reported it", field="reported_by")
    flag = replace(_checked_flag(flag), reported_by=reporter or checked_who(who))
    people.get_player(session, flag.player_id)
    try:
        known = stored.get_flag(session, flag.id)
    except NotFound:
        stored.add_flag(session, flag)
        note_added(session, [flag], who=who, player_id=flag.player_id)
        return flag
    # it may have been cleared since it was first sent
    if replace(known, cleared_on=None, cleared_by=None, cleared_name="") != flag:
        raise Conflict("This id already stands for another flag; send it under a new id.")
    return known


def clear_flag(
    session: Session, flag_id: UUID, *, on: date, by: Clearer, name: str, who: str
) -> Flag:
    """Write down who said that a player may go on, and when.

    Parameters
    ----------
    on, by, name
        The day, in what role, and who it was.

    Raises
    ------
    BadInput
        Nobody is named, the day is not after that of the flag, or one who may not clear it did.
    NotFound
        There is no such flag.
    """
    before = stored.get_flag(session, flag_id)
    named = checked_text(name, what="Who cleared the player", field="name", needed=True)
    after = _checked_flag(replace(before, cleared_on=on, cleared_by=by, cleared_name=named))
    check_day(on)
    return _keep_flag(session, before, after, who=who)


def withdraw_flag(session: Session, flag_id: UUID, *, reason: str, who: str) -> Flag:
    """Take back a flag that was raised by mistake; the log keeps it, and the reason.

    Raises
    ------
    BadInput
        No reason is given.
    NotFound
        There is no such flag.
    """
    why = checked_text(reason, what="The reason", field="reason", needed=True)
    before = stored.get_flag(session, flag_id)
    note = f"{before.note} (withdrawn: {why})".strip()
    after = _keep_flag(session, before, replace(before, note=note), who=who)
    stored.delete_flag(session, flag_id)
    note_removed(session, after, who=who, player_id=before.player_id)
    return before


def flags_of(session: Session, player_id: UUID) -> list[Flag]:
    """Return a player's flags, oldest first, cleared ones too.

    Raises
    ------
    NotFound
        There is no such player.
    """
    people.get_player(session, player_id)
    return stored.list_flags(session, player_id)


def cautions_for(session: Session, player_id: UUID, today: date) -> LoadReading:
    """Return what to be careful about with a player on a day.

    Shots that were charted and games that were entered count also where nobody wrote them down as
    load.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    since = today - timedelta(days=YEAR)
    entries = stored.list_entries(session, player_id, since=since)
    flags = stored.list_flags(session, player_id)
    age = careful_age(player.birth_year, today)
    done = (*entries, *_unwritten(session, player_id, entries, since=since))
    return LoadReading(
        player_id=player_id,
        day=today,
        age=age,
        entries=tuple(entries),
        done=done,
        flags=tuple(flags),
        cautions=cautions(age, done, flags=flags, today=today),
    )


def stopped_on(session: Session, day: date) -> dict[UUID, tuple[Caution, ...]]:
    """Return the players who do not practise on a day, and why, by the player's id."""
    held = stored.uncleared_flags(session, day)
    return {
        player_id: tuple(c for c in stops(flags, day) if c.severity is Severity.STOP)
        for player_id, flags in held.items()
    }


def check_may_practise(session: Session, player_id: UUID, day: date) -> None:
    """Raise BadInput, with what to do, where a flag stops a player on a day."""
    for caution in stops(stored.list_flags(session, player_id), day):
        if caution.severity is Severity.STOP:
            raise BadInput(caution.message, field="day")


def _unwritten(
    session: Session, player_id: UUID, entries: Sequence[LoadEntry], *, since: date
) -> list[LoadEntry]:
    """Return an entry for each day on which more was charted or played than was written down."""
    shots, played = Counter[date](), Counter[date]()
    shots.update(workouts.shots_by_day(session, player_id, since=since))
    played.update(games.games_by_day(session, player_id, since=since))
    for one in entries:
        shots[one.day] -= one.coached_shots + one.self_led_shots
        played[one.day] -= one.games
    return [
        LoadEntry(
            id=uuid5(player_id, f"unwritten {day}"), player_id=player_id, day=day,
            coached_shots=max(shots[day], 0), games=max(played[day], 0),
        )
        for day in sorted(shots.keys() | played.keys())
        if shots[day] > 0 or played[day] > 0
    ]  # fmt: skip


def _checked_entry(entry: LoadEntry) -> LoadEntry:
    check_day(entry.day)
    after = replace(entry, note=_checked_note(entry.note))
    if not (entry.organised or entry.self_led_minutes or entry.self_led_shots or after.note):
        raise BadInput("Nothing is written down for that day; enter minutes, shots or games.")
    return after


def _checked_flag(flag: Flag) -> Flag:
    check_day(flag.day)
    return replace(flag, note=_checked_note(flag.note))


def _checked_note(note: str) -> str:
    return checked_text(note, what="The note", field="note", longest=LONGEST_NOTE)


def _keep_flag(session: Session, before: Flag, after: Flag, *, who: str) -> Flag:
    if after != before:
        stored.set_flag(session, after)
        note_changed(session, before, who=who, player_id=before.player_id)
    return after
