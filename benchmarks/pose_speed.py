"""Speed of the body and face nets against a clip's 30 pictures a second; needs the models.

Run: HOOPWRIGHT_MODELS=data/models python benchmarks/pose_speed.py
"""

import os
import threading
import time
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np

from hoopwright.film.bodynet import PoseModel
from hoopwright.film.faces import FaceModel
from hoopwright.film.nets import Square

RATE = 30.0
PICTURE = np.random.default_rng(1).integers(0, 255, (720, 1280, 3), dtype=np.uint8)
SQUARE = Square(x=640.0, y=360.0, side=420.0, turn=0.1)


def per_second(work: Callable[[], object], times: int) -> float:
    """Calls a second of wall time, after one to warm up."""
    work()
    start = time.perf_counter()
    for _ in range(times):
        work()
    return times / (time.perf_counter() - start)


def two_at_once(folder: Path, times: int) -> float:
    """Skeletons a second by two models in two threads."""
    models = [PoseModel(folder), PoseModel(folder)]

    def both() -> None:
        threads = [threading.Thread(target=model.lay, args=(PICTURE, SQUARE)) for model in models]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    return 2.0 * per_second(both, times)


def main() -> None:
    cv2.setNumThreads(1)
    folder = Path(os.environ.get("HOOPWRIGHT_MODELS", "data/models"))
    body, faces = PoseModel(folder), FaceModel(folder)
    rows = [
        ("33 points of one body", per_second(lambda: body.lay(PICTURE, SQUARE), 60)),
        ("two bodies in two threads", two_at_once(folder, 40)),
        ("bodies in one square", per_second(lambda: body.find(PICTURE, SQUARE), 60)),
        ("faces in a 720p picture", per_second(lambda: faces.search(PICTURE), 3)),
    ]
    for name, rate in rows:
        print(f"{name:28s} {rate:7.1f} a second   {rate / RATE:6.2f} × a 30 pictures/s clip")


if __name__ == "__main__":
    main()
