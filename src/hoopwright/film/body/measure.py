"""The body in one shot: every measure of ``results.Body`` with its error, or why it was left out.

Nothing here is judged: there is no norm, only a player's own earlier shots (``baseline``).
"""

from collections.abc import Callable, Iterable, Sequence

from hoopwright.film import gates
from hoopwright.film.body import angles, floor, timing
from hoopwright.film.body.number import Answer, Number
from hoopwright.film.events import time_of, why_missing
from hoopwright.film.results import Body, BodyMeasure, Event, Left, Moment
from hoopwright.film.shooter.stand import View, views
from hoopwright.film.shooter.watched import Watched

#: the moment at which each measure is taken
TAKEN_AT = (
    dict.fromkeys((Body.KNEE_DIP, Body.ELBOW_DIP, Body.SHOULDER_DIP, Body.TRUNK_DIP), Moment.DIP)
    | dict.fromkeys((Body.KNEE_SET, Body.ELBOW_SET, Body.SHOULDER_SET, Body.TRUNK_SET), Moment.SET)
    | dict.fromkeys((Body.WRIST_SET, Body.ELBOW_FLARE, Body.SIGHT_LINE), Moment.SET)
    | dict.fromkeys(
        (Body.KNEE_RELEASE, Body.ELBOW_RELEASE, Body.SHOULDER_RELEASE, Body.TRUNK_RELEASE),
        Moment.RELEASE,
    )
    | dict.fromkeys((Body.HIP_TURN, Body.SHOULDER_TURN), Moment.RELEASE)
)

NO_PLACE = (
    "Where the shooter stood could not be told from feet or ball; film so that the feet stay in "
    "view."
)

Taker = Callable[[Watched, Sequence[View], Event], Answer]


def measure_body(
    watched: Watched, events: Iterable[Event]
) -> tuple[tuple[BodyMeasure, ...], tuple[Left, ...]]:
    """Measure the body in one shot.

    Parameters
    ----------
    watched
        Body points, ball, camera and player.
    events
        Of this shot, found or set by hand; see ``events.find_events``.

    Returns
    -------
    tuple
        The measures that could be taken, in the order of ``Body``; and the others, each with one
        sentence why. Together every member of ``Body``, once.
    """
    found = tuple(events)
    release = time_of(found, Moment.RELEASE)
    seen = () if release is None else views(watched, release.time)
    measures, left = [], []
    for name in Body:
        answer = _checked(name, _answer(name, watched, seen=seen, events=found))
        if isinstance(answer, str):
            left.append(Left(name=name, reason=answer))
        else:
            measures.append(
                BodyMeasure(name=name, value=answer.value, sd=answer.sd, repeat_sd=answer.repeat_sd)
            )
    return tuple(measures), tuple(left)


def _checked(name: Body, answer: Answer) -> Answer:
    """Leave out what is too vague to use."""
    if isinstance(answer, str):
        return answer
    return gates.too_vague(name, answer.sd) or answer


def _answer(
    name: Body, watched: Watched, *, seen: Sequence[View], events: tuple[Event, ...]
) -> Answer:
    if name is Body.RELEASE_RATIO:
        return timing.release_ratio(watched)
    if name in gates.TIMES:
        return timing.span(name, watched, events=events)
    release = time_of(events, Moment.RELEASE)
    if release is None:
        return why_missing(watched, events, moment=Moment.RELEASE)
    if not seen:
        return NO_PLACE
    if name in TAKEN_AT:
        return _at_moment(name, watched, seen=seen, events=events)
    if name in (Body.STANCE_WIDTH, Body.STANCE_TURN):
        return floor.stance(name, watched, seen=seen, released=release.time)
    return _of_motion(name, watched, seen=seen, events=events)


def _at_moment(
    name: Body, watched: Watched, *, seen: Sequence[View], events: tuple[Event, ...]
) -> Answer:
    event = time_of(events, TAKEN_AT[name])
    if event is None:
        return why_missing(watched, events, moment=TAKEN_AT[name])
    if name in gates.SIDE_ANGLES:
        return angles.side_angle(name, watched, seen=seen, event=event)
    if name is Body.ELBOW_FLARE:
        return angles.elbow_flare(watched, seen, event=event)
    if name is Body.SIGHT_LINE:
        return angles.sight_line(watched, seen, event=event)
    return floor.turn(name, watched, seen=seen, event=event)


def _of_motion(
    name: Body, watched: Watched, *, seen: Sequence[View], events: tuple[Event, ...]
) -> Answer:
    if name is Body.DIP_DEPTH:
        return timing.dip_depth(watched, seen, events=events)
    if name is Body.JUMP_RISE:
        return timing.jump_rise(watched, seen, events=events)
    body = timing.body_speed(watched, seen, events=events)
    return body if name is Body.BODY_SPEED else timing.arm_speed(watched.ball, body)


def leg_drive(measures: Iterable[BodyMeasure]) -> str | None:
    """Return what release timing means for legs and arm in one sentence; None where not measured.

    Parameters
    ----------
    measures
        Of one shot.
    """
    known = {m.name: Number(value=m.value, repeat_sd=m.sd, shared_sd=0.0) for m in measures}
    if Body.BODY_SPEED not in known or Body.ARM_SPEED not in known:
        return None
    return timing.leg_drive(known[Body.BODY_SPEED], known[Body.ARM_SPEED])
