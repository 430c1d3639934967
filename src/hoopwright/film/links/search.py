"""Which of many measures go with which outcome, honestly: the luck of the best of them is counted.

The strongest of some sixty pairs is strong by luck. How strong, is found by shuffling the levelled
outcomes among the shots of each day and looking at the strongest pair again, a thousand times
(the max statistic of Westfall and Young). A pair found is taken out, with the measures that move
together with it, and the rest is looked at anew.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.links.found import Outcome
from hoopwright.film.links.levelling import Level, drawn_in
from hoopwright.film.links.slope import Column
from hoopwright.film.results import Body

Floats = NDArray[np.float64]

#: share of players without any link for whom one may be named by luck; a little under the 0.05
#: that is promised, as fitting the drift costs something where shots are few
LUCK = 0.042
#: shuffles
SHUFFLES = 999
#: what moves out of the upright plane through ball and ring; only it can turn a ball aside
SIDEWAYS = frozenset(
    {
        Body.STANCE_WIDTH,
        Body.STANCE_TURN,
        Body.HIP_TURN,
        Body.SHOULDER_TURN,
        Body.SIGHT_LINE,
        Body.ELBOW_FLARE,
    }
)
#: how much stronger a pair must be that mechanics makes unlikely: a sideways measure beside along
#: or speed, any other beside across; so that looking at them costs the likely ones less
UNLIKELY = 0.5
#: measures whose own scatter correlates at least this much move together
TOGETHER = 0.5
#: outcomes are drawn in to this many robust standard deviations when looked at: a little is lost
#: where tails are normal, more is gained where they are heavy
NEAR = 2.0
#: links named for one outcome at most: with more, the shots do not reach
MOST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One outcome beside all measures, levelled alike."""

    outcome: Outcome
    level: Level
    #: measures that the film sees
    columns: Mapping[Body, Column]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """A pair that luck does not explain."""

    outcome: Outcome
    measure: Body
    by_luck: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What the search found."""

    hits: tuple[Hit, ...]
    #: chance by luck of every pair when looked at last
    by_luck: Mapping[tuple[Outcome, Body], float]
    #: strength that luck alone reaches in LUCK of players
    bar: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Open:
    """What is still looked at for one outcome."""

    pair: Pair
    #: levelled outcome, links found taken off, float64 [shot]
    outcome: Floats
    #: unit columns, float64 [shot, measure]
    units: Floats
    names: tuple[Body, ...]
    #: what was taken out of both, orthonormal, float64 [shot, column]
    out: Floats


def search(pairs: list[Pair], *, days: NDArray[np.int64], rng: np.random.Generator) -> Search:
    """Look for links.

    Parameters
    ----------
    pairs
        One per outcome, all of the same shots.
    days
        Number of the day of each shot, int64 [shot]; shots are shuffled within a day.
    rng
        Source of the shuffles.
    """
    orders = _shuffles(days, rng)
    still = [_opened(pair) for pair in pairs]
    hits: list[Hit] = []
    known: dict[tuple[Outcome, Body], float] = {}
    bar = 0.0
    while any(one.names for one in still):
        strengths, lucky = _strengths(still), _luckiest(still, orders)
        bar = bar or float(np.quantile(lucky, 1.0 - LUCK))
        known |= {key: _chance(lucky, size) for key, size in strengths.items()}
        best = max(strengths, key=lambda key: strengths[key])
        if known[best] > LUCK:
            break
        hits.append(Hit(outcome=best[0], measure=best[1], by_luck=known[best]))
        still = [_without(one, best[1], hits) if one.pair.outcome is best[0] else one
                 for one in still]  # fmt: skip
    return Search(hits=tuple(hits), by_luck=known, bar=bar)


def _shuffles(days: NDArray[np.int64], rng: np.random.Generator) -> NDArray[np.int64]:
    """Return orders that keep each day's shots in that day, int64 [shuffle, shot]."""
    keys = days + rng.random((SHUFFLES, len(days)))
    orders = np.argsort(keys, axis=1)
    places = np.argsort(days, kind="stable")
    out = np.empty_like(orders)
    out[:, places] = orders
    return out


def _opened(pair: Pair) -> _Open:
    names = tuple(name for name, one in pair.columns.items() if one.seen)
    units = informed(pair, names)
    return _Open(
        pair=pair,
        outcome=drawn_in(pair.level.values, NEAR),
        units=units,
        names=names,
        out=pair.level.fixed,
    )


def informed(pair: Pair, names: tuple[Body, ...]) -> Floats:
    """Return what all measures together say of each, levelled, of unit length [shot, measure].

    A badly seen elbow is better known with the help of wrist and shoulder, which move with it; a
    value left out is filled from the others so far as they tell. Normal regression of true on
    measured values, shot by shot with that shot's errors; the own covariance is drawn in to the
    diagonal. Shuffling the outcomes leaves all this as it is, so that luck is counted right.
    """
    columns = [pair.columns[name] for name in names]
    if not columns:
        return np.empty((len(pair.level.values), 0))
    rest = np.column_stack([drawn_in(one.rest) for one in columns])
    noise = np.column_stack([one.noise for one in columns])
    seen = rest != 0.0
    own = _own_covariance(rest, noise, seen)
    told = np.stack([
        own[:, here] @ np.linalg.solve(own[np.ix_(here, here)] + np.diag(error[here]), row[here])
        for row, error, here in zip(rest, noise, seen, strict=True)
    ])  # fmt: skip
    return np.column_stack([_unit(drawn_in(one)) for one in (pair.level.turn @ told).T])


def _own_covariance(rest: Floats, noise: Floats, seen: NDArray[np.bool_]) -> Floats:
    """Return the covariance of the player's own scatter, drawn in to its diagonal."""
    both = seen.T.astype(float) @ seen
    cross = rest.T @ rest / np.maximum(both, 1.0)
    error = noise.sum(axis=0) / np.maximum(seen.sum(axis=0), 1)
    own = np.maximum(np.diag(cross) - error, 0.1 * np.diag(cross))
    scale = np.sqrt(own)
    link = cross / np.outer(scale, scale)
    # chance correlations of about one over the root of the shots are taken off
    link = np.sign(link) * np.maximum(np.abs(link) - 1.0 / np.sqrt(len(rest)), 0.0)
    np.fill_diagonal(link, 1.0)
    sizes, axes = np.linalg.eigh(link)
    sound = (axes * np.maximum(sizes, 0.02)) @ axes.T
    sound /= np.sqrt(np.outer(np.diag(sound), np.diag(sound)))
    return np.asarray(sound * np.outer(scale, scale), np.float64)


def _unit(values: Floats) -> Floats:
    length = float(np.linalg.norm(values))
    return values / length if length > 0.0 else values


def _strengths(still: list[_Open]) -> dict[tuple[Outcome, Body], float]:
    return {
        (one.pair.outcome, name): float(size)
        for one in still
        for name, size in zip(one.names, _told(one, one.outcome), strict=True)
    }


def _told(one: _Open, outcome: Floats) -> Floats:
    """Return strengths less what unlikely pairs are behind by, [measure] or [shuffle, measure]."""
    aside = one.pair.outcome is Outcome.ACROSS
    behind = [0.0 if (name in SIDEWAYS) is aside else UNLIKELY for name in one.names]
    return np.asarray(np.abs(_strength(one, outcome)) - behind, np.float64)


def _strength(one: _Open, outcome: Floats) -> Floats:
    """Return correlations times the root of the free shots: standard normal by luck, about.

    A shuffled outcome has parts that were taken out of the true one; they don't count in its size.
    """
    free = np.sum(outcome**2, axis=-1) - np.sum((outcome @ one.out) ** 2, axis=-1)
    size = np.sqrt(free / (len(one.out) - one.out.shape[1]))
    return np.asarray((outcome @ one.units) / size[..., None], np.float64)


def _luckiest(still: list[_Open], orders: NDArray[np.int64]) -> Floats:
    """Return the strongest pair of each shuffle, float64 [shuffle]."""
    tries = [_told(one, one.outcome[orders]).max(axis=1) for one in still if one.names]
    return np.asarray(np.max(tries, axis=0), np.float64)


def _chance(lucky: Floats, size: float) -> float:
    return float((1 + np.sum(lucky >= size)) / (1 + len(lucky)))


def _without(one: _Open, found: Body, hits: list[Hit]) -> _Open:
    """Take a found link off the outcome, and its group off the measures looked at."""
    group = {found, *together(one.pair.columns, found)}
    kept = [i for i, name in enumerate(one.names) if name not in group]
    if sum(hit.outcome is one.pair.outcome for hit in hits) >= MOST:
        kept = []
    gone = one.units[:, one.names.index(found)]
    rest = one.outcome - gone * float(gone @ one.outcome)
    units = one.units[:, kept] - np.outer(gone, gone @ one.units[:, kept])
    lengths = np.maximum(np.linalg.norm(units, axis=0), 1e-12)
    names = tuple(one.names[i] for i in kept)
    return replace(
        one, outcome=rest, units=units / lengths, names=names, out=np.column_stack([one.out, gone])
    )


def together(columns: Mapping[Body, Column], name: Body) -> tuple[Body, ...]:
    """Return the measures whose own scatter goes with that of ``name``, closest first."""
    sizes = dict(_correlations(columns, name))
    close = [other for other, size in sizes.items() if size >= TOGETHER]
    return tuple(sorted(close, key=lambda other: -sizes[other]))


def _correlations(columns: Mapping[Body, Column], name: Body) -> Iterator[tuple[Body, float]]:
    """Yield correlations of own scatters: what the film's errors hide is put back."""
    here = columns[name]
    for other, one in columns.items():
        if other is name or not one.seen:
            continue
        seen = _unit(here.weighed) @ _unit(one.weighed)
        yield other, abs(float(seen)) / float(np.sqrt(here.reliability * one.reliability))
