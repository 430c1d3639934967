"""What a player's feel knows of the shot, in sentences."""

from dataclasses import dataclass
from datetime import date

from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.trials.feel import FEWEST, Against, Feel, Trust
from hoopwright.trials.feel_made import FeelStep

_TRUST = {
    Trust.FEEL: "Trust feel: practise by it, also when nobody films.",
    Trust.BOTH: "Feel first, then film to check: it tells something, not all.",
    Trust.FILM: "Look at film: for now, how a shot felt says next to nothing of where it went.",
    Trust.NOT_YET: "Keep saying the feel before looking, and go by film until it is told.",
}
ASK = (
    "Before looking where the ball goes, the player says how the shot felt, 0 to 10; then the "
    "result is tapped. Said after the result, it tells nothing."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeelFacts:
    """One player's feel, in sentences."""

    said: str
    trust: str
    #: how often feel is right, and beside what
    right: str
    needed: str
    #: feel, made of shots, share with its range
    steps: tuple[tuple[str, str, str], ...]
    #: day, shots, mean feel, how often right
    days: tuple[tuple[str, str, str, str], ...]
    drift: str
    notes: tuple[str, ...]


def feel_facts(feel: Feel) -> FeelFacts:
    """Say in sentences what one player's feel knows."""
    return FeelFacts(
        said=feel.told.value,
        trust=_TRUST[feel.trust],
        right=_right(feel),
        needed=_needed(feel.shots_needed, told=feel.trust is not Trust.NOT_YET),
        steps=tuple(_step(one) for one in feel.steps),
        days=tuple(
            (
                _day(date.fromordinal(one.day)),
                f"{one.made} of {one.shots}",
                f"{one.feel:.1f}",
                "too few shots" if one.right is None else often(one.right),
            )
            for one in feel.days
        ),
        drift=_drift(feel.drift),
        notes=_notes(feel),
    )


def trust_sentence(trust: Trust) -> str:
    """Return what a player should go by."""
    return _TRUST[trust]


def often(right: Estimate) -> str:
    """Return a chance of being right as times in 100, with its ranges."""
    value, low, high, least, most = (
        round(100 * end)
        for end in (right.value, right.low80, right.high80, right.low95, right.high95)
    )
    return f"{value} times in 100 (likely {low} to {high}; could be {least} to {most})"


def _right(feel: Feel) -> str:
    if feel.right is None or feel.shots < FEWEST:
        return f"{words.plural(feel.shots, 'shot')} with a feel so far: too few to say anything."
    beside = (
        "came down nearer to the aim" if feel.against is Against.LANDING else "was the made one"
    )
    return (
        f"Of two shots, the one that felt better {beside} {often(feel.right)}; a coin gets 50. "
        f"From {words.plural(feel.shots, 'shot')} with a feel."
    )


def _needed(shots: int | None, *, told: bool) -> str:
    if shots is not None:
        return f"About {words.plural(shots, 'more shot')} with a feel would tell."
    return "" if told else "More shots alone won't tell: say the feel with more care, or film."


def _step(step: FeelStep) -> tuple[str, str, str]:
    feel = f"{step.low:g}" if step.low == step.high else f"{step.low:g} to {step.high:g}"
    share = step.share
    likely = (
        f"{100 * share.value:.0f} of 100 (likely {100 * share.low80:.0f} to "
        f"{100 * share.high80:.0f})"
    )
    return feel, f"{step.made} of {step.shots}", likely


def _drift(drift: Estimate | None) -> str:
    if drift is None:
        return "Can't tell yet whether it gets better: three days of 20 shots or more would say."
    value, low, high = (words.signed(100 * end) for end in (drift.value, drift.low80, drift.high80))
    return f"From the first day to the last: {value} times in 100 (likely {low} to {high})."


def _notes(feel: Feel) -> tuple[str, ...]:
    notes = []
    if feel.against is Against.LANDING and feel.made is not None:
        notes.append(
            f"Beside make or miss alone, feel is right {often(feel.made.concordance)}; the verdict "
            "goes by where the ball came down, which says more."
        )
    if feel.backwards:
        notes.append(
            "It goes the wrong way round: what felt better was worse. Ask what the player means by "
            "a good feel."
        )
    if feel.score_gain is not None:
        gain = feel.score_gain
        saved, low, high = (
            words.signed(100 * end) for end in (gain.value, gain.low80, gain.high80)
        )
        notes.append(
            f"Knowing how a shot felt makes a forecast of make or miss {saved} % closer than the "
            f"player's share made alone does (likely {low} to {high}; below 0 it misleads)."
        )
    return tuple(notes)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
