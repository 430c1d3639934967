"""Whether a change shows in games: like shots before and after, the mix of shots held equal.

A player who takes more free throws and fewer threes after the change makes more of all shots
without shooting better. So each kind (shot type, contested or not) is compared with itself, and
the kinds are added with one mix for both times: [Kitagawa1955]_ splits the plain difference
into the part of the rates and the part of the mix.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Estimate
from hoopwright.transfer.nouns import Band, GameLine, ShotType
from hoopwright.transfer.said import said_of
from hoopwright.transfer.shares import Floats
from hoopwright.trials.nouns import Said

#: share made in games that a kind is likely near, before any attempt: common practice, no source
USUAL = {Band.FREE_THROW: 0.65, Band.RIM: 0.50, Band.MID: 0.38, Band.TWO: 0.45, Band.THREE: 0.32}
#: scatter of players around it, in the log of the odds; common practice, no source
USUAL_SD = 0.7
#: what changes usually do to the log of the odds: as likely to hurt as to help, a quarter (some 6
#: points at 50 %) up or down is usual; common practice, no source
CHANGE_SD = 0.25
#: how far one kind's change departs from the player's; common practice, no source
KIND_SD = 0.10
#: the mix is said to explain a difference of at least this, in makes per 100
WORTH_EXPLAINING = 2.0
#: smallest difference whose finding is planned for, in makes per 100; common practice, no source
WORTH_KNOWING = 5.0
#: more attempts than this are not worth planning
MOST_NEEDED = 20_000
#: standard deviations for the 95 % range to leave out zero in 4 of 5 futures
_FOR_CLEAR = 1.96 + 0.84
_CHANGES = np.linspace(-5 * CHANGE_SD, 5 * CHANGE_SD, 121)
_BASES = 72
#: midpoints of equal shares of a normal, for the scatter left once the change is known
_NORMAL = special.ndtri((np.arange(15) + 0.5) / 15)

#: what is like for like
Kind = tuple[ShotType, bool | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Attempts and makes of one kind, before a change and after."""

    before: int = 0
    before_made: int = 0
    after: int = 0
    after_made: int = 0

    def __post_init__(self) -> None:
        if not (0 <= self.before_made <= self.before and 0 <= self.after_made <= self.after):
            raise BadInput("There are more makes than attempts; correct the counts.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """What games say of a change; all differences are after less before, in makes per 100."""

    said: Said
    #: with the mix of shots held equal
    difference: Estimate
    #: all shots together, as a score sheet would show it
    plain: float
    #: of the plain difference, the part that comes of another mix of shots
    by_mix: float
    #: the plain difference is mostly the mix, or turns round once it is held equal
    mix_explains: bool
    #: kinds taken at both times, with their counts
    compared: Mapping[Kind, Counts] = field(default_factory=dict)
    #: kinds taken at one time only, which say nothing
    left_out: tuple[Kind, ...] = ()
    #: attempts still needed after the change, of the same mix; 0 where the answer is clear; None
    #: where the games before it are too few for an answer
    attempts_needed: int | None = None
    #: no smaller difference can be made clear with the games before it, however many follow
    smallest_clear: float = 0.0


def read_transfer(before: Sequence[GameLine], after: Sequence[GameLine]) -> Transfer:
    """Return whether a player's games after a change differ from those before it.

    Parameters
    ----------
    before, after
        Lines of one player; the days between, when the change was new, are best left out.

    Raises
    ------
    BadInput
        No kind of shot was taken at both times.
    """
    return compare(_counted(before, after))


def compare(kinds: Mapping[Kind, Counts]) -> Transfer:
    """Return what counts per kind say of a change.

    Raises
    ------
    BadInput
        No kind of shot was taken at both times.

    Notes
    -----
    The log odds of kind k are normal around a usual value before, and change by the player's change
    plus a small part of the kind's own. All are integrated over on grids.
    """
    shared = {kind: n for kind, n in kinds.items() if n.before and n.after}
    if not shared:
        raise BadInput(
            "No kind of shot was taken both before and after the change; enter games from both "
            "times with the same shot types."
        )
    weights = _mix(list(shared.values()))
    difference = _posterior(list(shared.items()), weights)
    plain, by_mix = _split(list(shared.values()))
    said = said_of(difference)
    clear = said in (Said.BETTER, Said.WORSE)
    needed, smallest = _needed(list(shared.values()), weights, difference)
    return Transfer(
        said=said,
        difference=difference,
        plain=plain,
        by_mix=by_mix,
        mix_explains=_mix_explains(plain, by_mix),
        compared=shared,
        left_out=tuple(kind for kind in kinds if kind not in shared),
        attempts_needed=0 if clear else needed,
        smallest_clear=smallest,
    )


def _counted(before: Sequence[GameLine], after: Sequence[GameLine]) -> dict[Kind, Counts]:
    if len({line.player_id for line in (*before, *after)}) > 1:
        raise BadInput("These lines are of several players; compare one player's games.")
    kinds = dict.fromkeys(line.kind for line in (*before, *after))

    def total(lines: Sequence[GameLine], kind: Kind) -> tuple[int, int]:
        of_kind = [line for line in lines if line.kind == kind]
        return sum(line.attempts for line in of_kind), sum(line.made for line in of_kind)

    return {
        kind: Counts(before=b, before_made=b_made, after=a, after_made=a_made)
        for kind in kinds
        for (b, b_made), (a, a_made) in [(total(before, kind), total(after, kind))]
    }


def _mix(counts: Sequence[Counts]) -> Floats:
    """Return the share of each kind, the mean of the mixes before and after, float64 [kind]."""
    before, after = (np.array([getattr(n, name) for n in counts]) for name in ("before", "after"))
    return np.asarray((before / before.sum() + after / after.sum()) / 2)


def _split(counts: Sequence[Counts]) -> tuple[float, float]:
    """Return the plain difference and the part of it due to the mix, in makes per 100."""
    table = np.array([[n.before, n.before_made, n.after, n.after_made] for n in counts], float)
    before, before_made, after, after_made = table.T
    plain = after_made.sum() / after.sum() - before_made.sum() / before.sum()
    moved = after / after.sum() - before / before.sum()
    by_mix = np.sum(moved * (before_made / before + after_made / after) / 2)
    return 100 * float(plain), 100 * float(by_mix)


def _mix_explains(plain: float, by_mix: float) -> bool:
    return abs(plain) >= WORTH_EXPLAINING and by_mix * plain > 0 and abs(by_mix) > abs(plain) / 2


def _posterior(kinds: Sequence[tuple[Kind, Counts]], weights: Floats) -> Estimate:
    logs = -0.5 * (_CHANGES / CHANGE_SD) ** 2
    middle, variance = np.zeros((2, len(_CHANGES)))
    for (kind, counts), weight in zip(kinds, weights, strict=True):
        evidence, mean, square = _one_kind(kind, counts)
        logs = logs + evidence
        middle += weight * mean
        variance += weight**2 * (square - mean**2)
    chances = np.exp(logs - logs.max())
    draws = middle[:, None] + np.sqrt(np.maximum(variance, 0.0))[:, None] * _NORMAL
    spread = np.repeat(chances[:, None], len(_NORMAL), axis=1)
    return Estimate.from_draws(100 * draws.ravel(), spread.ravel())


def _one_kind(kind: Kind, counts: Counts) -> tuple[Floats, Floats, Floats]:
    """Return, for each change, log evidence, and mean and mean square of the difference [change].

    The difference is in the share of that kind, after less before.
    """
    base, base_logs = _base(kind, counts)
    off, off_chances = np.polynomial.hermite_e.hermegauss(7)
    after = base[:, None, None] + _CHANGES[:, None] + KIND_SD * off
    logs = base_logs[:, None, None] + np.log(off_chances) + _binomial(
        counts.after, counts.after_made, after
    )  # fmt: skip
    top = logs.max(axis=(0, 2))
    chances = np.exp(logs - top[:, None])
    total = chances.sum(axis=(0, 2))
    gain = special.expit(after) - special.expit(base)[:, None, None]
    mean = np.sum(chances * gain, axis=(0, 2)) / total
    square = np.sum(chances * gain**2, axis=(0, 2)) / total
    return top + np.log(total), mean, square


def _base(kind: Kind, counts: Counts) -> tuple[Floats, Floats]:
    """Return log odds before the change and their log chances given the games before [base]."""
    usual = float(special.logit(USUAL[kind[0].band]))
    made, missed = counts.before_made, counts.before - counts.before_made
    # start from a middle between the counts and the usual, then widen: the grid only has to cover
    rough = float(special.logit((made + 1) / (counts.before + 2)))
    known = counts.before * special.expit(rough) * special.expit(-rough)
    sd = 1 / math.sqrt(1 / USUAL_SD**2 + known)
    middle = (usual / USUAL_SD**2 + rough * known) * sd**2
    at = middle + sd * np.linspace(-7, 7, _BASES)
    logs = -0.5 * ((at - usual) / USUAL_SD) ** 2 + _binomial(made + missed, made, at)
    return at, logs


def _binomial(attempts: int, made: int, log_odds: Floats) -> Floats:
    return np.asarray(made * log_odds - attempts * np.logaddexp(0.0, log_odds))


def _needed(
    counts: Sequence[Counts], weights: Floats, difference: Estimate
) -> tuple[int | None, float]:
    """Return attempts still needed, and the smallest difference that could ever be clear.

    Needed if the difference is as it looks, or worth knowing at least. What is usual beforehand
    is left out: it makes a difference no sooner clear.
    """
    target = max(abs(difference.value), WORTH_KNOWING) / 100
    table = np.array([[n.before, n.before_made, n.after, n.after_made] for n in counts], float)
    before, before_made, after, after_made = table.T
    share = (before_made + after_made + 1) / (before + after + 2)
    luck = weights**2 * share * (1 - share)
    by_luck_before = float(np.sum(luck / before))
    smallest = 100 * _FOR_CLEAR * math.sqrt(by_luck_before)
    left = (target / _FOR_CLEAR) ** 2 - by_luck_before
    if left <= 0:
        return None, smallest
    # attempts in the shared mix, so that each kind grows in step
    more = max(1, math.ceil(float(np.sum(luck / weights)) / left - after.sum()))
    return (more if more <= MOST_NEEDED else None), smallest
