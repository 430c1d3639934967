"""Write a player's workouts into a store, one transaction each: ``python log_writer.py URL N``.

It says "ready" and begins once it reads a line, so that several can begin together.
"""

import sys
from datetime import date
from uuid import uuid4

from hoopwright.actions.people import add_player
from hoopwright.actions.shots import start_workout
from hoopwright.records import Player, Workout
from hoopwright.store.engine import open_database


def main(url: str, times: int) -> None:
    database = open_database(url)
    player = Player(id=uuid4(), name=f"Invented {uuid4().hex[:8]}")
    with database.session() as session:
        add_player(session, player, who="coach")
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    for _ in range(times):
        with database.session() as session:
            visit = Workout(id=uuid4(), player_id=player.id, day=date(2026, 11, 2))
            start_workout(session, visit, who="coach")
    database.close()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
