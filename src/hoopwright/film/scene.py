"""A scene, from marked still to picture and file: what the rest of the program asks for.

Marks and camera are worked out in ``calibrate``, kept in ``camera_place``, written by
``scene_file`` and drawn by ``drawn_back``; whether they still hold is told by ``moved``.
"""

from hoopwright.film.camera_place import Scene, Setting, scaled, scene_from_marks
from hoopwright.film.drawn_back import DrawnLine, drawn_back
from hoopwright.film.scene_file import read_scene, scene_sum, write_scene

__all__ = [
    "DrawnLine",
    "Scene",
    "Setting",
    "drawn_back",
    "read_scene",
    "scaled",
    "scene_from_marks",
    "scene_sum",
    "write_scene",
]
