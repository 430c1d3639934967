"""Events of stick figures whose times are planted, and of motion-captured shots."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.film import capture
from tests.film.stick import (
    FLAT,
    Noise,
    Shooter,
    act,
    camera_at,
    jitter,
    planted,
    poses_of,
    watch,
)

from hoopwright.errors import BadInput
from hoopwright.film.camera import Camera, at_place, project
from hoopwright.film.events import (
    NO_JUMP,
    NOT_SEEN,
    difference_sd,
    find_events,
    marked,
    time_of,
    why_missing,
)
from hoopwright.film.results import Event, Moment
from hoopwright.film.shooter.moments import release_of_arm, sampling_sd
from hoopwright.film.shooter.points import COUNT
from hoopwright.film.shooter.watched import Watched
from hoopwright.records import Hand


def frames_off(
    events: tuple[Event, ...], truth: dict[Moment, float], rate: float
) -> dict[Moment, float]:
    """How many frames late each event was found."""
    return {e.moment: (e.time - truth[e.moment]) * rate for e in events}


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("yaw", [0.0, 20.0, -30.0])
@pytest.mark.parametrize("rate", [60.0, 240.0])
def test_planted_events_are_found_between_frames(rate: float, yaw: float, hand: Hand) -> None:
    # closed form: known motion of the figure
    shooter = replace(FLAT, hand=hand)
    seen = watch(act(shooter, rate=rate), camera_at(shooter, yaw=yaw, side=shooter.sign), rate=rate)
    events = find_events(seen)
    assert {e.moment for e in events} == set(Moment)
    off = frames_off(events, planted(shooter), rate)
    for moment in (Moment.TOE_OFF, Moment.APEX):
        assert abs(off[moment]) < 0.25
    # the bottom of a dip is no parabola: 12 ms are told, see DIP_SD
    assert abs(off[Moment.DIP]) / rate < 0.016
    assert off[Moment.RELEASE] == 0.0
    # where a soft start begins is a matter of definition: 12 ms are told, see PUSH_SD
    assert abs(off[Moment.SET]) / rate < 0.035
    assert abs(off[Moment.HOLD_END]) / rate < 0.012


@pytest.mark.parametrize("far", [3.5, 6.0])
def test_from_behind_jump_and_dip_are_found_too(far: float) -> None:
    shooter, rate = Shooter(), 120.0
    camera = camera_at(shooter, yaw=90.0, far=far, height=1.9, focal=1000.0)
    off = frames_off(
        find_events(watch(act(shooter, rate=rate), camera, rate=rate)), planted(shooter), rate
    )
    for moment in (Moment.TOE_OFF, Moment.APEX):
        assert abs(off[moment]) < 0.5
    assert abs(off[Moment.DIP]) / rate < 0.016


def test_told_errors_are_the_errors() -> None:
    """Pose-like noise of 3 px on a figure of 300 px: distances over told errors, many shots."""
    rate, misses = 120.0, []
    shooter = Shooter()
    acted, camera = act(shooter, rate=rate), camera_at(shooter, focal=1600.0)
    for seed in range(20):
        noise = Noise(rng=np.random.default_rng(seed), sd=2.5)
        events = find_events(watch(acted, camera, rate=rate, noise=noise))
        truth = planted(shooter)
        misses.append({e.moment: (e.time - truth[e.moment]) / e.sd for e in events})
    for moment in (Moment.DIP, Moment.TOE_OFF, Moment.APEX, Moment.SET, Moment.HOLD_END):
        z = np.array([m[moment] for m in misses if moment in m])
        assert len(z) >= 19
        # 20 draws: the root mean square of z lies within 0.69 and 1.31 of its own value (95 %)
        assert 0.3 < math.sqrt(float((z**2).mean())) < 1.5, moment


@pytest.mark.parametrize(
    ("rate", "told"), [(30.0, 13.6e-3), (60.0, 6.8e-3), (120.0, 3.4e-3), (240.0, 1.7e-3)]
)
def test_time_between_two_events_by_sampling_alone(rate: float, told: float) -> None:
    # derived: two moments, each anywhere within a frame (rectangular, GUM 4.3.7): gap/√6
    one = Event(moment=Moment.RELEASE, time=1.0, sd=sampling_sd(rate))
    assert difference_sd(one, replace(one, moment=Moment.TOE_OFF)) == pytest.approx(told, abs=5e-5)
    drawn = np.random.default_rng(5).uniform(0.0, 1.0 / rate, (2, 200_000))
    assert float((drawn[0] - drawn[1]).std()) == pytest.approx(told, rel=0.01)


def test_no_found_event_is_surer_than_its_frames() -> None:
    seen = watch(act(Shooter(), rate=60.0), camera_at(Shooter()), rate=60.0)
    assert all(e.sd >= sampling_sd(60.0) - 1e-12 for e in find_events(seen))


@pytest.mark.parametrize(
    ("jump", "rise_time"),
    [(0.10, 0.143), (0.15, 0.175), (0.20, 0.202), (0.25, 0.226), (0.30, 0.247), (0.40, 0.286)],
)
def test_toe_off_to_apex_by_jump_height(jump: float, rise_time: float) -> None:
    # closed form: √(2h/g), rounded to a millisecond
    shooter = replace(FLAT, jump=jump, end=2.3)
    events = find_events(watch(act(shooter, rate=240.0), camera_at(shooter), rate=240.0))
    off, top = time_of(events, Moment.TOE_OFF), time_of(events, Moment.APEX)
    assert off is not None
    assert top is not None
    assert top.time - off.time == pytest.approx(rise_time, abs=1.5e-3)


@pytest.mark.parametrize("noise", [0.0, 2.5])
def test_a_set_shot_has_no_toe_off_and_says_so(noise: float) -> None:
    shooter = Shooter(jump=0.0)
    drawn = Noise(rng=np.random.default_rng(3), sd=noise)
    seen = watch(act(shooter, rate=120.0), camera_at(shooter), rate=120.0, noise=drawn)
    events = find_events(seen)
    assert {e.moment for e in events} == set(Moment) - {Moment.TOE_OFF, Moment.APEX}
    for moment in (Moment.TOE_OFF, Moment.APEX):
        assert why_missing(seen, events, moment=moment) == NO_JUMP


def test_events_set_by_hand_stand_and_move_what_hangs_on_them() -> None:
    shooter = Shooter()
    seen = watch(act(shooter, rate=120.0), camera_at(shooter), rate=120.0, ball=False)
    by_hand = marked(Moment.RELEASE, 1.285, rate=120.0)
    off = marked(Moment.TOE_OFF, 1.26, rate=120.0)
    events = find_events(seen, by_hand=(by_hand, off))
    assert time_of(events, Moment.RELEASE) == by_hand
    assert time_of(events, Moment.TOE_OFF) == off
    assert by_hand.sd == pytest.approx(1 / 120)
    assert by_hand.by_hand
    apex = time_of(events, Moment.APEX)
    assert apex is not None
    assert apex.time == pytest.approx(shooter.apex, abs=0.006)


def test_without_the_ball_the_arm_tells_the_release() -> None:
    shooter = replace(FLAT, push=0.20, release=1.15 + 0.10 + 0.065)
    seen = watch(act(shooter, rate=120.0), camera_at(shooter), rate=120.0, ball=False, held=False)
    found = release_of_arm(seen)
    assert found is not None
    assert found.time == pytest.approx(shooter.release, abs=2 * found.sd)
    assert 0.02 <= found.sd < 0.04
    behind = camera_at(shooter, yaw=90.0, far=4.0)
    blind = watch(act(shooter, rate=120.0), behind, rate=120.0, ball=False)
    assert find_events(blind) == ()
    assert why_missing(blind, (), moment=Moment.DIP) == NOT_SEEN[Moment.RELEASE]


def hidden(seen: Watched, points: list[int]) -> Watched:
    """The same shot with some points of low presence."""
    presence = seen.poses.presence.copy()
    presence[:, points] = 0.2
    return replace(seen, poses=replace(seen.poses, presence=presence))


def test_what_hides_is_left_out_with_a_sentence() -> None:
    seen = watch(act(Shooter(), rate=120.0), camera_at(Shooter()), rate=120.0, held=False)
    arm = find_events(hidden(seen, [12, 14, 16]))
    assert time_of(arm, Moment.SET) is None
    assert time_of(arm, Moment.HOLD_END) is None
    assert time_of(arm, Moment.TOE_OFF) is not None
    feet = hidden(seen, [29, 30, 31, 32])
    events = find_events(feet)
    assert time_of(events, Moment.TOE_OFF) is None
    assert why_missing(feet, events, moment=Moment.TOE_OFF) == NOT_SEEN[Moment.TOE_OFF]


def test_gaps_in_the_poses_cost_little() -> None:
    shooter, rng = FLAT, np.random.default_rng(11)
    seen = watch(act(shooter, rate=120.0), camera_at(shooter), rate=120.0)
    points = seen.poses.points.copy()
    points[rng.random(points.shape[:2]) < 0.3] = np.nan
    gappy = replace(seen, poses=replace(seen.poses, points=points))
    off = frames_off(find_events(gappy), planted(shooter), 120.0)
    for moment in (Moment.TOE_OFF, Moment.APEX):
        assert abs(off[moment]) < 1.0
    assert abs(off[Moment.DIP]) < 2.5


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, 60))
def test_no_film_makes_it_fail_or_give_a_nan(seed: int, rows: int) -> None:
    rng = np.random.default_rng(seed)
    points = rng.normal(500.0, 300.0, (rows, COUNT, 2))
    points[rng.random((rows, COUNT)) < rng.random()] = np.nan
    camera = at_place((8.0, -4.0, 1.5), (0.0, -4.0, 1.0), width=1920, height=1080, focal=1500)
    box = np.full((rows, 4), np.nan)
    poses = replace(poses_of(np.arange(rows) / 60.0, np.zeros((rows, COUNT, 2)), sd=3.0), box=box)
    seen = Watched(poses=replace(poses, points=points), camera=camera, rate=60.0)
    for event in find_events(seen):
        assert math.isfinite(event.time)
        assert 0.0 < event.sd < math.inf


def test_points_of_another_shape_are_refused() -> None:
    seen = watch(act(Shooter(), rate=60.0), camera_at(Shooter()), rate=60.0)
    with pytest.raises(BadInput, match="Body points"):
        replace(seen, poses=replace(seen.poses, points=seen.poses.points[:, :17]))
    with pytest.raises(BadInput, match="order of time"):
        replace(seen, poses=replace(seen.poses, time=seen.poses.time[::-1]))
    with pytest.raises(BadInput, match="frame rate"):
        replace(seen, rate=0.0)


def captured(name: str, *, rate: float, camera: Camera, seed: int) -> Watched:
    """A motion-captured shot through a camera, with pose noise of 3 px per 300 px of figure."""
    time, joints = capture.at_rate(capture.body(name), rate=rate)
    points = project(camera, joints.reshape(-1, 3)).reshape(len(time), COUNT, 2)
    sd = 3.0 * float(np.ptp(points[0, :, 1])) / 300.0
    points = points + jitter(np.random.default_rng(seed), time, count=COUNT, sd=sd)
    return Watched(poses=poses_of(time, points, sd=sd), camera=camera, rate=rate)


SIDE = at_place((8.0, -5.0, 1.5), (0.0, -5.0, 1.0), width=1920, height=1080, focal=1350.0)
BEHIND = at_place((0.0, -10.0, 2.0), (0.0, -5.0, 1.0), width=1920, height=1080, focal=850.0)


@pytest.mark.parametrize("rate", [60.0, 120.0])
@pytest.mark.parametrize("camera", [SIDE, BEHIND], ids=["side", "behind"])
def test_captured_jump_shot_within_two_frames(camera: Camera, rate: float) -> None:
    """Frames are those of the files, 1/60 s; from behind the release is set as marked.

    From behind, hips that move back look like hips that sink, so the dip is told less sharply.
    """
    marks = capture.MARKS["cmu_06_15.bvh"]
    assert marks.toe_off is not None
    assert marks.apex is not None
    told = Event(moment=Moment.RELEASE, time=marks.release / 60.0, sd=0.005)
    releases = []
    for seed in range(8):
        seen = captured("cmu_06_15.bvh", rate=rate, camera=camera, seed=seed)
        events = find_events(seen, by_hand=() if camera is SIDE else (told,))
        found = {e.moment: e.time * 60.0 for e in events}
        assert found[Moment.TOE_OFF] == pytest.approx(marks.toe_off, abs=2.0)
        assert found[Moment.APEX] == pytest.approx(marks.apex, abs=1.0)
        assert found[Moment.DIP] == pytest.approx(marks.dip, abs=4.0 if camera is SIDE else 7.0)
        releases.append(found[Moment.RELEASE] - marks.release)
    assert abs(float(np.median(releases))) < 1.0
    assert math.sqrt(float(np.mean(np.square(releases)))) < 2.0


@pytest.mark.parametrize("rate", [60.0, 120.0])
def test_captured_set_shot_stays_on_the_floor(rate: float) -> None:
    marks = capture.MARKS["cmu_06_14.bvh"]
    found = []
    for seed in range(8):
        events = find_events(captured("cmu_06_14.bvh", rate=rate, camera=SIDE, seed=seed))
        assert time_of(events, Moment.TOE_OFF) is None
        release, push, dip = (time_of(events, m) for m in (Moment.RELEASE, Moment.SET, Moment.DIP))
        assert release is not None
        assert push is not None
        assert dip is not None
        found.append((release.time, push.time, dip.time))
    off = np.array(found) * 60.0 - (marks.release, marks.set, marks.dip)
    assert np.all(np.abs(np.median(off, axis=0)) < (1.5, 2.0, 1.5))
    assert np.all(np.sqrt((off**2).mean(axis=0)) < (2.0, 3.0, 2.0))
