"""The player's page: strength first, one picture, one cue, what next, how we will know."""

from hoopwright.reports import words
from hoopwright.reports.people.material import Material
from hoopwright.reports.people.parts import Reader, Report, Section, ten_of
from hoopwright.reports.people.pictures import one_picture
from hoopwright.reports.people.plain import (
    MEANING,
    YOU,
    coming_lines,
    dated,
    knowing_lines,
    lean_lines,
    make_lines,
    strengths,
)

NO_CUE = "Pick a cue with your coach: a few words of your own."
NOTHING_TO_CHANGE = "There is nothing to change for now. Keep your shot as it is."


def player_report(material: Material) -> Report:
    """Return what the player reads: one page, one thing to work on."""
    sections = [_stop(material)] if material.load.stops else []
    sections += [
        Section(title="What you do well", points=strengths(material, YOU)),
        _now(material),
        _one_thing(material),
        Section(title="What next", points=_next(material)),
        *(() if material.load.stops else (_knowing(material),)),
    ]
    return Report(
        reader=Reader.PLAYER,
        title=material.player.name,
        about=f"Your shot on {dated(material.day)}",
        sections=tuple(sections),
        closing=(_safe(material),),
        invented=material.player.invented,
    )


def _stop(material: Material) -> Section:
    """Say first that there is no shooting today; what happened is told to grown-ups."""
    grown_up = "Talk to your parents and your coach." if material.minor else "Talk to your coach."
    lines = ("No shooting for now.", f"First get well. {grown_up}")
    return Section(title="Stop", alert=lines)


def _next(material: Material) -> tuple[str, ...]:
    if material.load.stops:
        return ("Get well first. Then we go on from here.",)
    return coming_lines(material)


def _knowing(material: Material) -> Section:
    return Section(title="How we will know", points=knowing_lines(material))


def _now(material: Material) -> Section:
    habit = material.habit
    return Section(
        title="Your shot now",
        tens=()
        if habit is None
        else (ten_of("From the spots on your chart you make", habit.make),),
        lines=(*make_lines(material, YOU)[habit is not None :], *lean_lines(material, YOU)),
        pictures=one_picture(material),
    )


def _one_thing(material: Material) -> Section:
    focus = material.focus
    going = material.going
    if focus is None and going is not None:
        change = going.plan.question.change
        said = (
            f"For now you try two ways in turn: {change}, and your usual way. Do your best in both."
        )
        return Section(title="Your one thing", lines=(said,))
    if focus is None:
        lines = (NOTHING_TO_CHANGE,) if material.habit is not None else ()
        return Section(title="Your one thing", lines=(*lines, NO_CUE))
    cue = material.plan.plan.cue.text if material.plan is not None else ""
    return Section(
        title="Your one thing",
        spoken=cue,
        lines=(
            f"{words.opened(focus.name)}. {MEANING[focus.kind]}",
            *(() if cue else (NO_CUE,)),
        ),
    )


def _safe(material: Material) -> str:
    if material.minor:
        return (
            "If it hurts, stop and tell a grown-up. If you hit your head, stop at once: a doctor "
            "says when you may play again."
        )
    return (
        "If it hurts, stop for today, and see a doctor if it stays. If you hit your head, stop at "
        "once: a doctor says when you may play again."
    )
