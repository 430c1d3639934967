"""When things happen in a shot: dip, set point, toe-off, release, jump apex, end of hold.

The release comes from the ball's flight; all else from body points and the held ball, as heights
and reaches in metres through the camera. An event that can't be found is not there, and
``why_missing`` says why; nothing is guessed.
"""

import math
from collections.abc import Iterable

from hoopwright.film.results import Event, Moment
from hoopwright.film.shooter import moments
from hoopwright.film.shooter.points import LEFT, RIGHT
from hoopwright.film.shooter.stand import View, views
from hoopwright.film.shooter.watched import Watched

#: a hand mark is good to a frame either way; common practice, no source
MARK_FRAMES = 1.0

ORDER = (Moment.DIP, Moment.SET, Moment.TOE_OFF, Moment.RELEASE, Moment.APEX, Moment.HOLD_END)

NO_JUMP = (
    "The feet did not leave the floor in this shot, so there is no toe-off and no jump to time."
)
NOT_SEEN = {
    Moment.DIP: "No dip was seen: the hips and the ball did not sink before the shot, or were "
    "hidden; film the whole body from before the shot starts.",
    Moment.SET: "The start of the arm's push was not seen; film from the shooting side so that "
    "shoulder and wrist stay in view.",
    Moment.TOE_OFF: "The moment the toes leave was not seen; film so that both feet and the floor "
    "stay in view.",
    Moment.RELEASE: "The release was not seen: neither the ball's flight nor the shooting arm "
    "could be followed; film with nothing between the camera and the player.",
    Moment.APEX: "The top of the jump was not seen; film so that shoulders and hips stay in view.",
    Moment.HOLD_END: "The arm had not come down when the film of this shot ended, or was hidden; "
    "let the film run on.",
}


def difference_sd(first: Event, second: Event) -> float:
    """Return the error of the time between two events, one standard deviation [s].

    Notes
    -----
    Derived: independent errors add in squares; by the frames alone that is gap/√6.
    """
    return math.hypot(first.sd, second.sd)


def marked(moment: Moment, time: float, *, rate: float) -> Event:
    """Return an event that a person set on a frame.

    Parameters
    ----------
    moment, time
        What and when [s].
    rate
        Pictures a second.
    """
    return Event(moment=moment, time=time, sd=MARK_FRAMES / rate, by_hand=True)


def time_of(events: Iterable[Event], moment: Moment) -> Event | None:
    """Return the event of a moment, or None.

    Parameters
    ----------
    events
        Of one shot.
    moment
        Which.
    """
    return next((e for e in events if e.moment is moment), None)


def find_events(watched: Watched, *, by_hand: Iterable[Event] = ()) -> tuple[Event, ...]:
    """Find the events of one shot.

    Parameters
    ----------
    watched
        Body points, ball, camera and player.
    by_hand
        Events that a person set; they stand, and the others are found around them.

    Returns
    -------
    tuple of Event
        In the order dip, set point, toe-off, release, apex, end of hold; those that can't be found
        are left out (see ``why_missing``). Each error is that of the points and of the frames,
        1/√12 of a frame, together.
    """
    found = {e.moment: e for e in by_hand}
    release = found.get(Moment.RELEASE) or moments.release(watched)
    seen = () if release is None else views(watched, release.time)
    if release is not None:
        found = {Moment.RELEASE: release} | found
        found = (
            (_around(watched, seen[0], released=release.time, set_by_hand=found) | found)
            if seen
            else found
        )
    return tuple(found[m] for m in ORDER if m in found)


def _around(
    watched: Watched, view: View, *, released: float, set_by_hand: dict[Moment, Event]
) -> dict[Moment, Event]:
    off = set_by_hand.get(Moment.TOE_OFF) or moments.toe_off(watched, view, released=released)
    found = (
        moments.dip(watched, view, released=released),
        moments.set_point(watched, view, released=released),
        off,
        None if off is None else moments.apex(watched, view, off=off.time),
        moments.hold_end(watched, view, released=released),
    )
    return {e.moment: e for e in found if e is not None}


def why_missing(watched: Watched, events: Iterable[Event], *, moment: Moment) -> str:
    """Return one sentence for an event that was not found.

    Parameters
    ----------
    watched, events
        The shot and what was found in it.
    moment
        Which is missing.
    """
    release = time_of(events, Moment.RELEASE)
    if release is None:
        return NOT_SEEN[Moment.RELEASE]
    if moment in (Moment.TOE_OFF, Moment.APEX) and stayed_down(watched, release.time):
        return NO_JUMP
    return NOT_SEEN[moment]


def stayed_down(watched: Watched, released: float) -> bool:
    """Tell whether a foot that was seen stayed on the floor.

    Parameters
    ----------
    watched
        The shot.
    released
        When the ball left the hand [s].
    """
    seen = views(watched, released)
    if not seen:
        return False
    tips = [
        moments.jump_of_foot(watched, seen[0], side=side, released=released)
        for side in (LEFT, RIGHT)
    ]
    return any(tip is not None and not len(tip.time) for tip in tips)
