"""Which of a player's body measures go with the ball: over all filmed shots in the workouts."""

from collections.abc import Iterator
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.films import body_of
from hoopwright.actions.shots import chart_of
from hoopwright.film.links.found import Link
from hoopwright.film.links.rows import Sample, links_of
from hoopwright.film.results import Body
from hoopwright.records import Chart, Shot, ShotSet


def player_links(session: Session, player_id: UUID) -> tuple[Link, ...]:
    """Return the links of a player's filmed shots; none where none was filmed.

    Raises
    ------
    NotFound
        There is no such player.
    """
    filmed = list(_filmed(chart_of(session, player_id)))
    measured = body_of(session, [shot.id for _, shot in filmed])
    samples = [
        Sample(
            release=shot.release,
            body={Body(name): pair for name, pair in measured.get(shot.id, {}).items()},
            day=one.workout_id,
            spot=(one.spot, one.ball_size, one.ring_height),
            condition=one.condition,
        )
        for one, shot in filmed
        if shot.release is not None
    ]
    return links_of(samples)


def _filmed(chart: Chart) -> Iterator[tuple[ShotSet, Shot]]:
    """Yield the filmed shots in the order taken, visit by visit."""
    for one in chart.sets:
        yield from ((one, shot) for shot in one.shots if shot.release is not None)
