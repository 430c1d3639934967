"""The main path on one small drawn clip; the truth is that of the drawing (``film.synthetic``)."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from tests.film.small_clip import SHOOTER, measured, small_clip, true_poses

from hoopwright.errors import BadInput
from hoopwright.film.measure import read_again, scene_view
from hoopwright.film.pose import POINTS
from hoopwright.film.results import (
    BallPath,
    Body,
    Candidates,
    ClipFacts,
    Event,
    FilmedShot,
    FilmRead,
    Flag,
    Moment,
)
from hoopwright.film.scene import scene_sum
from hoopwright.film.told import Material
from hoopwright.film.written import to_json
from hoopwright.records import FilmMark, MarkKind

#: measures a knee has no part in
ARMS = (Body.SHOULDER_DIP, Body.SHOULDER_SET, Body.SHOULDER_RELEASE, Body.ELBOW_SET)


def again(marks: Sequence[FilmMark], material: Material | None = None) -> FilmRead:
    view = scene_view(small_clip().scene, measured()[1].clip)
    return read_again(
        material or measured()[1], view, marks, shooter=SHOOTER, scene_sum=measured()[0].scene_sum
    )


def mark(
    kind: MarkKind, time: float, *, name: str = "", at: tuple[float, float] | None = None,
    frame: int | None = None,
) -> FilmMark:  # fmt: skip
    x, y = at if at is not None else (None, None)
    picture = round(time * 30.0) if frame is None else frame
    return FilmMark(film_id=SHOOTER.film, kind=kind, name=name, frame=picture, time=time, x=x, y=y)


def path_of(shot: FilmedShot) -> BallPath:
    assert shot.ball is not None
    return shot.ball


def flags(shot: FilmedShot) -> set[Flag]:
    return {doubt.flag for doubt in shot.doubts}


def test_both_shots_are_found_and_nothing_else() -> None:
    read, _, _ = measured()
    assert [shot.position for shot in read.shots] == [0, 1]
    assert all(shot.usable for shot in read.shots), [s.doubts for s in read.shots]
    assert read.notes == ()


def test_numbers_are_as_near_to_the_truth_as_their_errors_say() -> None:
    """Within 4 standard deviations each: chance 1 in 16 000 for a number whose error is right."""
    read, _, _ = measured()
    for shot, true in zip(read.shots, small_clip().drawn.shots, strict=True):
        path = path_of(shot)
        release = path.release
        sd = np.sqrt(np.diag(np.reshape(release.covariance, (5, 5))))
        found = (release.speed, release.angle, release.direction, release.along, release.across)
        truth = (true.speed, true.angle, true.direction, true.along, true.across)
        assert np.all(np.abs(np.subtract(found, truth)) < 4.0 * sd), (found, truth, sd)
        assert np.all(sd[[0, 1]] < (0.2, math.radians(1.5))) and sd[3] < 0.1
        for number, value in (
            (path.release_time, true.release_time), (path.ring_time, true.ring_time),
            (path.entry_angle, true.entry_angle), (path.apex, true.apex),
            (path.release_height, true.height),
        ):  # fmt: skip
            assert abs(number.value - value) < 4.0 * number.sd, (number, value)


def test_made_and_missed_are_told_apart() -> None:
    true = [shot.made for shot in small_clip().drawn.shots]
    assert true == [True, False]
    paths = [path_of(shot) for shot in measured()[0].shots]
    assert [path.made for path in paths] == true
    assert min(path.made_chance for path in paths) > 0.8


def test_progress_goes_from_none_to_all_and_never_back() -> None:
    shares = [share for share, _ in measured()[2]]
    assert shares == sorted(shares)
    assert 0.0 <= shares[0] < 0.2 and shares[-1] == 1.0
    assert len(shares) > 5


def test_reading_again_without_marks_is_the_same_to_the_last_digit() -> None:
    assert to_json(again(())) == to_json(measured()[0])
    assert measured()[0].scene_sum == scene_sum(small_clip().scene)


def test_a_moved_ball_moves_the_fit_and_is_told() -> None:
    """Down the picture is lower: a ball marked 6 px lower at the top lowers the arc."""
    before = path_of(measured()[0].shots[0])
    top = before.release_time.value + 0.5
    trail = np.array(measured()[0].shots[0].trail)
    x, y = (float(np.interp(top, trail[:, 0], trail[:, i])) for i in (1, 2))
    marks = [
        mark(MarkKind.BALL, f / 30.0, frame=f, at=(x + 4.0 * (f - top * 30.0), y + 6.0))
        for f in range(round(top * 30.0) - 2, round(top * 30.0) + 3)
    ]
    after = again(marks)
    assert [s.id for s in after.shots] == [s.id for s in measured()[0].shots]
    assert path_of(after.shots[0]).apex.value != before.apex.value
    assert Flag.BY_HAND in flags(after.shots[0]) and Flag.BY_HAND not in flags(after.shots[1])
    # the other shot is read through the same camera, and hardly moves
    speeds = [path_of(r.shots[1]).release.speed for r in (after, measured()[0])]
    assert speeds[0] == pytest.approx(speeds[1], abs=0.05)


def test_a_result_set_by_hand_stands() -> None:
    middle = path_of(measured()[0].shots[1]).ring_time.value
    after = again([mark(MarkKind.RESULT, middle, name="made")])
    path = path_of(after.shots[1])
    assert path.made and path.made_chance == 1.0
    assert path_of(after.shots[0]) == path_of(measured()[0].shots[0])
    assert Flag.BY_HAND in flags(after.shots[1])


def test_a_release_set_by_hand_stands_and_slows_or_speeds_the_ball() -> None:
    """Closed form: going up, a ball loses g·sin θ each second, so a later release is slower."""
    before = path_of(measured()[0].shots[0])
    later = before.release_time.value + 0.05
    after = again([mark(MarkKind.EVENT, later, name=Moment.RELEASE.value)])
    path = path_of(after.shots[0])
    assert path.release_time.value == pytest.approx(later, abs=1e-9)
    lost = 9.81 * math.sin(before.release.angle) * 0.05
    assert before.release.speed - path.release.speed == pytest.approx(lost, abs=0.12)
    assert path.apex.value == pytest.approx(before.apex.value, abs=0.03)
    assert after.shots[0].id == measured()[0].shots[0].id


def with_bodies(*, others: int = 0) -> Material:
    """The same clip with the drawn body points, as if a model had seen them."""
    body = small_clip().drawn.body
    assert body is not None
    poses = (
        true_poses(body, first=0, last=90, others=others), true_poses(body, first=150, last=245)
    )  # fmt: skip
    return replace(measured()[1], poses=poses)


def test_a_moved_body_point_changes_the_measures_it_is_in_and_nothing_is_lost() -> None:
    plain = again((), with_bodies())
    angles = {m.name: m.value for m in plain.shots[0].body}
    assert Body.KNEE_RELEASE in angles
    release = next(e for e in plain.shots[0].events if e.moment is Moment.RELEASE)
    rows = plain.poses[0]
    near = [f for f in rows.frame.tolist() if abs(f / 30.0 - release.time) < 0.1]
    knee, at = "right knee", POINTS.index("right knee")
    moved = []
    for frame in near:
        x, y = rows.points[frame - int(rows.frame[0]), at].tolist()
        moved.append(mark(MarkKind.POINT, frame / 30.0, name=knee, frame=frame, at=(x + 9.0, y)))
    after = again(moved, with_bodies())
    seen = after.poses[0].points[near[0] - int(rows.frame[0]), at]
    assert seen.tolist() == [moved[0].x, moved[0].y]
    changed = {m.name: m.value for m in after.shots[0].body}
    assert changed[Body.KNEE_RELEASE] != pytest.approx(angles[Body.KNEE_RELEASE], abs=0.02)
    above = set(ARMS) & set(angles)
    assert above and all(changed[n] == pytest.approx(angles[n], abs=1e-9) for n in above)
    for shot in (*plain.shots, *after.shots):
        assert {m.name for m in shot.body} | {left.name for left in shot.left_out} == set(Body)
    assert path_of(after.shots[0]) == path_of(plain.shots[0])


def test_an_event_set_by_hand_is_kept_as_such() -> None:
    when = path_of(measured()[0].shots[0]).release_time.value - 0.2
    after = again([mark(MarkKind.EVENT, when, name=Moment.SET.value)], with_bodies())
    found = [e for e in after.shots[0].events if e.moment is Moment.SET]
    assert [(e.time, e.by_hand) for e in found] == [(when, True)]
    assert isinstance(found[0], Event)


def test_two_shooters_are_told() -> None:
    read = again((), with_bodies(others=1))
    assert Flag.TWO_SHOOTERS in flags(read.shots[0])
    assert Flag.TWO_SHOOTERS not in flags(read.shots[1])


def only(candidates: Candidates, kept: np.ndarray) -> Candidates:
    names = ("frame", "time", "middle", "middle_sd", "radius", "radius_sd", "streak", "score")
    return Candidates(**{n: getattr(candidates, n)[kept] for n in names})


def hidden_from(seconds: float) -> FilmRead:
    """Read again with the first shot's ball hidden from so long after its release on."""
    read, material, _ = measured()
    first, time = path_of(read.shots[0]), material.candidates.time
    hidden = (time > first.release_time.value + seconds) & (time < first.ring_time.value + 2.0)
    return again((), replace(material, candidates=only(material.candidates, ~hidden)))


def test_a_ball_lost_on_its_way_down_makes_the_landing_less_sure() -> None:
    before, after = (path_of(r.shots[0]).release for r in (measured()[0], hidden_from(0.55)))
    true = small_clip().drawn.shots[0]
    spread = [math.sqrt(one.covariance[18]) for one in (before, after)]
    assert spread[1] > 1.3 * spread[0]
    assert abs(after.along - true.along) < 4.0 * spread[1]


def test_a_ball_lost_on_its_way_up_costs_that_shot_alone() -> None:
    read, after = measured()[0], hidden_from(0.3)
    assert [s.usable for s in after.shots if s.id == read.shots[1].id] == [True]
    # what is left of the first is not there, or refused, or says how little it knows
    for shot in after.shots:
        if shot.id != read.shots[1].id and shot.usable:
            assert Flag.BALL_LOST in flags(shot)


def test_a_moved_camera_refuses_every_shot() -> None:
    moved = replace(measured()[1], moved="The camera was moved; mark a still of this clip.")
    for shot in again((), moved).shots:
        assert Flag.MOVED in flags(shot) and not shot.usable


def test_a_scene_of_another_shape_is_refused() -> None:
    clip = measured()[1].clip
    square = ClipFacts(
        width=360, height=360, frames=clip.frames, duration=clip.duration, rate=clip.rate,
        slowed=1.0, codec=clip.codec, turns=0,
    )  # fmt: skip
    with pytest.raises(BadInput, match="another shape"):
        scene_view(small_clip().scene, square)
