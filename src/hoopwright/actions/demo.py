"""The invented academy: eight weeks of charts, flown shot by shot by the physics, all marked."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID, uuid5

import numpy as np
from sqlalchemy.orm import Session

from hoopwright.actions.demo_practice import AtWork, Shooting, practise, with_feel
from hoopwright.actions.demo_roster import ACADEMY, MEMBERS, Group, Member, Share, Trait
from hoopwright.actions.people import add_player, list_players
from hoopwright.actions.shots import start_workout
from hoopwright.chart import _kernel as k
from hoopwright.chart.prior import SIZE, published_prior
from hoopwright.chart.simulate import Floats, Flown, Shooter, Style, chart_set, fly_shots
from hoopwright.court.frame import spot_at, spot_named
from hoopwright.records import Player, Shot, ShotSet, Spot, Workout

#: one seed for the whole academy, so that everybody sees the same one
SEED = 20260928
WEEKS = 8
#: days of a week with a visit, counted from its first
VISIT_DAYS = (0, 3)
#: the week in which some players start to try a change
CHANGE_WEEK = 4
#: shots in a set, but for somebody's first visit
SET_OF, FIRST_SET_OF = 10, 12
#: how often a visit is missed
MISSED = 0.25
#: how far players differ from the usual of their age, as a share of the published spread
VARIETY = 0.4
_IDS = UUID("5a1c0b52-6a5e-4c7b-9a58-0b7a6f3d2c11")

#: what a trait adds to the eight numbers of the model (see ``chart._kernel``)
_TRAITS: dict[Trait, dict[int, float]] = {
    Trait.PLAIN: {},
    Trait.SHORT: {k.SPEED_BIAS: -0.009},
    Trait.LONG: {k.SPEED_BIAS: 0.009},
    Trait.LEFT: {k.TURN_BIAS: -math.radians(1.1)},
    Trait.RIGHT: {k.TURN_BIAS: math.radians(1.1)},
    Trait.FLAT: {k.ANGLE_OVER: -math.radians(3.0)},
    Trait.SCATTERED: {k.LOG_SPEED_SD: 0.3, k.LOG_TURN_SD: 0.2},
    Trait.STEADY: {k.LOG_SPEED_SD: -0.3, k.LOG_TURN_SD: -0.3},
}
#: what a change that is tried adds
_CHANGES: dict[str, dict[int, float]] = {
    "": {},
    "aim deeper": {k.SPEED_BIAS: 0.008},
    "higher finish": {k.ANGLE_OVER: math.radians(2.0), k.SPEED_BIAS: 0.004},
    "legs first": {k.LOG_SPEED_SD: -0.15},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoReport:
    """What was added; nothing where the academy was there already."""

    players: int
    workouts: int
    shots: int


def load_demo(
    session: Session,
    *,
    today: date | None = None,
    progress: Callable[[int, int], object] | None = None,
) -> DemoReport:
    """Add the invented academy: 24 players of 7 to 40 years, 3 coaches, 8 weeks of charts.

    Once it, or any part of it, is in the store, this adds nothing: what was changed, added or
    removed since stays so.

    Parameters
    ----------
    today
        The last day of the eight weeks; the computer's date where left out.
    progress
        Called after each player with how many are done and how many there are.

    Raises
    ------
    BadInput
        The store has a player with the name of one in the academy.
    """
    present = {player.id for player in list_players(session)}
    if any(_id("player", member.name) in present for _, member in _everybody()):
        return DemoReport(players=0, workouts=0, shots=0)
    end = today or date.today()
    total = len(_everybody())
    workouts = shots = 0
    for done, (group, member) in enumerate(_everybody(), start=1):
        player = add_player(session, _player(group, member, end.year), who=group.coach)
        for visit in _visits(group, member, player, end):
            kept = start_workout(session, visit, who=group.coach)
            workouts += 1
            shots += sum(len(one.shots) for one in kept.sets)
        at = AtWork(member=member, player=player, coach=group.coach, end=end)
        shots += practise(session, at, shooting=_shooting(group, member))
        if progress is not None:
            progress(done, total)
    return DemoReport(players=total, workouts=workouts, shots=shots)


def _everybody() -> list[tuple[Group, Member]]:
    return [(group, member) for group, members in MEMBERS for member in members]


def _id(*what: object) -> UUID:
    return uuid5(_IDS, " ".join(map(str, what)))


def _player(group: Group, member: Member, year: int) -> Player:
    return Player(
        id=_id("player", member.name),
        name=member.name,
        birth_year=year - member.age,
        hand=member.hand,
        height=member.height,
        ball_size=member.ball_size,
        ring_height=member.ring_height,
        rules=group.rules,
        coach=group.coach,
        invented=True,
    )


def _visits(group: Group, member: Member, player: Player, end: date) -> Iterator[Workout]:
    rng = np.random.default_rng([SEED, *member.name.encode()])
    plan = _sets(group, member, rng)
    for number, day in enumerate(_days(end)):
        if not _is_there(member, number, rng):
            continue
        visit_id = _id("workout", member.name, number)
        inside = tuple(
            replace(one, workout_id=visit_id, position=place)
            for place, one in enumerate(plan(number))
        )
        yield Workout(id=visit_id, player_id=player.id, day=day, note=ACADEMY, sets=inside)


def _shooting(group: Group, member: Member) -> Shooting:
    """Return what flies further free throws of a member, apart from those of the visits."""
    rng = np.random.default_rng([SEED, 1, *member.name.encode()])
    psi = _psi(member, np.random.default_rng([SEED, *member.name.encode()]))
    spot = _spot("free throw", group.rules)

    def shots(count: int, condition: str) -> tuple[Shot, ...]:
        shooter = _shooter(member, psi, condition)
        flown = fly_shots(shooter, spot, count, rng=rng)
        return chart_set(flown, spot, style=member.style, shooter=shooter, rng=rng).shots

    return shots


def _days(end: date) -> list[date]:
    start = end - timedelta(weeks=WEEKS) + timedelta(days=1)
    return [start + timedelta(weeks=w, days=d) for w in range(WEEKS) for d in VISIT_DAYS]


def _is_there(member: Member, visit: int, rng: np.random.Generator) -> bool:
    last = WEEKS * len(VISIT_DAYS) - 1
    if member.share is Share.ALL:
        return bool(rng.random() >= MISSED)
    return member.share is Share.ONE_VISIT and visit == last


def _sets(group: Group, member: Member, rng: np.random.Generator) -> Callable[[int], list[ShotSet]]:
    """Return what gives the sets of a visit: ten shots from each of a few spots, in turn."""
    psi = _psi(member, rng)
    spots = [_spot(said, group.rules) for said in group.spots]
    pools: dict[tuple[Spot, str], _Pool] = {}
    # of its own, so that asking for the feel changes no shot
    feelings = np.random.default_rng([SEED, 2, *member.name.encode()])

    def of_visit(visit: int) -> list[ShotSet]:
        if member.share is Share.ONE_VISIT:
            pool = _Pool(_shooter(member, psi, ""), spots[0], rng)
            return [pool.deal(FIRST_SET_OF, member, "")]
        sets = []
        for place in range(group.sets_a_visit):
            spot = spots[(visit * group.sets_a_visit + place) % len(spots)]
            condition = _condition(member, visit, place)
            if (spot, condition) not in pools:
                pools[spot, condition] = _Pool(_shooter(member, psi, condition), spot, rng)
            one = pools[spot, condition].deal(SET_OF, member, condition)
            felt = with_feel(one, member, feelings)
            sets.append(_entered(felt, member, visit, place))
        return sets

    return of_visit


def _spot(said: str | float, rules: str) -> Spot:
    return spot_named(said, rules) if isinstance(said, str) else spot_at(said, rules=rules)


class _Pool:
    """Shots from one spot under one condition, flown all at once and dealt out set by set."""

    def __init__(self, shooter: Shooter, spot: Spot, rng: np.random.Generator) -> None:
        self._shooter, self._spot, self._rng = shooter, spot, rng
        # enough for two sets a visit
        most = 2 * WEEKS * len(VISIT_DAYS) * SET_OF
        self._flown = fly_shots(shooter, spot, most, rng=rng)
        self._next = 0

    def deal(self, count: int, member: Member, condition: str) -> ShotSet:
        part = slice(self._next, self._next + count)
        self._next += count
        flown = Flown(
            made=self._flown.made[part],
            along=self._flown.along[part],
            across=self._flown.across[part],
        )
        return chart_set(
            flown, self._spot, style=member.style, shooter=self._shooter, rng=self._rng,
            condition=condition,
        )  # fmt: skip


def _condition(member: Member, visit: int, place: int) -> str:
    """Return what is tried: from the fourth week on, in every second set."""
    trying = visit >= CHANGE_WEEK * len(VISIT_DAYS) and place % 2 == 1
    return member.condition if trying else ""


def _entered(one: ShotSet, member: Member, visit: int, place: int) -> ShotSet:
    """Return a set as it was entered: some as plain counts, some as a drill to five makes."""
    if member.style is Style.COUNTS and visit % 2 == 0:
        return replace(one, ordered=False)
    if visit % 8 == 7 and place == 0 and member.trait is Trait.STEADY:
        return _until_makes(one, 5)
    return one


def _until_makes(one: ShotSet, makes: int) -> ShotSet:
    went_in = np.cumsum([shot.made for shot in one.shots])
    length = int(np.searchsorted(went_in, makes)) + 1
    return replace(one, shots=one.shots[:length], stops_on_makes=True)


def _psi(member: Member, rng: np.random.Generator) -> Floats:
    usual = published_prior(member.age)
    psi = usual.psi(VARIETY * rng.standard_normal((1, SIZE)))[0]
    return _with(psi, _TRAITS[member.trait])


def _shooter(member: Member, psi: Floats, condition: str) -> Shooter:
    return Shooter(
        psi=_with(psi, _CHANGES[condition]),
        stature=member.height,
        ball_size=member.ball_size,
        ring_height=member.ring_height,
    )


def _with(psi: Floats, more: dict[int, float]) -> Floats:
    changed = psi.copy()
    for index, amount in more.items():
        changed[index] += amount
    return changed
