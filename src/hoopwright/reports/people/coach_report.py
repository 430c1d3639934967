"""The coach's own report: everything that is known, as the pages say it."""

from collections.abc import Iterator

from hoopwright.load.stops import DEFERS
from hoopwright.reports import words
from hoopwright.reports.facts import ConditionFacts, facts_of
from hoopwright.reports.game_facts import RatioFacts, ratio_facts, transfer_facts
from hoopwright.reports.page import HOW_TO_READ
from hoopwright.reports.people.material import InGames, LoadSoFar, Material, TriedChange
from hoopwright.reports.people.parts import Reader, Report, Section, Ten, ten_of
from hoopwright.reports.people.pictures import (
    RATIOS,
    condition_pictures,
    progress_pictures,
)
from hoopwright.reports.people.plain import dated
from hoopwright.reports.practice_words import TEST_NAMES, stage_sentence, worth_sentence
from hoopwright.reports.progress_facts import HOW_TO_READ as HOW_TO_READ_PROGRESS
from hoopwright.reports.progress_facts import line_facts
from hoopwright.reports.trial_facts import verdict_facts
from hoopwright.transfer.progress import PlaceLine


def coach_report(material: Material) -> Report:
    """Return all that is known of a player, section by section."""
    return Report(
        reader=Reader.COACH,
        title=f"Everything on {material.player.name}",
        about=_about(material),
        sections=(
            *_stops(material.load),
            *_findings(material),
            *_trials(material),
            _plan(material),
            *_progress(material),
            *_games(material),
            _load(material.load),
            _film(material),
        ),
        closing=(DEFERS, "Personal data: for the coach alone."),
        invented=material.player.invented,
    )


def _about(material: Material) -> str:
    days = words.plural(len(material.days), "day")
    return f"{dated(material.day)}: {words.plural(material.shots, 'shot')} charted on {days}"


def _stops(load: LoadSoFar) -> tuple[Section, ...]:
    said = tuple(one.message for one in load.stops)
    return (Section(title="Does not practise", alert=said),) if said else ()


def _findings(material: Material) -> tuple[Section, ...]:
    if material.findings is None:
        return (Section(title="Findings", lines=("Nothing is charted yet.",)),)
    facts = facts_of(material.findings)
    read = zip(facts.conditions, material.findings.conditions, strict=True)
    found = [
        _condition(one, ten_of("Expected from the spots charted", reading.make), number)
        for number, (one, reading) in enumerate(read)
    ]
    notes = Section(title="How the findings were read", points=(*facts.notes, *facts.prior),
                    note=HOW_TO_READ)  # fmt: skip
    return (*found, notes)


def _condition(one: ConditionFacts, expected: Ten, number: int) -> Section:
    said = [*one.headline, *one.measures, *one.film, *one.odd_spots]
    rest = [line for line in one.cannot_tell if line not in one.headline]
    spots = [
        f"{spot.name}, {spot.distance:.1f} m: {spot.counts} made; {spot.expected}."
        for spot in one.spots
    ]
    return Section(
        title=f"Findings: {one.title}",
        tens=(expected,),
        lines=(one.counts,),
        points=(*said, *spots, *rest, *(f"Not measured: {line}" for line in one.not_measured)),
        table=(
            ("Change", "Worth", "Chance to be the best of these"),
            *((words.opened(w.name), w.gain, w.chance) for w in one.worth),
        ),
        pictures=condition_pictures(number),
    )


def _trials(material: Material) -> tuple[Section, ...]:
    if not material.trials:
        return (Section(title="Trials", lines=("None yet.",)),)
    return tuple(_trial(one, number) for number, one in enumerate(material.trials))


def _trial(one: TriedChange, number: int) -> Section:
    question = one.plan.question
    done = f"{one.blocks_done} of {len(one.plan.blocks)} blocks done."
    title = f"Trial: {question.change}"
    if one.verdict is None:
        return Section(title=title, lines=(question.what, done), points=(one.missing,))
    facts = verdict_facts(one.plan, one.verdict)
    return Section(
        title=f"{title}, {facts.said}",
        lines=(question.what, facts.headline, done),
        points=(
            facts.effect, *facts.counts, facts.chance, facts.needed, facts.luck, *facts.guards,
        ),
        table=(("Measure", "Difference"), *facts.rows),
        pictures=(f"trial-{number}",),
    )  # fmt: skip


def _plan(material: Material) -> Section:
    so_far = material.plan
    if so_far is None:
        open_choices = tuple(f"{words.opened(f.name)}: {f.reason}" for f in material.choices)
        return Section(title="Practice", lines=("No plan goes on.",), points=open_choices)
    plan = so_far.plan
    lines = [
        f"{words.opened(plan.focus.name)}. {plan.focus.reason} {worth_sentence(plan.focus)}",
        f"{words.plural(plan.weeks, 'week')} from {dated(plan.start)}: {so_far.visits_done} of "
        f"{len(plan.sessions)} visits done.",
    ]
    points = []
    if so_far.coming is not None:
        stage = so_far.coming.stage
        points.append(f"Next visit: {dated(so_far.coming.day)}, {stage.value}, "
                      f"{words.plural(so_far.coming.shots, 'shot')}.")  # fmt: skip
        if so_far.call is not None:
            points.append(stage_sentence(so_far.call, stage))
    points += [f"{TEST_NAMES[t.kind]}: {dated(t.day)}, {t.shots} attempts." for t in so_far.tests]
    return Section(
        title="Practice", spoken=plan.cue.text, lines=tuple(lines), points=(*points, *plan.notes)
    )


def _progress(material: Material) -> tuple[Section, ...]:
    if not material.progress:
        return (Section(title="Progress", lines=("No cold test yet.",)),)
    named = progress_pictures(material)
    return tuple(
        _line(line, tuple(n for n in named if n == f"progress-{number}"))
        for number, line in enumerate(material.progress)
    )


def _line(line: PlaceLine, named: tuple[str, ...]) -> Section:
    facts = line_facts(line)
    return Section(
        title=f"Progress: {facts.place}",
        lines=(facts.now,),
        points=facts.sentences,
        table=facts.table if line.points else (),
        pictures=named,
        note=HOW_TO_READ_PROGRESS,
    )


def _games(material: Material) -> Iterator[Section]:
    if not material.ratios:
        yield Section(title="Games", lines=("No game and no practice of a kind that games have.",))
        return
    facts = [ratio_facts(one) for one in material.ratios]
    yield Section(
        title="Games beside practice",
        lines=(f"{words.plural(material.games, 'game')} with attempts of this player.",),
        points=tuple(_still(one) for one in facts if one.needed),
        table=(
            ("Kind of shot", "Practice", "Games", "Games for practice"),
            *((one.kind, one.practice, one.game, one.ratio) for one in facts),
        ),
        pictures=(RATIOS,),
        note=" ".join(dict.fromkeys(one.source for one in facts)),
    )
    yield from (_change(one) for one in material.in_games)


def _still(one: RatioFacts) -> str:
    return f"{words.opened(one.kind)}: {one.needed}"


def _change(one: InGames) -> Section:
    title = f"In games: {one.change.name}"
    if one.transfer is None:
        return Section(title=title, lines=(f"Can't tell yet. {one.missing}",))
    facts = transfer_facts(one.transfer)
    return Section(title=title, lines=(facts.verdict,), points=facts.sentences, table=facts.table)


def _load(load: LoadSoFar) -> Section:
    flags = [
        f"{words.opened(one.kind.value)}, {dated(one.day)}: "
        + ("not cleared" if one.cleared_on is None else f"cleared {dated(one.cleared_on)}")
        + "."
        for one in load.flags
    ]
    said = [f"{one.message} ({one.source})" for one in load.cautions if one not in load.stops]
    age = "Age not known: read as the youngest." if load.age is None else f"Age: {load.age}."
    return Section(
        title="Load and care",
        lines=(age, f"{words.plural(len(load.entries), 'day')} written down in the last year."),
        points=(*said, *flags) or ("Nothing written down is above the usual limits.",),
    )


def _film(material: Material) -> Section:
    said = f"{words.plural(material.films, 'clip')} kept; none is in this report."
    return Section(title="Film", lines=(said,))
