"""A drawn clip without marks: what is read is the drawing's truth, what can't be is refused."""

import math
import re
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np
import pytest
from tests.film.small_clip import SHOOTER, lone_flight, small_clip

from hoopwright.court.standards import ball
from hoopwright.film.measure_side import (
    NO_SCENE,
    measure_side_clip,
    read_side_again,
    why_refused,
)
from hoopwright.film.picture_track import follow_in_picture
from hoopwright.film.results import Candidates, FilmRead, Ints, Measured, Moment
from hoopwright.film.told import Material
from hoopwright.records import FilmMark, MarkKind
from hoopwright.reports.film_words import result_words
from hoopwright.reports.shot_facts import shot_facts


@cache
def read_small() -> tuple[FilmRead, tuple[float, ...], Material]:
    shares = list[float]()
    read, material = measure_side_clip(
        small_clip().path, ball=ball(7), shooter=SHOOTER,
        progress=lambda share, _: shares.append(share),
    )  # fmt: skip
    return read, tuple(shares), material


def near(number: Measured, true: float, *, most: float) -> bool:
    """Within 4 of its standard deviations, which are not beyond what is of use."""
    return abs(number.value - true) < 4.0 * number.sd and number.sd < most


def test_shots_are_found_and_read_as_near_as_their_errors_say() -> None:
    read, *_ = read_small()
    assert len(read.shots) == 2
    for shot, true in zip(read.shots, small_clip().drawn.shots, strict=True):
        assert shot.side is not None and shot.ball is None and shot.doubts == ()
        assert near(shot.side.speed, true.speed, most=0.5)
        assert near(shot.side.angle, true.angle, most=0.05)
        assert near(shot.side.rise, true.apex - true.height, most=0.5)
        # the end seen is a picture or two from the ring, where the ball falls 10° steeper a
        # tenth of a second (closed form: dθ/dt = g·cos θ/|v|)
        assert abs(shot.side.entry_angle.value - true.entry_angle) < 0.12
        released = next(e for e in shot.events if e.moment is Moment.RELEASE)
        assert abs(released.time - true.release_time) < 4.0 * released.sd
        assert released.sd <= 1.0 / 30.0


def test_no_shot_is_used_for_what_was_not_seen_and_that_is_said() -> None:
    read, *_ = read_small()
    assert read.unmarked
    assert read.notes == (NO_SCENE,)
    assert not any(shot.usable for shot in read.shots)
    facts = shot_facts(read.shots[0])
    assert facts.result == "made or missed can't be told without marks"
    names = [line.name for line in facts.ball]
    assert "release speed" in names and "along" not in names and "across" not in names


def test_progress_never_goes_back() -> None:
    _, shares, _ = read_small()
    assert list(shares) == sorted(shares) and shares[-1] == 1.0


@pytest.mark.parametrize(
    ("clip", "sentence"),
    [({"yaw": 35.0}, r"about 3\d° off square"), ({"slowed": 2.0}, "played 2 times slower")],
)
def test_a_skewed_camera_and_a_wrong_clock_are_refused(
    clip: dict[str, float], sentence: str
) -> None:
    """The shot is there with the reason, so that a person can look at it."""
    read, _ = measure_side_clip(lone_flight(**clip), ball=ball(7), shooter=SHOOTER)
    (shot,) = read.shots
    assert (shot.ball, shot.side, shot.usable) == (None, None, False)
    assert [d.refused for d in shot.doubts] == [True] and shot.trail
    assert re.search(sentence, shot.doubts[0].message)
    assert why_refused(read) == shot.doubts[0].message


def mark(
    kind: MarkKind, name: str, frame: int, x: float | None = None, y: float | None = None
) -> FilmMark:
    return FilmMark(
        film_id=SHOOTER.film, kind=kind, name=name, frame=frame, time=frame / 30.0, x=x, y=y
    )


def test_what_is_set_by_hand_is_answered_without_the_film() -> None:
    read, _, material = read_small()
    assert read_side_again(material, ball=ball(7), shooter=SHOOTER) == read
    first, second = read.shots
    release = first.events[0].time
    early = round(30.0 * release) - 2
    marks = (
        mark(MarkKind.RESULT, "missed", round(30.0 * second.start) + 3),
        mark(MarkKind.EVENT, "release", early),
        mark(MarkKind.EVENT, "dip", early - 20),
    )
    again = read_side_again(material, marks, ball=ball(7), shooter=SHOOTER)
    assert [s.id for s in again.shots] == [s.id for s in read.shots]
    assert [s.said for s in again.shots] == [None, False]
    assert [(e.moment, e.by_hand) for e in again.shots[0].events] == [
        (Moment.DIP, True), (Moment.RELEASE, True),
    ]  # fmt: skip
    assert again.shots[0].events[1].time == early / 30.0
    assert first.side is not None and again.shots[0].side is not None
    # earlier on the way up the ball is faster: by g times the sine of the angle times the time
    assert again.shots[0].side.speed.value > first.side.speed.value
    assert result_words(again.shots[1]) == "missed, set by hand"


def test_a_ball_set_by_hand_fills_a_picture_in_which_it_was_lost() -> None:
    read, _, material = read_small()
    shot = read.shots[0]
    time, x, y = shot.trail[len(shot.trail) // 2]
    frame, seen = round(30.0 * time), material.candidates
    kept = seen.frame != frame
    names = [one.name for one in fields(Candidates)]
    lost = replace(seen, **{name: getattr(seen, name)[kept] for name in names})
    blind = replace(material, candidates=lost)
    without, marked = (
        read_side_again(blind, marks, ball=ball(7), shooter=SHOOTER).shots[0]
        for marks in ((), (mark(MarkKind.BALL, "", frame, x, y),))
    )
    assert (time, x, y) not in without.trail and (time, x, y) in marked.trail
    assert shot.side is not None and marked.side is not None
    sd = math.hypot(marked.side.rise.sd, shot.side.rise.sd)
    assert abs(marked.side.rise.value - shot.side.rise.value) < 3.0 * sd


@dataclass(frozen=True, kw_only=True)
class Throw:
    """A ball seen 30 times a second that falls at an even 700 px/s²."""

    start: tuple[float, float]
    speed: tuple[float, float]
    first: int
    many: int

    @property
    def rows(self) -> np.ndarray:
        """(frame, x, y, radius) each."""
        t = np.arange(self.many) / 30.0
        x = self.start[0] + self.speed[0] * t
        y = self.start[1] + self.speed[1] * t + 350.0 * t**2
        return np.column_stack([self.first + np.arange(self.many), x, y, np.full(self.many, 7.0)])


def candidates(*parts: np.ndarray, seed: int) -> Candidates:
    """Put rows together, with noise of 0.2 px."""
    rows = np.concatenate(parts)
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    rng, many = np.random.default_rng(seed), len(rows)
    return Candidates(
        frame=rows[:, 0].astype(np.int64), time=rows[:, 0] / 30.0,
        middle=rows[:, 1:3] + rng.normal(0.0, 0.2, (many, 2)), middle_sd=np.full(many, 0.2),
        radius=rows[:, 3] + rng.normal(0.0, 0.1, many), radius_sd=np.full(many, 0.2),
        streak=np.zeros((many, 2)), score=rng.uniform(0.3, 1.0, many),
    )  # fmt: skip


def frames_of(seen: Candidates, rows: Ints) -> list[int]:
    return [int(frame) for frame in seen.frame[rows]]


SHOT = Throw(start=(100.0, 250.0), speed=(270.0, -350.0), first=15, many=27)


def test_a_parabola_is_found_among_scattered_places() -> None:
    rng = np.random.default_rng(5)
    noise = np.column_stack(
        [np.repeat(np.arange(60), 6), rng.uniform(0, 640, 360), rng.uniform(0, 360, 360),
         rng.uniform(5, 9, 360)]
    )  # fmt: skip
    ball_rows = SHOT.rows
    seen = candidates(ball_rows, noise, seed=1)
    found = follow_in_picture(seen)
    assert len(found) == 1
    frames = frames_of(seen, found[0])
    assert len(frames) == len(set(frames)) and set(range(16, 41)) <= set(frames)
    true = ball_rows[[f - 15 for f in frames if 15 <= f < 42], 1:3]
    mine = seen.middle[found[0]][[15 <= f < 42 for f in frames]]
    assert np.median(np.linalg.norm(mine - true, axis=1)) < 0.5


@pytest.mark.parametrize(
    "other",
    [
        # a pass at 35°, thrown back; a ball that bounces on the spot; one that only falls
        Throw(start=(500.0, 250.0), speed=(-430.0, -301.0), first=70, many=26),
        Throw(start=(300.0, 300.0), speed=(10.0, -300.0), first=70, many=26),
        Throw(start=(300.0, 50.0), speed=(150.0, 0.0), first=70, many=20),
    ],
)
def test_what_is_no_shot_is_left_out(other: Throw) -> None:
    assert follow_in_picture(candidates(other.rows, seed=2)) == ()
    seen = candidates(SHOT.rows, other.rows, seed=3)
    assert [frames_of(seen, rows)[0] for rows in follow_in_picture(seen)] == [15]


def test_a_shot_is_found_at_any_clock() -> None:
    """Eight times slower: the same places over 216 pictures."""
    t = np.arange(216) / 240.0
    rows = np.column_stack(
        [np.arange(216), 100.0 + 270.0 * t, 250.0 - 350.0 * t + 350.0 * t**2, np.full(216, 7.0)]
    )  # fmt: skip
    found = follow_in_picture(candidates(rows, seed=4))
    assert len(found) == 1 and len(found[0]) > 200


def test_nothing_at_all_is_no_shot() -> None:
    empty = candidates(np.empty((0, 4)), seed=0)
    assert follow_in_picture(empty) == ()
