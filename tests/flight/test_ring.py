"""Ball against ring and board: energy, symmetry, an independent implementation, edge cases."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tests.flight import plain_contact
from tests.flight.scenes import BALL, BOARD, RING, around_the_ring

from hoopwright.errors import BadInput, NotAShot
from hoopwright.flight import _kernel
from hoopwright.flight.air import STANDARD_AIR, STANDARD_GRAVITY, Air, force_constants
from hoopwright.flight.arc import PIECE
from hoopwright.flight.contact import Contact
from hoopwright.flight.ring import (
    Outcome,
    Played,
    Surface,
    is_make,
    make_chance,
    play,
    play_one,
    shoot,
)

CONTACT = Contact()
SCENE = plain_contact.Scene(
    BALL.radius, BALL.mass, STANDARD_AIR.density, 0.5, 0.75, STANDARD_GRAVITY,
    RING.radius, RING.rod_radius, BOARD.setback, 0.5 * BOARD.width,
    BOARD.lower_edge - RING.height, BOARD.lower_edge + BOARD.height - RING.height,
)  # fmt: skip


def one(along: float, across: float, angle: float, speed: float, bearing: float = 0.0) -> Played:
    return play_one(
        along, across, angle, speed, ball=BALL, ring=RING, board=BOARD, bearing=bearing
    )  # fmt: skip


def many(shots: tuple[np.ndarray, ...], piece: float = PIECE) -> np.ndarray:
    along, across, angle, speed, bearing = shots
    return play(
        along, across, angle, speed,
        ball=BALL, ring=RING, board=BOARD, bearing=bearing, piece=piece,
    )  # fmt: skip


def test_an_independent_scipy_implementation_agrees_on_995_of_1000_shots() -> None:
    shots = around_the_ring(5000, seed=21)
    law = plain_contact.Law(CONTACT.ring_restitution, CONTACT.board_restitution, CONTACT.friction)
    made = np.zeros(5000, dtype=bool)
    for i, (along, across, angle, speed, bearing) in enumerate(zip(*shots, strict=True)):
        ahead = np.array([-math.sin(bearing), math.cos(bearing), 0.0])
        right = np.array([math.cos(bearing), math.sin(bearing), 0.0])
        velocity = speed * math.cos(angle) * ahead - [0.0, 0.0, speed * math.sin(angle)]
        state = np.concatenate([along * ahead + across * right, velocity])
        end = plain_contact.play(state, CONTACT.spin * right, SCENE, law)
        made[i] = end.made
        assert np.all(np.diff(end.energies) <= 1e-6)
    ours = is_make(many(shots))
    assert 0.1 < ours.mean() < 0.4
    assert np.mean(ours == made) >= 0.995


def test_energy_never_rises() -> None:
    shots = around_the_ring(1500, seed=22)
    gravity, radius = float(force_constants(BALL, STANDARD_AIR)[0]), BALL.radius
    touched = 0
    for shot in zip(*shots, strict=True):
        energies = []
        for touch in one(*(float(v) for v in shot)).touches:
            moving, turning = np.array(touch.velocity), np.array(touch.spin)
            before = moving @ moving
            energies.append(
                0.5 * before + radius**2 * (turning @ turning) / 3.0 + gravity * touch.centre[2]
            )
        touched += len(energies)
        # height and time of a contact carry the 1e-10 m it is found to
        assert np.all(np.diff(energies) <= 1e-8)
    assert touched > 3000


def test_no_contact_finds_the_ball_inside_ring_or_board() -> None:
    for shot in zip(*around_the_ring(1500, seed=23), strict=True):
        bearing = float(shot[4])
        for touch in one(*(float(v) for v in shot)).touches:
            gap = math.dist(touch.point, touch.centre) - BALL.radius
            assert abs(gap) < 1e-12
            x = math.cos(bearing) * touch.point[1] - math.sin(bearing) * touch.point[0]
            y = math.cos(bearing) * touch.point[0] + math.sin(bearing) * touch.point[1]
            if touch.surface is Surface.RING:
                from_axis = math.hypot(x, y) - RING.radius - RING.rod_radius
                depth = math.hypot(from_axis, touch.point[2] + RING.rod_radius)
                assert depth == pytest.approx(RING.rod_radius, abs=1e-8)
            elif touch.surface is Surface.BOARD_FACE:
                assert y == pytest.approx(BOARD.setback, abs=1e-8)


def least_gap(state: np.ndarray, spin: np.ndarray, start: float, end: float) -> float:
    """Smallest gap to ring and board along a flight, sampled every half millimetre or so."""
    done = solve_ivp(
        lambda _, s: plain_contact.rate(s, spin, SCENE), (start, end), state,
        t_eval=np.linspace(start, end, 400), rtol=1e-9, atol=1e-11,
    )  # fmt: skip
    ring, board, _ = plain_contact.gaps(SCENE)
    return min(min(ring(0.0, s), board(0.0, s)) for s in done.y.T)


def flown(state: np.ndarray, spin: np.ndarray, time: float) -> np.ndarray:
    """State some time later, or earlier, as if nothing were in the way."""
    done = solve_ivp(
        lambda _, s: plain_contact.rate(s, spin, SCENE), (0.0, time), state, rtol=1e-10, atol=1e-12
    )
    return np.asarray(done.y[:, -1])


def test_between_its_contacts_the_ball_never_enters_ring_or_board() -> None:
    along, across, angle, speed, _ = around_the_ring(150, seed=31)
    flights = 0
    for a, c, steep, fast in zip(along, across, angle, speed, strict=True):
        touches = one(a, c, steep, fast).touches[:20]
        start = np.array([c, a, 0.0, 0.0, fast * math.cos(steep), -fast * math.sin(steep)])
        spin, time = np.array([CONTACT.spin, 0.0, 0.0]), -0.3
        start = flown(start, spin, time)
        for touch in touches:
            assert least_gap(start, spin, time, touch.time) > -1e-6
            x, y, z = touch.centre[1], touch.centre[0], touch.centre[2]
            u, v, w = touch.velocity[1], touch.velocity[0], touch.velocity[2]
            start, time = np.array([x, y, z, u, v, w]), touch.time
            spin = np.array([touch.spin[1], touch.spin[0], -touch.spin[2]])
            flights += 1
    assert flights > 200


def test_the_mirror_image_of_a_shot_does_the_mirror_image_exactly() -> None:
    shots = around_the_ring(4000, seed=24)
    along, across, angle, speed, bearing = shots
    heading, sidespin = np.linspace(-0.1, 0.1, 4000), np.linspace(9.0, -9.0, 4000)
    right = play(
        along, across, angle, speed, bearing=bearing, heading=heading, sidespin=sidespin,
        ball=BALL, ring=RING, board=BOARD,
    )  # fmt: skip
    left = play(
        along, -across, angle, speed, bearing=-bearing, heading=-heading, sidespin=-sidespin,
        ball=BALL, ring=RING, board=BOARD,
    )  # fmt: skip
    swapped = right.copy()
    swapped[right == Outcome.MISSED_LEFT] = Outcome.MISSED_RIGHT
    swapped[right == Outcome.MISSED_RIGHT] = Outcome.MISSED_LEFT
    assert np.array_equal(left, swapped)
    for i in range(300):
        here = one(along[i], across[i], angle[i], speed[i], bearing[i]).touches
        there = one(along[i], -across[i], angle[i], speed[i], -bearing[i]).touches
        assert len(here) == len(there)
        for a, b in zip(here, there, strict=True):
            assert a.time == b.time
            assert (a.point[0], a.point[1], a.point[2]) == (b.point[0], -b.point[1], b.point[2])
            assert a.velocity == (b.velocity[0], -b.velocity[1], b.velocity[2])
            assert a.spin == (-b.spin[0], b.spin[1], -b.spin[2])


def test_halving_the_step_changes_fewer_than_two_in_a_thousand_outcomes() -> None:
    shots = around_the_ring(20_000, seed=25)
    assert np.mean(many(shots) != many(shots, PIECE / 2.0)) < 0.002


def test_shots_known_at_release_and_at_the_ring_plane_end_the_same() -> None:
    rng = np.random.default_rng(26)
    n = 3000
    speed, angle = rng.normal(7.45, 0.12, n), rng.normal(0.9, 0.03, n)
    shots = shoot(
        speed, angle, rng.normal(0.0, 0.015, n), distance=4.225, rise=0.9, bearing=0.6,
        ball=BALL, ring=RING, board=BOARD,
    )  # fmt: skip
    again = play(
        shots.along, shots.across, shots.entry_angle, shots.entry_speed, bearing=0.6,
        heading=np.arctan2(shots.across, 4.225 + shots.along),
        ball=BALL, ring=RING, board=BOARD,
    )  # fmt: skip
    # backspin stays level about the shot's own line, so only the odd marginal shot may differ
    assert np.mean(shots.outcome == again) > 0.999
    assert 0.3 < is_make(shots.outcome).mean() < 0.9


def test_the_mirror_image_of_a_release_lands_exactly_mirrored() -> None:
    rng = np.random.default_rng(32)
    speed, angle = rng.normal(7.45, 0.12, 2000), rng.normal(0.9, 0.03, 2000)
    aside, bearing = rng.normal(0.0, 0.02, 2000), rng.uniform(-1.3, 1.3, 2000)
    right, left = (
        shoot(
            speed, angle, sign * aside, distance=4.225, rise=0.9, bearing=sign * bearing,
            sidespin=sign * 5.0, ball=BALL, ring=RING, board=BOARD,
        )
        for sign in (1.0, -1.0)
    )  # fmt: skip
    assert np.array_equal(right.across, -left.across)
    assert np.array_equal(right.along, left.along)
    assert np.array_equal(is_make(right.outcome), is_make(left.outcome))


def test_a_shot_that_never_reaches_the_ring_is_an_air_ball() -> None:
    shots = shoot([3.0, 7.45], 0.9, distance=4.225, rise=0.9, ball=BALL, ring=RING, board=BOARD)
    assert shots.outcome[0] == Outcome.AIR_BALL
    assert np.isnan(shots.along[0])
    assert np.isfinite(shots.along[1])
    assert play(np.nan, 0.0, 0.8, 6.0, ball=BALL, ring=RING, board=BOARD) == Outcome.AIR_BALL


@pytest.mark.parametrize(
    ("along", "across", "degrees", "outcome"),
    [
        (0.0, 0.0, 50.0, Outcome.CLEAN),
        (0.12, 0.0, 46.0, Outcome.IN_OFF_BACK_RIM),
        (0.50, 0.0, 46.0, Outcome.IN_OFF_BOARD),
        (-0.25, 0.0, 46.0, Outcome.MISSED_SHORT),
        (0.24, 0.02, 46.0, Outcome.MISSED_LONG),
        (0.0, -0.2, 46.0, Outcome.MISSED_LEFT),
        (0.0, 0.2, 46.0, Outcome.MISSED_RIGHT),
        (-0.6, 0.0, 46.0, Outcome.AIR_BALL),
        (0.0, 0.9, 46.0, Outcome.AIR_BALL),
    ],
)
def test_plain_shots_have_the_outcome_anyone_would_name(
    along: float, across: float, degrees: float, outcome: Outcome
) -> None:
    assert one(along, across, math.radians(degrees), 5.8).outcome is outcome


def test_a_front_rim_make_and_rolls_exist_and_are_told_apart() -> None:
    outcomes = many(around_the_ring(20_000, seed=27))
    assert set(np.unique(outcomes)) == {int(o) for o in Outcome}


def test_a_ball_lying_between_ring_and_board_is_decided_and_is_no_goal() -> None:
    lying = play_one(
        BOARD.setback - BALL.radius - 1e-3, 0.0, 0.5 * math.pi, 2.0,
        ball=BALL, ring=RING, board=BOARD, contact=replace(CONTACT, spin=0.0),
    )  # fmt: skip
    assert lying.outcome is Outcome.ROLLS_OUT
    assert len(lying.touches) == 60


def test_a_path_that_was_never_free_of_the_board_is_decided() -> None:
    # in the plane of the board, along its face: even at the top of its path it was inside
    outcomes = play(
        np.linspace(-0.4, 0.4, 200), BOARD.setback, math.radians(8.0), 5.0,
        bearing=math.radians(90.0), ball=BALL, ring=RING, board=BOARD,
    )  # fmt: skip
    assert not np.any(is_make(outcomes))


def test_the_kernel_and_its_python_source_agree() -> None:
    shots = around_the_ring(40, seed=28)
    along, across, angle, speed, bearing = shots
    none = np.zeros(1)
    columns = (along, across, angle, speed, none, bearing, np.array([15.7]), none)
    law = tuple(
        np.array([v])
        for v in (CONTACT.ring_restitution, CONTACT.board_restitution, CONTACT.friction)
    )
    low = BOARD.lower_edge - RING.height
    place = np.array(
        [
            BALL.radius, RING.radius + RING.rod_radius, RING.rod_radius,
            BOARD.setback, 0.5 * BOARD.width, low, low + BOARD.height,
        ]
    )  # fmt: skip
    force, log = force_constants(BALL, STANDARD_AIR), np.empty((0, 15))
    fast, plain = np.empty(40, dtype=np.int8), np.empty(40, dtype=np.int8)
    _kernel.play_many(columns, law, place, force, PIECE, log, fast, 0, 40)
    source = getattr(_kernel.play_many, "py_func")  # noqa: B009 — numba adds it, mypy can't know
    source(columns, law, place, force, PIECE, log, plain, 0, 40)
    assert np.array_equal(fast, plain)


def test_a_larger_range_of_contacts_gives_a_less_certain_chance() -> None:
    sure = make_chance(0.0, 0.0, math.radians(50.0), 5.8, ball=BALL, ring=RING, board=BOARD)
    assert sure.make == 1.0
    assert 0.0 < float(sure.error) < 0.01
    along = np.arange(-0.2, 0.25, 0.005)
    chance = make_chance(along, 0.05, math.radians(42.0), ball=BALL, ring=RING, board=BOARD)
    assert chance.make.shape == along.shape
    unsure = (chance.make > 0.05) & (chance.make < 0.95)
    assert unsure.sum() >= 5
    assert np.all(chance.error[unsure] > sure.error)
    np.testing.assert_allclose(chance.shares.sum(axis=-1), 1.0)
    again = make_chance(along, 0.05, math.radians(42.0), ball=BALL, ring=RING, board=BOARD)
    assert np.array_equal(chance.make, again.make)


def test_make_chance_is_the_share_of_makes_over_the_draws() -> None:
    rng = np.random.default_rng(5)
    chance = make_chance(
        -0.06, 0.05, math.radians(42.0), 5.8, ball=BALL, ring=RING, board=BOARD, draws=256, rng=rng
    )
    ways = Contact.sample(np.random.default_rng(5), 256)
    by_hand = play(
        -0.06, 0.05, math.radians(42.0), 5.8, ball=BALL, ring=RING, board=BOARD, **ways._asdict()
    )
    assert float(chance.make) == is_make(by_hand).mean()


def test_threads_and_shapes_do_not_change_the_answer() -> None:
    along, across, angle, speed, bearing = around_the_ring(20_000, seed=29)
    flat = many((along, across, angle, speed, bearing))
    shape = (200, 100)
    square = many(tuple(v.reshape(shape) for v in (along, across, angle, speed, bearing)))
    assert np.array_equal(square, flat.reshape(shape))
    assert np.array_equal(
        flat[:50], many(tuple(v[:50] for v in (along, across, angle, speed, bearing)))
    )
    assert play([], [], 0.8, 6.0, ball=BALL, ring=RING, board=BOARD).shape == (0,)


def test_in_still_emptiness_a_ball_loses_only_what_the_contacts_take() -> None:
    smooth = replace(CONTACT, ball_restitution=1.0, ring_absorption=0.0)
    free = replace(smooth, board_restitution=1.0, friction=0.0, spin=0.0)
    touches = 0
    for along, across, angle, speed, bearing in zip(*around_the_ring(200, seed=30), strict=True):
        played = play_one(
            along, across, angle, speed, bearing=bearing,
            ball=BALL, ring=RING, board=BOARD, contact=free, air=Air.none(),
        )  # fmt: skip
        energies = [
            0.5 * float(np.dot(t.velocity, t.velocity)) + STANDARD_GRAVITY * t.centre[2]
            for t in played.touches
        ]
        np.testing.assert_allclose(energies, 0.5 * speed**2, rtol=1e-6)
        touches += len(energies)
    assert touches > 300


def test_bad_equipment_and_bad_shots_get_one_sentence() -> None:
    with pytest.raises(BadInput, match="can't pass a ring"):
        small = replace(RING, inside_diameter=0.2)
        play(0.0, 0.0, 0.8, 6.0, ball=BALL, ring=small, board=BOARD)
    with pytest.raises(NotAShot, match="inside the ring"):
        one_board = replace(BOARD, setback=0.2)
        play(0.0, 0.0, 0.8, 6.0, ball=BALL, ring=RING, board=one_board)
    with pytest.raises(NotAShot, match="plain numbers"):
        one(math.nan, 0.0, 0.8, 6.0)
    with pytest.raises(NotAShot, match="come down"):
        one(0.0, 0.0, -0.8, 6.0)
    with pytest.raises(BadInput, match="from 0 to 1"):
        Contact(ball_restitution=1.2)
    with pytest.raises(BadInput, match="Friction"):
        Contact(friction=-0.1)
