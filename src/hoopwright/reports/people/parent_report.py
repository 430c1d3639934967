"""The family's report: progress with ranges, care and load, what was not measured, no ranking."""

from datetime import timedelta

from hoopwright.errors import BadInput
from hoopwright.load.limits import WEEK
from hoopwright.load.nouns import FlagKind
from hoopwright.load.stops import is_open
from hoopwright.reports import words
from hoopwright.reports.people.material import GROWN_UP, LoadSoFar, Material
from hoopwright.reports.people.parts import Reader, Report, Section, Ten, ten_of
from hoopwright.reports.people.pictures import progress_pictures
from hoopwright.reports.people.plain import (
    CHILD,
    MEANING,
    coming_lines,
    dated,
    lean_lines,
    make_lines,
    next_tests,
    place_name,
    rounded,
    strengths,
    test_line,
    trial_lines,
)
from hoopwright.transfer.progress import PlaceLine
from hoopwright.trials.nouns import Said

#: days looked back on in the table of load
MONTH = 28
PAIN = (
    "If something hurts, stop for the day. See a doctor if it is strong, if it stays or if it "
    "comes back."
)
HEAD = (
    "After a knock to the head: stop at once, and no more sport that day. Do not leave your child "
    "alone. See a doctor, and call for help at once if it gets worse. Only a doctor or nurse with "
    "a licence can say when to play again. A coach can't."
)
#: said in every report, whatever was written down
_ALWAYS = {FlagKind.PAIN: PAIN, FlagKind.HEAD_KNOCK: HEAD}
DEFERS_PLAIN = "This is not medical advice. Your doctor and your local rules come first."
NO_RANKS = "This report is of your child alone. We set no child beside another."
NO_FILM = "There is no film in this report."
_MOVED = {
    Said.BETTER: "That is better than at first.",
    Said.LEANING_BETTER: "It looks better than at first, but it may still be luck.",
    Said.CANNOT_TELL: "Can't tell yet if it has moved.",
    Said.LEANING_WORSE: "It looks lower than at first, but it may still be luck.",
    Said.WORSE: "That is lower than at first. We look for the cause, and do not push.",
}


def parent_report(material: Material) -> Report:
    """Return what the family reads.

    Raises
    ------
    BadInput
        The player is grown up: nothing is told to the family then.
    """
    if not material.minor:
        raise BadInput(
            f"{material.player.name} is {GROWN_UP} or older; give the player's own report, which "
            "may be handed on."
        )
    return Report(
        reader=Reader.PARENT,
        title=f"For the family of {material.player.name}",
        about=_about(material),
        sections=(
            *((_stopped(material),) if material.load.stops else ()),
            Section(title="What goes well", points=strengths(material, CHILD)),
            *_progress(material),
            _work(material),
            _care(material),
            Section(title="What was not measured", points=_not_measured(material)),
            Section(title="Film and data", points=_kept(material)),
        ),
        closing=(NO_RANKS, DEFERS_PLAIN),
        invented=material.player.invented,
    )


def _about(material: Material) -> str:
    if not material.days:
        return f"{dated(material.day)}, before the first counted shot"
    first, last = material.days[0], material.days[-1]
    span = dated(first) if first == last else f"{dated(first)} to {dated(last)}"
    return f"{words.plural(material.shots, 'shot')} counted, {span}"


def _stopped(material: Material) -> Section:
    kinds = _open_kinds(material)
    lines = []
    if FlagKind.HEAD_KNOCK in kinds:
        lines.append(f"A knock to the head was written down. {HEAD}")
    if FlagKind.PAIN in kinds:
        lines.append(f"Pain was written down, so there is no practice today. {PAIN}")
    return Section(title="Please read first", alert=tuple(lines))


def _open_kinds(material: Material) -> set[FlagKind]:
    return {flag.kind for flag in material.load.flags if is_open(flag, material.day)}


def _progress(material: Material) -> tuple[Section, ...]:
    told = [line for line in material.progress if line.points]
    if not told:
        return (
            Section(
                title="Progress",
                tens=_level(material),
                lines=(
                    *make_lines(material, CHILD)[material.habit is not None :],
                    "Can't tell yet about progress. We read it from cold tests: the first shots "
                    "of a day, with no help before. None was taken so far.",
                ),
            ),
        )
    named = progress_pictures(material, most=1)
    sections = [_line(line, first=place == 0) for place, line in enumerate(told)]
    last = sections[-1]
    sections[-1] = Section(
        title=last.title, tens=last.tens, lines=last.lines, pictures=named,
        note="Could be: 19 chances in 20 that the true number is in this range.",
    )  # fmt: skip
    return tuple(sections)


def _level(material: Material) -> tuple[Ten, ...]:
    if material.habit is None:
        return ()
    return (ten_of("From the spots on the chart", material.habit.make),)


def _line(line: PlaceLine, *, first: bool) -> Section:
    before, now = line.points[0], line.points[-1]
    tens = [ten_of(f"First test, {dated(before.day)}", before.level)]
    if now.day != before.day:
        tens.append(ten_of(f"Last test, {dated(now.day)}", now.level))
    lines = []
    if line.gain is None:
        lines.append("Can't tell yet how it moves: one more test on another day is needed.")
    else:
        lines.append(_MOVED[line.said])
    if line.attempts_needed:
        lines.append(
            f"About {rounded(line.attempts_needed)} more test shots would tell the level well."
        )
    lines += [
        f"A new way often costs some shots at first. We expect that until {dated(dip.until)}."
        for dip in line.dips
        if dip.open
    ]
    lines += [
        "A new way has cost shots for longer than we said. We look at it again."
        for dip in line.dips
        if dip.overdue
    ]
    where = words.opened(place_name(line))
    return Section(title=f"{'Progress' if first else 'More progress'}: {where}",
                   tens=tuple(tens), lines=tuple(lines))  # fmt: skip


def _work(material: Material) -> Section:
    lines = list(lean_lines(material, CHILD))
    focus = material.focus
    if focus is not None:
        lines.append(f"The one thing to work on: {focus.name}. {MEANING[focus.kind]}")
    elif material.going is None:
        lines.append("There is nothing to change for now.")
    if material.plan is not None:
        cue = material.plan.plan.cue.text
        lines.append(f"The cue is “{cue}”. Please give no other tips, so that one thing can grow.")
    for one in material.trials:
        if one.going or one.verdict is not None:
            lines += trial_lines(one)
    if not material.load.stops:
        lines += coming_lines(material)
        lines += [test_line(one) for one in next_tests(material)]
    return Section(title="What we work on", points=tuple(lines))


def _care(material: Material) -> Section:
    load = material.load
    said = [one.message for one in load.cautions if one not in load.stops]
    sources = dict.fromkeys(one.source for one in load.cautions if one not in load.stops)
    lines = [
        *said,
        *(() if said else ("Nothing that was written down is above the usual limits.",)),
        "We know only what was written down, so tell us of other sport too.",
        *(text for kind, text in _ALWAYS.items() if kind not in _open_kinds(material)),
    ]
    return Section(
        title="Care and load",
        points=tuple(lines),
        table=_done(material, load),
        note=f"Limits from: {'; '.join(sources)}." if sources else "",
    )


def _done(material: Material, load: LoadSoFar) -> tuple[tuple[str, ...], ...]:
    rows = [("Written down or charted", "Days", "Hours with a coach or team", "Shots", "Games")]
    for title, days in (("Last 7 days", WEEK), (f"Last {MONTH} days", MONTH)):
        since = material.day - timedelta(days=days)
        entries = [one for one in load.entries if since < one.day <= material.day]
        shots = sum(one.coached_shots + one.self_led_shots for one in entries)
        hours = sum(one.organised_minutes for one in entries) / 60
        rows.append((title, str(len({one.day for one in entries})), f"{hours:.1f}", str(shots),
                     str(sum(one.games for one in entries))))  # fmt: skip
    return tuple(rows)


def _not_measured(material: Material) -> tuple[str, ...]:
    said = []
    tally = material.habit.tally if material.habit is not None else None
    if tally is None or not tally.filmed:
        said.append("How fast and how high the ball flies, and how the body moves.")
    if not material.games:
        said.append("Shots in games. Games are often harder than practice.")
    if not any(line.marks for line in material.progress):
        said.append("If it lasts for weeks.")
    said.append("Strength, health and how hard your child tries. This is about the shot alone.")
    return tuple(said)


def _kept(material: Material) -> tuple[str, ...]:
    held = "No clip of your child is kept with the chart."
    if material.films:
        clips = words.plural(material.films, "clip")
        held = f"The coach keeps {clips} of your child with the chart."
    return (
        NO_FILM,
        held,
        "You may ask to see what is kept, and to have it erased. It stays with the coach.",
    )
