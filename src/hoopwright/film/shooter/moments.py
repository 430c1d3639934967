"""Finders of a shot's moments, each from one or two tracks of the shooter; see ``events``."""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.results import Event, Moment
from hoopwright.film.shooter import paths
from hoopwright.film.shooter.flight import body_flight
from hoopwright.film.shooter.local import Change, Law, change_point, falls_below, near, smooth
from hoopwright.film.shooter.paths import Track
from hoopwright.film.shooter.points import LEFT, RIGHT, Side, shooting_side
from hoopwright.film.shooter.stand import View, views
from hoopwright.film.shooter.watched import Watched
from hoopwright.flight.air import STANDARD_GRAVITY

Floats = NDArray[np.float64]

#: foot tips that rise less stay on the floor [m]: a rise onto the toes is 2 to 3 cm in the
#: motion-capture set shot of the tests
LEAST_JUMP = 0.05
#: hips that sink less do not dip [m]; common practice, no source
LEAST_DIP = 0.03
#: the bottom of a dip is flat and no parabola: its lowest point is good to this [s]; a judgement
DIP_SD = 0.012
#: hips that move to and fro at this speed look like sinking to a camera on the shot line [m/s]; a
#: judgement, no source
HIPS_BACK = 0.3
#: the final push is looked for this long before release [s]
PUSH_BEFORE = 0.45
#: the start of the push is good to this, whatever the film [s]; a judgement, no source
PUSH_SD = 0.012
#: from half of the arm's extension to the release, where the ball is not seen [s]: 58 and 80 ms in
#: the motion-capture shots of the tests (to halfway between fastest fingers and straight wrist)
HALF_TO_RELEASE = 0.065
#: the arm tells the release only up to this yaw [rad]
ARM_YAW = math.radians(50.0)
#: error of a release read from the arm alone [s]; a judgement from the same two shots
ARM_RELEASE_SD = 0.02
#: the hold ends where the wrist keeps less than this share of its height above the shoulder
HOLD_SHARE = 0.6
#: and stays below it this long [s]
HOLD_LASTING = 0.05
#: an arm comes down softly at first: where the hold ends is good to this [s]; a judgement
HOLD_SD = 0.03


def sampling_sd(rate: float) -> float:
    """Return the error of one event by the frames alone, one standard deviation [s].

    Parameters
    ----------
    rate
        Pictures a second.

    Notes
    -----
    Derived: a moment anywhere between two frames, 1/√12 of their gap.
    """
    return 1.0 / (rate * math.sqrt(12.0))


def _event(watched: Watched, moment: Moment, *, time: float, noise: float) -> Event:
    return Event(moment=moment, time=time, sd=math.hypot(noise, sampling_sd(watched.rate)))


def release(watched: Watched) -> Event | None:
    """Return the release as the ball's flight tells it, else as the arm does.

    Parameters
    ----------
    watched
        The shot.
    """
    if watched.ball is None:
        return release_of_arm(watched)
    told = watched.ball.release_time
    sd = max(told.sd, sampling_sd(watched.rate))
    return Event(moment=Moment.RELEASE, time=told.value, sd=sd)


def release_of_arm(watched: Watched) -> Event | None:
    """Return the release as the arm alone tells it, where the ball's flight was lost.

    Parameters
    ----------
    watched
        The shot; its ball is not looked at.

    Returns
    -------
    Event or None
        ``HALF_TO_RELEASE`` after half of the arm's last extension; None where the arm is not seen
        from the side.
    """
    highest = _highest_wrist(watched)
    seen = () if highest is None else views(watched, highest)
    if highest is None or not seen:
        return None
    if seen[0].yaw > ARM_YAW:
        return None
    found = _push(
        paths.reach(watched, seen[0]).seen, highest, later=0.5 * np.array(PUSHES) + HALF_TO_RELEASE
    )
    if found is None:
        return None
    noise = math.hypot(found.sd, ARM_RELEASE_SD)
    return _event(watched, Moment.RELEASE, time=found.time, noise=noise)


def _highest_wrist(watched: Watched) -> float | None:
    """When the shooting wrist is highest in the picture."""
    points, _ = paths.seen_points(watched, (shooting_side(watched.hand).wrist,))
    up = -points[:, 0, 1]
    return float(watched.poses.time[int(np.nanargmax(up))]) if np.isfinite(up).any() else None


def dip(watched: Watched, view: View, *, released: float) -> Event | None:
    """Return the dip: the held ball lowest before the rise, else the wrist, else the hips.

    Parameters
    ----------
    watched, view
        The shot as seen.
    released
        When the ball left the hand [s].
    """
    drift = HIPS_BACK * abs(float(view.sight @ view.ahead)) * abs(math.tan(view.looks_down))
    ways = ((paths.held_ball, 0.0, 0.03), (paths.wrist, 0.0, 0.10), (paths.hips, drift, 0.10))
    for way, shift, half in ways:
        track = way(watched, view).between(released - paths.DIP_BEFORE, released).seen
        found = _lowest(track, drift=shift, half=half)
        if found is not None:
            noise = math.hypot(found[1], DIP_SD, 0.5 * watched.gap)
            return _event(watched, Moment.DIP, time=found[0], noise=noise)
    return None


def _lowest(track: Track, *, drift: float, half: float) -> tuple[float, float] | None:
    """When a track is lowest, and the error of that; None where it does not sink."""
    if len(track.time) < 6:
        return None
    # a parabola needs five frames
    half = max(half, 2.1 * float(np.median(np.diff(track.time))))
    low = smooth(track.time, track.value, half=half)
    k = int(np.argmin(low))
    sunk = min(low[:k].max(initial=-np.inf), low[k:].max()) - low[k]
    if sunk < max(LEAST_DIP, 3.0 * float(np.median(track.sd))):
        return None
    fit = near(track.time, track.value, sd=track.sd, at=float(track.time[k]), half=half)
    if fit is None or fit.bend <= 0.0:
        return None
    shift = float(np.clip(-fit.slope / fit.bend, -0.05, 0.05))
    return float(track.time[k]) + shift, math.hypot(fit.slope_sd, drift) / fit.bend


def set_point(watched: Watched, view: View, *, released: float) -> Event | None:
    """Return the set point: the arm starts its last extension, wrist (else ball) from shoulder.

    Parameters
    ----------
    watched, view
        The shot as seen.
    released
        When the ball left the hand [s].

    Notes
    -----
    Reach from the shoulder, not height above the floor, so that a rising body is not taken for a
    push. Before, the reach is a line; then it grows by a cubic ease from rest to rest, whose
    length is not known (``PUSHES``). A push starts softly, so what a person would call its start
    differs by about ``PUSH_SD``.
    """
    for track in (paths.reach(watched, view), paths.ball_reach(watched, view)):
        found = _push(track.seen, released)
        if found is not None:
            noise = math.hypot(found.sd, PUSH_SD)
            return _event(watched, Moment.SET, time=found.time, noise=noise)
    return None


def _push(track: Track, released: float, *, later: Floats | None = None) -> Change | None:
    arm = track.between(released - PUSH_BEFORE, released + 0.2)
    if len(arm.time) < 6:
        return None
    far = smooth(arm.time, arm.value, half=0.03)
    # growth over a tenth of a second: a speed over less is mostly noise
    grown = np.interp(arm.time + 0.05, arm.time, far) - np.interp(arm.time - 0.05, arm.time, far)
    late = (arm.time >= released - 0.2) & (arm.time <= released + 0.05)
    grown = np.where(late, grown, -np.inf)
    fastest = float(arm.time[int(np.argmax(grown))])
    # past the stretched arm, so that the end of the push is seen too
    used = arm.between(fastest - 0.25, fastest + 0.15)
    first = max(float(used.time[0]) + 0.02, fastest - 0.2) if len(used.time) else fastest
    return change_point(
        used.time, used.value, sd=used.sd, laws=EASES, first=first, last=fastest - 0.02, later=later
    )


def _ease(long: float) -> Law:
    """Line, then in addition a cubic ease from rest to rest that takes so long [s]."""

    def law(time: Floats, at: Floats) -> tuple[Floats, Floats]:
        share = np.clip((time - at) / long, 0.0, 1.0)
        before = np.minimum(time - at, 0.0)
        columns = [np.ones_like(before), before, share**2 * (3.0 - 2.0 * share)]
        return np.stack(columns, axis=-1), np.zeros_like(before)

    return law


#: how long a push may take [s]
PUSHES = tuple(np.linspace(0.10, 0.32, 12))
EASES = tuple(_ease(float(long)) for long in PUSHES)


def toe_off(watched: Watched, view: View, *, released: float) -> Event | None:
    """Return when the last foot tip left the floor; None where a foot stays or is not seen.

    Parameters
    ----------
    watched, view
        The shot as seen.
    released
        When the ball left the hand [s].

    Notes
    -----
    Before, the tip stands; after, it goes up as thrown under gravity. The change is found between
    frames. Feet that differ by more than their errors: the later one, else their weighted mean.
    """
    found = []
    for side in (LEFT, RIGHT):
        tip = jump_of_foot(watched, view, side=side, released=released)
        if tip is not None and not len(tip.time):
            return None
        left = None if tip is None else _leaves(tip)
        found += [left] if left is not None else []
    if not found:
        return None
    time, noise = _later(found)
    return _event(watched, Moment.TOE_OFF, time=time, noise=noise)


def _later(feet: list[Change]) -> tuple[float, float]:
    if len(feet) == 1:
        return feet[0].time, feet[0].sd
    one, two = sorted(feet, key=lambda f: f.time)
    if two.time - one.time > 2.0 * math.hypot(one.sd, two.sd):
        return two.time, two.sd
    share = 1.0 / (one.sd**2 + 1e-12), 1.0 / (two.sd**2 + 1e-12)
    mean = (share[0] * one.time + share[1] * two.time) / sum(share)
    return mean, math.sqrt(1.0 / sum(share))


def jump_of_foot(watched: Watched, view: View, *, side: Side, released: float) -> Track | None:
    """Return a foot tip's height from standing to the top of its jump.

    Parameters
    ----------
    watched, view, side
        The shot as seen, and which foot.
    released
        When the ball left the hand [s].

    Returns
    -------
    Track or None
        Without rows where the foot stays on the floor; None where it is not seen.
    """
    tip = paths.toe(watched, view, side=side).between(released - 0.5, released + 0.6).seen
    if len(tip.time) < 8:
        return None
    up = smooth(tip.time, tip.value, half=0.04)
    level = float(np.median(up[: max(3, len(up) // 4)]))
    top = int(np.argmax(up))
    jumped = up[top] - level > max(LEAST_JUMP, 4.0 * float(np.median(tip.sd)))
    return tip.between(tip.time[0], float(tip.time[top]) if jumped else -math.inf)


def _leaves(rise: Track) -> Change | None:
    if len(rise.time) < 6:
        return None
    first, last = float(rise.time[0]) + 0.05, float(rise.time[-1]) - 0.03
    return change_point(
        rise.time, rise.value, sd=rise.sd, laws=(_stand_then_thrown,), first=first, last=last
    )


def _stand_then_thrown(time: Floats, at: Floats) -> tuple[Floats, Floats]:
    later = np.maximum(time - at, 0.0)
    return np.stack([np.ones_like(later), later], axis=-1), -0.5 * STANDARD_GRAVITY * later**2


def _still_then_sinks(time: Floats, at: Floats) -> tuple[Floats, Floats]:
    later = np.maximum(time - at, 0.0)
    return np.stack([np.ones_like(later), -(later**2)], axis=-1), np.zeros_like(later)


def apex(watched: Watched, view: View, *, off: float) -> Event | None:
    """Return the top of the jump of the trunk's middle, by the parabola of its free flight.

    Parameters
    ----------
    watched, view
        The shot as seen.
    off
        When the toes left [s].
    """
    flight = body_flight(paths.trunk(watched, view), off=off)
    if flight is None:
        return None
    return _event(watched, Moment.APEX, time=flight.apex, noise=flight.apex_sd)


def hold_end(watched: Watched, view: View, *, released: float) -> Event | None:
    """Return when the shooting arm starts to come down; None where the film ends before.

    Parameters
    ----------
    watched, view
        The shot as seen.
    released
        When the ball left the hand [s].

    Notes
    -----
    The wrist's height above its shoulder falls below ``HOLD_SHARE`` of the held one (the middle
    of the first 0.1 s after release) and stays there for ``HOLD_LASTING``; the hold ended where
    that sinking began: still, then a parabola.
    """
    arm = paths.arm_lift(watched, view)
    arm = arm.between(released, float(arm.time[-1])).seen
    held = arm.between(released, released + 0.1)
    if len(arm.time) < 6 or len(held.time) < 2:
        return None
    level = HOLD_SHARE * float(np.median(held.value))
    up = smooth(arm.time, arm.value, half=0.04)
    low = falls_below(arm.time, up, level=level, lasting=HOLD_LASTING)
    if low is None:
        return None
    used = arm.between(max(released + 0.1, low - 0.5), low + 0.03)
    found = change_point(
        used.time, used.value, sd=used.sd, laws=(_still_then_sinks,),
        first=float(used.time[0]), last=low,
    )  # fmt: skip
    if found is None:
        return None
    noise = math.hypot(found.sd, HOLD_SD)
    return _event(watched, Moment.HOLD_END, time=found.time, noise=noise)
