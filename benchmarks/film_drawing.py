"""Pictures drawn per second of processor time, everything included, over the targets."""

import math
import tempfile
import time
from pathlib import Path

import cv2

from hoopwright.court.frame import spot_at
from hoopwright.film.synthetic.draw import draw_clip
from hoopwright.film.synthetic.places import beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.flight.arc import Release

#: picture size, rate, and pictures a second that a run over hundreds of shots needs
CASES = (((1280, 720), 30.0, 15.0), ((1920, 1080), 60.0, 6.0))


def drawn(size: tuple[int, int], rate: float, file: Path) -> tuple[int, float]:
    """Draw a clip; return its pictures and the processor time it took [s]."""
    spot = spot_at(4.225)
    release = Release(speed=7.42, angle=math.radians(52.0), height=2.15, spin=15.0)
    shots = [KnownShot(spot=spot, release=release, start=0.5 + 6.0 * n) for n in range(2)]
    start = time.process_time()
    clip = draw_clip(
        file, camera=beside(spot, size=size), shots=shots, setting=Setting(phone=Phone(rate=rate))
    )
    return len(clip.times), time.process_time() - start


def main() -> None:
    cv2.setNumThreads(1)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "clip.mp4"
        drawn((160, 90), 10.0, file)
        for size, rate, target in CASES:
            count, took = drawn(size, rate, file)
            speed = count / took
            print(
                f"{size[0]}×{size[1]} at {rate:g} pictures/s: {speed:.1f} drawn per CPU second, "
                f"{speed / target:.1f} times the target of {target:g}"
            )


if __name__ == "__main__":
    main()
