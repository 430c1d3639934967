"""A measure of the body now, against the player's own earlier shots: never against a norm.

A change is only said to be there when its 95 % range leaves out zero and it is larger than what a
pose model on phone film can see at all; it is never called good or bad.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy import stats

from hoopwright.errors import BadInput
from hoopwright.film import gates
from hoopwright.film.results import Body, BodyMeasure
from hoopwright.records import Estimate

#: fewer shots on either side say nothing
LEAST_SHOTS = 4
#: film this many at most, whatever the sums say
MOST_SHOTS = 200

#: changes below this are inside a pose model's error [rad]: 5°, arm 10° (common practice, no
#: source; errors behind it in docs/film-body.md)
ANGLE_FLOOR = math.radians(5.0)
ARM_FLOOR = math.radians(10.0)
#: and these, in pictures, metres, metres a second and shares of stature; judgements, no source
FRAMES_FLOOR = 2.0
PLACE_FLOOR = 0.03
SPEED_FLOOR = 0.15
RATIO_FLOOR = 0.015


class Seen(StrEnum):
    """What can be said of a change; the value is shown."""

    CHANGED = "changed"
    NOT_VISIBLE = "no visible change"
    CANT_TELL = "can't tell yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One measure now, less the same before."""

    name: Body
    seen: Seen
    #: now less before, with its ranges [SI]; None where either side has too few shots
    change: Estimate | None
    #: a smaller change could not be seen on film [SI]
    floor: float
    #: shots on each side that had the measure
    now: int
    before: int
    #: filmed shots still needed now; 0 where it is settled
    needed: int


def floor_of(name: Body, *, rate: float) -> float:
    """Return the smallest change of a measure that film can show [SI].

    Parameters
    ----------
    name
        The measure.
    rate
        Pictures a second of the slower of the two clips.

    Raises
    ------
    BadInput
        The rate is not above zero.
    """
    if not rate > 0.0:
        raise BadInput("The frame rate must be above zero; check the clip's true rate.")
    if name in gates.TIMES:
        return FRAMES_FLOOR / rate
    if name in gates.ANGLES:
        return ARM_FLOOR if name in gates.ARM else ANGLE_FLOOR
    if name in (Body.BODY_SPEED, Body.ARM_SPEED):
        return SPEED_FLOOR
    return RATIO_FLOOR if name is Body.RELEASE_RATIO else PLACE_FLOOR


def compare(
    name: Body, *, now: Sequence[BodyMeasure], before: Sequence[BodyMeasure],
    rate: float,
    same_place: bool = True,
) -> Change:  # fmt: skip
    """Compare a measure in some shots with the same in the player's own earlier shots.

    Parameters
    ----------
    name
        The measure; all rows of another name are left aside.
    now, before
        The measure of each shot.
    rate
        Pictures a second of the slower of the two clips.
    same_place
        True where the camera stood in the same place both times; else what a pose model gets
        wrong is not the same either, and the shared errors of both are added.

    Returns
    -------
    Change
        Difference of the means with Welch's standard error, each side's never below what the
        measures' own errors allow, and Student ranges [Welch1947]_.
    """
    sides = [[m for m in side if m.name is name] for side in (now, before)]
    counts = len(sides[0]), len(sides[1])
    floor = floor_of(name, rate=rate)
    if min(counts) < LEAST_SHOTS:
        return Change(
            name=name, seen=Seen.CANT_TELL, change=None, floor=floor, now=counts[0],
            before=counts[1], needed=max(LEAST_SHOTS - counts[0], 0),
        )  # fmt: skip
    shared = 0.0 if same_place else math.hypot(*(_shared(side) for side in sides))
    change, error = _difference(sides, shared)
    seen = _seen(change, floor)
    return Change(
        name=name, seen=seen, change=change, floor=floor, now=counts[0], before=counts[1],
        needed=0 if seen is Seen.CHANGED else _needed(counts, error, shared=shared, floor=floor),
    )  # fmt: skip


def _shared(side: Sequence[BodyMeasure]) -> float:
    """Middle error that all shots of one place share [SI]."""
    return float(np.median([math.sqrt(max(m.sd**2 - m.own_sd**2, 0.0)) for m in side]))


def _difference(sides: Sequence[Sequence[BodyMeasure]], shared: float) -> tuple[Estimate, float]:
    """Difference with its ranges, and the standard error of the sampling alone."""
    values = [np.array([m.value for m in side]) for side in sides]
    variance = []
    for side, v in zip(sides, values, strict=True):
        noise = float(np.mean([m.own_sd**2 for m in side]))
        variance.append(max(float(v.var(ddof=1)), noise) / len(v))
    error = math.sqrt(sum(variance))
    freedom = error**4 / sum(
        s**2 / (len(v) - 1) for s, v in zip(variance, values, strict=True)
    ) if error > 0.0 else math.inf  # fmt: skip
    middle = float(values[0].mean() - values[1].mean())
    whole = math.hypot(error, shared)
    far = {p: float(stats.t.ppf(0.5 + 0.5 * p, freedom)) * whole for p in (0.5, 0.8, 0.95)}
    estimate = Estimate(
        value=middle, low50=middle - far[0.5], high50=middle + far[0.5],
        low80=middle - far[0.8], high80=middle + far[0.8],
        low95=middle - far[0.95], high95=middle + far[0.95],
    )  # fmt: skip
    return estimate, error


def _seen(change: Estimate, floor: float) -> Seen:
    """Tell whether a change is outside its own range and what film can show."""
    outside = change.low95 > 0.0 or change.high95 < 0.0
    return Seen.CHANGED if outside and abs(change.value) >= floor else Seen.NOT_VISIBLE


def _needed(counts: tuple[int, int], error: float, *, shared: float, floor: float) -> int:
    """Shots still needed now until the 95 % range reaches no further than the floor either way."""
    wanted = (floor / 1.96) ** 2 - shared**2
    if error**2 <= wanted:
        return 0
    # half of the variance is each side's; only the side of now can grow
    each = 0.5 * error**2
    if wanted <= each:
        return MOST_SHOTS
    total = math.ceil(counts[0] * each / (wanted - each))
    return min(max(total - counts[0], 1), MOST_SHOTS)


def sentence(change: Change) -> str:
    """Return what a coach reads about a change.

    Parameters
    ----------
    change
        As ``compare`` gives it.
    """
    name = str(change.name).capitalize()
    if change.change is None:
        more = max(change.needed, LEAST_SHOTS - change.before, 1)
        return f"{name}: can't tell yet; film {_more(more)}."
    said = _range(change.name, change.change)
    if change.seen is Seen.CHANGED:
        return f"{name}: {said} against the player's own earlier shots."
    if not change.needed:
        return f"{name}: no visible change, {said}."
    if change.needed >= MOST_SHOTS:
        return f"{name}: no visible change, {said}; from here film can't settle it."
    return f"{name}: no visible change so far, {said}; film {_more(change.needed)} to be sure."


def _more(count: int) -> str:
    return f"{count} more shot{'' if count == 1 else 's'}"


def _range(name: Body, change: Estimate) -> str:
    unit, factor = _unit(name)
    places = {"m/s": 2, "% of stature": 1}.get(unit, 0)
    value, low, high = (
        f"{v * factor:+.{places}f}".replace("-", "−")
        for v in (change.value, change.low95, change.high95)
    )
    space = "" if unit == "°" else " "
    return f"{value}{space}{unit} (could be {low} to {high})"


def _unit(name: Body) -> tuple[str, float]:
    """Return the unit shown, and the factor to it from SI."""
    if name in gates.ANGLES:
        return "°", math.degrees(1.0)
    if name in gates.TIMES:
        return "ms", 1000.0
    if name in (Body.BODY_SPEED, Body.ARM_SPEED):
        return "m/s", 1.0
    return ("% of stature", 100.0) if name is Body.RELEASE_RATIO else ("cm", 100.0)
