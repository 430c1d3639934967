"""Plain sentences that the player's and the family's report share; short words, short sentences.

A reading age of twelve or less is checked with a published formula in the tests. ``Voice`` says
the same to the player ("you") and of the player ("your child").
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from hoopwright.chart.findings import ConditionReading, Lean
from hoopwright.plans.nouns import FocusKind, PlanSession, PracticeTest
from hoopwright.reports import words
from hoopwright.reports.people.material import ComingTest, Material, TriedChange
from hoopwright.reports.progress_facts import said_date
from hoopwright.transfer.progress import PlaceLine
from hoopwright.trials.nouns import Said

#: shots that make a first reading worth having; common practice, no source
START = 20
#: most strengths told
MOST_STRENGTHS = 2
#: what each kind of focus means
MEANING = {
    FocusKind.AIM_ALONG: "Bring the middle of the shots back: not short, not long.",
    FocusKind.AIM_ACROSS: "Bring the middle of the shots back: not left, not right.",
    FocusKind.DISTANCE_CONTROL: "Make each shot fly the same way, no shorter and no longer.",
    FocusKind.LINE_CONTROL: "Keep each shot on the line to the ring.",
    FocusKind.ARC: "Change how high the ball flies.",
    FocusKind.FORM: "Shoot this way each time.",
    FocusKind.TRANSFER: "Take the shot from practice into games.",
}
#: what each test is
TESTS = {
    PracticeTest.COLD: "cold test: the first shots of the day, with no help before",
    PracticeTest.RETENTION: "test to see if it lasts: the same shots again, days later",
    PracticeTest.TRANSFER: "game test: one shot at a time, as in a game",
}


@dataclass(frozen=True, slots=True)
class Voice:
    """Who is spoken of."""

    #: "you" or "your child"
    subject: str
    #: "your" or "your child's"
    own: str

    @property
    def you(self) -> bool:
        """Tell whether the player is spoken to."""
        return self.subject == "you"

    def does(self, verb: str) -> str:
        """Return subject and verb, e.g. ``you make`` or ``your child makes``."""
        return f"{self.subject} {verb if self.you else _third(verb)}"


YOU = Voice("you", "your")
CHILD = Voice("your child", "your child's")


def _third(verb: str) -> str:
    return {"are": "is", "have": "has", "do": "does"}.get(verb, f"{verb}s")


def strengths(material: Material, voice: Voice) -> tuple[str, ...]:
    """Return what goes well, never empty: nobody is told a fault first."""
    found = list(_strengths(material, voice))
    if not found:
        return (_start(material, voice),)
    return tuple(found[:MOST_STRENGTHS])


def _strengths(material: Material, voice: Voice) -> Iterator[str]:
    for line in material.progress:
        if line.said is Said.BETTER:
            yield f"At the {place_name(line)} {voice.does('make')} more than at the first test."
    for one in material.trials:
        if one.said is Said.BETTER:
            yield f"A new way was tried fairly: {one.plan.question.change}. It is better."
    habit = material.habit
    if habit is not None:
        yield from _steady(habit, voice)
    if len(material.days) > 1:
        yield f"{_taken(material, voice)} That is good work."


def _steady(habit: ConditionReading, voice: Voice) -> Iterator[str]:
    if habit.across_lean is Lean.FINE:
        yield f"{words.opened(voice.does('shoot'))} straight, neither left nor right."
    if habit.along_lean is Lean.FINE:
        yield (
            f"{words.opened(voice.does('judge'))} the way to the ring well: short and long shots "
            "are about the same in number."
        )


def _taken(material: Material, voice: Voice) -> str:
    shots, days = words.plural(material.shots, "shot"), words.plural(len(material.days), "day")
    return f"{words.opened(voice.does('have'))} taken {shots} on {days} for this chart."


def _start(material: Material, voice: Voice) -> str:
    if not material.shots:
        return f"{words.opened(voice.does('have'))} joined in. That is the first step."
    return f"{_taken(material, voice)} A good start."


def place_name(line: PlaceLine) -> str:
    """Return where a test is shot from, as it stands within a sentence."""
    return f"{line.place} spot" if line.place else "test spots"


def make_lines(material: Material, voice: Voice) -> tuple[str, ...]:
    """Say how many go in, or what it takes to tell."""
    habit = material.habit
    if habit is None:
        return (
            "Can't tell yet how many go in: no shots are on the chart. "
            f"About {START} shots make a good start.",
        )
    said = f"From the spots on the chart {voice.does('make')} {words.of_ten(habit.make)}."
    needed = needed_for(habit, "make")
    if needed is None:
        return (said,)
    return (said, f"Can't tell it more closely yet: about {rounded(needed)} more shots would help.")


def rounded(shots: int) -> str:
    """Return a number of shots still needed to two figures, as it is no surer than that."""
    return f"{int(float(f'{shots:.2g}')):,}"


def needed_for(habit: ConditionReading, question: str) -> int | None:
    """Return how many more shots would settle an open question; None where none is known to."""
    for one in habit.cannot_tell:
        if one.question == question and one.shots_needed and not one.beyond:
            return one.shots_needed
    return None


def lean_lines(material: Material, voice: Voice) -> tuple[str, ...]:
    """Say which way the misses lean, where it is known, or what it takes to tell."""
    habit = material.habit
    if habit is None:
        return ()
    leans = [
        one.value
        for one in (habit.along_lean, habit.across_lean)
        if one not in (Lean.FINE, Lean.CANNOT_TELL)
    ]
    if leans:
        return (f"{words.opened(voice.own)} shots tend to go {words.listed(leans)}.",)
    if habit.along_lean is Lean.CANNOT_TELL:
        needed = needed_for(habit, "aim_along")
        if needed is not None:
            return (
                "Can't tell yet if the shots tend to go short or long: about "
                f"{rounded(needed)} more shots would tell.",
            )
        return ("Can't tell yet if the shots tend to go short or long.",)
    return ("The shots lean no special way.",)


def trial_lines(one: TriedChange) -> tuple[str, ...]:
    """Say what a trial says so far, in plain words, and what is still needed."""
    change, habit = one.plan.question.change, one.plan.question.habit
    usual = "the usual way" if habit == "habit" else habit
    tried = "We try" if one.going else "We tried"
    said = {
        Said.BETTER: f"{tried} {change} against {usual}. It is better.",
        Said.LEANING_BETTER: f"{tried} {change} against {usual}. It looks better so far, but it "
        "may still be luck.",
        Said.CANNOT_TELL: f"{tried} {change} against {usual}. Can't tell yet which is better.",
        Said.LEANING_WORSE: f"{tried} {change} against {usual}. It looks worse so far, but it may "
        "still be luck.",
        Said.WORSE: f"{tried} {change} against {usual}. It is worse, so the usual way stays.",
    }[one.said]
    needed = one.verdict.shots_needed if one.verdict is not None else None
    if one.said in (Said.BETTER, Said.WORSE) or not needed:
        return (said,)
    return (said, f"About {rounded(needed)} more shots would tell.")


def coming_lines(material: Material) -> tuple[str, ...]:
    """Say what comes next: the next visit, the trial that goes on, or more shots to count."""
    lines = []
    if material.plan is not None and material.plan.coming is not None:
        lines.append(_visit_line(material.plan.coming, material.day))
    going = material.going
    if going is not None:
        done, blocks = going.blocks_done, len(going.plan.blocks)
        lines.append(
            f"The trial goes on: {done} of {blocks} turns are done. The order is drawn by lot, so "
            "keep to it."
        )
    if lines:
        return tuple(lines)
    if material.habit is None:
        return (f"Shoot about {START} shots while the coach counts.",)
    if material.focus is not None:
        return ("Next we plan practice for the one thing to work on.",)
    needed = needed_for(material.habit, "best_change")
    if needed is not None:
        return (f"About {rounded(needed)} more shots on the chart would tell what to work on.",)
    return ("Keep the shot as it is, and let the coach count more shots.",)


def _visit_line(visit: PlanSession, today: date) -> str:
    if visit.day < today:
        return f"Practice {visit.number} was set for {said_date(visit.day)}. Pick a new day for it."
    shots = words.plural(visit.shots, "shot")
    return f"Next practice: {said_date(visit.day)}. It has {shots}."


def test_line(test: ComingTest) -> str:
    """Say when a test is and what it is."""
    return f"{said_date(test.day)}: {test.shots} shots. It is a {TESTS[test.kind]}."


def knowing_lines(material: Material) -> tuple[str, ...]:
    """Say how we will know whether it works."""
    lines: list[str] = []
    if material.plan is not None:
        lines += [test_line(one) for one in next_tests(material)]
    if material.going is not None:
        lines.append("In the trial we count both ways from the same spots, and then compare.")
    if not lines:
        return (
            "On some days the first 10 shots are a test, before any help. We hold these tests "
            "side by side. One good or bad day is mostly luck.",
        )
    return (*lines, "One good or bad day is mostly luck, so we look at all tests as one.")


def next_tests(material: Material) -> tuple[ComingTest, ...]:
    """Return the next booked test of each kind."""
    coming: dict[PracticeTest, ComingTest] = {}
    for one in material.plan.tests if material.plan is not None else ():
        coming.setdefault(one.kind, one)
    return tuple(sorted(coming.values(), key=lambda one: one.day))


def dated(day: date) -> str:
    """Return e.g. ``3 November 2026``."""
    return said_date(day)
