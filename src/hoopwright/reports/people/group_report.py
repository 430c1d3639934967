"""A coach's players together: counts and pooled trials; no names unless they are asked for."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from hoopwright.chart.findings import Lean
from hoopwright.reports import words
from hoopwright.reports.people.material import Material
from hoopwright.reports.people.parts import Reader, Report, Section
from hoopwright.reports.people.plain import coming_lines, dated
from hoopwright.reports.pooled_facts import pooled_facts
from hoopwright.trials.crude import CrudeAndWithin
from hoopwright.trials.nouns import Question
from hoopwright.trials.pooled import Pooled

#: fewer players than this can be told from a count
FEW = 5
NO_COACH = "players without a coach"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PooledTrials:
    """One question over several players."""

    question: Question
    #: None where nobody's trial can be read yet
    pooled: Pooled | None
    crude: CrudeAndWithin | None
    players: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroupMaterial:
    """All that is known of a coach's players on one day."""

    #: as written with the players; "" for players without one
    coach: str
    day: date
    members: tuple[Material, ...]
    trials: tuple[PooledTrials, ...] = ()


def group_report(group: GroupMaterial, *, names: bool = False) -> Report:
    """Return what can be said of a group.

    Parameters
    ----------
    group
        The players together.
    names
        True lists each player by name, in the order of the alphabet, with what comes next; no
        makes are set side by side.
    """
    members = group.members
    sections = [
        Section(title="How much was charted", points=tuple(_charted(members))),
        Section(title="How the shots go", points=tuple(_shots(members))),
        Section(title="What is worked on", points=tuple(_work(members))),
        *_trials(group.trials),
        Section(title="Care and load", points=tuple(_care(members))),
    ]
    if names:
        sections.append(_by_name(members))
    return Report(
        reader=Reader.GROUP,
        title=f"Group: {group.coach or NO_COACH}",
        about=f"{words.plural(len(members), 'player')}, {dated(group.day)}",
        sections=tuple(sections),
        closing=tuple(_privacy(members, names=names)),
        invented=any(one.player.invented for one in members),
    )


def _charted(members: Sequence[Material]) -> Iterator[str]:
    with_shots = [one for one in members if one.shots]
    shots = sum(one.shots for one in members)
    yield f"{words.plural(shots, 'shot')} by {len(with_shots)} of {len(members)} players."
    tested = sum(bool(one.progress) for one in members)
    yield f"Cold tests by {tested} of {len(members)}; games entered of "\
        f"{sum(bool(one.games) for one in members)}."  # fmt: skip


def _shots(members: Sequence[Material]) -> Iterator[str]:
    habits = [one.habit for one in members if one.habit is not None]
    if not habits:
        yield "Can't tell yet: nothing is charted."
        return
    along = Counter(one.along_lean for one in habits)
    across = Counter(one.across_lean for one in habits)
    yield f"Short or long: {_counted(along, (Lean.SHORT, Lean.LONG), len(habits))}."
    yield f"Left or right: {_counted(across, (Lean.LEFT, Lean.RIGHT), len(habits))}."
    if len(habits) >= FEW:
        low, middle, high = np.quantile([one.make.value for one in habits], (0.25, 0.5, 0.75))
        yield (
            f"From their own spots the middle player makes about {round(10 * middle)} of 10; half "
            f"of the players lie from {round(100 * low)} to {round(100 * high)} of 100. Spots, "
            "rings and ages differ, so nobody is compared with anybody. These are the players' "
            "best guesses; each has a range of its own."
        )


def _counted(found: Counter[Lean], sides: tuple[Lean, Lean], players: int) -> str:
    said = [f"{found[side]} {side.value}" for side in sides]
    said += [f"{found[Lean.FINE]} fine", f"can't tell yet of {found[Lean.CANNOT_TELL]}"]
    return f"{', '.join(said)} (of {players} charted)"


def _work(members: Sequence[Material]) -> Iterator[str]:
    plans = [one.plan for one in members if one.plan is not None]
    kinds = Counter(one.plan.focus.kind for one in plans)
    yield f"A plan goes on for {len(plans)} of {len(members)} players."
    for kind, count in kinds.most_common():
        yield f"{words.opened(kind.value)}: {words.plural(count, 'player')}."
    going = sum(one.going is not None for one in members)
    yield f"A trial goes on with {words.plural(going, 'player')}."


def _trials(found: Sequence[PooledTrials]) -> Iterator[Section]:
    if not found:
        yield Section(title="Trials together", lines=("No trials yet.",))
    for one in found:
        title = f"Trials together: {one.question.change}"
        if one.pooled is None or len(one.pooled.players) < 2:
            read = 0 if one.pooled is None else len(one.pooled.players)
            said = (
                "Can't tell yet: it takes trials of two players or more with something to "
                f"compare; so far there are {read}, of {words.plural(one.players, 'player')}."
            )
            yield Section(title=title, lines=(said,))
            continue
        facts = pooled_facts(one.question, one.pooled, crude=one.crude)
        lines = (facts.average, facts.helped, facts.following, facts.differ, facts.needed)
        yield Section(title=f"{title}, {facts.said}", points=(*lines, *filter(None, [facts.heap])))


def _care(members: Sequence[Material]) -> Iterator[str]:
    stopped = sum(bool(one.load.stops) for one in members)
    careful = sum(bool(one.load.cautions) and not one.load.stops for one in members)
    yield f"Stopped today, for pain or a head knock: {stopped}."
    yield f"With a caution about load: {careful}. See each player's load for what and why."
    unknown = sum(one.load.age is None for one in members)
    if unknown:
        yield f"Year of birth not told of {unknown}: read as the youngest."


def _by_name(members: Sequence[Material]) -> Section:
    rows = [
        (one.player.name, _work_on(one), _next(one))
        for one in sorted(members, key=lambda m: m.player.name.casefold())
    ]
    return Section(title="Player by player", table=(("Player", "Work", "Next"), *rows))


def _work_on(one: Material) -> str:
    if one.focus is not None:
        return one.focus.name
    return "no change" if one.going is None else f"trial of {one.going.plan.question.change}"


def _next(one: Material) -> str:
    return "does not practise" if one.load.stops else coming_lines(one)[0]


def _privacy(members: Sequence[Material], *, names: bool) -> Iterator[str]:
    if names:
        yield "With names: personal data, for the coach alone. Never for parents or players."
    elif len(members) < FEW:
        yield f"Fewer than {FEW} players can be told from counts: handle it as personal data."
    else:
        yield "No names. The order says nothing of who is better."
