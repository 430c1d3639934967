"""Half a page for the team coach: what changed, the cue, from where, when to judge it."""

from collections.abc import Iterator

from hoopwright.plans.nouns import PracticePlan, PracticeTest
from hoopwright.reports import words
from hoopwright.reports.people.material import InGames, Material, TriedChange
from hoopwright.reports.people.parts import Reader, Report, Section
from hoopwright.reports.people.plain import dated
from hoopwright.trials.nouns import Said

#: spots told: half a page has no room for more
MOST_SPOTS = 5
PRACTICE = "Practice, nobody guarding; in games usually fewer. Could be: 19 chances in 20."
UNSAID = (
    "No second tip: one cue at a time.",
    "No talk of form in games; the cue alone, or nothing.",
    "No judging by one game: ten or twenty shots are mostly luck.",
)
_SAID = {
    Said.BETTER: "it did better in a fair trial",
    Said.LEANING_BETTER: "it is in front in a fair trial, not settled yet",
    Said.CANNOT_TELL: "a fair trial can't tell yet",
    Said.LEANING_WORSE: "it is behind in a fair trial, not settled yet",
    Said.WORSE: "it did worse in a fair trial, and is dropped",
}


def team_report(material: Material) -> Report:
    """Return the half page for the team coach."""
    cue = material.plan.plan.cue.text if material.plan is not None else ""
    sections = [
        *((_stopped(material),) if material.load.stops else ()),
        Section(title="What changed", points=tuple(_changed(material))),
        Section(
            title="Cue",
            spoken=cue,
            lines=() if cue else ("None yet: please give no tips on form until there is one.",),
        ),
        _spots(material),
        Section(title="When to judge it", points=tuple(_when(material))),
        Section(title="What not to say", points=UNSAID),
    ]
    return Report(
        reader=Reader.TEAM,
        title=f"For the team coach: {material.player.name}",
        about=dated(material.day),
        sections=tuple(sections),
        closing=("Personal data: for the team's coaches only.",),
        invented=material.player.invented,
    )


def _stopped(material: Material) -> Section:
    """Say that there is a stop; the team coach need not know anything else of what hurts."""
    return Section(
        title="Does not play or practise",
        alert=tuple(one.message for one in material.load.stops),
    )


def _changed(material: Material) -> Iterator[str]:
    decided = [one for one in material.trials if one.verdict is not None]
    names = {one.plan.question.change for one in decided}
    for one in decided[:2]:
        yield f"{words.opened(one.plan.question.change)}: {_SAID[one.said]}{_gain(one)}."
    plan = material.plan.plan if material.plan is not None else None
    if plan is not None and plan.focus.name not in names:
        yield f"In practice {_since(plan, material)}: {plan.focus.name}."
    elif plan is not None:
        yield f"In practice {_since(plan, material)}."
    if not decided and plan is None:
        yield "Nothing: the shot is the player's usual one. Please leave it as it is."


def _since(plan: PracticePlan, material: Material) -> str:
    return f"{'since' if plan.start <= material.day else 'from'} {dated(plan.start)}"


def _gain(one: TriedChange) -> str:
    gain = one.verdict.effect.makes_per_100 if one.verdict is not None else None
    return f", {words.gain(gain)}" if gain is not None else ""


def _spots(material: Material) -> Section:
    habit = material.habit
    if habit is None:
        return Section(title="From where", lines=("Can't tell yet: nothing is charted.",))
    best = sorted(habit.spots, key=lambda one: -one.expected.value)[:MOST_SPOTS]
    return Section(
        title="From where",
        table=(
            ("Spot", "Makes in practice", "Charted"),
            *(
                (
                    words.opened(one.spot.name),
                    words.of_ten(one.expected),
                    f"{one.made} of {one.shots}",
                )
                for one in best
            ),
        ),
        note=PRACTICE,
    )


def _when(material: Material) -> Iterator[str]:
    changes = [one.change for one in material.in_games]
    if changes:
        newest = max(changes, key=lambda one: one.day)
        if newest.until >= material.day:
            yield (
                f"Not before {dated(newest.until)}: until then {newest.name} may cost makes, and "
                "that is no alarm."
            )
    tests = material.plan.tests if material.plan is not None else ()
    lasting = [one for one in tests if one.kind is not PracticeTest.COLD]
    if lasting:
        yield f"By tests, not by games: the last of them is on {dated(lasting[-1].day)}."
    for one in material.in_games[:1]:
        yield _game_sentence(one)
    if not changes and not lasting:
        yield "By tests, not by games; none is booked yet, so it is too early to judge."


def _game_sentence(one: InGames) -> str:
    transfer = one.transfer
    if transfer is None:
        return "In games: can't tell yet; it takes shots of one kind from before and after it."
    said = f"In games {one.change.name} is so far: {transfer.said.value}"
    said += f", {words.gain(transfer.difference)}, like for like"
    if transfer.attempts_needed:
        return f"{said}; about {transfer.attempts_needed} more game attempts would tell."
    return f"{said}."
