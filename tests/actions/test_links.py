"""A player's links over the workouts in the store, on simulated film (known motion)."""

from datetime import date
from uuid import UUID, uuid4

import numpy as np
import pytest

from hoopwright.actions import links, people, shots
from hoopwright.errors import NotFound
from hoopwright.film.links.found import Outcome, Said
from hoopwright.film.links.simulate import Case, Filmed, simulated
from hoopwright.film.results import Body
from hoopwright.records import MeasuredRelease, Player, Shot, ShotSet, Spot, Workout
from hoopwright.store.engine import Database

PLAYER = Player(id=uuid4(), name="Invented Ash")
LINE = Spot(name="free throw", x=0.0, y=4.225)


def shot(one: Filmed, i: int) -> Shot:
    speed, along, across = (one.outcomes[n] for n in (Outcome.SPEED, Outcome.ALONG, Outcome.ACROSS))
    errors = [speed[1][i], 0.01, 0.01, along[1][i], across[1][i]]
    return Shot(id=uuid4(), made=bool(i % 2), release=MeasuredRelease(
        speed=7.2 + float(speed[0][i]), angle=0.9, direction=0.0, height=2.2,
        along=float(along[0][i]), across=float(across[0][i]),
        covariance=tuple(np.diag(np.square(errors)).ravel()),
    ))  # fmt: skip


def test_links_are_read_from_the_workouts(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = Case(shots=120, spots=1, slopes={(Body.DIP_DEPTH, Outcome.ALONG): 0.7}, missing=0.0)
    one = simulated(case, np.random.default_rng(3))
    taken = [shot(one, i) for i in range(120)]
    tapped = Shot(id=uuid4(), made=True)
    body = {
        filmed.id: {n.value: (float(v[i]), float(s[i])) for n, (v, s) in one.measures.items()}
        for i, filmed in enumerate(taken)
    }
    asked: list[UUID] = []

    def body_of(_: object, ids: list[UUID]) -> dict[UUID, dict[str, tuple[float, float]]]:
        asked.extend(ids)
        return body

    monkeypatch.setattr(links, "body_of", body_of)
    visit = uuid4()
    sets = tuple(
        ShotSet(id=uuid4(), workout_id=visit, position=n, spot=LINE,
                shots=(*taken[20 * n : 20 * n + 20], *([tapped] if n == 0 else [])))
        for n in range(6)
    )  # fmt: skip
    with database.session() as session:
        people.add_player(session, PLAYER, who="test")
        shots.start_workout(
            session,
            Workout(id=visit, player_id=PLAYER.id, day=date(2026, 11, 2), sets=sets),
            who="test",
        )
    with database.reading() as session:
        found = links.player_links(session, PLAYER.id)
    # only filmed shots are asked about, in the order taken
    assert asked == [filmed.id for filmed in taken]
    best = found[0]
    assert best.said is Said.WORTH_A_TRIAL and best.outcome is Outcome.ALONG
    assert Body.DIP_DEPTH in (best.measure, *best.together)


def test_nothing_filmed_says_nothing_and_nobody_is_not_found(database: Database) -> None:
    with database.session() as session:
        people.add_player(session, PLAYER, who="test")
        assert links.player_links(session, PLAYER.id) == ()
        with pytest.raises(NotFound):
            links.player_links(session, uuid4())
