"""Inner loop of the shuffles that measure luck in the agreement of feel and result."""

from hoopwright.flight._compiled import compiled


@compiled
def at_least(feel, result, sizes, seen, shuffles, rng):
    """Return how many shuffles of the results within runs agree at least as well as seen.

    ``feel``, ``result``: float64 [run, place], gaps last; ``sizes``: shots of each run, int64
    [run]; ``seen``: pairs alike less pairs unlike; ``rng``: a numpy Generator.
    """
    mixed = result.copy()
    count = 0
    for _ in range(shuffles):
        alike = 0
        for r in range(len(sizes)):
            for i in range(sizes[r] - 1, 0, -1):
                j = int(rng.random() * (i + 1))
                mixed[r, i], mixed[r, j] = mixed[r, j], mixed[r, i]
            for i in range(1, sizes[r]):
                for j in range(i):
                    felt = (feel[r, i] > feel[r, j]) - (feel[r, i] < feel[r, j])
                    came = (mixed[r, i] > mixed[r, j]) - (mixed[r, i] < mixed[r, j])
                    alike += felt * came
        if alike >= seen:
            count += 1
    return count
