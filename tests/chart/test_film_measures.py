"""What filmed shots say by themselves, on *known motion*: releases drawn from known players."""

import json
import math
from dataclasses import replace
from uuid import UUID, uuid4

import numpy as np
import pytest
from tests.flight.reference import World, state_at

from hoopwright.chart import film_measures
from hoopwright.chart.film_measures import entry_angles, film_reading, scatter
from hoopwright.chart.findings import FilmReading
from hoopwright.chart.infer import read_chart
from hoopwright.chart.prior import published_prior
from hoopwright.chart.simulate import Shooter, Style, simulate_sets
from hoopwright.chart.spots import BACKSPIN
from hoopwright.court.standards import ball
from hoopwright.flight.air import Air
from hoopwright.flight.arc import cross_ring_plane, least_speed_angle, speed_to_reach
from hoopwright.records import Chart, MeasuredRelease, Player, Shot, ShotSet, Spot
from hoopwright.reports.data import findings_data
from hoopwright.reports.facts import facts_of

LINE = Spot(name="free throw", x=0.0, y=4.225)
WING = Spot(name="wing", x=3.0, y=3.0)
PLAYER = Player(id=UUID(int=1), name="Invented", height=1.85)
HEIGHT = 2.2
#: error of speed, angle, direction, along, across: the bounds that film work has to meet
ERRORS = np.array([0.05, math.radians(0.4), math.radians(0.3), 0.04, 0.06])


def filmed_set(
    count: int, rng: np.random.Generator, *, speed_sd: float = 0.09, angle_sd: float = 1.3,
    errors: np.ndarray = ERRORS, spot: Spot = LINE, over: float = 4.0,
) -> ShotSet:  # fmt: skip
    """Shots of a known player through the flight equations, measured with a known error."""
    distance, rise, the_ball = spot.distance - 0.2, 3.05 - HEIGHT, ball(7)
    middle = float(least_speed_angle(distance, rise, ball=the_ball, spin=BACKSPIN))
    middle += math.radians(over)
    usual = float(speed_to_reach(distance, middle, rise, ball=the_ball, spin=BACKSPIN))
    speed = usual + speed_sd * rng.standard_normal(count)
    angle = middle + math.radians(angle_sd) * rng.standard_normal(count)
    aside = math.radians(0.8) * rng.standard_normal(count)
    flown = cross_ring_plane(speed, angle, rise, ball=the_ball, spin=BACKSPIN)
    along, across = flown.distance - distance, distance * np.sin(aside)
    truth = np.column_stack([speed, angle, aside, along, across])
    seen = truth + errors * rng.standard_normal(truth.shape)
    made = np.hypot((along - 0.03) / 0.13, across / 0.13) < 1.0
    shots = tuple(
        Shot(id=uuid4(), made=bool(went), release=MeasuredRelease(
            speed=row[0], angle=row[1], direction=row[2], height=HEIGHT, along=row[3],
            across=row[4], covariance=tuple(np.diag(errors**2).ravel()),
        ))
        for row, went in zip(seen, made, strict=True)
    )  # fmt: skip
    return ShotSet(id=uuid4(), workout_id=uuid4(), position=0, spot=spot, shots=shots)


def read(sets: list[ShotSet]) -> FilmReading:
    found = film_reading(sets)
    assert found is not None
    return found


def test_entry_angles_agree_with_a_general_integrator() -> None:
    """Reference: SciPy's DOP853 on the forces written out again (tests/flight/reference.py)."""
    found = [s.release for s in filmed_set(6, np.random.default_rng(3)).shots if s.release]
    entry = entry_angles(found, ball_size=7, ring_height=3.05).value
    speed, angle = (np.array([getattr(r, n) for r in found]) for n in ("speed", "angle"))
    air, the_ball = Air.standard(), ball(7)
    world = World(
        mass=the_ball.mass, radius=the_ball.radius, density=air.density, gravity=air.gravity,
        drag_coefficient=air.drag_coefficient, lift_slope=air.lift_slope,
    )  # fmt: skip
    still = np.zeros_like(speed)
    times = cross_ring_plane(speed, angle, 3.05 - HEIGHT, ball=the_ball, spin=BACKSPIN).time
    # x ahead, y left, z up: backspin turns about −y
    place, moving = state_at(
        np.stack([speed * np.cos(angle), still, speed * np.sin(angle)]),
        np.stack([still, still - BACKSPIN, still]), times, world,
    )  # fmt: skip
    assert place[2] == pytest.approx(np.full(6, 3.05 - HEIGHT), abs=1e-3)
    assert np.degrees(entry) == pytest.approx(
        np.degrees(np.arctan2(-moving[2], moving[0])), abs=0.05
    )


def test_errors_of_the_entry_angle_are_what_repeated_measuring_scatters_by() -> None:
    """Closed form against brute force: 4,000 measurements of one release, correlated errors."""
    one = next(s.release for s in filmed_set(1, np.random.default_rng(4)).shots if s.release)
    block = np.array([[0.05**2, -0.4 * 0.05 * 0.008], [-0.4 * 0.05 * 0.008, 0.008**2]])
    whole = np.zeros((5, 5))
    whole[:2, :2] = block
    angles = entry_angles(
        [replace(one, covariance=tuple(whole.ravel()))], ball_size=7, ring_height=3.05
    )
    draws = np.random.default_rng(5).multivariate_normal([one.speed, one.angle], block, size=4000)
    again = cross_ring_plane(
        draws[:, 0], draws[:, 1], 3.05 - one.height, ball=ball(7), spin=BACKSPIN
    )
    assert float(angles.sd[0]) == pytest.approx(float(again.entry_angle.std()), rel=0.04)
    assert 0.0 < math.degrees(angles.by_spin[0]) < 0.5


def test_the_usual_angles_come_back_with_their_ranges() -> None:
    """Coverage of 80 and 95 % ranges over 200 players; binomial sd is 2.8 and 1.5 points."""
    inside = np.zeros((2, 2))
    rng = np.random.default_rng(6)
    middle = float(least_speed_angle(4.025, 0.85, ball=ball(7), spin=BACKSPIN)) + math.radians(4.0)
    speed = speed_to_reach(4.025, middle, 0.85, ball=ball(7), spin=BACKSPIN)
    entry = float(cross_ring_plane(speed, middle, 0.85, ball=ball(7), spin=BACKSPIN).entry_angle)
    for _ in range(200):
        found = read([filmed_set(20, rng)])
        for row, (measure, truth) in enumerate([(found.angle, middle), (found.entry_angle, entry)]):
            one = measure.estimate
            assert one is not None and measure.told
            inside[row] += [one.low80 <= truth <= one.high80, one.low95 <= truth <= one.high95]
    assert inside[0] / 200 == pytest.approx(np.array([0.80, 0.95]), abs=0.05)
    # the doubt about the backspin, here exactly as usual, makes the entry angle's ranges wider
    assert np.all(inside[1] / 200 >= [0.78, 0.93])


def test_shots_from_several_spots_share_one_spread() -> None:
    """Each spot has its own usual speed; what differs between spots is no lack of control."""
    rng = np.random.default_rng(7)
    sets = [filmed_set(40, rng), filmed_set(30, rng, spot=WING)]
    found = read(sets)
    assert (found.shots, found.spot, found.spot_shots) == (70, LINE, 40)
    estimate = found.speed_spread.estimate
    assert estimate is not None and found.speed_spread.told and not found.suspect
    assert estimate.low95 < 0.09 < estimate.high95
    assert math.degrees(found.least_speed_angle) == pytest.approx(
        math.degrees(float(least_speed_angle(4.025, 0.85, ball=ball(7), spin=BACKSPIN))), abs=1e-6
    )


@pytest.mark.parametrize("count", [1, 2, 4, 8])
def test_too_few_filmed_shots_ask_for_more(count: int) -> None:
    found = read([filmed_set(count, np.random.default_rng(8))])
    spread = found.speed_spread
    assert not spread.told and spread.shots_needed is not None and spread.shots_needed >= 3
    if count < film_measures.FEWEST:
        assert not found.entry_angle.told
        assert found.entry_angle.shots_needed == film_measures.FEWEST - count or count > 1


def test_the_shots_asked_for_are_enough_for_most() -> None:
    """Known motion: 60 players film what ten shots asked for; most can then be told."""
    rng, told, asked = np.random.default_rng(9), 0, []
    for _ in range(60):
        one = filmed_set(10, rng)
        more = read([one]).speed_spread.shots_needed
        assert more is not None
        asked.append(more)
        told += read([one, filmed_set(more, rng)]).speed_spread.told
    assert told >= 36
    assert 5 <= np.median(asked) <= 40


def test_speed_noise_of_first_frames_is_suspected_or_taken_off() -> None:
    """Guard: above 0.2 m/s suspect the measurement (Slegers 2021 on earlier papers, seen)."""
    rough = ERRORS.copy()
    rough[0] = 0.35
    admitted = read([filmed_set(75, np.random.default_rng(10), errors=rough)])
    assert admitted.speed_spread_seen > 0.3 and not admitted.suspect
    # the same noise from a film that claims to be exact
    one = filmed_set(75, np.random.default_rng(10), speed_sd=0.36)
    assert read([one]).suspect
    said = " ".join(facts_of(read_chart(Chart(player=PLAYER, sets=(one,)))).conditions[0].film)
    assert "suspect the measurement first" in said


def test_no_film_no_reading() -> None:
    rng = np.random.default_rng(11)
    sets = simulate_sets(
        Shooter(psi=published_prior().centre), [LINE], 10, style=Style.ONE, rng=rng
    )
    assert film_reading(sets) is None
    # a ball that never comes down through the ring is no shot to read
    lost = Shot(id=uuid4(), made=False, release=MeasuredRelease(
        speed=2.0, angle=0.8, direction=0.0, height=2.0, along=-1.0, across=0.0,
        covariance=tuple(np.diag(ERRORS**2).ravel()),
    ))  # fmt: skip
    assert film_reading([replace(sets[0], shots=(lost,))]) is None


def test_equal_values_leave_no_scatter_and_no_crash() -> None:
    found = scatter(np.full(6, 7.0), np.full(6, 0.05), groups=["a"] * 6)
    assert found.seen == 0.0 and found.value == 0.0


def test_a_workout_partly_tapped_and_partly_filmed_reads_as_one() -> None:
    """End to end: 60 tapped shots and 40 filmed ones of the same player, in one chart."""
    rng = np.random.default_rng(12)
    psi = published_prior().centre.copy()
    tapped = simulate_sets(Shooter(psi=psi, stature=1.85), [LINE], 60, style=Style.ONE, rng=rng)
    film = filmed_set(40, rng)
    alone = read_chart(Chart(player=PLAYER, sets=tapped)).conditions[0]
    mixed = replace(tapped[0], shots=(*tapped[0].shots, *film.shots))
    findings = read_chart(Chart(player=PLAYER, sets=(mixed,)))
    both = findings.conditions[0]
    assert (both.tally.shots, both.tally.filmed) == (100, 40)
    assert alone.film is None and both.film is not None and both.film.shots == 40
    # film opens the question of the arc, and narrows it
    assert "angle" in {one.question for one in alone.cannot_tell}
    assert "angle" not in {one.question for one in both.cannot_tell}
    width = both.entry_angle.high80 - both.entry_angle.low80
    assert width < 0.5 * (alone.entry_angle.high80 - alone.entry_angle.low80)
    # the chart's own reading and the plain one of the film agree on the arc
    plain = both.film.entry_angle.estimate
    assert plain is not None
    assert math.degrees(plain.value - both.entry_angle.value) == pytest.approx(0.0, abs=1.5)
    facts = facts_of(findings).conditions[0]
    assert facts.film[0].startswith("Entry angle at 4.2 m: 4")
    assert not any("can't see them" in line for line in facts.not_measured)
    data = json.loads(json.dumps(findings_data(findings), allow_nan=False))
    assert data["film"]["speed_spread_m_per_s"]["low80"] < 0.1
    assert data["counts"]["filmed"] == 40
