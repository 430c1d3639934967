"""A jump shot as a movement: when it comes to what, and where feet, hips, trunk and hands are.

Times in this module count from release, so they are below zero before it [s].
"""

import math
from dataclasses import dataclass
from typing import Self, TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator
from scipy.optimize import brentq

from hoopwright.errors import BadInput
from hoopwright.film.synthetic.figure import Shape, mesh
from hoopwright.film.synthetic.rig import UP, Pair, Posed, Rig, Stance, facing, tilted
from hoopwright.film.synthetic.shots import KnownShot, Motion, ahead_of, hand_path, release_state
from hoopwright.flight.air import STANDARD_GRAVITY
from hoopwright.records import Hand

Floats = NDArray[np.float64]
T = TypeVar("T")

#: thickness of a hand between its bones and the ball, and wrist to the middle of the palm over
#: stature: common practice, no source
_FLESH, _PALM = 0.02, 0.052
#: how high the wrist is over the shoulder at release, over the arm's length, where the stature is
#: not given: a line that rises at 62°, elbow nearly straight; common practice, no source
_REACH = 0.86
#: knee angles standing, at toe-off and landed, π is straight [rad]
_KNEE_STAND, _KNEE_OFF, _KNEE_LAND = math.radians(166.0), math.radians(170.0), math.radians(132.0)
#: foot's pitch at toe-off [rad], and how long the heel takes to rise [s]
_PITCH_OFF, _HEEL_RISE = 0.85, 0.17
#: pitch of the shooting hand's fingers from level ahead [rad]: held, dip, set, release, finish
_FINGERS = (0.9, 0.85, 2.55, 1.45, -0.7)
#: the hand's flick after release, and the arm's way up after it [s]
_FLICK, _CARRY = 0.11, 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """Who shoots."""

    shape: Shape = Shape.MAN
    hand: Hand = Hand.RIGHT
    #: [m]; None for one that suits the release height
    stature: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Phases:
    """When the shot comes to what, since release [s]."""

    start: float
    dip_start: float
    dip: float
    set_point: float
    toe_off: float
    apex: float
    landing: float
    hold_end: float

    @classmethod
    def of(cls, motion: Motion) -> "Phases":
        """Return the moments of a motion."""
        off = -motion.release_to_toe_off
        up = math.sqrt(2.0 * motion.jump_rise / STANDARD_GRAVITY)
        return cls(
            start=-motion.length, dip_start=motion.hold - motion.length,
            dip=-(motion.lift + motion.push), set_point=-motion.push, toe_off=off,
            apex=off + up, landing=off + 2.0 * up, hold_end=motion.follow_hold,
        )  # fmt: skip


def _ease(time: float, start: float, end: float) -> float:
    """Return how far a smooth step from 0 to 1 has come."""
    share = min(max((time - start) / (end - start), 0.0), 1.0)
    return share * share * (3.0 - 2.0 * share)


def _mixed(one: Floats, two: Floats, share: float) -> Floats:
    return np.asarray(one + share * (two - one))


class JumpShot:
    """One shot's movement by one player.

    Parameters
    ----------
    shot
        What is shot; its motion says how.
    rig
        The figure at the player's stature.
    hand
        The shooting hand.
    radius
        Of the ball [m].
    """

    def __init__(self, shot: KnownShot, rig: Rig, *, hand: Hand, radius: float) -> None:
        self.shot, self.rig, self.radius = shot, rig, radius
        self.phases = Phases.of(shot.motion)
        #: + 1 where the shooting side is the right one
        self.side = 1.0 if hand is Hand.RIGHT else -1.0
        self._ball = hand_path(shot)
        self.ahead = ahead_of(shot.spot)
        self.right = np.array([self.ahead[1], -self.ahead[0], 0.0])
        self._fingers = self._finger_course()
        self._lift = self._hip_course()
        self._place = np.zeros(3)
        self._let_go = (np.zeros(3),) * 3

    def settled(self) -> Self:
        """Stand where the hand just meets the ball at release, and return this shot.

        Raises
        ------
        BadInput
            The ball can't be reached at release.
        """
        self._place = self._stand()
        self._let_go = self._at_release()
        return self

    @property
    def reach(self) -> float:
        """How high the wrist is over the shoulder at release, over the arm's length."""
        names = (f"upperarm_{self._s}", f"lowerarm_{self._s}", f"hand_{self._s}")
        wrist = release_state(self.shot)[0] - self._grip(0.0)
        return float(wrist[2] - self._shoulder(0.0)[2]) / sum(self.rig.lengths(*names))

    # ---- courses of single numbers --------------------------------------------------------------

    def _finger_course(self) -> PchipInterpolator:
        p = self.phases
        marks = [p.start - 9.0, p.dip_start, p.dip, p.set_point, 0.0, _FLICK, 99.0]
        held, dip, top, leaves, end = _FINGERS
        return PchipInterpolator(marks, [held, held, dip, top, leaves, end, end])

    def _hip_height(self, knee: float, ankle: float, back: float) -> float:
        """Return how high the hips are over the floor for a knee angle [m]."""
        thigh, shank = self.rig.lengths("thigh_l", "calf_l", "foot_l")
        leg2 = thigh * thigh + shank * shank - 2.0 * thigh * shank * math.cos(knee)
        aside = 0.5 * self.shot.motion.stance_width - abs(float(self.rig.head("thigh_l")[0]))
        return ankle + math.sqrt(leg2 - back * back - aside * aside)

    def _hip_course(self) -> CubicHermiteSpline:
        """Return the hips' height up to toe-off, and from landing on."""
        p, m = self.phases, self.shot.motion
        flat = self.rig.sole[0]
        stand = self._hip_height(_KNEE_STAND, flat, 0.02)
        low = self._hip_height(m.knee_dip, flat, 0.10)
        off = self._hip_height(_KNEE_OFF, self._ankle(_PITCH_OFF)[1], 0.0)
        land = self._hip_height(_KNEE_LAND, flat, 0.08)
        up = math.sqrt(2.0 * STANDARD_GRAVITY * m.jump_rise)
        marks = [p.start - 9.0, p.dip_start, p.dip, p.toe_off, p.landing, p.landing + 0.24]
        heights, speeds = [stand, stand, low, off, off, land], [0.0, 0.0, 0.0, up, -up, 0.0]
        return CubicHermiteSpline(
            [*marks, p.landing + 0.75, 99.0], [*heights, stand, stand], [*speeds, 0.0, 0.0]
        )

    def _ankle(self, pitch: float) -> tuple[float, float]:
        """Return how far the ankle is behind the ball of the foot, and above the floor [m]."""
        _, up, ahead = self.rig.foot
        c, s = math.cos(pitch), math.sin(pitch)
        return float(c * ahead + s * up), float(self.rig.sole[1] + s * ahead - c * up)

    def hips_height(self, time: float) -> float:
        """Return the hips' height over the floor [m]."""
        p = self.phases
        if p.toe_off < time < p.landing:
            since = time - p.toe_off
            up = math.sqrt(2.0 * STANDARD_GRAVITY * self.shot.motion.jump_rise)
            return float(self._lift(p.toe_off)) + since * (up - 0.5 * STANDARD_GRAVITY * since)
        return float(self._lift(time))

    def _pitch(self, time: float) -> float:
        p = self.phases
        rising = _ease(time, p.toe_off - _HEEL_RISE, p.toe_off)
        return _PITCH_OFF * (rising - _ease(time, p.landing, p.landing + 0.12))

    # ---- the body -------------------------------------------------------------------------------

    def _turned(self, angle: float) -> Floats:
        """Return the level direction turned from the shot line toward the non-shooting side."""
        return np.asarray(math.cos(angle) * self.ahead - self.side * math.sin(angle) * self.right)

    def _frames(self, time: float) -> tuple[Floats, Floats, Floats]:
        """Return the frames of pelvis, chest and head."""
        p, m = self.phases, self.shot.motion
        lean = m.trunk_dip * (
            _ease(time, p.dip_start, p.dip) - _ease(time, p.dip, p.set_point + 0.05)
        )
        lean += m.trunk_release * _ease(time, p.dip, 0.0)
        lean += 0.18 * (
            _ease(time, p.landing, p.landing + 0.25) - _ease(time, p.landing + 0.3, p.landing + 0.8)
        )
        pelvis = tilted(facing(self._turned(m.hip_turn)), 0.8 * lean)
        chest = tilted(facing(self._turned(m.shoulder_turn)), lean)
        return pelvis, chest, tilted(facing(self.ahead), 0.25 * lean - 0.12)

    def _legs(self, time: float, hips: Floats) -> tuple[Pair, Pair]:
        """Return where ankles are and how feet are turned."""
        p, m = self.phases, self.shot.motion
        way = self._turned(m.stance_turn)
        left = np.array([-way[1], way[0], 0.0])
        feet = tilted(facing(way), self._pitch(time))
        behind, high = self._ankle(self._pitch(time))
        flat = self._ankle(0.0)[0]
        air = hips[2] - float(self._lift(p.toe_off)) if p.toe_off < time < p.landing else 0.0
        middle = self._place + 0.02 * self.ahead + (flat - behind) * way + (high + air) * UP
        apart = 0.5 * m.stance_width * left
        return (middle + apart, middle - apart), (feet, feet)

    def _hips(self, time: float) -> Floats:
        p = self.phases
        back = 0.02 + 0.08 * (_ease(time, p.dip_start, p.dip) - _ease(time, p.dip, p.toe_off))
        back += 0.06 * (
            _ease(time, p.landing, p.landing + 0.24) - _ease(time, p.landing + 0.3, p.landing + 0.8)
        )
        # over the ankles, which a raised heel brings forward
        behind = self._ankle(0.0)[0] - self._ankle(self._pitch(time))[0]
        forward = (behind - back) * self.ahead
        return np.asarray(self._place + forward + self.hips_height(time) * UP)

    def _stand(self) -> Floats:
        """Return the place on the floor from which the hand just meets the ball at release."""
        ball, _ = release_state(self.shot)
        wrist = ball - self._grip(0.0)
        shoulder = self._shoulder(0.0)
        arm = self.rig.lengths(f"upperarm_{self._s}", f"lowerarm_{self._s}", f"hand_{self._s}")
        far2 = (
            arm[0] ** 2
            + arm[1] ** 2
            - 2 * arm[0] * arm[1] * math.cos(self.shot.motion.elbow_release)
        )
        high = float(wrist[2] - shoulder[2])
        aside = float(shoulder @ self.right) - self.side * self.shot.motion.sight_offset
        level2 = far2 - high * high - aside * aside
        if level2 < 0.0004:
            raise BadInput(
                f"A player of {self.rig.stature:.2f} m can't release the "
                f"ball at {ball[2]:.2f} m like that; change the stature, the jump or the height."
            )
        ahead = float((wrist - shoulder) @ self.ahead) - math.sqrt(level2)
        right = float(ball @ self.right) - self.side * self.shot.motion.sight_offset
        return np.asarray(ahead * self.ahead + right * self.right)

    @property
    def _s(self) -> str:
        return "r" if self.side > 0.0 else "l"

    def _shoulder(self, time: float) -> Floats:
        """Return where the shooting shoulder is."""
        return self.rig.shoulder(self._trunk(time), self._s)

    def chest(self, time: float) -> Floats:
        """Return about where the shoulders are, a time since release [m], float64 [3]."""
        return np.asarray(self._hips(time) + 0.3 * self.rig.stature * UP)

    def _trunk(self, time: float) -> Stance:
        """Return a stance whose arms are not yet asked for."""
        p = self.phases
        pelvis, chest, head = self._frames(time)
        hips = self._hips(time)
        ankles, feet = self._legs(time, hips)
        lift = _ease(time, p.dip, p.set_point + 0.08) * (
            1.0 - _ease(time, p.hold_end, p.hold_end + 0.4)
        )
        ways, none = (self._turned(0.0),) * 2, (np.zeros(3),) * 2
        return Stance(
            hips=hips, pelvis=pelvis, chest=chest, head=head, ankles=ankles, feet=feet, wrists=none,
            hands=ways, palms=ways, elbows=ways,
            knees=(feet[0][:, 2] * (1, 1, 0), feet[1][:, 2] * (1, 1, 0)),
            shrug=self._pair(0.35 * lift, 0.18 * lift), curl=self._pair(0.28 - 0.1 * lift, 0.2),
        )  # fmt: skip

    def _pair(self, shooting: T, other: T) -> tuple[T, T]:
        """Order a shooting-side thing and one of the other side as left, right."""
        return (other, shooting) if self.side > 0.0 else (shooting, other)

    # ---- hands ----------------------------------------------------------------------------------

    def ball(self, time: float) -> Floats:
        """Return the ball's place while it is in the hands [m], float64 [3]."""
        at = self.shot.release_time + min(max(time, self.phases.start), 0.0)
        return np.array(
            [np.interp(at, self._ball.times, self._ball.points[:, k]) for k in range(3)]
        )

    def _hand(self, time: float) -> Pair:
        """Return where the shooting hand's fingers point, and where its palm faces."""
        pitch = float(self._fingers(time))
        c, s = math.cos(pitch), math.sin(pitch)
        return c * self.ahead + s * UP, s * self.ahead - c * UP

    def _grip(self, time: float) -> Floats:
        """Return the way from the shooting wrist to the ball's centre."""
        fingers, palm = self._hand(time)
        stature = self.rig.stature
        reach = _PALM + 0.04 * _ease(time, -0.05, 0.0)
        return reach * stature * fingers + (self.radius + _FLESH) * palm

    def _guide(self) -> tuple[Floats, Floats, Floats]:
        """Return the guide hand's fingers and palm, and the way from its wrist to the ball."""
        fingers = 0.5 * self.ahead + 0.86 * UP
        palm = self.side * self.right
        stature = self.rig.stature
        return fingers, palm, _PALM * stature * fingers + (self.radius + _FLESH) * palm

    def _at_release(self) -> tuple[Floats, Floats, Floats]:
        """Return wrists from the shoulder as the ball leaves, and the shooting one's velocity."""
        step = 0.004
        now, before = (self.ball(t) - self._grip(t) - self._shoulder(t) for t in (0.0, -step))
        guide = self.ball(-0.03) - self._guide()[2] - self._shoulder(-0.03)
        speed = (now - before) / step
        return now, guide, speed * min(1.0, 4.0 / max(float(np.linalg.norm(speed)), 1e-9))

    def _wrists(self, time: float, shoulder: Floats) -> tuple[Floats, Floats]:
        """Return where the shooting wrist and the other one are asked to be."""
        p = self.phases
        grip, guide = self._grip(min(time, 0.0)), self._guide()[2]
        held = self.ball(p.start) - self._grip(p.start), self.ball(p.start) - guide
        if time <= 0.0:
            let = _ease(time, -0.03, 0.02)
            ball = self.ball(time)
            return ball - grip, _mixed(ball - guide, shoulder + self._let_go[1], let)
        start, other, speed = self._let_go
        carried = start + speed * _CARRY * (1.0 - math.exp(-time / _CARRY))
        down = _ease(time, p.hold_end, p.hold_end + 0.45)
        aside = (
            other
            - 0.05 * self.side * self.right * _ease(time, 0.0, 0.3)
            - 0.1 * UP * _ease(time, 0.0, 0.4)
        )
        return (_mixed(shoulder + carried, held[0], down), _mixed(shoulder + aside, held[1], down))

    def stance(self, time: float) -> Stance:
        """Return what the body is asked to do at a time since release [s]."""
        p, m = self.phases, self.shot.motion
        trunk = self._trunk(time)
        wrist, other = self._wrists(time, self.rig.shoulder(trunk, self._s))
        down = _ease(time, p.hold_end, p.hold_end + 0.45)
        fingers, palm = self._hand(time if time < p.hold_end else p.hold_end)
        held = self._hand(p.start)
        guide_fingers, guide_palm, _ = self._guide()
        raised = _ease(time, p.dip, p.set_point) * (1.0 - down)
        out = self.side * self.right
        low = -0.6 * UP - 0.5 * self.ahead + 0.5 * out
        high = -0.7 * UP + 0.7 * self.ahead + math.tan(m.elbow_flare) * out
        pole, guide_pole = _mixed(low, high, raised), -UP - 0.9 * out
        return Stance(
            hips=trunk.hips, pelvis=trunk.pelvis, chest=trunk.chest, head=trunk.head,
            ankles=trunk.ankles, feet=trunk.feet, knees=trunk.knees, shrug=trunk.shrug,
            curl=trunk.curl, wrists=self._pair(wrist, other),
            hands=self._pair(_mixed(fingers, held[0], down), guide_fingers),
            palms=self._pair(_mixed(palm, held[1], down), guide_palm),
            elbows=self._pair(pole, guide_pole),
        )  # fmt: skip

    def posed(self, time: float) -> Posed:
        """Return the body at a time since the clip's first picture [s]."""
        return self.rig.pose(self.stance(time - self.shot.release_time))


def suiting_stature(shot: KnownShot, shape: Shape, *, radius: float) -> float:
    """Return the stature whose arm reaches up at release as most players' does [m].

    Parameters
    ----------
    shot
        Gives the release height and the jump.
    shape
        Which body.
    radius
        Of the ball [m].

    Raises
    ------
    BadInput
        Nobody of 0.9 to 2.4 m releases the ball so high.
    """

    def over(stature: float) -> float:
        rig = Rig(mesh(shape), stature)
        return JumpShot(shot, rig, hand=Hand.RIGHT, radius=radius).reach - _REACH

    try:
        return float(brentq(over, 0.9, 2.4, xtol=1e-3))
    except ValueError:
        raise BadInput(
            f"Nobody releases a ball at {shot.release.height:.2f} m like that; change the height."
        ) from None
