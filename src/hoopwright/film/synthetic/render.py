"""One picture at a time: the still gym, people and balls where they are, then colour planes."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from hoopwright.film.camera import Camera, pixels_per_metre, project
from hoopwright.film.synthetic import _figure_kernel as figure_kernel
from hoopwright.film.synthetic import _kernel
from hoopwright.film.synthetic.figure import Mesh
from hoopwright.film.synthetic.gym import Still
from hoopwright.film.synthetic.rig import Posed

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Picture = NDArray[np.uint8]
Box = tuple[int, int, int, int]

#: light from the lamps above, a little from the near side
_LIGHT = np.array([0.25, -0.35, 0.9]) / np.linalg.norm([0.25, -0.35, 0.9])
#: samples of a pixel each way for people; farther than this many metres per 1000 px of focal
#: length they are drawn with fewer triangles
_FINE, _COARSE = 2, 150.0
#: a ball moves at most so far between two of its images in one exposure [px], and most images
_STEP, _MOST = 1.0, 24


@dataclass(frozen=True, slots=True, kw_only=True)
class BallLook:
    """One ball's size and colours."""

    #: [m]
    radius: float
    #: skin and seams, blue green red, float64 [2, 3]
    skin: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class BallNow:
    """A ball during one exposure."""

    #: places of the centre over the exposure of the row it is on, evenly in time [m], [sample, 3]
    points: Floats
    #: [m/s], float64 [3]
    velocity: Floats
    #: how it is turned from its rest, rotation vector [rad], float64 [3]
    turned: Floats


class _Room:
    """Places to work in for one mesh."""

    def __init__(self, count: int) -> None:
        self.points, self.directions = np.empty((count, 3)), np.empty((count, 3))
        self.pixels, self.lit = np.empty((count, 3)), np.empty((count, 3))


class Canvas:
    """A picture that is repaired where something moved before the next is drawn."""

    def __init__(self, camera: Camera, still: Still, *, row_time: float) -> None:
        self.camera, self._still, self._row_time = camera, still, row_time
        self.image, self._depth = still.image.copy(), still.depth.copy()
        self._dirty: list[Box] = []
        self._scratch = np.empty((4, 3))
        self._rooms: dict[int, _Room] = {}
        shape = still.depth.shape
        self._blank = tuple(
            np.empty((n // s, m // s), np.uint8) for s in (1, 2, 2) for n, m in [shape]
        )
        self._planes = tuple(p.copy() for p in self._blank)
        _kernel.to_planes(still.image, 0, shape[0], 0, shape[1], *self._blank)
        for now, blank in zip(self._planes, self._blank, strict=True):
            now[:] = blank

    def clean(self) -> None:
        """Take everything that moves off the picture."""
        for top, low, left, right in self._dirty:
            part = np.s_[top:low, left:right]
            self.image[part] = self._still.image[part]
            self._depth[part] = self._still.depth[part]
            half = np.s_[top // 2 : low // 2, left // 2 : right // 2]
            for now, blank, where in zip(
                self._planes, self._blank, (part, half, half), strict=True
            ):
                now[where] = blank[where]
        self._dirty = []

    def planes(self) -> tuple[Picture, Picture, Picture]:
        """Return luma and chroma of the picture as it is now."""
        for top, low, left, right in self._dirty:
            _kernel.to_planes(self.image, top, low, left, right, *self._planes)
        y, u, v = self._planes
        return y, u, v

    def _touch(self, low: Floats, high: Floats) -> Box | None:
        """Note a part of the picture as drawn on, given as (x, y) corners; None where off it."""
        rows, columns = self._depth.shape
        if not (np.isfinite(low).all() and np.isfinite(high).all()):
            return None
        left, top = (max(int(v) // 2 * 2, 0) for v in low)
        right, foot = (int(v) // 2 * 2 + 2 for v in high)
        box = (top, min(foot, rows), left, min(right, columns))
        if box[0] >= box[1] or box[2] >= box[3]:
            return None
        self._dirty.append(box)
        return box

    def shadow(self, place: Floats, radius: float, strength: float) -> None:
        """Draw a soft shadow on the floor; before anything that casts one.

        Parameters
        ----------
        place
            Its middle on the floor [m], float64 [2] or more.
        radius
            Where it has faded to a third [m].
        strength
            Share of the light it takes in its middle.
        """
        around = np.array([(x, y) for x in (-2.0, 2.0) for y in (-2.0, 2.0)]) * radius
        corners = np.column_stack([around + place[:2], np.zeros(4)])
        drawn = project(self.camera, corners)
        box = self._touch(drawn.min(axis=0), drawn.max(axis=0))
        if box is not None:
            _kernel.shade_floor(
                self.image, self._depth, self._still.depth, self._still.rays,
                self.camera.position, self.camera.turned, place, radius, strength, box,
            )  # fmt: skip

    def figure(self, mesh: Mesh, posed: Sequence[Posed], colours: Floats) -> None:
        """Draw a person.

        Parameters
        ----------
        mesh, posed
            The figure, and how it is bent at moments evenly over the exposure; one for no blur.
        colours
            Of the parts, float64 [part, BGR].
        """
        room = self._rooms.setdefault(len(mesh.vertices), _Room(len(mesh.vertices)))
        seen = np.array([self._see(mesh, one, colours, room) for one in posed])
        nearest = float(seen[:, 2].min())
        if nearest < 0.3:
            return
        box = self._touch(seen[:, 0:2].min(axis=0) - 1.0, seen[:, 3:5].max(axis=0) + 1.0)
        if box is None:
            return
        faces = mesh.coarse if nearest * _COARSE > self.camera.focal else mesh.faces
        if len(posed) == 1:
            self._fill(faces, room, box)
            return
        part = np.s_[box[0] : box[1], box[2] : box[3]]
        before, far = self.image[part].copy(), self._depth[part].copy()
        total = np.zeros(before.shape, np.float32)
        for one in posed:
            self.image[part], self._depth[part] = before, far
            self._see(mesh, one, colours, room)
            self._fill(faces, room, box)
            total += self.image[part]
        self.image[part] = np.rint(total / len(posed)).astype(np.uint8)

    def _see(
        self, mesh: Mesh, posed: Posed, colours: Floats, room: "_Room"
    ) -> tuple[float, float, float, float, float]:
        """Bend and shade the figure; return its least x, y [px], depth [m] and largest x, y."""
        camera, middle = self.camera, self.camera.matrix[:2, 2]
        figure_kernel.bend(
            mesh.vertices, mesh.normals, mesh.bone, mesh.share, mesh.joints[:, 0], posed.turns,
            posed.origins, posed.scale, room.points, room.directions,
        )  # fmt: skip
        ends: tuple[float, float, float, float, float] = figure_kernel.see(
            room.points, room.directions, colours, mesh.part, camera.turned,
            np.array(camera.translation), np.array([camera.focal, camera.lens, *middle]), _LIGHT,
            room.pixels, room.lit,
        )  # fmt: skip
        return ends

    def _fill(self, faces: Ints, room: "_Room", box: Box) -> None:
        """Draw the triangles of a bent figure."""
        top, low, left, right = box
        rows, columns = _FINE * (low - top), _FINE * (right - left)
        depth = np.full((rows, columns), np.inf, np.float32)
        colour = np.empty((rows, columns, 3), np.float32)
        figure_kernel.fill(room.pixels, room.lit, faces, left, top, _FINE, colour, depth)
        figure_kernel.settle(colour, depth, _FINE, left, top, self.image, self._depth)

    def ball(self, look: BallLook, now: BallNow) -> None:
        """Draw a ball, blurred over its exposure and skewed by the rolling shutter."""
        camera, still = self.camera, self._still
        turned, shift = camera.turned, np.array(camera.translation)
        centres = now.points @ turned.T + shift
        if (centres[:, 2] < 4.0 * look.radius).any():
            return
        drawn = project(camera, now.points)
        wide = look.radius * float(pixels_per_metre(camera, now.points).max()) * 1.3 + 3.0
        row0 = float(drawn[:, 1].mean())
        slide = (
            wide * abs(self._row_time) * np.linalg.norm(now.velocity) * camera.focal / centres[0, 2]
        )
        box = self._touch(drawn.min(axis=0) - wide - slide, drawn.max(axis=0) + wide + slide)
        if box is None:
            return
        _kernel.draw_ball(
            centres, turned @ now.velocity, row0, self._row_time, look.radius, camera.focal,
            still.rays, turned, np.asarray(cv2.Rodrigues(-now.turned)[0]), _LIGHT, look.skin,
            self.image, self._depth, still.under, still.depth, still.over, still.cover, still.near,
            box, self._scratch,
        )  # fmt: skip


def images_needed(camera: Camera, point: Floats, velocity: Floats, shutter: float) -> int:
    """Return how many images of a moving ball one exposure needs to look smooth."""
    scale = float(pixels_per_metre(camera, point[None])[0])
    streak = float(np.linalg.norm(velocity)) * shutter * abs(scale)
    return min(max(int(streak / _STEP) + 1, 1), _MOST)
