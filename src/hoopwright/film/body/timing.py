"""Times between events, and what they say of legs and arm: speeds, jump rise, dip depth."""

import math
from collections.abc import Iterable, Sequence

import numpy as np

from hoopwright.film import gates
from hoopwright.film.body.number import Answer, Number
from hoopwright.film.events import NOT_SEEN, difference_sd, time_of, why_missing
from hoopwright.film.results import BallPath, Body, Event, Moment
from hoopwright.film.shooter import paths
from hoopwright.film.shooter.flight import TRUNK_SPEED_SD, BodyFlight, body_flight
from hoopwright.film.shooter.local import near, smooth
from hoopwright.film.shooter.paths import Track
from hoopwright.film.shooter.stand import View
from hoopwright.film.shooter.watched import Watched

#: from which moment to which each time runs [s]
SPANS = {
    Body.DIP_TO_RELEASE: (Moment.DIP, Moment.RELEASE),
    Body.SET_TO_RELEASE: (Moment.SET, Moment.RELEASE),
    Body.RELEASE_TO_TOE_OFF: (Moment.TOE_OFF, Moment.RELEASE),
    Body.RELEASE_TO_APEX: (Moment.APEX, Moment.RELEASE),
    Body.HOLD: (Moment.RELEASE, Moment.HOLD_END),
}
#: around the release the trunk's speed is taken over this much either way [s]
SPEED_HALF = 0.06
#: a stature as told is good to this [m]; common practice, no source
STATURE_SD = 0.01
#: the wrist stands for a held ball that is not seen, give or take [m]; a judgement
WRIST_FOR_BALL_SD = 0.03
#: the least number of held-ball points for a dip depth
LEAST_HELD = 6


def span(name: Body, watched: Watched, *, events: Sequence[Event]) -> Answer:
    """Return the time between two events [s].

    Parameters
    ----------
    name
        One of ``SPANS``. To toe-off and to apex: release less that moment, so − is before it.
    watched, events
        The shot and what was found in it.
    """
    refused = gates.timing(watched.rate)
    if refused:
        return refused
    first, last = (time_of(events, m) for m in SPANS[name])
    if first is None or last is None:
        return why_missing(watched, events, moment=SPANS[name][0 if first is None else 1])
    return Number(value=last.time - first.time, repeat_sd=difference_sd(first, last), shared_sd=0.0)


def _flight_of(watched: Watched, view: View, *, events: Iterable[Event]) -> BodyFlight | None:
    off = time_of(events, Moment.TOE_OFF)
    return None if off is None else body_flight(paths.trunk(watched, view), off=off.time)


def body_speed(watched: Watched, seen: Sequence[View], *, events: Sequence[Event]) -> Answer:
    """Return the upward speed of the trunk's middle at release [m/s].

    Parameters
    ----------
    watched, seen
        The shot as seen.
    events
        What was found in it.

    Notes
    -----
    Released in the air: v = g·t to the apex (t from the fitted flight, whatever the frame rate).
    Released from the floor: the slope of the height over ``SPEED_HALF`` either way.
    """
    release, off = time_of(events, Moment.RELEASE), time_of(events, Moment.TOE_OFF)
    if release is None:
        return NOT_SEEN[Moment.RELEASE]
    air = _flight_of(watched, seen[0], events=events)
    if air is not None and air.free and off is not None and release.time >= off.time:
        gravity = air.speed(0.0) - air.speed(1.0)
        jitter = gravity * math.hypot(air.apex_sd, release.sd)
        return Number(value=air.speed(release.time), repeat_sd=jitter, shared_sd=TRUNK_SPEED_SD)
    return _slope(paths.trunk(watched, seen[0]), release)


def _slope(trunk: Track, release: Event) -> Answer:
    track = trunk.seen
    fit = near(track.time, track.value, sd=track.sd, at=release.time, half=SPEED_HALF)
    if fit is None:
        return gates.joints_unseen(Body.BODY_SPEED, Moment.RELEASE)
    jitter = math.hypot(fit.slope_sd, fit.bend * release.sd)
    return Number(value=fit.slope, repeat_sd=jitter, shared_sd=TRUNK_SPEED_SD)


def arm_speed(ball: BallPath | None, body: Answer) -> Answer:
    """Return what the arm adds: upward release speed of the ball less body speed [m/s].

    Parameters
    ----------
    ball
        The ball's path; None where it was lost.
    body
        Body speed at release.
    """
    if isinstance(body, str):
        return body
    if ball is None:
        return "The ball's flight was lost, so its release speed is not known."
    out = ball.release
    slopes = np.array([math.sin(out.angle), out.speed * math.cos(out.angle)])
    cov = np.array(out.covariance).reshape(5, 5)[:2, :2]
    up = Number(
        value=out.speed * math.sin(out.angle) - body.value,
        repeat_sd=body.repeat_sd, shared_sd=body.shared_sd,
    )  # fmt: skip
    return up.plus(repeat_sd=math.sqrt(max(float(slopes @ cov @ slopes), 0.0)))


def jump_rise(watched: Watched, seen: Sequence[View], *, events: Sequence[Event]) -> Answer:
    """Return how far the trunk's middle rises from toe-off to apex [m]: ½·g·t².

    Parameters
    ----------
    watched, seen
        The shot as seen.
    events
        What was found in it.
    """
    off, apex = time_of(events, Moment.TOE_OFF), time_of(events, Moment.APEX)
    if off is None or apex is None:
        return why_missing(watched, events, moment=Moment.TOE_OFF if off is None else Moment.APEX)
    air = _flight_of(watched, seen[0], events=events)
    if air is None or not air.free:
        return (
            "The body's rise does not look like a free jump at this scene's scale; check the "
            "scene's marks and the clip's true frame rate."
        )
    rise = air.rise(off.time)
    jitter = air.speed(off.time) * math.hypot(off.sd, air.apex_sd)
    return Number(value=rise, repeat_sd=jitter, shared_sd=gates.PLACE_BIAS)


def dip_depth(watched: Watched, seen: Sequence[View], *, events: Sequence[Event]) -> Answer:
    """Return how far the ball rises from its lowest point to the set point [m].

    Parameters
    ----------
    watched, seen
        The shot as seen.
    events
        What was found in it.

    Notes
    -----
    The held ball; the shooting wrist where the ball in the hands was not seen.
    """
    set_point, release = time_of(events, Moment.SET), time_of(events, Moment.RELEASE)
    if set_point is None or release is None:
        return why_missing(watched, events, moment=Moment.SET if release else Moment.RELEASE)
    since = release.time - paths.DIP_BEFORE
    ball = paths.held_ball(watched, seen[0]).seen.between(since, set_point.time + SPEED_HALF)
    if len(ball.time) >= LEAST_HELD and ball.time[-1] >= set_point.time:
        return _depth(ball, set_point)
    hand = paths.wrist(watched, seen[0]).seen.between(since, set_point.time + SPEED_HALF)
    found = _depth(hand, set_point)
    return found if isinstance(found, str) else found.plus(shared_sd=WRIST_FOR_BALL_SD)


def _depth(track: Track, set_point: Event) -> Answer:
    if len(track.time) < LEAST_HELD:
        return gates.joints_unseen(Body.DIP_DEPTH, Moment.DIP)
    low = smooth(track.time, track.value, half=SPEED_HALF)
    lowest = near(
        track.time,
        track.value,
        sd=track.sd,
        at=float(track.time[int(np.nanargmin(low))]),
        half=0.04,
    )
    top = near(track.time, track.value, sd=track.sd, at=set_point.time, half=0.04)
    if lowest is None or top is None:
        return gates.joints_unseen(Body.DIP_DEPTH, Moment.SET)
    jitter = math.hypot(lowest.value_sd, top.value_sd, top.slope * set_point.sd)
    return Number(
        value=max(top.value - lowest.value, 0.0), repeat_sd=jitter, shared_sd=gates.PLACE_BIAS
    )


def release_ratio(watched: Watched) -> Answer:
    """Return the height of the ball's centre at release over the player's stature.

    Parameters
    ----------
    watched
        The shot.
    """
    if watched.stature is None:
        return "The player's stature is not known; type it in on the player's page."
    if watched.ball is None:
        return "The ball's flight was lost, so its release height is not known."
    height = watched.ball.release_height
    ratio = height.value / watched.stature
    return Number(
        value=ratio, repeat_sd=height.sd / watched.stature,
        shared_sd=ratio * STATURE_SD / watched.stature,
    )  # fmt: skip


def leg_drive(body: Number, arm: Number) -> str:
    """Return in one sentence what the release's timing means for legs and arm, judging nothing.

    Parameters
    ----------
    body, arm
        Upward body speed at release, and what the arm adds [m/s].
    """
    total = body.value + arm.value
    state = "was rising" if body.value >= 0.0 else "was sinking"
    return (
        f"At release the body {state} at {abs(body.value):.1f} m/s (±{body.sd:.1f}), so the arm "
        f"gave {arm.value:.1f} (±{arm.sd:.1f}) of the ball's {total:.1f} m/s upward."
    )
