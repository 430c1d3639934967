"""Pictures a second read from drawn phone film, ours and OpenCV's reader, and memory by length.

Run: python benchmarks/film_reading.py [seconds of film]. Drawing takes longer than reading.
"""

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2

from hoopwright.film.synthetic.draw import draw_clip
from hoopwright.film.synthetic.places import beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.film.video import look, read
from hoopwright.flight.arc import Release
from hoopwright.records import Spot

READINGS: dict[str, dict[str, Any]] = {
    "colour": {},
    "gray": {"gray": True},
    "gray, half as large": {"gray": True, "size": (640, 360)},
}


def drawn(folder: Path, seconds: float) -> Path:
    """A free throw every five seconds, 1280 × 720, 60 pictures a second, at a phone's bit rate."""
    spot = Spot(name="free throw line", x=0.0, y=4.225)
    release = Release(speed=7.4, angle=0.9, height=2.1)
    shots = [
        KnownShot(spot=spot, release=release, start=0.5 + 5.0 * n)
        for n in range(round(seconds / 5))
    ]
    return draw_clip(
        folder / "film.mp4", camera=beside(spot, size=(1280, 720)), shots=shots,
        setting=Setting(phone=Phone(rate=60.0)),
    ).path  # fmt: skip


def opencv(path: Path) -> int:
    reader = cv2.VideoCapture(str(path), cv2.CAP_FFMPEG)
    count = 0
    while reader.read()[0]:
        count += 1
    return count


def rates(run: Callable[[], int]) -> tuple[float, float]:
    """Pictures a second, by the clock and by processor time, in the quickest of three runs."""
    found = []
    for _ in range(3):
        start, used = time.perf_counter(), time.process_time()
        count = run()
        found.append((count / (time.perf_counter() - start), count / (time.process_time() - used)))
    return max(found)


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    with tempfile.TemporaryDirectory() as name:
        path = drawn(Path(name), seconds)
        facts = look(path)
        megabits = path.stat().st_size * 8e-6 / facts.duration
        print(f"{facts.frames} pictures, {facts.width} × {facts.height}, {megabits:.1f} Mbit/s")
        reference = rates(lambda: opencv(path))
        print(f"OpenCV, colour: {reference[0]:.0f} a second, {reference[1]:.0f} per CPU second")
        for said, options in READINGS.items():
            ours = rates(lambda options=options: sum(1 for _ in read(path, **options)))
            print(
                f"ours, {said}: {ours[0]:.0f} a second ({ours[0] / reference[0]:.2f} of OpenCV's), "
                f"{ours[1]:.0f} per CPU second ({ours[1] / reference[1]:.2f})"
            )
        for share in (0.1, 1.0):
            for _ in read(path, last=share * facts.duration):
                pass
            most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
            print(f"most memory after {share * facts.duration:.0f} s of film: {most:.0f} MB")


if __name__ == "__main__":
    main()
