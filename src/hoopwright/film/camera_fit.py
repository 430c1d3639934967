"""The camera that explains where marks were clicked: most probable value and covariance.

Least squares over all eight PARAMETERS, the focal length as its logarithm. What a few marks can't
determine is held by weak priors, so that the covariance is finite and honest. Each mark weighs by
its clicking error and by how far its place in the gym is known, seen through the camera.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from hoopwright.film.camera import (
    PARAMETERS,
    Camera,
    project,
    project_with_slopes,
    with_parameters,
)
from hoopwright.film.landmarks import Landmark

Floats = NDArray[np.float64]

#: focal length over the picture's long side: middle and spread of its logarithm. From ultra-wide
#: (0.35) to twofold tele (2.1) within 95 %; common practice, no source
USUAL_FOCAL, FOCAL_SPREAD = 0.85, 0.45
#: spread of the lens term about none: phones straighten their film; common practice, no source
LENS_SPREAD = 0.05
#: spread of the camera's roll: phones are propped about level [rad]; common practice, no source
ROLL_SPREAD = math.radians(8.0)
#: height of a phone above the floor: middle and spread [m]; common practice, no source
USUAL_HEIGHT, HEIGHT_SPREAD = 1.8, 2.0
#: variance of a drawn mark above which it is not drawn at all [px²]
_LOST = 1e8
#: names of marks on the board's face, and how much better, in chi-square, a camera behind it must
#: fit to be believed: seen nearly edge-on, both sides fit alike
_ON_BOARD, _BEHIND = re.compile("board|inner rectangle"), 25.0
#: how many such priors there are
_PRIORS = 4
#: focal lengths tried first, over the long side
_FIRST_FOCALS = (0.35, 0.5, 0.65, 0.85, 1.1, 1.5, 2.2)
#: how many of the first tries are refined
REFINED = 3
#: trace of the rotation between cameras that look the same way within 8°
_SAME_WAY = 1.0 + 2.0 * math.cos(math.radians(8.0))
#: distances that differ by less than this factor are about as far
_AS_FAR = 1.6
#: ways the ring's edges may face, tried where too few other marks give a first guess [rad]
_FACINGS = tuple(np.linspace(0.0, 2.0 * math.pi, 8, endpoint=False))
#: lowest place of a phone: on the floor, less what the floor's own marks may be wrong by [m]
_LOWEST = -0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """Landmarks and where they were clicked."""

    landmarks: tuple[Landmark, ...]
    #: where they were clicked [px], float64 [mark, 2]
    seen: Floats
    #: clicking error each way [px]
    sd: float
    #: of the picture [px]
    width: int
    height: int
    #: outside of the ring's rod from ring centre, and half the rod [m]
    ring_outside: float
    rod_radius: float

    def __len__(self) -> int:
        return len(self.landmarks)

    def only(self, keep: Sequence[int]) -> "Sighting":
        """Return the sighting of some of its marks, by index."""
        kept = tuple(self.landmarks[i] for i in keep)
        return replace(self, landmarks=kept, seen=self.seen[list(keep)])

    def off(self, camera: Camera) -> Floats:
        """Return clicked less drawn [px], float64 [mark, 2]."""
        return -_off(camera, self)

    def renamed(self, order: Sequence[int]) -> "Sighting":
        """Return it with landmark ``order[i]`` where landmark i was clicked."""
        return replace(self, landmarks=tuple(self.landmarks[i] for i in order))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The most probable camera for a sighting."""

    #: with its covariance, if the clicking error was as told
    camera: Camera
    #: seen less drawn [px], float64 [mark, 2]
    residuals: Floats
    #: sum of squared residuals over their expected errors, the priors' share included
    chi2: float
    #: twice the logarithm of how much wider than clicking errors alone the marks may scatter
    spread: float
    #: by how much chi2 would fall without each mark, float64 [mark]
    drops: Floats
    #: numbers clicked and priors, less unknowns
    freedom: int
    #: turn about its own axis [rad], and what that adds to chi2
    roll: float
    roll_chi2: float
    #: True where the camera stands behind a board whose face was marked
    behind_board: bool
    #: True where a phone could stand there: above the floor, all marks before it
    plausible: bool


def ring_edge(camera: Camera, mark: Landmark, *, outside: float, rod_radius: float) -> Floats:
    """Return the point of the ring's rod drawn farthest left or right in the picture [m].

    Derived: the plane through the camera and a column of the picture touches the torus where
    the torus' support point in the direction of the plane's normal lies; the column is that of
    the point itself, found by repeating. The lens term bends the column by far less than a pixel
    over the ring's height and is left out.
    """
    middle = np.array([0.0, 0.0, mark.position[2]])
    turned, shift = camera.turned, np.array(camera.translation)
    point = middle
    for _ in range(4):
        x, _y, depth = turned @ point + shift
        outward = mark.ring_edge * np.array([1.0, 0.0, -x / depth])
        normal = (turned.T @ outward) / math.hypot(1.0, x / depth)
        level = math.hypot(normal[0], normal[1]) or 1.0
        level_out = np.array([normal[0], normal[1], 0.0]) / level
        point = middle + (outside - rod_radius) * level_out + rod_radius * normal
    return point


def _edge_slack(camera: Camera, sighting: Sighting, point: Floats) -> float:
    """Variance that the rounding of the ring's edge adds to its height in the picture [px²].

    Derived: near the edge of an ellipse of half axes a and b the outline leaves the farthest
    column by y²·a/2b², so a clicking error of s px spans y² of about 2·s·b²/a.
    """
    away = point - camera.position
    size = sighting.ring_outside * camera.focal / float(np.linalg.norm(away))
    slope = abs(away[2]) / float(np.linalg.norm(away))
    return float(2.0 * sighting.sd * size * slope**2)


def _place(camera: Camera, sighting: Sighting, mark: Landmark) -> Floats:
    if not mark.ring_edge:
        return np.array(mark.position)
    return ring_edge(
        camera, mark, outside=sighting.ring_outside, rod_radius=sighting.rod_radius
    )  # fmt: skip


def _places(camera: Camera, sighting: Sighting) -> Floats:
    return np.array([_place(camera, sighting, mark) for mark in sighting.landmarks])


def _whitening(camera: Camera, sighting: Sighting) -> Floats:
    """Return matrices that give each mark's residual a unit covariance, float64 [mark, 2, 2]."""
    places = _places(camera, sighting)
    _, by_world, _ = project_with_slopes(camera, places)
    wrong = np.array([mark.sd for mark in sighting.landmarks])
    spread = np.einsum("nij,nj,nkj->nik", by_world, wrong**2, by_world)
    spread += sighting.sd**2 * np.eye(2)
    for i, mark in enumerate(sighting.landmarks):
        if mark.ring_edge:
            spread[i, 1, 1] += _edge_slack(camera, sighting, places[i])
    # a mark that a poor first camera has beside itself or behind says nothing of its error there
    lost = ~(np.abs(spread) < _LOST).all(axis=(1, 2))
    spread[lost] = sighting.sd**2 * np.eye(2)
    return np.asarray(np.linalg.inv(np.linalg.cholesky(spread)), dtype=np.float64)


def roll(rotation: ArrayLike) -> float:
    """Return how far a camera of a rotation vector is turned about its own axis [rad]."""
    up = cv2.Rodrigues(np.asarray(rotation, dtype=np.float64))[0][:, 2]
    return math.atan2(float(up[0]), -float(up[1]))


def _prior(unknowns: Floats, sighting: Sighting) -> tuple[Floats, Floats]:
    """Return how far each weakly known thing is from the usual, over its spread, and its slopes.

    float64 [4] for focal length, lens, roll and height; float64 [4, 8] by the unknowns.
    """
    turned, by_turn = cv2.Rodrigues(unknowns[2:5])
    up, up_by_turn = turned[:, 2], np.asarray(by_turn)[:, 2::3].T
    level = up[0] ** 2 + up[1] ** 2
    usual = math.log(USUAL_FOCAL * max(sighting.width, sighting.height))
    height = -float(up @ unknowns[5:8])
    far = (unknowns[0] - usual, unknowns[1], math.atan2(up[0], -up[1]), height - USUAL_HEIGHT)
    slopes = np.zeros((4, len(PARAMETERS)))
    slopes[0, 0] = slopes[1, 1] = 1.0
    slopes[2, 2:5] = (up[0] * up_by_turn[1] - up[1] * up_by_turn[0]) / level
    slopes[3, 2:5], slopes[3, 5:8] = -unknowns[5:8] @ up_by_turn, -up
    spread = np.array([FOCAL_SPREAD, LENS_SPREAD, ROLL_SPREAD, HEIGHT_SPREAD])
    return np.array(far) / spread, slopes / spread[:, None]


def _camera(unknowns: Floats, sighting: Sighting) -> Camera:
    v = [float(u) for u in unknowns]
    return Camera(
        width=sighting.width, height=sighting.height,
        focal=math.exp(min(max(v[0], -5.0), 20.0)), lens=v[1],
        rotation=(v[2], v[3], v[4]), translation=(v[5], v[6], v[7]),
    )  # fmt: skip


def _unknowns(camera: Camera) -> Floats:
    start: Floats = camera.parameters
    start[0] = math.log(start[0])
    return start


def _off(camera: Camera, sighting: Sighting) -> Floats:
    """Drawn less seen [px]; a point behind the camera counts as a long way off."""
    drawn = project(camera, _places(camera, sighting))
    off: Floats = np.nan_to_num(drawn, nan=1e5) - sighting.seen
    return off


def _misfit(unknowns: Floats, sighting: Sighting, whiten: Floats) -> Floats:
    off = _off(_camera(unknowns, sighting), sighting)
    white = np.einsum("nij,nj->ni", whiten, off)
    return np.concatenate([white.ravel(), _prior(unknowns, sighting)[0]])


def _slopes(unknowns: Floats, sighting: Sighting, whiten: Floats) -> Floats:
    # a ring edge wanders round the rod as the camera moves: along the column, so that its column
    # is right to first order; its height is off by under 1 % of a slope that weighs little
    camera = _camera(unknowns, sighting)
    _, _, by_camera = project_with_slopes(camera, _places(camera, sighting))
    by_camera[:, :, 0] *= camera.focal
    white = np.einsum("nij,njk->nik", whiten, by_camera).reshape(-1, len(PARAMETERS))
    return np.vstack([white, _prior(unknowns, sighting)[1]])


def _refine(camera: Camera, sighting: Sighting) -> Fitted:
    """Return the best fit near a camera."""
    unknowns, whiten = _unknowns(camera), _whitening(camera, sighting)
    for _ in range(2):  # the weights follow the camera: once more with those of the better one
        found = least_squares(
            _misfit, unknowns, jac=_slopes, args=(sighting, whiten), method="lm", x_scale="jac",
            max_nfev=60,
        )  # fmt: skip
        unknowns = found.x
        whiten = _whitening(_camera(unknowns, sighting), sighting)
    misfit = _misfit(unknowns, sighting, whiten)
    # a camera close to a mark makes its place's error look large: that must cost something
    spread = -2.0 * float(np.sum(np.log(np.linalg.det(whiten) * sighting.sd**2)))
    slopes = _slopes(unknowns, sighting, whiten)
    return _finished(unknowns, misfit, slopes, sighting=sighting, spread=spread)


def _facing_place(mark: Landmark, side: Floats) -> Floats:
    """Return where a landmark is if the ring's right edge lies on a side of its centre."""
    if not mark.ring_edge:
        return np.array(mark.position)
    level = mark.ring_edge * abs(mark.position[0]) * side
    return np.array([level[0], level[1], mark.position[2]])


def _guess_points(sighting: Sighting) -> Iterator[tuple[Floats, Floats]]:
    """Give world and picture points that a first guess may rest on."""
    fixed = [i for i, mark in enumerate(sighting.landmarks) if not mark.ring_edge]
    if len(fixed) >= 4:
        yield np.array([sighting.landmarks[i].position for i in fixed]), sighting.seen[fixed]
        return
    for facing in _FACINGS:
        side = np.array([math.cos(facing), math.sin(facing), 0.0])
        at = [_facing_place(mark, side) for mark in sighting.landmarks]
        yield np.array(at), sighting.seen


def _flat(points: Floats) -> bool:
    """Tell whether points lie in a plane."""
    spans = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(spans[2] < 0.02 * spans[0])


def _poses(at: Floats, seen: Floats, matrix: Floats) -> Iterator[tuple[Floats, Floats]]:
    """Give the poses OpenCV finds for one focal length."""
    ways = [cv2.SOLVEPNP_SQPNP, *([cv2.SOLVEPNP_IPPE] if _flat(at) else [])]
    for way in ways:
        try:
            _, turns, shifts, _ = cv2.solvePnPGeneric(
                at.reshape(-1, 1, 3), seen.reshape(-1, 1, 2), matrix, np.zeros(4), flags=way
            )
        except cv2.error:  # points that this method can't take; the others remain
            continue
        yield from zip(turns, shifts, strict=True)


def _first_guesses(sighting: Sighting) -> list[Camera]:
    """Return cameras near which the best one may lie, best first."""
    start = Camera(
        width=sighting.width, height=sighting.height, focal=1.0, rotation=(0.0, 0.0, 0.0),
        translation=(0.0, 0.0, 0.0),
    )  # fmt: skip
    tried = []
    long_side = max(sighting.width, sighting.height)
    for (at, seen), focal in product(_guess_points(sighting), _FIRST_FOCALS):
        matrix = replace(start, focal=focal * long_side).matrix
        for turn, shift in _poses(at, seen, matrix):
            values = np.concatenate([[focal * long_side, 0.0], turn.ravel(), shift.ravel()])
            if np.all(np.isfinite(values)):
                tried.append(with_parameters(start, values, covariance=np.zeros((8, 8))))
    return sorted(tried, key=lambda camera: float(np.sum(_off(camera, sighting) ** 2)))


def _same_way(one: Camera, other: Camera) -> bool:
    return float(np.trace(one.turned.T @ other.turned)) > _SAME_WAY


def _alike(one: Camera, other: Camera) -> bool:
    """Tell whether two cameras look the same way from about as far from the ring."""
    far = np.linalg.norm([one.position, other.position], axis=1)
    return _same_way(one, other) and bool(np.max(far) < _AS_FAR * np.min(far))


def _apart(cameras: Sequence[Camera], most: int) -> list[Camera]:
    """Return the first few cameras that are not alike, other ways of looking first.

    Small differences of focal length and distance slide away in the refinement; another way of
    looking, such as the other answer for marks in a plane, does not.
    """
    kept: list[Camera] = []
    for alike, camera in product((_same_way, _alike), cameras):
        if len(kept) < most and not any(alike(camera, other) for other in kept):
            kept.append(camera)
    return kept


def _plausible(camera: Camera, sighting: Sighting) -> bool:
    drawn = project(camera, _places(camera, sighting))
    return bool(np.all(np.isfinite(drawn)) and camera.position[2] > _LOWEST)


def _behind_board(camera: Camera, sighting: Sighting) -> bool:
    faces = [m.position[1] for m in sighting.landmarks if _ON_BOARD.match(m.name)]
    return bool(faces) and bool(camera.position[1] > min(faces))


def _worse(fitted: Fitted) -> tuple[bool, float]:
    """Return what ranks the answers found, the best one lowest."""
    return not fitted.plausible, fitted.chi2 + fitted.spread + _BEHIND * fitted.behind_board


def _drops(misfit: Floats, slopes: Floats, inverse: Floats) -> Floats:
    """Return by how much chi-square would fall without each mark, float64 [mark].

    Derived: least squares with one block of rows left out, to first order; 0 for a mark that
    alone holds some unknown, since without it nothing can be said.
    """
    drops = np.zeros((len(misfit) - _PRIORS) // 2)
    for i in range(len(drops)):
        rows = slice(2 * i, 2 * i + 2)
        free = np.eye(2) - slopes[rows] @ inverse @ slopes[rows].T
        if np.linalg.det(free) > 1e-6:
            drops[i] = misfit[rows] @ np.linalg.solve(free, misfit[rows])
    return drops


def _finished(
    unknowns: Floats, misfit: Floats, slopes: Floats, *, sighting: Sighting, spread: float
) -> Fitted:
    camera = _camera(unknowns, sighting)
    inverse = np.asarray(np.linalg.pinv(slopes.T @ slopes, rcond=1e-15, hermitian=True), np.float64)
    covariance = inverse.copy()
    covariance[0, :] *= camera.focal
    covariance[:, 0] *= camera.focal
    return Fitted(
        camera=with_parameters(camera, camera.parameters, covariance=covariance),
        residuals=sighting.off(camera),
        chi2=float(misfit @ misfit),
        spread=spread,
        drops=_drops(misfit, slopes, inverse),
        freedom=2 * len(sighting) + _PRIORS - len(PARAMETERS),
        roll=roll(camera.rotation),
        roll_chi2=float(misfit[2 * len(sighting) + 2] ** 2),
        behind_board=_behind_board(camera, sighting),
        plausible=_plausible(camera, sighting),
    )


def fit_camera(sighting: Sighting, *, tries: int = REFINED) -> Fitted | None:
    """Return the most probable camera for a sighting, or None where none can be found.

    Parameters
    ----------
    sighting
        Four marks or more, not in one line.
    tries
        How many first guesses are refined.

    Notes
    -----
    First guesses by OpenCV's PnP over a row of focal lengths, both answers where the marks lie
    in a plane; the best few refined by Levenberg-Marquardt. An implausible camera is returned
    only where no plausible one is found.
    """
    starts = _apart(_first_guesses(sighting), tries)
    fitted = [_refine(camera, sighting) for camera in starts]
    return min(fitted, key=_worse, default=None)


def place_covariance(camera: Camera) -> Floats:
    """Return the covariance of where a camera stands [m²], float64 [3, 3].

    Derived: the camera's own covariance through the derivative of its position.
    """
    at, errors = camera.parameters, camera.errors
    steps = np.diag(1e-6 * np.maximum(1.0, np.abs(at)))
    columns = [
        with_parameters(camera, at + step, covariance=errors).position
        - with_parameters(camera, at - step, covariance=errors).position
        for step in steps
    ]
    slopes = np.stack(columns, axis=1) / (2.0 * np.diag(steps))
    spread: Floats = slopes @ errors @ slopes.T
    return spread
