"""The truth of a drawn clip as plain data; each key says its unit, as on the command line."""

import math
from typing import Any

from hoopwright.film.synthetic.draw import Drawn, TrueShot
from hoopwright.film.synthetic.truth import TrueMotion
from hoopwright.units import to_centimetres, to_degrees


def truth_data(drawn: Drawn) -> dict[str, Any]:
    """Return what a drawn clip shows, ready for JSON.

    Parameters
    ----------
    drawn
        As ``draw.draw_clip`` returned it.
    """
    camera, phone = drawn.camera, drawn.setting.phone
    motions = drawn.body.motions if drawn.body is not None else (None,) * len(drawn.shots)
    return {
        "invented": True,
        "pictures_per_s": phone.rate,
        "slowed": phone.slowed,
        "camera": {
            "right_m": float(camera.position[0]), "ahead_m": float(camera.position[1]),
            "up_m": float(camera.position[2]), "focal_px": camera.focal, "lens": camera.lens,
        },
        "shots": [
            _shot(shot) | ({} if motion is None else {"body": _body(motion)})
            for shot, motion in zip(drawn.shots, motions, strict=True)
        ],
    }  # fmt: skip


def _shot(shot: TrueShot) -> dict[str, Any]:
    return {
        "start_s": shot.start,
        "release_s": shot.release_time,
        "ring_s": shot.ring_time,
        "speed_m_per_s": shot.speed,
        "angle_deg": to_degrees(shot.angle),
        "direction_deg": to_degrees(shot.direction),
        "release_height_m": shot.height,
        "apex_m": shot.apex,
        "along_cm": to_centimetres(shot.along),
        "across_cm": to_centimetres(shot.across),
        "entry_angle_deg": to_degrees(shot.entry_angle),
        "made": shot.made,
        "outcome": shot.outcome.name.lower(),
    }


def _body(motion: TrueMotion) -> dict[str, Any]:
    """Return moments [s] and measures in SI units, by the names of ``results``."""
    return {
        "moments_s": {moment.value: time for moment, time in motion.moments.items()},
        "measures_si": {
            name.value: value for name, value in motion.measures.items() if math.isfinite(value)
        },
    }
