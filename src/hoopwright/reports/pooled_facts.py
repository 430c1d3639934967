"""What is said of one question over many players: no names, each number with its range."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.reports.trial_words import amount, effect, measure_name, number, unit_of
from hoopwright.trials.crude import CrudeAndWithin
from hoopwright.trials.more import MOST_PLAYERS
from hoopwright.trials.nouns import BodyMeasure, Measure, Question, Said
from hoopwright.trials.pooled import SURELY_SMALL, Pooled


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerLine:
    """One player, read beside the others."""

    name: str
    #: from the player's own shots alone, and drawn in to the others
    alone: str
    together: str
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledFacts:
    """What many trials of one question say, in sentences."""

    said: str
    average: str
    differ: str
    helped: str
    following: str
    needed: str
    #: the heap of all shots against player by player; "" where there is none
    heap: str
    #: True where the heap points the other way
    flipped: bool
    players: tuple[PlayerLine, ...]
    #: how the players' numbers are to be read
    drawn_in: str


def pooled_facts(
    question: Question,
    pooled: Pooled,
    *,
    crude: CrudeAndWithin | None,
    names: Mapping[UUID, str] | None = None,
) -> PooledFacts:
    """Say in sentences what many trials say.

    Parameters
    ----------
    question
        What was asked.
    pooled
        The trials read together.
    crude
        The heap of all shots beside it.
    names
        Name of each player, where names were asked for; numbered where left out.
    """
    change, count = question.change, words.plural(len(pooled.players), "player")
    return PooledFacts(
        said=pooled.said.value,
        average=(
            f"Over {count}, {change} against {question.habit} ({measure_name(question.measure)}): "
            f"{effect(pooled.average, question.measure)} for the average player. "
            f"{words.opened(words.chances(pooled.chance_better))} that it is the better way."
        ),
        differ=_differ(question.measure, pooled),
        helped=f"Of players like these, it helps {words.of_ten(pooled.helped)}.",
        following=(
            f"The next player like these: {effect(pooled.next_player, question.measure)}; "
            f"{words.chances(pooled.next_better)} that it helps."
        ),
        needed=_needed(pooled),
        heap="" if crude is None else heap_sentence(question, crude),
        flipped=crude is not None and crude.flipped,
        players=player_lines(question, pooled, names),
        drawn_in=(
            "A player's own few shots say less than they seem to: each number is drawn in to the "
            "others', the more so the fewer shots are behind it."
        ),
    )


def player_names(pooled: Pooled, names: Mapping[UUID, str] | None) -> list[str]:
    """Return what each player is called on the page, in the order of the trials read."""
    if names is None:
        return [f"Player {place}" for place in range(1, len(pooled.players) + 1)]
    return [names.get(one.player, "?") for one in pooled.players]


def player_lines(
    question: Question, pooled: Pooled, names: Mapping[UUID, str] | None
) -> tuple[PlayerLine, ...]:
    """Return one line for each player."""
    called = player_names(pooled, names)
    return tuple(
        PlayerLine(
            name=name,
            alone=effect(one.alone, question.measure),
            together=effect(one.effect, question.measure),
            said=one.said.value,
        )
        for name, one in zip(called, pooled.players, strict=True)
    )


def _differ(measure: Measure | BodyMeasure, pooled: Pooled) -> str:
    if pooled.players_to_differ:
        more = words.plural(pooled.players_to_differ, "more player")
        return f"Can't tell yet how much players differ: {more} with a trial would say something."
    return (
        f"From player to player the gain differs by about {_spread(pooled.between, measure)}, one "
        "standard deviation."
    )


def _spread(between: Estimate, measure: Measure | BodyMeasure) -> str:
    unit = unit_of(measure)
    value, low, high = (
        number(end, unit, sign=False) for end in (between.value, between.low80, between.high80)
    )
    return f"{value}{unit.sign} (likely {low} to {high})"


def _needed(pooled: Pooled) -> str:
    if pooled.said in (Said.BETTER, Said.WORSE):
        return "Decided for the average player: no more trials are needed."
    if pooled.players_needed is None and pooled.shots_needed is None:
        return _not_more(pooled)
    parts = []
    if pooled.players_needed is not None:
        parts.append(f"about {words.plural(pooled.players_needed, 'more player')}")
    if pooled.shots_needed is not None:
        parts.append(f"about {pooled.shots_needed} more shots by each of these players")
    return f"What would settle it: {' or '.join(parts)}."


def _not_more(pooled: Pooled) -> str:
    """Say why no number of further players or shots is asked for."""
    if pooled.chance_small >= SURELY_SMALL:
        return "Settled: on average the difference is smaller than is worth knowing."
    if pooled.players_to_differ:
        return "Too few players yet to say how many more it takes: add some, and look again."
    return f"More than {MOST_PLAYERS} further players would be needed to settle the average."


def heap_sentence(question: Question, crude: CrudeAndWithin) -> str:
    """Set all shots in one heap beside player by player."""
    heap = amount(crude.crude, Measure.MAKE)
    within = effect(crude.within, Measure.MAKE)
    if not crude.flipped:
        return f"All shots in one heap: {heap}. Player by player: {within}."
    odds = crude.within_odds.value
    luck = (
        " Player by player may still be luck, too."
        if crude.flip_may_be_luck or not math.isfinite(odds)
        else ""
    )
    return (
        f"Don't believe the heap: all shots thrown together say {heap}, but player by player it is "
        f"{within}. Players who make more took more of their shots one way, and that turns the "
        f"heap round.{luck}"
    )
