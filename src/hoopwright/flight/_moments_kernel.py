"""The inner loop of a ball followed to given moments, forward and back.

The Taylor piece is the flight kernel's own; after a change of that file clear numba's cache, since
it looks only at this one.
"""

import math

from hoopwright.flight._compiled import Floats, compiled
from hoopwright.flight._kernel import _at, _piece, _velocity
from hoopwright.flight._vector import Vector, times

#: no flight is followed for longer [s]
_FARTHEST = 20.0


@compiled
def _walk(
    p: Vector, v: Vector, w: Vector, spans: Floats, piece: float, force: Floats, out: Floats
) -> None:
    """Follow one direction of time; ``spans`` grow away from zero, all of one sign."""
    now = 0.0
    for i in range(len(spans)):
        if not abs(spans[i]) < _FARTHEST:
            out[i] = math.nan
            continue
        while True:
            left = spans[i] - now
            step = min(max(left, -piece), piece)
            spin = times(math.exp(-force[3] * (now + 0.5 * step)), w) if force[3] > 0.0 else w
            part = _piece(p, v, spin, force)
            if abs(left) <= piece:
                q, u = _at(part, left), _velocity(part, left)
                out[i, 0], out[i, 1], out[i, 2] = q
                out[i, 3], out[i, 4], out[i, 5] = u
                break
            p, v, now = _at(part, step), _velocity(part, step), now + step


@compiled
def path(
    state: Floats, w: Vector, spans: Floats, ahead: int, piece: float, force: Floats, out: Floats
) -> None:
    """Fill ``out`` [moment, (position, velocity)].

    ``spans`` [moment] are times from the state: those before it, latest first, then, from index
    ``ahead``, those after it, earliest first.
    """
    p, v = (state[0], state[1], state[2]), (state[3], state[4], state[5])
    _walk(p, v, w, spans[:ahead], piece, force, out[:ahead])
    _walk(p, v, w, spans[ahead:], piece, force, out[ahead:])
