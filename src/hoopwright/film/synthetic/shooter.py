"""The shooter of a clip: one player who takes all its shots."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.film.synthetic.figure import mesh
from hoopwright.film.synthetic.jumpshot import JumpShot, Player, suiting_stature
from hoopwright.film.synthetic.rig import Posed, Rig
from hoopwright.film.synthetic.shots import KnownShot

Floats = NDArray[np.float64]

#: the shooter turns to a shot so long before it starts [s]
_READY = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shooter:
    """Somebody who takes all the shots."""

    rig: Rig
    #: colours of the parts, float64 [part, BGR]
    colours: Floats
    shots: tuple[JumpShot, ...]

    def shot_at(self, time: float) -> JumpShot:
        """Return the shot that is under way, or next, at a time since the first picture [s]."""
        starts = [s.shot.start - _READY for s in self.shots]
        return self.shots[max(int(np.searchsorted(starts, time, side="right")) - 1, 0)]

    def posed(self, time: float) -> Posed:
        """Return the body at a time since the clip's first picture [s]."""
        return self.shot_at(time).posed(time)


def shooter_of(
    shots: tuple[KnownShot, ...], player: Player, *, radius: float, colours: Floats
) -> Shooter:
    """Return a player ready to take some shots.

    Parameters
    ----------
    shots
        In order of time.
    player
        Body, hand and stature.
    radius
        Of the ball [m].
    colours
        Of the parts, float64 [part, BGR].

    Raises
    ------
    BadInput
        A ball can't be reached at release.
    """
    statures = [suiting_stature(s, player.shape, radius=radius) for s in shots]
    rig = Rig(mesh(player.shape), player.stature or float(np.median(statures)))
    return Shooter(
        rig=rig, colours=colours,
        shots=tuple(JumpShot(s, rig, hand=player.hand, radius=radius).settled() for s in shots),
    )  # fmt: skip
