"""What a player makes in practice of each kind of shot that games count."""

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.court.frame import ShotValue, shot_value
from hoopwright.records import Player, ShotSet, Spot
from hoopwright.store import plans, workouts
from hoopwright.transfer.nouns import Band
from hoopwright.transfer.shares import PracticeShare

#: floor distance within which a shot is at the rim [m]; common practice, no source
AT_RIM = 1.8
#: how far back practice is looked at from the newest shot [day]: about a season
SEASON = 180


@dataclass(frozen=True, slots=True, kw_only=True)
class Practised:
    """Attempts and makes of one kind of shot in practice."""

    attempts: int
    made: int

    @property
    def share(self) -> PracticeShare:
        """The share made, with its error."""
        return PracticeShare.from_counts(self.made, self.attempts)


def band_of(spot: Spot, rules: str) -> Band:
    """Return how games count a shot from a spot: by the lines of the player's court."""
    value = shot_value(spot, rules)
    if value is ShotValue.TWO:
        return Band.RIM if spot.distance <= AT_RIM else Band.MID
    return Band.THREE if value is ShotValue.THREE else Band.FREE_THROW


def practised(session: Session, player: Player) -> dict[Band, Practised]:
    """Return what a player made in practice lately, by how games count it.

    Shot the player's usual way, or the way that the plan that goes on is about; drills that stop
    on makes are left out. Twos are all shots inside the arc but free throws.
    """
    visits = [one for one in workouts.list_workouts(session, player.id) if one.sets]
    if not visits:
        return {}
    since = visits[-1].day - timedelta(days=SEASON)
    ways = {"", *_planned(session, player.id)}
    attempts, made = Counter[Band](), Counter[Band]()
    for one in (s for visit in visits if visit.day >= since for s in visit.sets):
        if one.condition in ways and not one.stops_on_makes:
            for band in _bands(one, player.rules):
                attempts[band] += len(one.shots)
                made[band] += one.made
    return {band: Practised(attempts=n, made=made[band]) for band, n in attempts.items() if n}


def _bands(one: ShotSet, rules: str) -> tuple[Band, ...]:
    band = band_of(one.spot, rules)
    return (band, Band.TWO) if band in (Band.RIM, Band.MID) else (band,)


def _planned(session: Session, player_id: UUID) -> list[str]:
    kept = plans.list_plans(session, player_id)
    return [one.plan.focus.condition for one in kept if one.ended_on is None]
