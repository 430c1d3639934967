"""A writer to be killed: forks children that store sets of shots and say so when kept.

Run as ``python killed_writer.py URL``. For each line read, it forks a child that prints its
process id, then after each commit the id of the set kept. It prints "gone" once the child is dead.
"""

import os
import sys
from datetime import date
from itertools import count
from uuid import NAMESPACE_OID, UUID, uuid4, uuid5

from hoopwright.actions.people import add_player
from hoopwright.actions.shots import add_set, start_workout
from hoopwright.records import Miss, Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import open_database

PLAYER = Player(id=UUID(int=1), name="Invented A")
SHOTS = 12


def set_of(set_id: UUID, workout_id: UUID, *, position: int) -> ShotSet:
    """A set whose shots follow from its id, so that a reader can tell whether they are whole."""
    shots = tuple(
        Shot(id=uuid5(set_id, str(i)), made=i % 3 > 0, miss=() if i % 3 else (Miss.SHORT,))
        for i in range(SHOTS)
    )
    spot = Spot(name="free throw", x=0.0, y=4.225)
    return ShotSet(id=set_id, workout_id=workout_id, position=position, spot=spot, shots=shots)


def say(word: object) -> None:
    os.write(1, f"{word}\n".encode())


def write_until_killed(url: str) -> None:
    say(os.getpid())
    database = open_database(url)
    workout = Workout(id=uuid4(), player_id=PLAYER.id, day=date(2026, 11, 2))
    with database.session() as session:
        add_player(session, PLAYER, who="coach")
        start_workout(session, workout, who="coach")
    for position in count():
        set_id = uuid5(NAMESPACE_OID, f"{workout.id} {position}")
        with database.session() as session:
            add_set(session, set_of(set_id, workout.id, position=position), who="coach")
        say(set_id)


def main() -> None:
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            write_until_killed(sys.argv[1])
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main()
