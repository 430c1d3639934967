"""A filmed shot and the same tapped shot are one shot: which filmed shot is which tapped one.

Film may miss a shot and a coach may forget a tap, so the two lists are aligned in order: every way
of lining them up is weighed by how well results, misses and the rhythm of the shots fit, and by
how rarely a shot is missing from either list. The likeliest way is returned, and a pair is called
sure only where nearly all the weight agrees on it: ten makes against nine makes fit in ten ways.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import special

from hoopwright.errors import BadInput
from hoopwright.records import Half, Miss, Shot

Floats = NDArray[np.float64]

#: share of shots that film does not find, and that nobody taps; a little over the project's own
#: bound for film (0.02), and common practice, no source, for the coach
NOT_FILMED, NOT_TAPPED = 0.03, 0.02
#: share of results, and of directions, tapped by mistake; common practice, no source
SLIPS = 0.02
#: how far off a coach sees or taps a landing, one sd [m]; common practice, no source
SEEING_SD = 0.06
#: share of gaps between shots that say nothing, such as a drink of water
PAUSES = 0.15
#: unfilmed shots in a row that are reckoned with, beyond what the lists demand
MOST_SKIPPED = 12
#: chance from which a pair, or its absence, is called sure
SURE = 0.95

_SIDES: dict[Miss | Half, tuple[int, float]] = {
    Miss.SHORT: (0, -1.0),
    Miss.LONG: (0, 1.0),
    Miss.LEFT: (1, -1.0),
    Miss.RIGHT: (1, 1.0),
    Half.FRONT: (0, -1.0),
    Half.BACK: (0, 1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenShot:
    """What film says of one shot, as far as matching needs it."""

    #: of release, on any clock that does not jump [s]
    time: float
    made: bool
    #: how sure that is, 0.5 to 1
    made_chance: float
    #: at the ring plane, + long [m]; None where the ball was lost
    along: float | None = None
    #: at the ring plane, + right [m]
    across: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """Which tapped shot each filmed one is; one entry per filmed shot, in the order given."""

    #: index of the tapped shot, or None where it was not tapped
    tapped: tuple[int | None, ...]
    #: chance that this entry is right, over all ways of lining the lists up
    chance: tuple[float, ...]
    #: True where film and tap disagree on made or missed
    disputed: tuple[bool, ...]

    @property
    def sure(self) -> tuple[bool, ...]:
        """Which entries may be joined without asking."""
        return tuple(one >= SURE for one in self.chance)

    @property
    def all_sure(self) -> bool:
        """Whether nothing needs to be asked."""
        return all(self.sure)


def match(filmed: Sequence[SeenShot], tapped: Sequence[Shot]) -> Matching:
    """Line filmed shots up with tapped ones.

    Parameters
    ----------
    filmed
        Shots of one set as film saw them, in order of time.
    tapped
        The same set as it was tapped, in the order taken.

    Raises
    ------
    BadInput
        The filmed shots are not in order of time.

    Notes
    -----
    Derived: a pair hidden Markov model; forward and backward sums for the chances, the best path
    for the pairs.
    """
    _check(filmed)
    if not filmed:
        return Matching(tapped=(), chance=(), disputed=())
    pairs, gaps = _pair_logs(filmed, tapped), _gap_logs(filmed, len(tapped))
    chosen = _best_path(pairs, gaps)
    chances = _chances(pairs, gaps)
    return Matching(
        tapped=chosen,
        chance=tuple(
            float(chances[i, len(tapped) if j is None else j]) for i, j in enumerate(chosen)
        ),
        disputed=tuple(
            j is not None and one.made is not tapped[j].made
            for one, j in zip(filmed, chosen, strict=True)
        ),
    )


def _check(filmed: Sequence[SeenShot]) -> None:
    times = [one.time for one in filmed]
    if not all(math.isfinite(time) for time in times):
        raise BadInput("Every filmed shot needs the time of its release; measure the clip again.")
    if any(late <= early for early, late in pairwise(times)):
        raise BadInput("Filmed shots must be in order of time; sort them by release first.")


def _pair_logs(filmed: Sequence[SeenShot], tapped: Sequence[Shot]) -> Floats:
    """Return how much more likely two entries are as one shot than as two, logs [film, tap]."""
    results = [one.made for one in filmed] + [one.made for one in tapped]
    usual = (sum(results) + 1.0) / (len(results) + 2.0)
    logs = [[_same_result(one, tap, usual) + _same_place(one, tap) for tap in tapped]
            for one in filmed]  # fmt: skip
    return np.array(logs, dtype=np.float64).reshape(len(filmed), len(tapped))


def _same_result(one: SeenShot, tap: Shot, usual: float) -> float:
    """Return the log likelihood ratio of the two results."""
    went_in = one.made_chance if one.made else 1.0 - one.made_chance
    said, base = (_tapped_made(share) for share in (went_in, usual))
    return math.log(said / base if tap.made else (1.0 - said) / (1.0 - base))


def _tapped_made(share: float) -> float:
    return share * (1.0 - SLIPS) + (1.0 - share) * SLIPS


def _same_place(one: SeenShot, tap: Shot) -> float:
    """Return the log likelihood ratio of where the ball went; 0 where either does not say."""
    if one.along is None or one.across is None or one.made is not tap.made:
        return 0.0
    seen = (one.along, one.across)
    if tap.landing is not None:
        spot = (tap.landing.along, tap.landing.across)
        return sum(_same_point(a, b) for a, b in zip(seen, spot, strict=True))
    said: list[Miss | Half] = [*tap.miss, *([tap.half] if tap.half is not None else [])]
    return sum(_same_side(seen[axis] * sign) for axis, sign in (_SIDES[way] for way in said))


def _same_side(toward: float) -> float:
    """Return the log ratio for a tapped side; ``toward`` is how far the ball went that way [m]."""
    chance = float(special.ndtr(toward / SEEING_SD))
    return math.log(((1.0 - 2.0 * SLIPS) * chance + SLIPS) / 0.5)


def _same_point(seen: float, tapped: float) -> float:
    """Return the log ratio for a tapped point, one axis: close by, or anywhere a shot lands."""
    near, wide = SEEING_SD * math.sqrt(2.0), 0.25
    close = math.exp(-0.5 * ((seen - tapped) / near) ** 2) / near
    anywhere = math.exp(-0.5 * (tapped / wide) ** 2) / wide
    return math.log((1.0 - SLIPS) * close / max(anywhere, 1e-3) + SLIPS)


def _gap_logs(filmed: Sequence[SeenShot], taps: int) -> Floats:
    """Return the log weight of unfilmed taps just before each filmed shot [film, taps skipped].

    A shot that film lost leaves a gap of about two usual ones.
    """
    # more unfilmed shots in a row than this are as good as impossible, unless the lists demand it
    skipped = np.arange(1 + min(taps, max(MOST_SKIPPED, taps - len(filmed) + MOST_SKIPPED)))
    logs = np.tile(skipped * math.log(NOT_FILMED), (len(filmed), 1))
    if len(filmed) < 4:
        return logs
    waits = np.log(np.diff([one.time for one in filmed]))
    usual = float(np.median(waits))
    off = 1.4826 * float(np.median(np.abs(waits - usual)))
    spread = min(max(off, 0.1), 0.8)
    fits = np.exp(-0.5 * ((waits[:, None] - usual - np.log(skipped + 1.0)) / spread) ** 2)
    logs[1:] += np.log((1.0 - PAUSES) * fits + PAUSES)
    return logs


def _skipping(before: Floats, gap: Floats) -> Floats:
    """Return the weight of being at each tap by skipping some first, float64 [skipped, tap]."""
    taps = np.arange(len(before))[None, :] - np.arange(len(gap))[:, None]
    kept: Floats = np.where(taps >= 0, before[np.maximum(taps, 0)], -np.inf)
    return kept + gap[:, None]


def _start(taps: int) -> Floats:
    start: Floats = np.where(np.arange(taps + 1) == 0, 0.0, -np.inf)
    return start


def _end(taps: int) -> Floats:
    """Return the weight of the taps left over after the last filmed shot [tap]."""
    return np.arange(taps, -1, -1, dtype=np.float64) * math.log(NOT_FILMED)


def _best_path(pairs: Floats, gaps: Floats) -> tuple[int | None, ...]:
    """Return the likeliest pairs: the best path."""
    taps = pairs.shape[1]
    best = _start(taps)
    back: list[tuple[NDArray[np.int64], NDArray[np.bool_]]] = []
    for row, gap in zip(pairs, gaps, strict=True):
        skipping = _skipping(best, gap)
        come, here = np.arange(taps + 1) - skipping.argmax(axis=0), skipping.max(axis=0)
        untapped, paired = here + math.log(NOT_TAPPED), np.append(-np.inf, here[:-1] + row)
        as_pair = paired >= untapped
        back.append((np.where(as_pair, np.append(0, come[:-1]), come), as_pair))
        best = np.maximum(paired, untapped)
    at = int(np.argmax(best + _end(taps)))
    chosen: list[int | None] = []
    for come_from, as_pair in reversed(back):
        chosen.append(at - 1 if as_pair[at] else None)
        at = int(come_from[at])
    return tuple(reversed(chosen))


def _chances(pairs: Floats, gaps: Floats) -> Floats:
    """Return the chance of each tap, last column none, for each filmed shot [film, tap + 1]."""
    behind = _behind(pairs, gaps)
    ahead = _start(pairs.shape[1])
    out = np.empty((len(pairs), pairs.shape[1] + 1))
    for i, (row, gap) in enumerate(zip(pairs, gaps, strict=True)):
        here = special.logsumexp(_skipping(ahead, gap), axis=0)
        paired, untapped = here[:-1] + row, here + math.log(NOT_TAPPED)
        alone = special.logsumexp(untapped + behind[i + 1])
        out[i] = np.exp(np.append(paired + behind[i + 1][1:], alone) - behind[0][0])
        ahead = np.logaddexp(np.append(-np.inf, paired), untapped)
    return out


def _behind(pairs: Floats, gaps: Floats) -> list[Floats]:
    """Return the weight of everything after each filmed shot, before the first one first [tap]."""
    taps = pairs.shape[1]
    behind = [_end(taps)]
    for row, gap in zip(pairs[::-1], gaps[::-1], strict=True):
        paired = np.append(row + behind[-1][1:], -np.inf)
        onward = np.logaddexp(paired, behind[-1] + math.log(NOT_TAPPED))
        # going on by skipping is the same step seen from the other end
        behind.append(special.logsumexp(_skipping(onward[::-1], gap)[:, ::-1], axis=0))
    return behind[::-1]
