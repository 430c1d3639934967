"""What a report says, before it is drawn: sentences as data, each number with its range.

"Likely" is the 80 % range everywhere, "could be" the 95 % range. The sentences speak to the
player, so that the coach can hand over the phone. No player is compared with another, and no
run of makes is given a meaning.
"""

import math
import re
from dataclasses import dataclass

from hoopwright.chart.findings import (
    CannotTell,
    Change,
    ConditionReading,
    Findings,
    Lean,
    PriorRow,
    SpotReading,
    Tally,
    Worth,
)
from hoopwright.chart.needed import TRIED
from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.reports.film_facts import film_sentences
from hoopwright.units import to_centimetres, to_degrees

#: a spot is named as not following the others where its counts were less likely than this under
#: the model; strict, because a chart has several spots and one may look odd by luck alone
ODD_SPOT = 0.02
#: the best change is called so only where it is this sure to gain anything
SURE_GAIN = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthFact:
    """One change, in words."""

    change: Change
    #: e.g. "6 cm deeper aim"
    name: str
    #: e.g. "about +9 makes per 100 (likely +3 to +14)"
    gain: str
    #: that it is the best of those weighed, e.g. "about 7 chances in 10"
    chance: str
    makes_per_100: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotFact:
    """One spot, in words."""

    name: str
    distance: float
    counts: str
    expected: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionFacts:
    """What is said of one condition of one player."""

    #: "Habit" or the name of the change
    title: str
    counts: str
    make: str
    #: how many of ten icons to fill
    of_ten: int
    #: the whole story in a few sentences: lean, best change, line, arc
    headline: tuple[str, ...]
    #: aim and spread, each with its range
    measures: tuple[str, ...]
    #: what filmed shots say by themselves; empty where none was filmed
    film: tuple[str, ...]
    worth: tuple[WorthFact, ...]
    spots: tuple[SpotFact, ...]
    #: spots that do not follow the others
    odd_spots: tuple[str, ...]
    #: open questions as whole sentences
    cannot_tell: tuple[str, ...]
    #: the same as pairs: what is open, what would settle it
    open_questions: tuple[tuple[str, str], ...]
    not_measured: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Everything a report says of one player."""

    player: str
    conditions: tuple[ConditionFacts, ...]
    notes: tuple[str, ...]
    prior: tuple[str, ...]


def facts_of(findings: Findings) -> Facts:
    """Say in sentences what the findings found."""
    notes = findings.notes
    if len(findings.conditions) > 1:
        notes = (
            *notes,
            "Different conditions are read one by one; shots taken on different days or in a "
            "fixed order are not a fair comparison of them.",
        )
    return Facts(
        player=findings.player_name,
        conditions=tuple(condition_facts(reading) for reading in findings.conditions),
        notes=notes,
        prior=prior_sentences(findings),
    )


def condition_facts(reading: ConditionReading) -> ConditionFacts:
    """Say in sentences what one condition's reading found."""
    return ConditionFacts(
        title=condition_title(reading.condition),
        counts=counts_sentence(reading.tally),
        make=make_sentence(reading),
        of_ten=round(10 * reading.make.value),
        headline=headline(reading),
        measures=measures(reading),
        film=film_sentences(reading.film),
        worth=tuple(worth_fact(worth) for worth in reading.worth),
        spots=tuple(spot_fact(spot) for spot in reading.spots),
        odd_spots=tuple(odd_spot(s) for s in reading.spots if s.fit < ODD_SPOT),
        cannot_tell=tuple(cannot_tell_sentence(one) for one in reading.cannot_tell),
        open_questions=tuple(open_question(one) for one in reading.cannot_tell),
        not_measured=not_measured(reading.tally),
    )


def condition_title(condition: str) -> str:
    """Return the heading of one condition."""
    return condition or "Habit"


def counts_sentence(tally: Tally) -> str:
    """Return the counts in words, e.g. ``40 shots charted: 31 made, 7 short and 2 long.``."""
    named = [
        (tally.made, "made"),
        (tally.short, "short"),
        (tally.long, "long"),
        (tally.left, "left"),
        (tally.right, "right"),
        (tally.plain_misses, "missed" if tally.points else "missed with no direction noted"),
    ]
    said = [f"{count} {name}" for count, name in named if count or name == "made"]
    points = f"; {words.plural(tally.points, 'landing point')}" if tally.points else ""
    points += f", {tally.filmed} of them filmed" if tally.filmed else ""
    return f"{words.plural(tally.shots, 'shot')} charted: {words.listed(said)}{points}."


def make_sentence(reading: ConditionReading) -> str:
    """Return the expected share over the spots charted, as a count of ten."""
    return f"From the spots charted you make {words.of_ten(reading.make)}."


def headline(reading: ConditionReading) -> tuple[str, ...]:
    """Return the few sentences a coach reads first."""
    lines = [along_sentence(reading), best_change_sentence(reading), across_sentence(reading)]
    lines += [cannot_tell_sentence(c) for c in reading.cannot_tell if c.question == "angle"]
    return tuple(lines)


def along_sentence(reading: ConditionReading) -> str:
    """Say whether misses lean short or long."""
    tally = reading.tally
    seen = _seen(tally, short=tally.short, long=tally.long)
    match reading.along_lean:
        case Lean.SHORT if tally.short > tally.long:
            return f"You miss short more often than long ({seen})."
        case Lean.LONG if tally.long > tally.short:
            return f"You miss long more often than short ({seen})."
        case Lean.SHORT:
            return f"Expect more short misses than long ones ({seen})."
        case Lean.LONG:
            return f"Expect more long misses than short ones ({seen})."
        case Lean.FINE:
            return f"Short/long is fine: the two about balance ({seen})."
        case _:
            return _open_question(reading, "aim_along", f"a short or long habit ({seen})")


def across_sentence(reading: ConditionReading) -> str:
    """Say whether shots lean left or right."""
    tally = reading.tally
    seen = _seen(tally, left=tally.left, right=tally.right)
    aim = words.off_centre(reading.aim_across, "left", "right")
    match reading.across_lean:
        case Lean.LEFT if tally.left > tally.right:
            return f"You miss left more often than right ({seen}): the aim is {aim}."
        case Lean.RIGHT if tally.right > tally.left:
            return f"You miss right more often than left ({seen}): the aim is {aim}."
        case Lean.LEFT | Lean.RIGHT:
            return f"Your aim is {aim}; {seen}."
        case Lean.FINE:
            return f"Left/right is fine ({seen})."
        case _:
            return _open_question(reading, "aim_across", f"a left or right habit ({seen})")


def _seen(tally: Tally, **ways: int) -> str:
    """Return what a lean was read from: directions, landing points, or both."""
    shots = f"in {words.plural(tally.shots, 'shot')}"
    points = words.plural(tally.points, "landing point")
    noted = ", ".join(f"{count} {way}" for way, count in ways.items())
    if not any(ways.values()):
        return f"from {points}" if tally.points else f"no {' or '.join(ways)} noted {shots}"
    return f"{noted} and {points} {shots}" if tally.points else f"{noted} {shots}"


def _open_question(reading: ConditionReading, question: str, about: str) -> str:
    for one in reading.cannot_tell:
        if one.question == question:
            return f"Can't tell yet about {about}: {still_needed(one)}."
    return f"Can't tell yet about {about}."


def best_change_sentence(reading: ConditionReading) -> str:
    """Name the one change most likely to pay, or say that it can't be told yet."""
    open_questions = {one.question: one for one in reading.cannot_tell}
    if not reading.worth:
        return "Can't tell yet which single change is best: chart more shots."
    best = reading.worth[0]
    unsettled = open_questions.get("best_change")
    if unsettled is not None and _nothing_placed(reading):
        return (
            "Can't tell yet which single change is best: makes and misses don't show it; note "
            f"which way each miss goes, then {still_needed(unsettled)}."
        )
    if unsettled is not None:
        return (
            f"Can't tell yet which single change is best: {still_needed(unsettled)}. In front so "
            f"far: {change_name(best)}, worth {words.gain(best.makes_per_100)}."
        )
    if best.chance_gain < SURE_GAIN or round(best.makes_per_100.value) < 1:
        return (
            "No single change weighed here stands out; the first of them, "
            f"{change_name(best)}, is worth {words.gain(best.makes_per_100)}."
        )
    return f"Best single change: {change_name(best)}, worth {words.gain(best.makes_per_100)}."


def _nothing_placed(reading: ConditionReading) -> bool:
    tally = reading.tally
    return not (tally.short or tally.long or tally.left or tally.right or tally.points)


def measures(reading: ConditionReading) -> tuple[str, ...]:
    """Return aim and spread as sentences with ranges."""
    where = f"at {reading.reference_distance:.1f} m"
    along = words.centred(reading.aim_along, "short", "long")
    across = words.centred(reading.aim_across, "left", "right")
    return (
        f"Aim {where}, from ring centre: {along}; {across}.",
        f"Distance control {where}: spread {words.width(reading.spread_along)}.",
        f"Line control {where}: spread {words.width(reading.spread_across)}.",
    )


_UNMOVED = {
    Change.AIM_ALONG: "depth of aim, as good as it is",
    Change.AIM_ACROSS: "left/right aim, as good as it is",
}


def change_name(worth: Worth) -> str:
    """Return the change as a coach would say it, with its size."""
    size = abs(worth.amount)
    centimetres = f"{round(to_centimetres(size))} cm"
    if centimetres == "0 cm" and worth.change in _UNMOVED:
        return _UNMOVED[worth.change]
    match worth.change:
        case Change.AIM_ALONG:
            return f"{centimetres} {'deeper' if worth.amount > 0 else 'shorter'} aim"
        case Change.AIM_ACROSS:
            return f"aim {centimetres} further {'right' if worth.amount > 0 else 'left'}"
        case Change.DISTANCE_CONTROL:
            return f"{round(100 * size)} % tighter distance control"
        case Change.LINE_CONTROL:
            return f"{round(100 * size)} % tighter line control"
        case Change.ANGLE_UP:
            return f"release {to_degrees(size):.0f}° higher"
        case _:
            return f"release {to_degrees(size):.0f}° lower"


def worth_fact(worth: Worth) -> WorthFact:
    """Return one line of the worth table."""
    return WorthFact(
        change=worth.change,
        name=change_name(worth),
        gain=words.gain(worth.makes_per_100),
        chance=words.chances(worth.chance_best),
        makes_per_100=worth.makes_per_100,
    )


def spot_fact(spot: SpotReading) -> SpotFact:
    """Return one line of the table of spots."""
    return SpotFact(
        name=spot.spot.name,
        distance=spot.spot.distance,
        counts=f"{spot.made} of {spot.shots}",
        expected=words.of_ten(spot.expected),
    )


def odd_spot(spot: SpotReading) -> str:
    """Say that a spot does not follow the others, without claiming why."""
    side = "fewer" if spot.made < spot.expected.value * spot.shots else "more"
    return (
        f"{spot.spot.name} does not follow the other spots ({spot.made} of {spot.shots} made, "
        f"{side} than expected): chart it again before believing it."
    )


def still_needed(one: CannotTell) -> str:
    """Return what would settle an open question."""
    if one.question == "angle":
        return "makes and misses don't show it; film 10 shots from the side"
    if one.beyond:
        return f"even {one.shots_needed or TRIED[-1]} more shots would not tell"
    if one.shots_needed is None:
        return "charting alone won't tell"
    return f"about {one.shots_needed} more shots would tell"


_QUESTIONS = {
    "aim_along": "whether misses lean short or long",
    "aim_across": "whether the aim is left or right",
    "best_change": "which single change is best",
    "make": "how many of 10 go in, closer than the range given",
    "angle": "arc",
}


def cannot_tell_sentence(one: CannotTell) -> str:
    """Return one open question and what would settle it."""
    about = _QUESTIONS.get(one.question, one.question)
    link = " " if about.startswith(("whether", "which", "how")) else " about "
    return f"Can't tell yet{link}{about}: {still_needed(one)}."


_ABOUT = {
    "aim_along": "Short or long",
    "aim_across": "Left or right",
    "best_change": "Best single change",
    "make": "Makes, more closely",
    "angle": "Arc",
}


def open_question(one: CannotTell) -> tuple[str, str]:
    """Return an open question as a pair: what is open, what would settle it."""
    if one.question == "angle":
        needed = "film 10 shots from the side"
    elif one.beyond:
        needed = f"more than {one.shots_needed or TRIED[-1]} more shots"
    elif one.shots_needed is None:
        needed = "charting alone won't tell"
    else:
        needed = f"about {one.shots_needed} more shots"
    return _ABOUT.get(one.question, one.question), needed


def not_measured(tally: Tally) -> tuple[str, ...]:
    """Say what this chart did not look at."""
    said = ["Speed, arc and spin of the ball, and the body: a chart can't see them."]
    if tally.filmed:
        said = ["Spin of the ball: taken as usual, 2 turns a second."]
    if tally.points == 0:
        said.append(
            "Landing points: centimetres here are worked out from the makes and the directions "
            "of the misses."
        )
    if tally.short + tally.long and not tally.left + tally.right + tally.points:
        said.append("Left and right: no miss was noted that way.")
    if tally.plain_misses and not tally.points:
        missed = words.plural(tally.plain_misses, "miss", "misses")
        said.append(f"The direction of {missed}.")
    said.append("Games, pressure, and whether it lasts to another day.")
    return tuple(said)


def prior_sentences(findings: Findings) -> tuple[str, ...]:
    """Say what was assumed before the first shot."""
    rows = (
        f"{_plain_name(row.name)}: {_prior_words(row)} ({row.source})" for row in findings.prior
    )
    return (f"Assumed before the first shot, from {findings.prior_from}:", *rows)


def _plain_name(name: str) -> str:
    """Drop the scale a number is kept on from its name: it is shown on the plain one."""
    return words.opened(re.sub(r",? (log|share|atanh) of [a-z ]+$", "", name))


def _prior_words(row: PriorRow) -> str:
    """Return centre and width on the plain scale; a log scale gives a factor."""
    if row.unit.startswith("log"):
        unit = row.unit.removeprefix("log").strip()
        return f"{_in_unit(math.exp(row.centre), unit)}, within a factor of {math.exp(row.sd):.2f}"
    return f"{_in_unit(row.centre, row.unit)}, give or take {_in_unit(row.sd, row.unit)}"


def _in_unit(value: float, unit: str) -> str:
    if unit == "rad":
        return f"{to_degrees(value):.1f}°"
    if unit == "share":
        return f"{100 * value:.1f} %"
    return f"{value:.3g} {unit}".strip()
