"""What a clip can't give, in sentences a coach understands, and the errors behind that."""

import math

from hoopwright.film.results import Body, Moment

#: below this many pictures a second times of a shot are not told: at 60 the time between two
#: events errs by 6.8 ms from sampling alone, as much as habits differ (docs/film-body.md)
LEAST_RATE = 110.0
#: angles are read from the picture up to this yaw [rad]; beyond only through the scene
SQUARE_YAW = math.radians(15.0)
#: beyond this yaw even the scene can't mend an angle [rad]: a joint 4 cm outside its plane is
#: 3 cm wrong within it
MENDED_YAW = math.radians(40.0)
#: what an angle may be wrong by where the yaw is anything up to ``SQUARE_YAW`` [rad]: a knee of
#: 105° reads 1.9° high there (derived)
UNKNOWN_YAW_SD = math.radians(1.9)
#: front views are read up to this angle off the shot line [rad]
FRONT_YAW = math.radians(25.0)

TIMES = (
    Body.DIP_TO_RELEASE, Body.SET_TO_RELEASE, Body.RELEASE_TO_TOE_OFF, Body.RELEASE_TO_APEX,
    Body.HOLD,
)  # fmt: skip
KNEES = (Body.KNEE_DIP, Body.KNEE_SET, Body.KNEE_RELEASE)
ELBOWS = (Body.ELBOW_DIP, Body.ELBOW_SET, Body.ELBOW_RELEASE)
SHOULDERS = (Body.SHOULDER_DIP, Body.SHOULDER_SET, Body.SHOULDER_RELEASE)
TRUNKS = (Body.TRUNK_DIP, Body.TRUNK_SET, Body.TRUNK_RELEASE)
#: angles in the side plane
SIDE_ANGLES = (*KNEES, *ELBOWS, *SHOULDERS, *TRUNKS, Body.WRIST_SET)
#: measures that need the shooting arm
ARM = (*ELBOWS, *SHOULDERS, Body.WRIST_SET, Body.ELBOW_FLARE)
#: angles of any kind
ANGLES = (
    *SIDE_ANGLES, Body.ELBOW_FLARE, Body.STANCE_TURN, Body.HIP_TURN, Body.SHOULDER_TURN,
)  # fmt: skip

#: a pose model's own error of an angle, shared by all shots from one place [rad]: 6 to 12° for
#: knees seen by two tablets against optical capture (abstract seen, proceedings 2025), and about
#: 6° SD for ten joints of single pictures (abstract seen, 2020); shoulder 2 to 25° (abstract
#: seen, 2025); the fast arm 10° (memory); trunk and turns from drawn figures seen by the pose
#: model (docs/film-body.md)
POSE_BIAS = (
    dict.fromkeys(KNEES, math.radians(6.0))
    | dict.fromkeys(TRUNKS, math.radians(8.0))
    | dict.fromkeys((*ELBOWS, *SHOULDERS, Body.WRIST_SET), math.radians(10.0))
    | {Body.ELBOW_FLARE: math.radians(8.0)}
    | dict.fromkeys((Body.HIP_TURN, Body.SHOULDER_TURN), math.radians(13.0))
    | {Body.STANCE_TURN: math.radians(5.0)}
)
#: a pose model's own error of a place, shared likewise [m]; a judgement, no source
PLACE_BIAS = 0.015

#: an error beyond this is of no use to a coach: angles [rad], lengths [m], speeds [m/s]
LEAST_USE = (
    dict.fromkeys(ANGLES, math.radians(15.0))
    | dict.fromkeys((Body.WRIST_SET, Body.HIP_TURN, Body.SHOULDER_TURN), math.radians(20.0))
    | dict.fromkeys((Body.STANCE_WIDTH, Body.SIGHT_LINE, Body.DIP_DEPTH, Body.JUMP_RISE), 0.08)
    | dict.fromkeys((Body.BODY_SPEED, Body.ARM_SPEED), 0.5)
    | {Body.RELEASE_RATIO: 0.05}
)

HOW = {
    Body.STANCE_WIDTH: "film from behind, with the camera above head height",
    Body.STANCE_TURN: "film from behind, with the camera above head height",
    Body.HIP_TURN: "film from the side with the player large in the picture, or from high above",
    Body.SHOULDER_TURN: "film from the side with the player large in the picture, or from high "
    "above",
    Body.SIGHT_LINE: "film from behind with the player larger in the picture",
    Body.ELBOW_FLARE: "film from behind with the player larger in the picture",
}
CLOSER = "film from the side with the player larger in the picture"


def timing(rate: float) -> str | None:
    """Return why times are refused at a frame rate, or None.

    Parameters
    ----------
    rate
        Pictures a second of real time.
    """
    if rate >= LEAST_RATE:
        return None
    return (
        f"Timing needs 120 pictures a second or more and this clip has {rate:.0f}; "
        "film in slow motion."
    )


def side_view(yaw: float) -> str | None:
    """Return why angles in the side plane are refused, or None.

    Parameters
    ----------
    yaw
        How far the camera is off square to the shot line [rad].
    """
    if yaw <= MENDED_YAW:
        return None
    return (
        f"The camera stood {math.degrees(yaw):.0f}° off a square side view, so this angle can't "
        f"be told; film from the side, within {math.degrees(SQUARE_YAW):.0f}° of square."
    )


def picture_only(yaw: float) -> str | None:
    """Return why an angle read from the picture without a scene is refused, or None.

    Parameters
    ----------
    yaw
        As for ``side_view``.
    """
    if yaw <= SQUARE_YAW:
        return None
    return (
        f"The camera stood {math.degrees(yaw):.0f}° off a square side view and no scene was "
        "marked to correct it; mark the scene, or film square from the side."
    )


NO_SCENE = "No scene was marked for this clip, so the floor can't be told; mark the scene."


def front_view(yaw: float) -> str | None:
    """Return why a measure across the shot line is refused, or None.

    Parameters
    ----------
    yaw
        As for ``side_view``: π/2 is straight from behind or in front.
    """
    off = 0.5 * math.pi - yaw
    if off <= FRONT_YAW:
        return None
    return (
        f"This is seen only along the shot line and the camera stood {math.degrees(off):.0f}° off "
        "it; film from behind the shooter."
    )


def joints_unseen(name: Body, moment: Moment) -> str:
    """Return why a measure whose joints were hidden or unsure is left blank.

    Parameters
    ----------
    name, moment
        The measure and when it is taken.
    """
    what = "The shooting arm" if name in ARM else "The body"
    return (
        f"{what} could not be seen clearly at the {moment.value}, so this is left blank; film from "
        "the shooting side in good light."
    )


def too_vague(name: Body, sd: float) -> str | None:
    """Return why a measure with a large error is left out, or None.

    Parameters
    ----------
    name
        The measure.
    sd
        Its error, one standard deviation [SI].
    """
    most = LEAST_USE.get(name)
    if most is None or sd <= most:
        return None
    if name in ANGLES:
        size = f"{math.degrees(sd):.0f}°"
    elif name in (Body.BODY_SPEED, Body.ARM_SPEED):
        size = f"{sd:.1f} m/s"
    elif name is Body.RELEASE_RATIO:
        size = f"{100.0 * sd:.0f} % of stature"
    else:
        size = f"{100.0 * sd:.0f} cm"
    return f"From here it would be ±{size}, too vague to use; {HOW.get(name, CLOSER)}."
