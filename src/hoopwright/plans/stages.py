"""From close form work to game-like: which stage a visit has, and how its shots are shared out."""

from collections.abc import Mapping, Sequence

from hoopwright.plans.nouns import Focus, FocusKind, Stage

#: shots of one drill below which it isn't worth setting up; common practice, no source
FEWEST = 5
#: shots of one stage from which they are shared between two drills; common practice, no source
TWO_DRILLS = 40

#: share of a visit's shots by stage: the old comes first and short, then the stage itself, then a
#: taste of the next; common practice, no source
SHARES: Mapping[Stage, Mapping[Stage, float]] = {
    Stage.CLOSE: {Stage.CLOSE: 0.6, Stage.BLOCKED: 0.4},
    Stage.BLOCKED: {Stage.CLOSE: 0.2, Stage.BLOCKED: 0.6, Stage.VARIED: 0.2},
    Stage.VARIED: {Stage.CLOSE: 0.15, Stage.BLOCKED: 0.15, Stage.VARIED: 0.5, Stage.RANDOM: 0.2},
    Stage.RANDOM: {
        Stage.CLOSE: 0.15,
        Stage.VARIED: 0.15,
        Stage.RANDOM: 0.5,
        Stage.GAME_LIKE: 0.2,
    },
    Stage.GAME_LIKE: {Stage.CLOSE: 0.15, Stage.RANDOM: 0.35, Stage.GAME_LIKE: 0.5},
}


def first_stage(focus: Focus) -> Stage:
    """Return where practice begins: close in for a new movement, later for a known one."""
    if focus.changes_form or focus.kind is FocusKind.FORM:
        return Stage.CLOSE
    return Stage.VARIED if focus.kind is FocusKind.TRANSFER else Stage.BLOCKED


def stages_of(visits: int, first: Stage) -> tuple[Stage, ...]:
    """Spread the stages from the first on over some visits, as evenly as it goes.

    With fewer visits than stages the last stages wait for the next plan.
    """
    order = list(Stage)[list(Stage).index(first) :]
    if visits < len(order):
        return tuple(order[:visits])
    return tuple(order[i * len(order) // visits] for i in range(visits))


def shared_out(shots: int, stage: Stage, able: Sequence[Stage]) -> dict[Stage, int]:
    """Share the shots of a visit out over stages; the counts add up to the shots.

    Parameters
    ----------
    shots
        Practice shots of the visit, the cold test not among them.
    stage
        The visit's stage.
    able
        Stages for which there is a drill; the shots of others go to the visit's own stage, or to
        the nearest one that can be done.
    """
    shares = SHARES[stage]
    own = stage if stage in able else min(able, key=lambda s: abs(_place(s) - _place(stage)))
    counts = {part: by_fives(shots * share) for part, share in shares.items() if part in able}
    counts = {part: count for part, count in counts.items() if count >= FEWEST and part is not own}
    counts[own] = shots - sum(counts.values())
    return {part: counts[part] for part in Stage if part in counts}


def by_fives(shots: float) -> int:
    """Return the nearest multiple of five: easier to count on the floor."""
    return 5 * round(shots / 5)


def _place(stage: Stage) -> int:
    return list(Stage).index(stage)
