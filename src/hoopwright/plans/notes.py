"""What to know before a plan is begun: a dip to expect, the season, too many shots, moved days."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from hoopwright.plans.dates import RETENTION, said_day
from hoopwright.plans.nouns import PracticePlan, PracticeTest
from hoopwright.records import LoadLimits

#: weeks a dip is usually guessed to last; common practice, no source
DIP_WEEKS = (2, 6)
GUIDE = "Stop on pain; a head knock ends the day. Local rules and a health professional come first."


def plan_notes(
    plan: PracticePlan,
    limits: LoadLimits,
    *,
    moved: Sequence[tuple[date, date | None]] = (),
) -> tuple[str, ...]:
    """Return the notes of a plan, each one or two sentences with the source of any limit.

    Parameters
    ----------
    plan
        The plan, with its sessions and tests.
    limits
        The usual cautions on load for the player's age.
    moved
        Wished days that were blocked, and where they went; None: dropped.
    """
    return (
        *_dip(plan),
        *_season(plan),
        *_too_much(plan, limits),
        *_moved(moved),
        *_late_tests(plan),
        GUIDE,
    )


def _dip(plan: PracticePlan) -> Iterator[str]:
    if not plan.focus.changes_form:
        return
    judged = [t.day for t in plan.tests if t.kind is PracticeTest.RETENTION]
    low, high = DIP_WEEKS
    yield (
        "Expect a dip: a changed movement often puts fewer shots in at first, usually for about "
        f"{low} to {high} weeks (common practice, no source). Don't judge it before the retention "
        f"test on {said_day(min(judged))}."
    )


def _season(plan: PracticePlan) -> Iterator[str]:
    season = plan.wish.season
    if season is None or not plan.focus.changes_form:
        return
    dip_over = plan.start + timedelta(weeks=max(plan.weeks, DIP_WEEKS[1]))
    if plan.start <= season.last and season.first <= dip_over:
        yield (
            f"The season goes from {said_day(season.first)} to {said_day(season.last)}, and the "
            "dip may fall into it: agree with the player and the team coach that the habit is "
            "shot in games until the tests say otherwise, or begin after "
            f"{said_day(season.last)}."
        )


def _too_much(plan: PracticePlan, limits: LoadLimits) -> Iterator[str]:
    tests = Counter[date]()
    for test in plan.tests:
        tests[test.day] += test.shots
    most = max(one.shots + tests[one.day] for one in plan.sessions)
    if most > limits.shots_a_day:
        yield (
            f"{most} shots a visit are more than the {limits.shots_a_day} from which to be careful "
            f"at this age ({limits.shots_source}): plan fewer, or more days with fewer shots."
        )
    if not plan.wish.coached:
        return
    numbers = {one.week for one in plan.sessions}
    weeks = [[one for one in plan.sessions if one.week == number] for number in sorted(numbers)]
    busiest = max(len({one.day for one in week}) for week in weeks)
    if busiest > limits.days_a_week:
        yield (
            f"{busiest} days a week leave too few rest days; at most {limits.days_a_week} days "
            f"with organised basketball are advised at this age ({limits.rest_source})."
        )
    hours = max(sum(one.minutes for one in week) for week in weeks) / 60
    if limits.hours_a_week is not None and hours > limits.hours_a_week:
        yield (
            f"{hours:.1f} hours of drills a week are more than the {limits.hours_a_week:g} "
            f"organised hours advised at this age, team practice and games among them "
            f"({limits.hours_source}): plan less."
        )


def _moved(moved: Sequence[tuple[date, date | None]]) -> Iterator[str]:
    for day, other in moved:
        if other is None:
            yield f"{said_day(day)} is blocked and its week has no free day: no visit then."
        else:
            yield f"{said_day(day)} is blocked: that visit is on {said_day(other)}."


def _late_tests(plan: PracticePlan) -> Iterator[str]:
    last = max(one.day for one in plan.sessions)
    days = sorted(t.day for t in plan.tests if t.kind is PracticeTest.RETENTION)
    for day, (_, (first, end)) in zip(days, RETENTION, strict=True):
        after = (day - last).days
        due = f"The retention test due {first} to {end} days after the last visit is on"
        if after > end:
            yield f"{due} {said_day(day)}, {after} days after it, as the days before are blocked."
        elif after < first:
            yield f"{due} {said_day(day)}, only {after} days after it: move it to a later day."


def with_notes(plan: PracticePlan, limits: LoadLimits) -> PracticePlan:
    """Return a plan that was changed with the notes that hold for it now."""
    return replace(plan, notes=plan_notes(plan, limits))
