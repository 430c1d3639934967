"""One line through a player's cold tests, with what was announced and what lasted."""

from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.records import Player, Purpose
from hoopwright.store import games, people, workouts
from hoopwright.transfer.nouns import MOST_TESTED, AnnouncedChange, ColdTest, TestKind
from hoopwright.transfer.progress import Progress, read_progress

_KINDS = {
    Purpose.COLD_TEST: TestKind.COLD,
    Purpose.RETENTION_TEST: TestKind.RETENTION,
    Purpose.TRANSFER_TEST: TestKind.TRANSFER,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressReading:
    """A player's tests and what they say."""

    player: Player
    #: oldest first; the id is that of the set
    tests: tuple[ColdTest, ...]
    changes: tuple[AnnouncedChange, ...]
    #: None where no test was taken yet
    progress: Progress | None


def progress_of(session: Session, player_id: UUID) -> ProgressReading:
    """Return a player's progress, from sets that were shot as a test; all others are left out.

    Raises
    ------
    BadInput
        There are too many tests of one place to be read at once.
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    tests = cold_tests(session, player_id)
    changes = tuple(one.change for one in games.list_announced(session, player_id))
    return ProgressReading(
        player=player,
        tests=tests,
        changes=changes,
        progress=read_progress(tests, changes) if tests else None,
    )


def cold_tests(session: Session, player_id: UUID) -> tuple[ColdTest, ...]:
    """Return a player's tests, oldest first; sets that stop on makes are none."""
    return tuple(
        ColdTest(
            id=one.id,
            player_id=player_id,
            day=visit.day,
            attempts=len(one.shots),
            made=one.made,
            kind=_KINDS[one.purpose],
            place=one.spot.name,
            after_change=one.condition,
        )
        for visit in workouts.list_workouts(session, player_id)
        for one in visit.sets
        if one.purpose in _KINDS and not one.stops_on_makes and 0 < len(one.shots) <= MOST_TESTED
    )
