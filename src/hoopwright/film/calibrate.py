"""Marks on a still → the camera with its errors, and which mark is wrong, in words."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2 as chi_square

from hoopwright.court.standards import RuleBook
from hoopwright.errors import BadInput, UnknownName
from hoopwright.film.camera import Camera, with_parameters
from hoopwright.film.camera_fit import Fitted, Sighting, fit_camera, place_covariance
from hoopwright.film.landmarks import Landmark, Mark, book_for, landmarks

__all__ = ["Calibrated", "Mark", "Residual", "calibrate"]

Floats = NDArray[np.float64]

#: fewest marks, and fewest with which a wrong one can be told
FEWEST, ENOUGH_TO_TELL = 4, 6
#: marks that fit worse than this chance do not belong together
_TOO_BAD = 1e-3
#: a repaired set must fit at least this well
_GOOD_AGAIN = 0.01
#: how much worse the second-best repair must fit to be ruled out, in chi-square
_CLEARLY = 5.0
#: how many marks are tried as the wrong one, the likeliest first
_SUSPECTS = 8
#: points whose spread across is below this share of that along lie in one line
_IN_LINE = 0.03
#: a 95 % range of the camera's distance wider than this share of it is pointed out
_LOOSE = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Residual:
    """How far a mark is from where the camera draws its landmark."""

    name: str
    #: clicked less drawn [px]
    x: float
    y: float

    @property
    def size(self) -> float:
        """Straight distance [px]."""
        return math.hypot(self.x, self.y)


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibrated:
    """A camera worked out from marks, and how well they agree."""

    #: with the covariance of all its PARAMETERS
    camera: Camera
    #: reprojection error: root mean square distance of the marks used [px]
    rms: float
    #: of every mark, in the order given
    residuals: tuple[Residual, ...]
    #: the mark that slipped, left out of the camera; or the two that were swapped, used the
    #: right way round; or those of which one is wrong, all used; empty where all is well
    bad: tuple[str, ...]
    #: sentences for the coach, the most pressing first
    notes: tuple[str, ...]


def _check_picture(marks: Sequence[Mark], width: int, height: int) -> None:
    for mark in marks:
        if not (math.isfinite(mark.x) and math.isfinite(mark.y)):
            raise BadInput(f"The mark “{mark.name}” has no place; click it again.", field=mark.name)
        if not (-0.5 <= mark.x <= width - 0.5 and -0.5 <= mark.y <= height - 0.5):
            raise BadInput(
                f"The mark “{mark.name}” is outside the picture; click it again or leave it out.",
                field=mark.name,
            )
    for one, other in combinations(marks, 2):
        if math.hypot(one.x - other.x, one.y - other.y) < 0.5:
            raise BadInput(
                f"“{one.name}” and “{other.name}” are marked at the same place; move one of them.",
                field=other.name,
            )


def _check_names(marks: Sequence[Mark], known: dict[str, Landmark]) -> None:
    seen: set[str] = set()
    for mark in marks:
        if mark.name not in known:
            raise UnknownName(
                f"There is no “{mark.name}” under these rules; choose one of: {', '.join(known)}.",
                field=mark.name,
            )
        if mark.name in seen:
            raise BadInput(f"“{mark.name}” is marked twice; remove one.", field=mark.name)
        seen.add(mark.name)
    if len(marks) < FEWEST:
        raise BadInput(
            f"Mark at least {FEWEST} points that are not in one line; there are {len(marks)}.",
            field="marks",
        )


def _in_line(points: Floats) -> bool:
    spans = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(spans[1] < _IN_LINE * spans[0])


def _sighting(
    marks: Sequence[Mark], known: dict[str, Landmark], book: RuleBook, *, size: tuple[int, int],
    sd: float,
) -> Sighting:  # fmt: skip
    marked = tuple(known[mark.name] for mark in marks)
    seen = np.array([(mark.x, mark.y) for mark in marks])
    if _in_line(np.array([mark.position for mark in marked])) or _in_line(seen):
        raise BadInput(
            "All marks lie in one line; add one or two well away from it, "
            "such as on the floor or at the board's other edge.",
            field="marks",
        )
    return Sighting(
        landmarks=marked, seen=seen, sd=sd, width=size[0], height=size[1],
        ring_outside=book.ring.radius + book.ring.rod_diameter, rod_radius=book.ring.rod_radius,
    )  # fmt: skip


def _chance(fitted: Fitted) -> float:
    """Chance that marks as good as told fit this badly."""
    return float(chi_square.sf(fitted.chi2, fitted.freedom))


def _fits(fitted: Fitted | None, least: float) -> bool:
    """Tell whether marks belong together: as a whole, and each to all the others."""
    if fitted is None or not fitted.plausible or _chance(fitted) <= least:
        return False
    # the most that one of so many drops reaches by chance
    return bool(np.max(fitted.drops) < chi_square.isf(_TOO_BAD / len(fitted.drops), 2))


def _mirror(name: str) -> str:
    swap = {"left": "right", "right": "left"}
    return " ".join(swap.get(word, word) for word in name.split())


def _mirrored(sighting: Sighting, known: dict[str, Landmark]) -> Sighting:
    """Return the sighting with left and right exchanged in every name but the ring's.

    The ring's edges are those of the picture, whoever looks at the board.
    """
    other = tuple(m if m.ring_edge else known[_mirror(m.name)] for m in sighting.landmarks)
    return replace(sighting, landmarks=other)


def _check_upright(fitted: Fitted) -> None:
    without_roll = float(chi_square.sf(fitted.chi2 - fitted.roll_chi2, fitted.freedom))
    lies = abs(fitted.roll) > 0.25 * math.pi
    if lies and fitted.plausible and without_roll > _TOO_BAD:
        raise BadInput(
            "The picture lies on its side or upside down; turn it upright, then mark it again.",
            field="marks",
        )


def _check_way_round(fitted: Fitted, sighting: Sighting, known: dict[str, Landmark]) -> None:
    """Refuse marks whose left and right are all exchanged."""
    if _fits(fitted, _TOO_BAD) and not fitted.behind_board:
        return
    mirrored = _mirrored(sighting, known)
    other = fit_camera(mirrored)
    if other is not None and _fits(other, _GOOD_AGAIN) and not other.behind_board:
        raise BadInput(
            "Left and right are exchanged in these marks: left is the left hand of a player who "
            "faces the board, so exchange each left mark with its right one; the camera does not "
            "seem to stand behind the board, but if it does, mark points on the floor too.",
            field="marks",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Repair:
    """A way to make the marks agree."""

    names: tuple[str, ...]
    sentence: str
    fitted: Fitted
    #: what the camera rests on
    sighting: Sighting


def _left_out(fitted: Fitted, sighting: Sighting) -> Iterator[_Repair]:
    for i in np.argsort(-fitted.drops)[:_SUSPECTS]:
        mark = sighting.landmarks[i]
        rest = [k for k in range(len(sighting)) if k != i]
        without = sighting.only(rest)
        if _in_line(np.array([m.position for m in without.landmarks])):
            continue
        again = fit_camera(without)
        if again is not None and _fits(again, _GOOD_AGAIN):
            sentence = (
                f"The mark “{mark.name}” does not fit the others; look at it again. "
                "The camera was worked out without it."
            )
            yield _Repair(names=(mark.name,), sentence=sentence, fitted=again, sighting=without)


def _swapped(fitted: Fitted, sighting: Sighting) -> Iterator[_Repair]:
    suspects = sorted(int(i) for i in np.argsort(-fitted.drops)[:_SUSPECTS])
    for i, j in combinations(suspects, 2):
        order = [*range(len(sighting))]
        order[i], order[j] = j, i
        right_way = sighting.renamed(order)
        again = fit_camera(right_way, tries=1)
        if again is not None and _fits(again, _GOOD_AGAIN):
            names = (sighting.landmarks[i].name, sighting.landmarks[j].name)
            sentence = (
                f"The marks “{names[0]}” and “{names[1]}” look exchanged; look at them again. "
                "The camera was worked out with them the other way round."
            )
            yield _Repair(names=names, sentence=sentence, fitted=again, sighting=right_way)


def _best(repairs: Sequence[_Repair]) -> tuple[_Repair | None, tuple[str, ...]]:
    """Return the repair that stands out, or None and the marks that are all under suspicion."""
    if not repairs:
        return None, ()
    ranked = sorted(repairs, key=lambda r: r.fitted.chi2)
    near = [r for r in ranked if r.fitted.chi2 < ranked[0].fitted.chi2 + _CLEARLY]
    if len(near) == 1:
        return near[0], near[0].names
    return None, tuple(dict.fromkeys(name for r in near for name in r.names))


def _either(names: Sequence[str]) -> str:
    quoted = [f"“{name}”" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def _repaired(fitted: Fitted, sighting: Sighting) -> tuple[_Repair | None, tuple[str, ...], str]:
    """Return the repair if one stands out, the marks under suspicion, and the sentence to show."""
    if len(sighting) < ENOUGH_TO_TELL:
        return None, (), (
            f"The marks do not fit each other, and with {len(sighting)} it can't be told which is "
            f"wrong; look at each again, or mark at least {ENOUGH_TO_TELL}."
        )  # fmt: skip
    found, under = _best([*_left_out(fitted, sighting)] or [*_swapped(fitted, sighting)])
    if found is not None:
        return found, under, found.sentence
    if under:
        return None, under, (
            f"One of the marks is wrong: {_either(under)}; look at these again, "
            "or mark one or two points more so that it can be told which."
        )  # fmt: skip
    return None, (), (
        "The marks do not fit each other, and more than one is wrong; check the rules and the ring "
        "height, then mark the picture afresh."
    )  # fmt: skip


def _widened(fitted: Fitted) -> Camera:
    """Return the camera, its errors enlarged where the marks scatter more than told."""
    if _chance(fitted) > 0.05:
        return fitted.camera
    factor = fitted.chi2 / max(fitted.freedom, 1)
    camera = fitted.camera
    return with_parameters(camera, camera.parameters, covariance=factor * camera.errors)


def _place_note(camera: Camera) -> str:
    """Say where the camera stands, with ranges, so that the coach can tell whether that is so."""
    here, spread = camera.position, place_covariance(camera)
    level = math.hypot(here[0], here[1])
    toward = np.array([here[0], here[1], 0.0]) / max(level, 1e-9)
    far_sd = 1.96 * math.sqrt(float(toward @ spread @ toward))
    high_sd = 1.96 * math.sqrt(float(spread[2, 2]))
    far = f"{max(level - far_sd, 0.0):.1f} to {level + far_sd:.1f} m"
    high = f"{max(here[2] - high_sd, 0.0):.1f} to {here[2] + high_sd:.1f} m"
    place = f"the camera {far} from the point below the ring and {high} above the floor"
    if 2.0 * far_sd > _LOOSE * level:
        return (
            f"These marks place {place} (95 % range): add marks on floor and board to know better."
        )
    return f"These marks place {place} (95 % range); if that is not so, look at the marks again."


def calibrate(
    marks: Sequence[Mark],
    *,
    width: int,
    height: int,
    rules: RuleBook | str = "fiba",
    ring_height: float | None = None,
    mark_sd: float = 1.5,
) -> Calibrated:
    """Work out the camera from four or more marks on a still.

    Parameters
    ----------
    marks
        Landmarks of ``landmarks(rules, ring_height)`` and where they were clicked; not all in
        one line.
    width, height
        Of the upright picture [px].
    rules
        A rule book or its key.
    ring_height
        Top of the ring above the floor [m]; the book's where left out.
    mark_sd
        Clicking error each way, one standard deviation [px].

    Raises
    ------
    BadInput
        Too few marks, in one line, outside the picture, two at one place, mirrored, or the
        picture is not upright; ``field`` is the mark's name, or "marks" where all are meant.
    UnknownName
        A mark or rule book of no known name.

    Notes
    -----
    Maximum a posteriori over focal length, one lens term and pose; see ``docs/film-scene.md``.
    """
    if not 0.0 < mark_sd < 100.0:
        raise BadInput("The clicking error must be above 0 and below 100 px.", field="mark_sd")
    book = book_for(rules, ring_height)
    known = landmarks(book)
    _check_names(marks, known)
    _check_picture(marks, width, height)
    sighting = _sighting(marks, known, book, size=(width, height), sd=mark_sd)
    fitted = fit_camera(sighting)
    if fitted is None:
        raise BadInput(
            "No camera could see these marks so; mark the picture afresh.", field="marks"
        )
    _check_upright(fitted)
    _check_way_round(fitted, sighting, known)
    if _fits(fitted, _TOO_BAD):
        return _result(fitted, sighting, sighting, bad=(), notes=())
    repair, bad, sentence = _repaired(fitted, sighting)
    if repair is None:
        return _result(fitted, sighting, sighting, bad=bad, notes=(sentence,))
    return _result(repair.fitted, repair.sighting, sighting, bad=bad, notes=(sentence,))


def _result(
    fitted: Fitted, used: Sighting, given: Sighting, *, bad: tuple[str, ...], notes: tuple[str, ...]
) -> Calibrated:
    camera = _widened(fitted)
    rms = math.sqrt(float(np.mean(np.sum(fitted.residuals**2, axis=1))))
    off = given.off(camera)
    residuals = tuple(
        Residual(name=mark.name, x=float(x), y=float(y))
        for mark, (x, y) in zip(given.landmarks, off, strict=True)
    )
    return Calibrated(
        camera=camera, rms=rms, residuals=residuals, bad=bad, notes=(*notes, _place_note(camera))
    )
