"""Practice in words: dates, tests, targets, spots; the same on every page and print."""

from collections.abc import Sequence
from datetime import date

from hoopwright.plans.nouns import Focus, PracticeTest, Stage, Target
from hoopwright.plans.progress import StageCall, Step
from hoopwright.plans.targets import makes_of
from hoopwright.reports import words

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
TEST_NAMES = {
    PracticeTest.COLD: "Cold test",
    PracticeTest.RETENTION: "Retention test",
    PracticeTest.TRANSFER: "Transfer test",
}
STAGE_WORDS = {
    Stage.CLOSE: "near the ring, one thing to feel",
    Stage.BLOCKED: "the same shot many times",
    Stage.VARIED: "the same shot from changing places or passes",
    Stage.RANDOM: "no two shots alike in a row",
    Stage.GAME_LIKE: "single shots after movement, under time or score",
}


def short_day(day: date) -> str:
    """Return e.g. ``Mon 30 Nov``."""
    return f"{day:%a} {day.day} {day:%b}"


def long_day(day: date) -> str:
    """Return e.g. ``Monday 30 November 2026``."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {day:%B} {day.year}"


def target_sentence(target: Target, shots: int) -> str:
    """Return what to expect of a run; "" where there is to be no target.

    The range holds what isn't known of the player and the luck of so many shots.
    """
    if target.expected is not None:
        makes = makes_of(target.expected, shots)
        usual = f"Usual for you: about {makes.usual} of {shots}"
        return f"{usual}; on most days {makes.low} to {makes.high}."
    if target.shots_needed is not None:
        needed = words.plural(target.shots_needed, "more charted shot")
        return f"No target yet: can't tell; about {needed} from here would tell."
    return ""


def worth_sentence(focus: Focus) -> str:
    """Return what the focus is likely to bring, with its range, or that it can't be told yet."""
    if focus.makes_per_100 is None:
        return "What it brings can't be told yet; the tests will show it."
    return words.opened(f"{words.gain(focus.makes_per_100)}, if it becomes a habit.")


def spots_words(names: Sequence[str]) -> str:
    """Return each name once, in order."""
    return words.listed(list(dict.fromkeys(names)))


def stage_sentence(call: StageCall, stage: Stage) -> str:
    """Say whether to go on from a stage, and from what."""
    seen = f"{call.made} of {call.shots} in the cold tests of this stage"
    if call.step is Step.CANNOT_TELL:
        more = words.plural(call.shots_needed, "more cold-test attempt")
        return f"Can't tell yet whether to go on from {stage.value}: {more} would tell."
    if call.needed is None:
        return f"Go on from {stage.value}: {seen}; there is no range of your own to hold it to yet."
    held = f"{seen}, {call.needed} or more were asked"
    if call.step is Step.GO_ON:
        return f"Go on from {stage.value}: {held}."
    if call.step is Step.STAY:
        return f"Stay at {stage.value}: {held}."
    return f"Go back one stage from {stage.value}: {held}; look at the film before going on."
