"""What games say, in sentences: against practice, in the next games, before and after a change."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.transfer.forecast import Forecast
from hoopwright.transfer.nouns import Band, ShotType
from hoopwright.transfer.ratio import RatioReading
from hoopwright.transfer.reliability import ENOUGH, attempts_for, reliability, spread_for
from hoopwright.transfer.transferred import Kind, Transfer
from hoopwright.trials.nouns import Said

#: what stands behind the first guess, by kind of shot; see ``transfer.ratio``
RULE_OF_THUMB = (
    "Before any game the trade's rule of thumb is taken: a game percentage is about half the "
    "practice one (common practice, no source), and may be far from it."
)
FREE_THROWS = (
    "Before any game it is taken that free throws fall little, to about 95 of 100 of the practice "
    "percentage (a study of one college team, from memory)."
)
LIKE_FOR_LIKE = (
    "Each kind of shot is held against itself, with one mix for both times: more easy shots are "
    "no better shooting."
)
_VERDICTS = {
    Said.BETTER: "Better in games since then.",
    Said.LEANING_BETTER: "Leaning better in games since then.",
    Said.CANNOT_TELL: "Can't tell yet whether it has come into games.",
    Said.LEANING_WORSE: "Leaning worse in games since then.",
    Said.WORSE: "Worse in games since then.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RatioFacts:
    """Practice and games in one kind of shot, in words."""

    kind: str
    practice: str
    game: str
    #: games over practice
    ratio: str
    #: what the numbers started from and what moved them
    source: str
    #: attempts still needed; "" where it is told
    needed: str
    #: how much of a percentage is skill after so many attempts; "" where nothing is published
    noise: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferFacts:
    """Games before and after a change, in words."""

    verdict: str
    #: one sentence each: difference, mix, what is still needed
    sentences: tuple[str, ...]
    #: heading row, then kind, before, after
    table: tuple[tuple[str, ...], ...]


def kind_words(shot_type: ShotType, contested: bool | None) -> str:
    """Return e.g. ``three off the catch, contested``."""
    noted = {None: "", True: ", contested", False: ", open"}[contested]
    return f"{shot_type.value}{noted}"


def of_hundred(share: Estimate) -> str:
    """Return a share as a count of a hundred, e.g. ``38 of 100 (likely 30 to 46)``."""
    value, low, high = (round(100 * v) for v in (share.value, share.low80, share.high80))
    return f"{value} of 100 (likely {low} to {high})"


def ratio_facts(reading: RatioReading) -> RatioFacts:
    """Say what practice and games say together of one kind of shot."""
    played = reading.played
    game = f"{of_hundred(reading.game)}, {_seen(played.made, played.attempts)}"
    low, high = (f"{100 * v:.0f}" for v in (reading.ratio.low80, reading.ratio.high80))
    return RatioFacts(
        kind=kind_words(played.shot_type, played.contested),
        practice=of_hundred(reading.practice),
        game=game,
        ratio=f"{100 * reading.ratio.value:.0f} game makes for 100 of practice "
        f"(likely {low} to {high})",
        source=_source(reading),
        needed=_needed(reading.attempts_needed),
        noise=noise_sentence(played.shot_type.band, played.attempts),
    )


def _seen(made: int, attempts: int) -> str:
    return f"from {made} of {attempts}" if attempts else "a guess: no game of this kind entered yet"


def _source(reading: RatioReading) -> str:
    free = reading.played.shot_type.band is Band.FREE_THROW
    moved = []
    if reading.others:
        moved.append(f"the games of {words.plural(reading.others, 'other player')} of this coach")
    if reading.played.attempts:
        moved.append(f"this player's {words.plural(reading.played.attempts, 'game attempt')}")
    by = f" It was moved by {words.listed(moved)}." if moved else ""
    return (FREE_THROWS if free else RULE_OF_THUMB) + by


def _needed(attempts: int) -> str:
    if not attempts:
        return ""
    more = words.about(attempts, "more game attempt")
    return f"Can't tell it to within 5 points yet: about {more} would."


def noise_sentence(band: Band, attempts: int) -> str:
    """Say how much of a percentage is skill after some attempts; "" where nothing is published."""
    spread = spread_for(band)
    if spread is None or attempts < 1:
        return ""
    skill = round(100 * reliability(attempts, spread))
    enough = attempts_for(ENOUGH, spread)
    what = "free throws" if band is Band.FREE_THROW else "threes"
    return (
        f"After {words.plural(attempts, 'attempt')} at {what}, about {skill} parts in 100 of how "
        f"players' percentages differ are skill, the rest luck; it takes about {enough} for "
        f"{100 * ENOUGH:.0f} in 100 (league players; a mixed group is told apart sooner)."
    )


def forecast_sentences(found: Forecast) -> tuple[str, ...]:
    """Say what to expect of some attempts, and how much of the range is luck."""
    makes, points = found.makes, found.points
    return (
        f"Out of {words.plural(found.attempts, 'attempt')}: about {makes.value:.0f} made (likely "
        f"{makes.low80:.0f} to {makes.high80:.0f}; could be {makes.low95:.0f} to "
        f"{makes.high95:.0f}).",
        f"About {points.value:.0f} points (likely {points.low80:.0f} to {points.high80:.0f}; could "
        f"be {points.low95:.0f} to {points.high95:.0f}).",
        f"Even if the percentage were known exactly, luck alone would give "
        f"{found.luck_low80:.0f} to {found.luck_high80:.0f} made in 8 of 10 such runs.",
    )


def transfer_facts(found: Transfer) -> TransferFacts:
    """Say whether games after a change differ from those before it."""
    return TransferFacts(
        verdict=_VERDICTS[found.said],
        sentences=tuple(_transfer_sentences(found)),
        table=(
            ("Kind of shot", "Before", "After"),
            *(
                (
                    kind_words(*kind),
                    f"{n.before_made} of {n.before}",
                    f"{n.after_made} of {n.after}",
                )
                for kind, n in found.compared.items()
            ),
        ),
    )


def _transfer_sentences(found: Transfer) -> Iterator[str]:
    yield words.opened(f"{words.gain(found.difference)}, like for like.")
    if found.mix_explains:
        yield (
            f"All shots together differ by {words.signed(found.plain)} makes per 100, but "
            f"{words.signed(found.by_mix)} of that come of another mix of shots, not of shooting."
        )
    if found.left_out:
        yield f"Taken at one time only, so left out: {_kinds(found.left_out)}."
    if found.attempts_needed:
        more = words.about(found.attempts_needed, "more game attempt")
        yield f"About {more} of the same mix after the change would tell."
    if found.attempts_needed is None:
        yield (
            "The games before the change are too few: with them only a difference of about "
            f"{found.smallest_clear:.0f} makes per 100 or more can ever be made clear."
        )


def _kinds(kinds: Sequence[Kind]) -> str:
    return words.listed([kind_words(*kind) for kind in kinds])
