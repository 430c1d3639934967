"""Measures of stick figures whose angles and places are known, and of motion-captured shots."""

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from tests.film import capture
from tests.film.stick import (
    FLAT,
    Noise,
    Shooter,
    act,
    arm_angle,
    camera_at,
    jitter,
    knee_angle,
    lowest_ball,
    planted,
    planted_events,
    poses_of,
    side_joints,
    watch,
)

from hoopwright.film import gates
from hoopwright.film.body import leg_drive, measure_body
from hoopwright.film.body.angles import turn_between
from hoopwright.film.body.number import propagate
from hoopwright.film.camera import at_place, project, with_parameters
from hoopwright.film.events import find_events
from hoopwright.film.results import Body, BodyMeasure, Event, Left, Moment
from hoopwright.film.shooter.flight import BodyFlight, body_flight
from hoopwright.film.shooter.paths import Track
from hoopwright.film.shooter.points import LEFT, RIGHT
from hoopwright.film.shooter.stand import View, views
from hoopwright.film.shooter.watched import Watched
from hoopwright.flight.air import STANDARD_GRAVITY
from hoopwright.records import Hand

RATE = 120.0


def measured(seen: Watched, events: Iterable[Event]) -> dict[Body, BodyMeasure]:
    """Measures by name; every Body member is there or left out with a sentence, and none is NaN."""
    found, left = measure_body(seen, events)
    assert sorted([m.name for m in found] + [g.name for g in left]) == sorted(Body)
    for measure in found:
        assert math.isfinite(measure.value)
        assert measure.repeat_sd is not None
        assert 0.0 <= measure.repeat_sd <= measure.sd < math.inf
    for gap in left:
        assert gap.reason.endswith(".")
        assert "nan" not in gap.reason
    return {m.name: m for m in found}


def left_out(seen: Watched, events: Iterable[Event]) -> dict[Body, Left]:
    return {g.name: g for g in measure_body(seen, events)[1]}


def told(shooter: Shooter, moment: Moment) -> dict[str, float]:
    """Planted angles at a moment [deg]."""
    at = np.array([planted(shooter)[moment]])
    return {
        "knee": float(knee_angle(shooter, at)[0]),
        "elbow": float(arm_angle(shooter, at, shooter.elbow)[0]),
        "shoulder": float(arm_angle(shooter, at, shooter.shoulder)[0]),
        "trunk": shooter.lean,
    }


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize(("yaw", "height"), [(0.0, 1.5), (15.0, 1.0), (-25.0, 2.0), (30.0, 3.0)])
def test_side_angles_are_those_planted(yaw: float, height: float, hand: Hand) -> None:
    # closed form: all joints of the shooting side in one side plane
    shooter = replace(FLAT, hand=hand)
    camera = camera_at(shooter, yaw=yaw, height=height, side=shooter.sign)
    found = measured(watch(act(shooter, rate=240.0), camera, rate=240.0), planted_events(shooter))
    for moment, end in ((Moment.DIP, "dip"), (Moment.SET, "set"), (Moment.RELEASE, "release")):
        for joint, angle in told(shooter, moment).items():
            value = math.degrees(found[Body(f"{joint} at {end}")].value)
            assert value == pytest.approx(angle, abs=1.0 if joint == "elbow" else 0.5)
    assert math.degrees(found[Body.WRIST_SET].value) == pytest.approx(shooter.wrist, abs=0.5)


# derived for a knee of 105°, links tilted alike: tan ½ turns to tan ½ · cos yaw; rounded in the
# coaching notes to these (no further source)
APPARENT = [(10.0, 0.9), (15.0, 1.9), (20.0, 3.4), (30.0, 8.0)]


@pytest.mark.parametrize(("yaw", "too_much"), APPARENT)
def test_a_picture_angle_reads_high_and_the_scene_mends_it(yaw: float, too_much: float) -> None:
    half = math.radians(90.0 - 52.5)
    leg = np.array([[0.0, 0.9], [0.43 * math.sin(half), 0.5], [0.0, 0.1]])
    leg[0, 1] = 0.5 + 0.43 * math.cos(half)
    leg[2, 1] = 0.5 - 0.43 * math.cos(half)
    feet = np.array([0.0, -5.0, 0.0])
    world = np.column_stack([np.zeros(3), leg[:, 0] - 5.0, leg[:, 1]])
    a = math.radians(yaw)
    # far off, so that the picture is as good as parallel
    place = (60.0 * math.cos(a), -5.0 - 60.0 * math.sin(a), 0.5)
    camera = at_place(place, (0.0, -5.0, 0.5), width=1920, height=1080, focal=9000.0)
    pixels = project(camera, world)

    def inside(points: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
        up = points[[0, 2]] - points[1]
        return math.degrees(abs(float(turn_between(up[0], up[1], lowest=-math.pi))))

    assert inside(pixels) - 105.0 == pytest.approx(too_much, abs=0.3)
    view = View(camera=camera, feet=feet, ahead=np.array([0.0, 1.0, 0.0]), release=feet)
    assert math.degrees(view.yaw) == pytest.approx(yaw, abs=1e-6)
    assert inside(view.side(pixels, through=feet)) == pytest.approx(105.0, abs=1e-6)


def test_further_off_square_an_angle_is_told_less_sharply_and_then_not_at_all() -> None:
    shooter, events = FLAT, planted_events(FLAT)
    acted = act(shooter, rate=RATE)
    sds = []
    for yaw in (0.0, 15.0, 30.0, 38.0):
        found = measured(watch(acted, camera_at(shooter, yaw=yaw), rate=RATE), events)
        sds.append(found[Body.KNEE_DIP].sd)
    assert sds == sorted(sds)
    seen = watch(acted, camera_at(shooter, yaw=42.0), rate=RATE)
    out = left_out(seen, events)
    assert all(name in out for name in gates.SIDE_ANGLES)
    assert "42°" in out[Body.KNEE_DIP].reason


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("turn", [-20.0, 0.0, 15.0, 40.0])
def test_stance_from_behind(turn: float, hand: Hand) -> None:
    # closed form; + is toward the non-shooting side for either hand
    shooter = Shooter(hand=hand, stance_turn=turn, width=0.46)
    camera = camera_at(shooter, yaw=90.0, far=4.0, height=2.4, focal=1000.0)
    found = measured(watch(act(shooter, rate=RATE), camera, rate=RATE), planted_events(shooter))
    assert found[Body.STANCE_WIDTH].value == pytest.approx(0.46, abs=1e-3)
    assert math.degrees(found[Body.STANCE_TURN].value) == pytest.approx(turn, abs=0.2)
    assert found[Body.STANCE_TURN].sd == pytest.approx(math.radians(5.5), abs=math.radians(1.5))


def test_a_stance_is_not_told_from_a_low_side_camera() -> None:
    seen = watch(act(Shooter(), rate=RATE), camera_at(Shooter(), height=1.2), rate=RATE)
    out = left_out(seen, planted_events(Shooter()))
    assert "from behind" in out[Body.STANCE_TURN].reason
    assert "from behind" in out[Body.STANCE_WIDTH].reason


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("turn", [-10.0, 0.0, 20.0, 35.0])
def test_turns_from_the_side_and_from_above(turn: float, hand: Hand) -> None:
    shooter = Shooter(hand=hand, hip_turn=turn, shoulder_turn=turn)
    acted, events = act(shooter, rate=RATE), planted_events(shooter)
    above = camera_at(shooter, yaw=90.0, far=3.0, height=5.0, focal=1200.0)
    found = measured(watch(acted, above, rate=RATE), events)
    for name in (Body.HIP_TURN, Body.SHOULDER_TURN):
        assert math.degrees(found[name].value) == pytest.approx(turn, abs=1.0)
    side = camera_at(shooter, yaw=5.0, side=shooter.sign)
    found = measured(watch(acted, side, rate=RATE), events)
    for name in (Body.HIP_TURN, Body.SHOULDER_TURN):
        assert abs(math.degrees(found[name].value) - turn) < 3.0
        assert math.degrees(found[name].sd) > 10.0


def test_turns_are_not_told_from_behind_at_eye_level() -> None:
    camera = camera_at(Shooter(), yaw=90.0, far=4.0, height=1.6, focal=1000.0)
    out = left_out(watch(act(Shooter(), rate=RATE), camera, rate=RATE), planted_events(Shooter()))
    for name in (Body.HIP_TURN, Body.SHOULDER_TURN):
        assert out[name].reason.startswith("A turn can't be told from here")


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize(("flare", "beside"), [(0.0, 0.05), (12.0, 0.0), (-5.0, -0.04)])
@pytest.mark.parametrize("yaw", [90.0, 75.0, -80.0])
def test_flare_and_sight_line_along_the_shot(
    yaw: float, flare: float, beside: float, hand: Hand
) -> None:
    """From behind, a little off it, and from in front of the player."""
    shooter = Shooter(hand=hand, flare=flare, sight_line=beside)
    camera = camera_at(shooter, yaw=yaw, far=4.0, height=1.8, focal=1000.0)
    found = measured(watch(act(shooter, rate=RATE), camera, rate=RATE), planted_events(shooter))
    sight, out = found[Body.SIGHT_LINE], found[Body.ELBOW_FLARE]
    # the forearm leans ahead too, so its tilt seen from behind is a little more
    lean = side_joints(shooter, np.array([shooter.set]))
    up = float((lean["wrist"] - lean["elbow"])[0, 1])
    plain = math.degrees(math.atan2(0.9 * 0.29 * math.tan(math.radians(flare)), up))
    assert abs(sight.value - beside) < 2.0 * sight.sd
    assert sight.sd < 0.05
    assert abs(math.degrees(out.value) - plain) < (1.0 if abs(yaw) == 90.0 else 8.0)


@pytest.mark.parametrize("depth_of", ["ball", "wrist"])
def test_dip_depth(depth_of: str) -> None:
    shooter = FLAT
    acted = act(shooter, rate=RATE)
    # from where the dip is looked for up to the set point
    rows = (acted.time >= shooter.release - 0.9) & (acted.time <= shooter.set)
    at = float(np.interp(shooter.set, acted.time, acted.ball[:, 2]))
    depth = at - float(acted.ball[rows, 2].min())
    seen = watch(acted, camera_at(shooter, yaw=10.0), rate=RATE, held=depth_of == "ball")
    found = measured(seen, planted_events(shooter))[Body.DIP_DEPTH]
    assert found.value == pytest.approx(depth, abs=0.01)
    assert found.sd > (0.03 if depth_of == "wrist" else 0.015)


# derived: v = g·t
@pytest.mark.parametrize(
    ("before_apex", "speed"),
    [(0.025, 0.25), (0.050, 0.49), (0.075, 0.74), (0.100, 0.98), (0.150, 1.47)],
)
def test_body_speed_from_release_before_apex(before_apex: float, speed: float) -> None:
    shooter = replace(FLAT, jump=0.25)
    shooter = replace(shooter, release=shooter.apex - before_apex, hold_end=1.9, end=2.4)
    seen = watch(act(shooter, rate=RATE), camera_at(shooter), rate=RATE)
    found = measured(seen, find_events(seen))
    assert found[Body.BODY_SPEED].value == pytest.approx(speed, abs=0.01)
    assert found[Body.RELEASE_TO_APEX].value == pytest.approx(-before_apex, abs=1e-3)
    # the ball leaves at 6.5 m/s and 55°
    up = 6.5 * math.sin(math.radians(55.0))
    arm = found[Body.ARM_SPEED]
    assert arm.value == pytest.approx(up - speed, abs=0.01)
    rise = math.radians(55.0)
    by_ball = math.hypot(0.03 * math.sin(rise), 0.005 * 6.5 * math.cos(rise))
    body_sd = found[Body.BODY_SPEED].sd
    assert arm.sd == pytest.approx(math.hypot(body_sd, by_ball), rel=1e-6)
    said = leg_drive(found.values())
    assert said is not None
    assert f"{speed:.1f} m/s" in said
    assert leg_drive([arm]) is None


def test_jump_rise_and_times() -> None:
    shooter = FLAT
    seen = watch(act(shooter, rate=240.0), camera_at(shooter), rate=240.0)
    found = measured(seen, find_events(seen))
    assert found[Body.JUMP_RISE].value == pytest.approx(shooter.jump, abs=0.003)
    for name, span in (
        (Body.DIP_TO_RELEASE, shooter.release - lowest_ball(shooter)),
        (Body.RELEASE_TO_TOE_OFF, shooter.release - shooter.toe_off),
        (Body.HOLD, shooter.hold_end - shooter.release),
        (Body.SET_TO_RELEASE, shooter.release - shooter.set),
    ):
        assert abs(found[name].value - span) < max(2.0 * found[name].sd, 1e-3)
    early = replace(shooter, release=shooter.toe_off - 0.03)
    seen = watch(act(early, rate=240.0), camera_at(early), rate=240.0)
    found = measured(seen, find_events(seen))
    # − before the toes leave
    assert found[Body.RELEASE_TO_TOE_OFF].value == pytest.approx(-0.03, abs=2e-3)
    pull = early.take_off / (early.toe_off - early.dip)
    # still on the floor: the slope of the height, closed form
    assert found[Body.BODY_SPEED].value == pytest.approx(
        pull * (early.release - early.dip), abs=0.15
    )


def test_release_height_over_stature() -> None:
    acted, events = act(FLAT, rate=RATE), planted_events(FLAT)
    seen = watch(acted, camera_at(FLAT), rate=RATE, stature=1.80)
    found = measured(seen, events)[Body.RELEASE_RATIO]
    assert seen.ball is not None
    assert found.value == pytest.approx(seen.ball.release_height.value / 1.80)
    assert found.sd == pytest.approx(
        found.value * math.hypot(0.02 / seen.ball.release_height.value, 0.01 / 1.80)
    )
    unknown = left_out(replace(seen, stature=None), events)[Body.RELEASE_RATIO]
    assert "stature" in unknown.reason


def test_repeatable_errors_are_the_errors() -> None:
    """Pose-like noise: what a measure does from shot to shot over what is told of it."""
    shooter, events = FLAT, planted_events(FLAT)
    acted, camera = act(shooter, rate=RATE), camera_at(shooter)
    names = (
        Body.KNEE_DIP, Body.ELBOW_SET, Body.SHOULDER_RELEASE, Body.TRUNK_SET, Body.DIP_DEPTH,
        Body.BODY_SPEED,
    )  # fmt: skip
    runs: dict[Body, list[tuple[float, float]]] = {n: [] for n in names}
    for seed in range(20):
        noise = Noise(rng=np.random.default_rng(seed), sd=2.0)
        found = measured(watch(acted, camera, rate=RATE, noise=noise), events)
        for name in names:
            repeat = found[name].repeat_sd
            assert repeat is not None
            runs[name].append((found[name].value, repeat))
    for name in names:
        values, sds = np.array(runs[name]).T
        # 20 draws: a standard deviation is known to about ±32 % (95 %); the held ball's errors are
        # fresh in every frame here and told as if they were alike, so dip depth is told too wide
        assert 0.2 < float(values.std(ddof=1) / np.median(sds)) < 1.4, name


def test_propagated_errors_against_monte_carlo() -> None:
    """First-order errors of a knee angle, points and camera, against 4,000 draws."""
    camera = camera_at(FLAT, yaw=20.0)
    spread = np.diag([8.0, 1e-3, 2e-3, 2e-3, 2e-3, 0.02, 0.02, 0.05]) ** 2
    unsure = with_parameters(camera, camera.parameters, covariance=spread)
    seen = watch(act(FLAT, rate=60.0), unsure, rate=60.0)
    places = views(seen, FLAT.release)
    assert len(places) == 9
    points = np.array([[980.0, 500.0], [1010.0, 560.0], [975.0, 620.0]])
    sd = np.array([1.5, 1.0, 2.0])

    def knee(view: View, pixels: np.ndarray, out: np.ndarray) -> np.ndarray:
        hip, middle, ankle = np.moveaxis(view.side(pixels, through=view.feet, out=out), 1, 0)
        return turn_between(hip - middle, ankle - middle, lowest=0.0)

    found = propagate(knee, places, points=points, sd=sd, out_sd=0.0)
    assert found is not None
    rng = np.random.default_rng(8)
    moved = points + rng.normal(size=(4000, 3, 2)) * sd[:, None]
    assert found.repeat_sd == pytest.approx(
        float(knee(places[0], moved, np.zeros(3)).std()), rel=0.05
    )
    by_camera = []
    for drawn in rng.multivariate_normal(camera.parameters, spread, 300):
        other = with_parameters(camera, drawn, covariance=np.zeros((8, 8)))
        view = views(replace(seen, camera=other), FLAT.release)[0]
        by_camera.append(float(knee(view, points[None], np.zeros(3))[0]))
    assert found.shared_sd == pytest.approx(float(np.std(by_camera)), rel=0.15)


def test_a_camera_that_is_unsure_adds_to_the_shared_error_only() -> None:
    acted, events = act(FLAT, rate=RATE), planted_events(FLAT)
    sure = camera_at(FLAT, yaw=20.0)
    spread = np.diag([30.0, 1e-3, 1e-2, 1e-2, 1e-2, 0.05, 0.05, 0.2]) ** 2
    unsure = with_parameters(sure, sure.parameters, covariance=spread)
    one = measured(watch(acted, sure, rate=RATE), events)[Body.KNEE_DIP]
    two = measured(watch(acted, unsure, rate=RATE), events)[Body.KNEE_DIP]
    assert two.sd > one.sd
    assert two.own_sd == pytest.approx(one.own_sd, rel=1e-6)


def test_free_flight_by_its_parabola() -> None:
    # closed form; the second is seen at a wrong scale, so gravity does not come out
    time = np.arange(0.0, 0.6, 1.0 / RATE)
    up = 1.1 + 1.9 * time - 0.5 * STANDARD_GRAVITY * time**2
    sd = np.full(len(time), 0.01)
    right = body_flight(Track(time=time, value=up, sd=sd), off=0.0)
    assert right is not None
    assert right.free
    assert right.apex == pytest.approx(1.9 / STANDARD_GRAVITY, abs=1e-6)
    assert right.gravity == pytest.approx(STANDARD_GRAVITY, rel=1e-6)
    wrong = body_flight(Track(time=time, value=0.3 * up, sd=0.1 * sd), off=0.0)
    assert wrong is not None
    assert not wrong.free
    assert wrong.apex == pytest.approx(1.9 / STANDARD_GRAVITY, abs=1e-6)
    assert body_flight(Track(time=time[:3], value=up[:3], sd=sd[:3]), off=0.0) is None
    line = body_flight(Track(time=time, value=1.0 + time, sd=sd), off=0.0)
    assert line is None or not line.free


def test_speed_and_rise_of_a_flight() -> None:
    flight = BodyFlight(apex=1.0, apex_sd=0.01, height=1.3, gravity=9.8, gravity_sd=0.5)
    # derived: v = g·t, ½·g·t²
    assert flight.speed(0.9) == pytest.approx(0.98, abs=0.005)
    assert flight.rise(0.798) == pytest.approx(0.20, abs=0.001)


def test_captured_angles_against_the_3d_data() -> None:
    """Angles in the side plane of the motion-captured joints, through a camera with pose noise."""
    name = "cmu_06_15.bvh"
    marks = capture.MARKS[name]
    joints = capture.body(name)
    camera = at_place((7.6, -7.7, 1.5), (0.0, -5.0, 1.0), width=1920, height=1080, focal=1350.0)
    time, moved = capture.at_rate(joints, rate=RATE)
    pixels = project(camera, moved.reshape(-1, 3)).reshape(len(time), 33, 2)
    events = tuple(
        Event(moment=m, time=t / 60.0, sd=0.004)
        for m, t in (
            (Moment.DIP, marks.dip), (Moment.SET, marks.set), (Moment.RELEASE, marks.release)
        )
    )  # fmt: skip
    offs = []
    for seed in range(10):
        drawn = pixels + jitter(np.random.default_rng(seed), time, count=33, sd=2.5)
        seen = Watched(poses=poses_of(time, drawn, sd=2.5), camera=camera, rate=RATE)
        found = measured(seen, events)
        for body, rows, at in (
            (Body.KNEE_DIP, (RIGHT.hip, RIGHT.knee, RIGHT.ankle), marks.dip),
            (Body.KNEE_RELEASE, (RIGHT.hip, RIGHT.knee, RIGHT.ankle), marks.release),
            (Body.ELBOW_SET, (RIGHT.shoulder, RIGHT.elbow, RIGHT.wrist), marks.set),
        ):
            if body not in found:
                continue
            frame = joints[int(at) : int(at) + 2].mean(axis=0) if at % 1 else joints[int(at)]
            ends = frame[[rows[0], rows[2]], 1:] - frame[rows[1], 1:]
            truth = abs(float(turn_between(ends[0], ends[1], lowest=-math.pi)))
            offs.append((found[body].value - truth) / found[body].sd)
    assert len(offs) >= 25
    assert float(np.sqrt(np.mean(np.square(offs)))) < 1.5


def test_turn_between_against_a_general_library() -> None:
    rng = np.random.default_rng(2)
    for angle in rng.uniform(-math.pi, math.pi, 20):
        first = rng.normal(size=2)
        second = Rotation.from_rotvec([0.0, 0.0, angle]).apply([*first, 0.0])[:2] * 3.0
        assert float(turn_between(first, second, lowest=-math.pi)) == pytest.approx(angle)


def test_no_feet_and_no_ball_says_where_the_trouble_is() -> None:
    seen = watch(act(FLAT, rate=RATE), camera_at(FLAT), rate=RATE, ball=False)
    points = seen.poses.points.copy()
    points[:, [LEFT.heel, LEFT.toe, RIGHT.heel, RIGHT.toe]] = np.nan
    blind = replace(seen, poses=replace(seen.poses, points=points))
    out = left_out(blind, planted_events(FLAT))
    assert out[Body.KNEE_DIP].reason.startswith("Where the shooter stood")
    with_ball = watch(act(FLAT, rate=RATE), camera_at(FLAT), rate=RATE)
    with_ball = replace(with_ball, poses=blind.poses)
    assert Body.KNEE_DIP in measured(with_ball, planted_events(FLAT))


def test_nothing_seen_gives_nothing_but_sentences() -> None:
    seen = watch(act(FLAT, rate=RATE), camera_at(FLAT), rate=RATE, ball=False, stature=None)
    gone = replace(seen, poses=replace(seen.poses, points=np.full_like(seen.poses.points, np.nan)))
    assert find_events(gone) == ()
    assert measured(gone, ()) == {}


def test_cameras_on_either_side_tell_the_same() -> None:
    acted, events = act(FLAT, rate=RATE), planted_events(FLAT)
    places = [camera_at(FLAT, side=side) for side in (1.0, -1.0)]
    both = [measured(watch(acted, camera, rate=RATE), events) for camera in places]
    for name in (Body.KNEE_DIP, Body.ELBOW_RELEASE, Body.TRUNK_SET, Body.SHOULDER_DIP):
        assert both[0][name].value == pytest.approx(both[1][name].value, abs=math.radians(0.5))
