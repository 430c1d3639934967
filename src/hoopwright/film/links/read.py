"""Filmed shots of one player in, links out. Read this first."""

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.film.links.found import Link, Outcome, Said, TrialIdea, Way
from hoopwright.film.links.levelling import Runs, fixed_columns, level
from hoopwright.film.links.search import Hit, Pair, Search, search, together
from hoopwright.film.links.slope import (
    Column,
    Shrunken,
    Slope,
    column,
    shrunken,
    slope,
    without_misread,
)
from hoopwright.film.results import Body

Floats = NDArray[np.float64]
Measured = tuple[Floats, Floats]

#: fewest shots with both a measure and an outcome from which anything is said
FEWEST = 20
#: the link that must not be missed: half a spread of the outcome for one spread of the measure
WANTED = 0.5
#: normal deviate that 80 of 100 stay below: the power asked for
POWER = 0.8416
#: most filmed shots that are asked for
MOST_ASKED = 400


def links(
    measures: Mapping[Body, Measured],
    outcomes: Mapping[Outcome, Measured],
    *,
    runs: Runs,
    seed: int = 1,
) -> tuple[Link, ...]:
    """Look for links between body measures and outcomes.

    Parameters
    ----------
    measures
        Values and their errors (one standard deviation), float64 [shot] each [SI], in the order
        taken; NaN where not measured. Errors are those that differ from shot to shot; what is
        common to a clip falls away with the centre of its run.
    outcomes
        The same for along [m], across [m] and release speed [m/s].
    runs
        Day, spot and condition of each shot.
    seed
        Same seed, same answer.

    Returns
    -------
    tuple of Link
        One for each pair; those worth a trial first, the surest first.

    Raises
    ------
    BadInput
        Lists of different lengths.
    """
    _check(measures, outcomes, runs)
    known = _whole(outcomes)
    shots = int(known.sum())
    spare = shots - _columns(runs, known)
    if spare < FEWEST // 2 or not all(
        np.ptp(values[known]) > 0.0 for values, _ in outcomes.values()
    ):
        return _too_few(measures, outcomes, shots)
    kept = _only(runs, known)
    pairs = [_pair(name, measures, outcomes[name], kept, known) for name in outcomes]
    found = search(pairs, days=_numbers(kept), rng=np.random.default_rng(seed))
    means = {name: _usual(values[known], sds[known]) for name, (values, sds) in outcomes.items()}
    told = [link for pair in pairs for link in _told(pair, found, means[pair.outcome], measures)]
    return tuple(sorted(told, key=lambda one: (one.said is not Said.WORTH_A_TRIAL, one.by_luck)))


def _check(
    measures: Mapping[Body, Measured], outcomes: Mapping[Outcome, Measured], runs: Runs
) -> None:
    lengths = {len(runs.where), len(runs.day)}
    for values, sds in (*measures.values(), *outcomes.values()):
        lengths |= {len(values), len(sds)}
    if len(lengths) != 1:
        raise BadInput("Every measure needs one place per shot; leave gaps as not-a-number.")


def _whole(outcomes: Mapping[Outcome, Measured]) -> NDArray[np.bool_]:
    """Return which shots have all outcomes, bool [shot]."""
    parts = [np.isfinite(values) & np.isfinite(sds) for values, sds in outcomes.values()]
    return np.asarray(np.logical_and.reduce(parts), np.bool_)


def _only(runs: Runs, known: NDArray[np.bool_]) -> Runs:
    return Runs(
        where=[one for one, here in zip(runs.where, known, strict=True) if here],
        day=[one for one, here in zip(runs.day, known, strict=True) if here],
    )


def _columns(runs: Runs, known: NDArray[np.bool_]) -> int:
    return fixed_columns(_only(runs, known)).shape[1] if known.any() else 0


def _numbers(runs: Runs) -> NDArray[np.int64]:
    order = {key: i for i, key in enumerate(dict.fromkeys(runs.day))}
    return np.array([order[key] for key in runs.day], dtype=np.int64)


def _pair(
    name: Outcome, measures: Mapping[Body, Measured], outcome: Measured, runs: Runs,
    known: NDArray[np.bool_],
) -> Pair:  # fmt: skip
    levelled = level(outcome[0][known], outcome[1][known], runs=runs)
    plain = fixed_columns(runs)
    columns = {}
    for body, (values, sds) in measures.items():
        kept = without_misread(np.where(np.isfinite(sds), values, np.nan)[known], fixed=plain)
        if np.isfinite(kept).sum() >= FEWEST:
            columns[body] = column(kept, sds[known], like=levelled)
    return Pair(outcome=name, level=levelled, columns=columns)


def _usual(values: Floats, sds: Floats) -> tuple[float, float]:
    """Return the usual outcome and its standard error."""
    return float(np.mean(values)), float(np.std(values, ddof=1) / math.sqrt(len(values)))


def _told(
    pair: Pair, found: Search, usual: tuple[float, float], measures: Mapping[Body, Measured]
) -> list[Link]:
    hits = {hit.measure: hit for hit in found.hits if hit.outcome is pair.outcome}
    # a measure that moves with one found says nothing of its own
    covered = {other for name in hits for other in together(pair.columns, name)} - set(hits)
    told = []
    for name, (values, _) in measures.items():
        one = pair.columns.get(name)
        if name in covered:
            continue
        if one is None or not one.seen:
            told.append(_unseen(pair.outcome, name, one, int(np.isfinite(values).sum())))
        else:
            told.append(_link(pair, name, found, hit=hits.get(name), usual=usual))
    return told


def _unseen(outcome: Outcome, name: Body, one: Column | None, shots: int) -> Link:
    """Return a pair that the film can't judge: too few shots, or too large an error."""
    few = one is None
    return Link(
        measure=name,
        outcome=outcome,
        shots=shots,
        reliability=one.reliability if one else 0.0,
        own_sd=0.0,
        slope=None,
        said=Said.CANNOT_TELL,
        by_luck=1.0,
        shots_needed=max(_USUAL_SHOTS - shots, FEWEST - shots, 1) if few else None,
    )


#: filmed shots from which most players can be told, by simulation (docs/film-links.md)
_USUAL_SHOTS = 80


def _too_few(
    measures: Mapping[Body, Measured], outcomes: Mapping[Outcome, Measured], shots: int
) -> tuple[Link, ...]:
    return tuple(
        _unseen(outcome, name, None, min(shots, int(np.isfinite(values).sum())))
        for outcome in outcomes
        for name, (values, _) in measures.items()
    )


def _link(
    pair: Pair, name: Body, found: Search, *, hit: Hit | None, usual: tuple[float, float]
) -> Link:
    one = pair.columns[name]
    measured = slope(pair.level.values, one, own_share=pair.level.own_share, free=pair.level.free)
    shrunk = shrunken(measured)
    said, more = (Said.WORTH_A_TRIAL, None) if hit else _not_found(measured, shrunk, one, found)
    return Link(
        measure=name,
        outcome=pair.outcome,
        shots=one.shots,
        reliability=one.reliability,
        own_sd=one.own_sd,
        slope=shrunk.estimate(pair.level.own_sd),
        said=said,
        by_luck=hit.by_luck if hit else found.by_luck.get((pair.outcome, name), 1.0),
        shots_needed=more if more is not None and more <= MOST_ASKED else None,
        beyond=more is not None and more > MOST_ASKED,
        together=together(pair.columns, name) if hit else (),
        trial=_trial(pair.outcome, name, measured.value, usual) if hit else None,
    )


def _not_found(
    measured: Slope, shrunk: Shrunken, one: Column, found: Search
) -> tuple[Said, int | None]:
    """Tell "no link seen" from "can't tell yet", with the further shots that would tell."""
    if shrunk.within(WANTED) > 0.975:
        return Said.NONE_SEEN, None
    return Said.CANNOT_TELL, _more_shots(measured, one.shots, found.bar)


def _more_shots(measured: Slope, shots: int, bar: float) -> int:
    """Return the further shots after which a link as large as the one looked for would be found.

    Errors shrink with the root of the number of shots, so the number needed follows from the
    error seen now, the bar that luck sets, and the power asked for.
    """
    wanted = WANTED
    total = shots * ((bar + POWER) * measured.se / wanted) ** 2
    if total <= shots:
        wanted = max(abs(measured.value), 0.5 * WANTED)
        total = shots * ((bar + POWER) * measured.se / wanted) ** 2
    return 10 * max(math.ceil((total - shots) / 10.0), 1)


def _trial(outcome: Outcome, name: Body, slope: float, usual: tuple[float, float]) -> TrialIdea:
    """Return the trial that would bring the usual landing back, or steady it where it is not off.

    Speed has no aim of its own, so that it can only be steadied.
    """
    mean, error = usual
    way = Way.STEADIER
    if outcome is not Outcome.SPEED and abs(mean) > 2.0 * error:
        way = Way.LESS if mean * slope > 0.0 else Way.MORE
    return TrialIdea(measure=name, way=way, outcome=outcome)
