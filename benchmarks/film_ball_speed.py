"""How fast and how near the ball is found in a drawn clip, against what is asked for.

``PYTHONPATH=src python benchmarks/film_ball_speed.py`` draws a clip of two free throws at
1280 × 720 and prints pictures a second over the 90 asked for (reading the file included), the
linking's share, and the root mean square of the middle over the 0.35 px asked for.
"""

import math
import tempfile
import time
from pathlib import Path

import cv2
import numpy as np

from hoopwright.court.standards import ball
from hoopwright.film.ball import find
from hoopwright.film.synthetic.draw import Drawn, draw_clip
from hoopwright.film.synthetic.places import beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.film.track import follow
from hoopwright.film.video import read
from hoopwright.flight.arc import Release, speed_to_reach
from hoopwright.records import Spot

#: asked for: pictures a second, and error of a sharp ball's middle [px]
_ASKED_RATE, _ASKED_ERROR = 90.0, 0.35


def _drawn(path: Path) -> Drawn:
    spot, angle = Spot(name="line", x=0.0, y=4.2), math.radians(52.0)
    shots = []
    for number in range(2):
        speed = float(speed_to_reach(4.2 + 0.1 * number, angle, 0.9, ball=ball(7), spin=12.0))
        release = Release(speed=speed, angle=angle, height=2.15, spin=12.0)
        shots.append(KnownShot(spot=spot, release=release, start=0.6 + 5.5 * number))
    phone = Phone(rate=30.0, shutter=0.01)
    camera = beside(spot, size=(1280, 720))
    return draw_clip(path, camera=camera, shots=shots, setting=Setting(phone=phone))


def _errors(drawn: Drawn, frames: np.ndarray, middles: np.ndarray) -> np.ndarray:
    off = []
    for shot in drawn.shots:
        end = shot.first_touch or shot.ring_time
        inside = (drawn.ball_times > shot.release_time + 0.03) & (drawn.ball_times < end)
        for i in np.flatnonzero(inside & drawn.visible):
            apart = middles[frames == i] - drawn.ball[i]
            if len(apart):
                off.append(apart[np.argmin(np.hypot(*apart.T))])
    return np.array(off)


def main() -> None:
    cv2.setNumThreads(1)
    with tempfile.TemporaryDirectory() as folder:
        drawn = _drawn(Path(folder) / "clip.mp4")
        options = {"camera": drawn.camera, "ball": ball(7)}
        find(read(drawn.path, last=0.5), **options)
        start, used = time.perf_counter(), time.process_time()
        found = find(read(drawn.path), readout=drawn.setting.phone.readout, **options)
        wall, used = time.perf_counter() - start, time.process_time() - used
        start = time.perf_counter()
        flights = follow(found, ring_height=3.05, **options)
        link = time.perf_counter() - start
    rate = len(drawn.times) / wall
    error = float(np.sqrt(np.mean(_errors(drawn, found.frame, found.middle) ** 2)))
    print(f"pictures a second {rate:.0f}, over asked for {rate / _ASKED_RATE:.2f}")
    print(f"processor time a picture {1000 * used / len(drawn.times):.1f} ms")
    print(f"linking over finding {link / wall:.3f}; flights {len(flights)} of {len(drawn.shots)}")
    print(f"error of the middle {error:.2f} px, over asked for {error / _ASKED_ERROR:.2f}")


if __name__ == "__main__":
    main()
