"""A plan, or what one could be about, in words and as JSON."""

from collections.abc import Sequence
from typing import Any

from hoopwright.actions.plans import PlanView
from hoopwright.cli.show import say
from hoopwright.plans.nouns import Drill, Focus, PlanSession, PracticeTest, Target
from hoopwright.records import Player
from hoopwright.reports.data import estimate_data
from hoopwright.reports.practice_facts import plan_facts
from hoopwright.reports.practice_words import stage_sentence, worth_sentence

_PER_CENT = 100.0


def say_nothing_yet(player: Player, choices: Sequence[Focus]) -> None:
    """Print what a plan could be about."""
    say(f"{player.name}: no plan goes on.", heading=True)
    for one in choices:
        say(f"  {one.name}: {worth_sentence(one)} {one.reason}")
    if not choices:
        say("  Neither findings nor trials can tell yet what pays most.")
    say("Make one with --cue and, if it is to be about something else, --focus.")


def say_plan(view: PlanView, drills: Sequence[Drill]) -> None:
    """Print a plan: focus, cue, visits, tests and what to know beforehand."""
    facts = plan_facts(view.plan, view.player.name, drills=drills)
    logs = {one.number: one for one in view.logs}
    say(f"{facts.player}: {facts.focus}, “{facts.cue}”", heading=True)
    say(f"  {facts.worth} {facts.reason}")
    say(f"  {facts.size}. {facts.cold_test}")
    for title, visits in facts.weeks:
        say(title)
        for one in visits:
            log = logs.get(one.number)
            state = "" if log is None else " (done)" if log.done else " (left out)"
            parts = ", ".join(f"{name} {shots}" for name, shots in one.drills)
            say(f"  {one.number}. {one.day}, {one.stage.lower()}{state}: {parts}")
    for day, name, how in facts.tests:
        say(f"{name}, {day}: {how}")
    if view.call is not None and view.next_session is not None:
        say(stage_sentence(view.call, view.next_session.stage))
    for note in facts.notes:
        say(note)


def as_data(player: Player, view: PlanView | None, *, choices: Sequence[Focus]) -> dict[str, Any]:
    """Return a plan as plain values: each number with its range, or null where it isn't told."""
    return {
        "player": player.name,
        "plan": None if view is None else _plan(view),
        "focus_choices": [_focus(one) for one in choices],
    }


def _focus(one: Focus) -> dict[str, Any]:
    worth = one.makes_per_100
    return {
        "kind": one.kind.value,
        "name": one.name,
        "chosen_from": one.chosen_from.value,
        "reason": one.reason,
        "makes_per_100": None if worth is None else estimate_data(worth),
        "changes_form": one.changes_form,
    }


def _plan(view: PlanView) -> dict[str, Any]:
    plan = view.plan
    return {
        "id": str(plan.id),
        "focus": _focus(plan.focus),
        "cue": plan.cue.text,
        "start": plan.start.isoformat(),
        "weeks": plan.weeks,
        "visits": [_visit(one, view) for one in plan.sessions],
        "tests": [
            {
                "day": one.day.isoformat(),
                "kind": one.kind.value,
                "attempts": one.shots,
                "spots": [spot.name for spot in one.spots],
            }
            | _target(one.target)
            for one in plan.tests
            if one.kind is not PracticeTest.COLD
        ],
        "notes": list(plan.notes),
    }


def _visit(one: PlanSession, view: PlanView) -> dict[str, Any]:
    log = view.log_of(one.number)
    scores = {score.item: score for score in log.scores} if log else {}
    return {
        "number": one.number,
        "day": one.day.isoformat(),
        "week": one.week,
        "stage": one.stage.value,
        "done": None if log is None else log.done,
        "drills": [
            {
                "drill": item.drill,
                "shots": item.shots,
                "minutes": item.minutes,
                "spots": [spot.name for spot in item.spots],
                "made": scores[i].made if i in scores else None,
                "attempts": scores[i].attempts if i in scores else None,
            }
            | _target(item.target)
            for i, item in enumerate(one.items)
        ],
    }


def _target(target: Target) -> dict[str, Any]:
    expected = target.expected
    return {
        "expected_per_100": None if expected is None else estimate_data(expected, _PER_CENT),
        "shots_needed": target.shots_needed,
    }
