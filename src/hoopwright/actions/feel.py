"""What a player's feel knows of the shot, over all shots with a feel; and a group's players'."""

import math
from dataclasses import dataclass
from uuid import UUID

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.people import players_of
from hoopwright.records import Player, Shot
from hoopwright.store import people, workouts
from hoopwright.trials.feel import Feel, read_feel
from hoopwright.trials.feel_group import GroupFeel, read_group_feel


@dataclass(frozen=True, slots=True, kw_only=True)
class FeelReading:
    """One player's feel."""

    player: Player
    #: None where no shot has a feel yet
    feel: Feel | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupFeelReading:
    """The feel of a coach's players."""

    players: tuple[FeelReading, ...]
    #: None where nobody's can be read yet
    together: GroupFeel | None


def feel_of(session: Session, player_id: UUID) -> FeelReading:
    """Return what a player's feel knows; drills that stop on makes are left out.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    sets = [
        (one, visit.day.toordinal())
        for visit in workouts.list_workouts(session, player_id)
        for one in visit.sets
        if not one.stops_on_makes and one.ordered
    ]
    rows = [
        (shot, number, day)
        for number, (one, day) in enumerate(sets)
        for shot in one.shots
        if shot.feel is not None
    ]
    if not rows:
        return FeelReading(player=player, feel=None)
    return FeelReading(
        player=player,
        feel=read_feel(
            np.array([shot.feel for shot, _, _ in rows], np.float64),
            np.array([shot.made for shot, _, _ in rows], bool),
            off=np.array([_off(shot) for shot, _, _ in rows]),
            groups=np.array([number for _, number, _ in rows], np.int64),
            days=np.array([day for _, _, day in rows], np.int64),
        ),
    )


def group_feel(session: Session, coach: str) -> GroupFeelReading:
    """Return what the feel of all players of a coach knows; who never said it is left out."""
    readings = [feel_of(session, one.id) for one in players_of(session, coach)]
    said = tuple(one for one in readings if one.feel is not None)
    pairs = [(one.player.id, one.feel) for one in said if one.feel is not None]
    return GroupFeelReading(players=said, together=read_group_feel(pairs) if pairs else None)


def _off(shot: Shot) -> float:
    """Return how far from ring centre a shot came down [m]; NaN where that isn't known."""
    place = shot.release or shot.landing
    return math.nan if place is None else math.hypot(place.along, place.across)
