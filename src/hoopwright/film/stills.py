"""Still pictures of a shot at the moments a coach looks at, with its lines and numbers."""

import cv2
import numpy as np

from hoopwright.film.clips import LONGEST_SIDE, Pixels, Shown
from hoopwright.film.overlay import captioned, draw, hide
from hoopwright.film.results import FilmedShot, Moment
from hoopwright.film.video import SAME_TIME, picture_times, read

#: events of which a still is made; the landing at the ring plane is one more
MOMENTS = (Moment.DIP, Moment.SET, Moment.RELEASE)
LANDING = "landing"
#: JPEG quality, 0 to 100, at which thin lines stay clean
QUALITY = 92


def moments_of(shot: FilmedShot) -> dict[str, float]:
    """Return the real times of dip, set point, release and landing [s], as far as known.

    Parameters
    ----------
    shot
        A filmed shot.
    """
    times = {event.moment.value: event.time for event in shot.events if event.moment in MOMENTS}
    if shot.ball is not None:
        times.setdefault(Moment.RELEASE.value, shot.ball.release_time.value)
        times[LANDING] = shot.ball.ring_time.value
    return dict(sorted(times.items(), key=lambda item: item[1]))


def write_stills(shown: Shown) -> dict[str, bytes]:
    """Return a JPEG picture of each known moment of a shot, by the moment's name.

    Parameters
    ----------
    shown
        The shot and what to draw; its first and last time are not used.

    Returns
    -------
    dict
        Of dip, set point, release and landing those that are known, in order of time. Nothing
        but the picture is in a file: no place, no time, no owner.

    Raises
    ------
    BadFilm
        The film can't be read.
    BadInput
        More than three numbers.
    """
    times = picture_times(shown.source, slowed=shown.slowed)
    stills = {}
    for name, time in moments_of(shown.shot).items():
        nearest = float(times[np.argmin(np.abs(times - time))])
        with read(
            shown.source, slowed=shown.slowed, first=nearest, last=nearest + SAME_TIME
        ) as pictures:
            for picture in pictures:
                stills[name] = _encoded(_drawn(shown, picture.image, picture.frame, time))
    return stills


def _drawn(shown: Shown, image: Pixels, frame: int, time: float) -> Pixels:
    if shown.faces is not None:
        image = hide(image, shown.faces(frame))
    scale = min(LONGEST_SIDE / max(image.shape[:2]), 1.0)
    if scale < 1.0:
        smaller = cv2.resize(image, (0, 0), fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        image = np.asarray(smaller, dtype=np.uint8)
    drawn = draw(image, shown.drawing, time=time, scale=scale)
    return captioned(drawn, shown.drawing, time=time)


def _encoded(image: Pixels) -> bytes:
    content = cv2.imencode(".jpg", image, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])[1]
    return content.tobytes()
