"""What a clip can't give is refused, in one sentence that says how to film it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.film.stick import FLAT, Shooter, act, camera_at, planted_events, watch

from hoopwright.film import gates
from hoopwright.film.body import measure_body
from hoopwright.film.events import find_events
from hoopwright.film.results import Body, Moment
from hoopwright.film.shooter.watched import Watched


def reasons(seen: Watched) -> dict[Body, str]:
    return {g.name: g.reason for g in measure_body(seen, find_events(seen))[1]}


@pytest.mark.parametrize(
    ("rate", "told"), [(30.0, False), (60.0, False), (109.9, False), (110.0, True), (240.0, True)]
)
def test_times_need_110_frames_a_second(rate: float, told: bool) -> None:
    assert (gates.timing(rate) is None) == told
    seen = watch(act(FLAT, rate=rate), camera_at(FLAT), rate=rate)
    left = reasons(seen)
    for name in gates.TIMES:
        assert (name in left) != told
    if not told:
        assert f"this clip has {rate:.0f}" in left[Body.HOLD]
        assert "slow motion" in left[Body.HOLD]
        # angles and the speed of the body do not hang on the frame rate
        assert Body.KNEE_DIP not in left
        assert Body.BODY_SPEED not in left


def test_side_and_front_views() -> None:
    assert gates.side_view(math.radians(40.0)) is None
    assert "41°" in str(gates.side_view(math.radians(41.0)))
    assert gates.front_view(math.radians(66.0)) is None
    assert "30° off" in str(gates.front_view(math.radians(60.0)))
    left = reasons(watch(act(Shooter(), rate=120.0), camera_at(Shooter(), yaw=55.0), rate=120.0))
    assert all(name in left for name in (*gates.SIDE_ANGLES, Body.SIGHT_LINE, Body.ELBOW_FLARE))


@pytest.mark.parametrize("presence", [0.0, 0.29])
def test_an_arm_of_low_presence_is_left_blank(presence: float) -> None:
    seen = watch(act(FLAT, rate=120.0), camera_at(FLAT), rate=120.0)
    there = seen.poses.presence.copy()
    there[:, [14, 16]] = presence
    unsure = replace(seen, poses=replace(seen.poses, presence=there))
    left = {g.name: g.reason for g in measure_body(unsure, planted_events(FLAT))[1]}
    for name in (*gates.ELBOWS, *gates.SHOULDERS, Body.WRIST_SET):
        assert left[name].startswith("The shooting arm could not be seen clearly")
    # the rest of the body is still told
    assert not {*gates.KNEES, *gates.TRUNKS} & set(left)


def test_without_a_scene_nothing_off_square_is_mended() -> None:
    acted, events = act(FLAT, rate=120.0), planted_events(FLAT)
    plain = watch(acted, camera_at(FLAT, yaw=14.0), rate=120.0)
    near = {m.name: m for m in measure_body(plain, events)[0]}
    bare = {m.name: m for m in measure_body(replace(plain, scene=False), events)[0]}
    assert bare[Body.KNEE_DIP].value == near[Body.KNEE_DIP].value
    assert bare[Body.KNEE_DIP].sd > near[Body.KNEE_DIP].sd
    off = replace(watch(acted, camera_at(FLAT, yaw=17.0), rate=120.0), scene=False)
    left = {g.name: g.reason for g in measure_body(off, events)[1]}
    assert all("17° off" in left[name] for name in gates.SIDE_ANGLES)
    assert left[Body.STANCE_WIDTH] == gates.NO_SCENE


def test_one_blurred_moment_blanks_that_moment_only() -> None:
    seen = watch(act(FLAT, rate=120.0), camera_at(FLAT), rate=120.0)
    there = seen.poses.presence.copy()
    there[np.abs(seen.poses.time - FLAT.release) < 0.06, 16] = 0.1
    unsure = replace(seen, poses=replace(seen.poses, presence=there))
    left = {g.name: g.reason for g in measure_body(unsure, planted_events(FLAT))[1]}
    assert Moment.RELEASE.value in left[Body.ELBOW_RELEASE]
    assert Body.ELBOW_SET not in left


def test_too_vague_says_how_vague_and_how_to_film() -> None:
    # the size shown is in the unit of the measure
    assert "±20°" in str(gates.too_vague(Body.KNEE_DIP, math.radians(20.0)))
    assert "±12 cm" in str(gates.too_vague(Body.STANCE_WIDTH, 0.12))
    assert "±0.9 m/s" in str(gates.too_vague(Body.BODY_SPEED, 0.9))
    assert "±7 % of stature" in str(gates.too_vague(Body.RELEASE_RATIO, 0.07))
    assert "from behind" in str(gates.too_vague(Body.STANCE_TURN, 1.0))
    assert gates.too_vague(Body.KNEE_DIP, math.radians(14.9)) is None
    assert gates.too_vague(Body.HOLD, 10.0) is None


def test_every_angle_of_a_joint_has_a_pose_bias() -> None:
    assert set(gates.POSE_BIAS) == set(gates.ANGLES)


@pytest.mark.parametrize("yaw", [0.0, 30.0, 60.0, 90.0])
@pytest.mark.parametrize("rate", [30.0, 120.0])
def test_every_refusal_is_one_sentence(yaw: float, rate: float) -> None:
    seen = watch(act(Shooter(jump=0.0), rate=rate), camera_at(Shooter(), yaw=yaw), rate=rate)
    for reason in reasons(replace(seen, stature=None)).values():
        assert reason[0].isupper()
        assert reason.endswith(".")
        # decimal points aside, one full stop
        assert reason.replace("0.", "").count(".") == 1
        assert len(reason) < 200
