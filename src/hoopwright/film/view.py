"""What is taken as known when a film is read: the camera, the ball, the ring, the air."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.court.equipment import Ball
from hoopwright.court.standards import RuleBook, at_height, rule_book
from hoopwright.film.camera import PARAMETERS, Camera, with_parameters
from hoopwright.film.results import Floats, Measured
from hoopwright.flight.air import STANDARD_AIR, Air

#: backspin of a shot, 2 ± 0.8 turns a second [rad/s]; coaching figures 1.5 to 3, from memory
SPIN = Measured(value=12.6, sd=5.0)
#: drag over the standard drag: the range of drag coefficients in ``flight.air``
DRAG = Measured(value=1.0, sd=0.05)
#: time from reading the top row to the bottom row of a phone's picture; common practice, no source
READOUT = Measured(value=0.012, sd=0.006)
#: how much too large a ball's edge is found, everywhere alike; common practice, no source [px]
EDGE = Measured(value=0.0, sd=0.5)
#: ball's true radius over its nominal one: rule books allow 749 to 780 mm around
SIZE = Measured(value=1.0, sd=0.012)
#: what one clip's shots share, in order: the camera's PARAMETERS, then these
SHARED = (*PARAMETERS, "readout", "drag", "edge", "size")


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A camera in a gym, and what flies there."""

    camera: Camera
    ball: Ball
    #: gives ring, board and lines
    rules: RuleBook
    air: Air = STANDARD_AIR
    #: what is known of a shot's backspin [rad/s]
    spin: Measured = SPIN
    #: expected values of SHARED, float64 [12]
    shared: Floats
    #: their covariance, float64 [12, 12]
    covariance: Floats

    @property
    def ring_height(self) -> float:
        """Top of the ring above the floor [m]."""
        return self.rules.ring.height

    def root(self) -> Floats:
        """Return a square root of the covariance; zero where something is known exactly."""
        scale = np.sqrt(np.maximum(np.diag(self.covariance), 1e-300))
        values, vectors = np.linalg.eigh(self.covariance / np.outer(scale, scale))
        root: Floats = scale[:, None] * vectors * np.sqrt(np.maximum(values, 0.0))
        return root

    def corrected(self, shared: Floats, covariance: Floats) -> "View":
        """Return the view with other expectations of SHARED."""
        camera = with_parameters(self.camera, shared[:8], covariance=covariance[:8, :8])
        return replace(self, camera=camera, shared=shared, covariance=covariance)


def view_of(
    camera: Camera,
    ball: Ball,
    *,
    rules: str = "fiba",
    ring_height: float | None = None,
    readout: Measured = READOUT,
) -> View:
    """Return the view of a camera on a court under a rule book.

    Parameters
    ----------
    camera, ball
        As in ``View``.
    rules
        Key of a rule book.
    ring_height
        Top of the ring [m]; the rule book's where left out.
    readout
        Reading time of the whole picture height, if better known [s].

    Raises
    ------
    UnknownName
        There is no such rule book.
    BadInput
        The ring height is out of sense.
    """
    book = rule_book(rules)
    if ring_height is not None:
        book = at_height(book, ring_height)
    known = (readout, DRAG, EDGE, SIZE)
    covariance = np.diag([0.0] * 8 + [k.sd**2 for k in known])
    covariance[:8, :8] = camera.errors
    shared = np.concatenate([camera.parameters, [k.value for k in known]])
    return View(camera=camera, ball=ball, rules=book, shared=shared, covariance=covariance)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """Where one ball was seen, in order of time; one row each."""

    #: of the picture [s], float64 [row]
    time: Floats
    #: [px], float64 [row, 2]
    middle: Floats
    #: one standard deviation each way [px], float64 [row]
    sd: Floats
    #: of the ball [px], float64 [row]
    radius: Floats
    #: its error [px], infinite where the radius is not known, float64 [row]
    radius_sd: Floats

    def __len__(self) -> int:
        return len(self.time)

    def only(self, rows: NDArray[np.bool_]) -> "Seen":
        """Return the chosen rows."""
        return Seen(
            time=self.time[rows],
            middle=self.middle[rows],
            sd=self.sd[rows],
            radius=self.radius[rows],
            radius_sd=self.radius_sd[rows],
        )


def seen(
    time: ArrayLike,
    middle: ArrayLike,
    sd: ArrayLike,
    *,
    radius: ArrayLike = 1.0,
    radius_sd: ArrayLike = np.inf,
) -> Seen:
    """Return rows in order of time.

    Parameters
    ----------
    time
        float64 [row]. [s]
    middle
        float64 [row, 2]. [px]
    sd
        Error of the middle, float64 [row] or one number. [px]
    radius, radius_sd
        Of the ball and its error, likewise; infinite error where not known. [px]
    """
    when = np.asarray(time, dtype=np.float64).reshape(-1)
    order = np.argsort(when, kind="stable")
    places = np.asarray(middle, dtype=np.float64).reshape(-1, 2)
    one_each = [
        np.broadcast_to(np.asarray(v, dtype=np.float64), when.shape)[order]
        for v in (sd, radius, radius_sd)
    ]
    return Seen(
        time=when[order],
        middle=places[order],
        sd=one_each[0],
        radius=one_each[1],
        radius_sd=one_each[2],
    )


def joined(one: Seen, other: Seen) -> Seen:
    """Return the rows of both, in order of time."""
    both = [
        np.concatenate([getattr(one, n), getattr(other, n)])
        for n in ("time", "middle", "sd", "radius", "radius_sd")
    ]
    return seen(both[0], both[1], both[2], radius=both[3], radius_sd=both[4])
