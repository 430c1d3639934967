"""What is drawn, held to the pinhole's own geometry: the ball's place, size, streak and skew."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.court.standards import ball, rule_book
from hoopwright.film.camera import Camera, at_place, project
from hoopwright.film.synthetic.gym import Still, rays_of, still_gym
from hoopwright.film.synthetic.render import BallLook, BallNow, Canvas

Floats = NDArray[np.float64]

BALL, BOOK = ball(7), rule_book("fiba")
LOOK = BallLook(radius=BALL.radius, skin=np.array([[60.0, 110.0, 210.0], [60.0, 110.0, 210.0]]))
SIZE = (320, 180)


def camera(lens: float = 0.0, focal: float = 250.0) -> Camera:
    return at_place(
        (-9.0, -2.0, 1.5), (0.0, -2.0, 2.3), width=SIZE[0], height=SIZE[1], focal=focal, lens=lens
    )


def blank(cam: Camera) -> Still:
    """A still of plain black, far away, so that what is drawn is all there is."""
    rows, columns = cam.height, cam.width
    dark = np.zeros((rows, columns, 3), np.uint8)
    far = np.full((rows, columns), 60.0, np.float32)
    none = np.zeros((rows, columns), np.float32)
    return Still(
        image=dark, under=dark.copy(), depth=far, over=np.zeros((rows, columns, 3), np.float32),
        cover=none, near=np.full_like(far, np.inf), rays=rays_of(cam),
    )  # fmt: skip


def drawn(
    points: Floats, velocity: Floats, *, row_time: float = 0.0, cam: Camera | None = None
) -> Floats:
    """How bright a ball makes each pixel, over the brightest."""
    cam = cam or camera()
    canvas = Canvas(cam, blank(cam), row_time=row_time)
    canvas.ball(LOOK, BallNow(points=points, velocity=velocity, turned=np.zeros(3)))
    lit = canvas.image.max(axis=2) / max(float(canvas.image.max()), 1.0)
    return np.asarray(lit, dtype=np.float64)


def outline(lit: Floats) -> tuple[float, float, float, float]:
    """Left, right, top and bottom edge to a part of a pixel, from rows and columns of light."""
    rows, columns = lit.max(axis=1), lit.max(axis=0)

    def edges(profile: Floats) -> tuple[float, float]:
        seen = np.flatnonzero(profile > 0.25)
        return float(seen[0]), float(seen[-1])

    return (*edges(columns), *edges(rows))


@pytest.mark.parametrize("lens", [0.0, 0.12])
@pytest.mark.parametrize("place", [(0.3, -3.0, 3.4), (-1.0, -0.5, 1.2), (0.0, -4.2, 2.1)])
def test_ball_stands_where_the_pinhole_puts_it(
    place: tuple[float, float, float], lens: float
) -> None:
    """Closed form: x = f X/Z (1 + k (X² + Y²)/Z²), the radius f r/Z."""
    point = np.array([place])
    cam = camera(lens)
    left, right, top, low = outline(drawn(point, np.zeros(3), cam=cam))
    x, y, z = (point[0] @ cam.turned.T) + np.array(cam.translation)
    bent = 1.0 + lens * (x * x + y * y) / (z * z)
    middle = (cam.focal * x / z * bent + 159.5, cam.focal * y / z * bent + 89.5)
    # whole pixels are half a pixel rough at each edge
    assert 0.5 * (left + right) == pytest.approx(middle[0], abs=0.55)
    assert 0.5 * (top + low) == pytest.approx(middle[1], abs=0.55)
    assert 0.25 * (right - left + low - top) == pytest.approx(cam.focal * BALL.radius / z, abs=0.6)


def test_ball_covers_the_area_of_its_outline() -> None:
    """Closed form: π (f r/Z)², the partly covered pixels by their share."""
    cam, point = camera(), np.array([[0.0, -2.0, 2.3]])
    z = float((point[0] @ cam.turned.T + np.array(cam.translation))[2])
    canvas = Canvas(cam, blank(cam), row_time=0.0)
    plain = BallLook(radius=BALL.radius, skin=np.zeros((2, 3)))
    canvas.image[:] = 200
    canvas._still.under[:] = 200
    canvas.ball(plain, BallNow(points=point, velocity=np.zeros(3), turned=np.zeros(3)))
    # the gloss of a black ball is small beside the light it hides
    hidden = float((200.0 - canvas.image.min(axis=2).astype(float)).sum()) / 200.0
    assert hidden == pytest.approx(math.pi * (cam.focal * BALL.radius / z) ** 2, rel=0.08)


@pytest.mark.parametrize("lens", [0.0, -0.06])
@pytest.mark.parametrize("place", [(0.0, -4.0, 2.2), (0.0, -2.0, 4.0), (0.0, -0.4, 3.1)])
def test_middle_of_a_blurred_leaning_ball_is_the_truth(
    place: tuple[float, float, float], lens: float
) -> None:
    """Closed form: a sphere's outline is centred f·tan·(r/d)² px outward of its middle, here 0.1.

    What the ball hides of an even grey, weighed, must be centred where the truth says the ball is
    halfway through its row's exposure, whatever blur and lean.
    """
    cam = at_place(
        (11.0, -2.0, 1.5), (0.0, -2.0, 2.4), width=960, height=540, focal=1500.0, lens=lens
    )
    still = blank(cam)
    still.image[:] = still.under[:] = 200
    canvas = Canvas(cam, still, row_time=0.016 / 540)
    velocity = np.array([0.0, 4.5, -5.0])
    moments = 0.005 * ((np.arange(9) + 0.5) / 9 - 0.5)
    now = BallNow(
        points=np.array(place) + moments[:, None] * velocity, velocity=velocity, turned=np.zeros(3)
    )
    canvas.ball(BallLook(radius=BALL.radius, skin=np.zeros((2, 3))), now)
    hidden = 200.0 - canvas.image.max(axis=2).astype(np.float64)
    rows, columns = np.nonzero(hidden)
    weights = hidden[rows, columns]
    middle = np.array([weights @ columns, weights @ rows]) / weights.sum()
    np.testing.assert_allclose(middle, project(cam, np.array([place]))[0], atol=0.12)


def test_streak_is_speed_times_shutter() -> None:
    """Known motion: at 8 m/s and 1/60 s a ball sweeps 0.133 m more than its width."""
    cam, speed, shutter = camera(focal=1500.0), np.array([0.0, 8.0, 0.0]), 1.0 / 60.0
    middle = np.array([0.0, -2.0, 2.3])
    moments = shutter * ((np.arange(40) + 0.5) / 40 - 0.5)
    streak = drawn(middle + moments[:, None] * speed, speed, cam=cam)
    left, right, _, _ = outline((streak > 0.01).astype(np.float64))
    scale = cam.focal / float((middle @ cam.turned.T + np.array(cam.translation))[2])
    # the ends are faint, and a thing w px wide runs from a first pixel to one w − 1 further on
    width = (2 * BALL.radius + 8.0 * shutter) * scale
    assert right - left + 1.0 == pytest.approx(width, abs=0.04 * width)


def test_streak_is_fainter_at_its_ends() -> None:
    speed = np.array([0.0, 12.0, 0.0])
    moments = np.linspace(-1 / 120, 1 / 120, 41)
    lit = drawn(np.array([0.0, -2.0, 2.3]) + moments[:, None] * speed, speed)
    row = lit[lit.sum(axis=1).argmax()]
    seen = np.flatnonzero(row > 0.02)
    assert row[seen[1]] < 0.5 * row.max() and row[seen[-2]] < 0.5 * row.max()


def test_rolling_shutter_leans_the_ball() -> None:
    """Closed form: a row d rows lower sees a ball at v px/s moved by v · d · row time."""
    cam, speed, row_time = camera(), np.array([0.0, 10.0, 0.0]), 4e-4
    middle = np.array([[0.0, -2.0, 2.3]])
    scale = cam.focal / float((middle[0] @ cam.turned.T + np.array(cam.translation))[2])
    lit = drawn(middle, speed, row_time=row_time)
    y = round(float(project(cam, middle)[0, 1]))

    def centre(row: int) -> float:
        seen = np.flatnonzero(lit[row] > 0.3)
        return 0.5 * float(seen[0] + seen[-1])

    # facing right from the left side of the court, ahead runs to the picture's right or left
    way = float(np.sign((np.array([0.0, 1.0, 0.0]) @ cam.turned.T)[0]))
    lean = (centre(y + 2) - centre(y - 2)) / 4.0
    assert lean == pytest.approx(way * 10.0 * scale * row_time, abs=0.26)


def test_nearer_things_hide_the_ball() -> None:
    cam = camera()
    still = blank(cam)
    still.depth[:] = 3.0
    canvas = Canvas(cam, still, row_time=0.0)
    at = np.array([[0.0, -2.0, 2.3]])
    canvas.ball(LOOK, BallNow(points=at, velocity=np.zeros(3), turned=np.zeros(3)))
    assert canvas.image.max() == 0


def test_ball_goes_between_the_front_and_the_back_of_the_ring() -> None:
    """Known place: inside the ring, the near rod is drawn over the ball and the far one under."""
    cam = at_place((-4.0, -0.4, 3.1), (0.0, 0.0, 3.0), width=320, height=180, focal=500.0)
    still = still_gym(cam, BOOK, np.random.default_rng(1), samples=1)
    canvas = Canvas(cam, still, row_time=0.0)
    inside = np.array([[0.0, 0.0, BOOK.ring.height - 0.01]])
    canvas.ball(LOOK, BallNow(points=inside, velocity=np.zeros(3), turned=np.zeros(3)))
    # left of the board from this side is toward the camera
    near = np.array([[-BOOK.ring.radius, 0.0, BOOK.ring.height - BOOK.ring.rod_radius]])
    x, y = (round(float(v)) for v in project(cam, near)[0])
    kept = still.cover[y - 2 : y + 3, x] > 0.6
    rod = canvas.image[y - 2 : y + 3, x][kept]
    assert len(rod) and (rod == still.image[y - 2 : y + 3, x][kept]).mean() > 0.5


def test_still_gym_shows_ring_and_board_where_they_are() -> None:
    """Closed form: projected corners of the board are at the edges of its white in the picture."""
    cam = at_place((-3.0, -6.0, 1.6), (0.0, 0.0, 3.2), width=320, height=180, focal=420.0)
    still = still_gym(cam, BOOK, np.random.default_rng(2), samples=2)
    board = BOOK.board
    heights = (board.lower_edge + 0.02, board.lower_edge + board.height - 0.02)
    for x in (-0.5 * board.width + 0.02, 0.5 * board.width - 0.02):
        for z in heights:
            u, v = project(cam, np.array([[x, board.setback, z]]))[0]
            depth = still.depth[round(float(v)), round(float(u))]
            place = np.array([x, board.setback, z]) @ cam.turned.T + np.array(cam.translation)
            assert depth == pytest.approx(place[2], abs=0.03)
    ring = np.array([[0.0, -BOOK.ring.radius - BOOK.ring.rod_radius, BOOK.ring.height]])
    u, v = (round(float(c)) for c in project(cam, ring)[0])
    blue, green, red = np.moveaxis(still.image[v - 1 : v + 2, u].astype(int), -1, 0)
    assert ((red > 140) & (red > green + 40) & (red > blue + 40)).any()


def test_shadow_darkens_the_floor_where_it_lies() -> None:
    """Closed form: strength in the middle, strength / e at the radius, nothing on walls."""
    cam = at_place((-6.0, -4.0, 2.5), (0.0, -4.0, 0.0), width=320, height=180, focal=400.0)
    still = blank(cam)
    still.image[:] = 200
    world = still.rays @ cam.turned[:2] + cam.turned[2]
    still.depth[:] = np.where(world[..., 2] < -1e-3, -2.5 / world[..., 2], 60.0)
    canvas = Canvas(cam, still, row_time=0.0)
    canvas.shadow(np.array([0.0, -4.0]), 0.3, 0.4)
    middle, edge, far = (
        tuple(round(float(v)) for v in project(cam, np.array([[0.0, -4.0 + y, 0.0]]))[0])
        for y in (0.0, 0.3, 1.5)
    )
    assert canvas.image[middle[1], middle[0], 0] == pytest.approx(200 * 0.6, abs=3)
    assert canvas.image[edge[1], edge[0], 0] == pytest.approx(200 * (1 - 0.4 / math.e), abs=4)
    assert canvas.image[far[1], far[0], 0] == 200


def test_canvas_is_clean_again_after_a_picture() -> None:
    cam = camera()
    still = still_gym(cam, BOOK, np.random.default_rng(3), samples=1)
    canvas = Canvas(cam, still, row_time=0.0)
    before = [p.copy() for p in canvas.planes()]
    at = np.array([[0.0, -2.0, 2.3]])
    canvas.ball(LOOK, BallNow(points=at, velocity=np.zeros(3), turned=np.zeros(3)))
    assert (canvas.planes()[0] != before[0]).any()
    canvas.clean()
    for now, was in zip(canvas.planes(), before, strict=True):
        np.testing.assert_array_equal(now, was)
    np.testing.assert_array_equal(canvas.image, still.image)


def test_camera_outside_the_usual_hall_still_sees_the_gym() -> None:
    """A phone 18 m aside looks at the hoop, not at the outside of a wall."""
    cam = at_place((-18.0, -3.0, 1.5), (0.0, -2.0, 2.3), width=160, height=90, focal=400.0)
    still = still_gym(cam, BOOK, np.random.default_rng(1), samples=1)
    u, v = project(cam, np.array([[-0.3, BOOK.board.setback, 3.6]]))[0]
    assert still.depth[round(float(v)), round(float(u))] == pytest.approx(18.0, abs=1.2)
