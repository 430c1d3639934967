"""What is drawn is where it was told, is read on any ground, and a hidden face stays hidden."""

from itertools import pairwise
from uuid import UUID

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.errors import BadInput
from hoopwright.film.bodynet import POINTS
from hoopwright.film.caption import DARK, PHONE, WHITE, band, band_height
from hoopwright.film.overlay import BLOCKS, BODY, Drawing, captioned, draw, drawing_of, hide
from hoopwright.film.results import Event, FilmedShot, Moment, Poses

Pixels = NDArray[np.uint8]
TRAIL = np.array([[0.1 * i, 60.0 + 20.0 * i, 150.0 - 18.0 * i + 1.5 * i * i] for i in range(13)])
FLAT = np.full((180, 390, 3), 120, np.uint8)


def shot(*events: Event) -> FilmedShot:
    return FilmedShot(
        id=UUID(int=1), position=0, start=0.0, end=2.0, ball=None, events=events,
        trail=tuple((float(t), float(x), float(y)) for t, x, y in TRAIL[::-1]),
    )  # fmt: skip


def event(moment: Moment, time: float, by_hand: bool = False) -> Event:
    return Event(moment=moment, time=time, sd=0.01, by_hand=by_hand)


def poses(points: NDArray[np.float64], times: list[float]) -> Poses:
    rows = len(times)
    return Poses(
        frame=np.arange(rows), time=np.array(times), points=np.repeat(points[None], rows, axis=0),
        sd=np.ones((rows, 33)), presence=np.ones((rows, 33)), shape=np.zeros((rows, 33, 3)),
        box=np.full((rows, 4), np.nan),
    )  # fmt: skip


def words(*lines: str, width: int = 390) -> Pixels:
    """A band of lines under a picture of that width."""
    unit = width / PHONE
    return band(lines, width=width, height=band_height(len(lines), unit=unit), unit=unit)


def changed(drawn: Pixels, ground: Pixels = FLAT) -> NDArray[np.bool_]:
    return np.asarray((drawn != ground).any(axis=-1))


def luminance(colour: NDArray[np.float64]) -> float:
    """Relative luminance of blue, green, red; WCAG 2.2, definition of contrast ratio."""
    part = colour / 255.0
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    return float(linear @ np.array([0.0722, 0.7152, 0.2126]))


def contrast(one: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    lights = sorted([luminance(one), luminance(other)])
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def test_the_way_behind_is_white_and_the_way_ahead_is_faint() -> None:
    drawn = draw(FLAT, drawing_of(shot()), time=0.6)
    assert np.array_equal(FLAT, np.full_like(FLAT, 120))  # what was given is left alone
    for row in (1, 3):
        _, x, y = TRAIL[row].round().astype(int)
        assert drawn[y, x].min() > 240
    _, x, y = TRAIL[10].round().astype(int)
    assert 140 < drawn[y, x].min() < 200
    _, x, y = TRAIL[6]
    # a ring round the ball, which itself is left free
    assert not changed(drawn)[int(y), int(x)]
    circle = [(int(x + 5 * np.cos(a)), int(y + 5 * np.sin(a))) for a in np.linspace(0.3, 6, 9)]
    assert np.mean([drawn[v, u].min() > 180 for u, v in circle]) > 0.7


def test_nothing_is_drawn_far_from_what_was_measured() -> None:
    drawn = draw(FLAT, drawing_of(shot()), time=0.6)
    rows, columns = np.nonzero(changed(drawn))
    fine = np.linspace(0.0, TRAIL[-1, 0], 400)
    way = np.column_stack([np.interp(fine, TRAIL[:, 0], TRAIL[:, k]) for k in (1, 2)])
    away = np.linalg.norm(np.column_stack([columns, rows])[:, None] - way[None], axis=2).min(axis=1)
    assert away.max() < 8.5


def test_a_smaller_picture_gets_the_same_drawing_smaller() -> None:
    large = draw(np.full((720, 1560, 3), 120, np.uint8), drawing_of(shot()), time=0.6, scale=4.0)
    small = draw(FLAT, drawing_of(shot()), time=0.6)
    shrunk = cv2.resize(large, (390, 180), interpolation=cv2.INTER_AREA)
    assert np.abs(shrunk.astype(int) - small).mean() < 2.0


@pytest.mark.parametrize("width", [390, 1280, 1920])
def test_lines_are_wide_enough_on_a_phone(width: int) -> None:
    """At 390 px across, the white is at least 1 px and letters are at least 7 px high."""
    ground = np.full((width * 9 // 16, width, 3), 120, np.uint8)
    straight = Drawing(trail=np.array([[0.0, 0.0, width / 4], [1.0, width, width / 4]]))
    column = draw(ground, straight, time=2.0)[:, width // 2].min(axis=-1)
    assert np.sum(column > 200) * PHONE / width >= 1.0
    letter = np.nonzero((words("H", width=width) > 200).all(axis=-1))[0]
    assert (np.ptp(letter) + 1) * PHONE / width >= 7.0


@pytest.mark.parametrize("ground", [0, 60, 120, 180, 255])
def test_lines_and_letters_stand_out_from_any_ground(ground: int) -> None:
    """WCAG 2.2: letters 4.5 to 1; lines 3 to 1 against what is beside them (criterion 1.4.11)."""
    image = np.full((180, 390, 3), ground, np.uint8)
    whole = captioned(image, drawing_of(shot(), numbers=("release 51° ± 1°",)), time=0.0)
    backing = whole[-1, 3].astype(float)
    assert contrast(np.array(WHITE, float), backing) >= 4.5
    shade = np.full(3, float(ground))
    edge, core = np.array(DARK, float), np.array(WHITE, float)
    assert contrast(core, edge) >= 3.0
    assert max(contrast(core, shade), contrast(edge, shade)) >= 3.0


def test_body_lines_join_the_points_that_were_seen() -> None:
    points = np.full((33, 2), np.nan)
    points[[12, 14, 16]] = [[200, 90], [230, 70], [210, 40]]  # right shoulder, elbow, wrist
    body = Drawing(trail=np.empty((0, 3)), poses=poses(points, [0.0, 0.1, 0.2]))
    drawn = draw(FLAT, body, time=0.1)
    for middle in ((215, 80), (220, 55)):
        assert drawn[middle[1], middle[0]].min() > 200
    # hips and the other arm were not seen
    rows, columns = np.nonzero(changed(drawn))
    assert (rows.min() >= 34, rows.max() <= 96) == (True, True)
    assert (columns.min() >= 194, columns.max() <= 236) == (True, True)
    # no body is drawn where there is none near in time
    assert not changed(draw(FLAT, body, time=0.5)).any()


def test_body_lines_join_what_is_joined_in_a_body() -> None:
    named = {frozenset(POINTS[point] for point in pair) for pair in BODY}
    for side in ("left", "right"):
        chain = ["shoulder", "elbow", "wrist", "index finger"]
        leg = ["shoulder", "hip", "knee", "ankle", "heel", "foot tip"]
        for one, other in [*pairwise(chain), *pairwise(leg), ("ankle", "foot tip")]:
            assert frozenset((f"{side} {one}", f"{side} {other}")) in named
    assert {
        frozenset(("left hip", "right hip")),
        frozenset(("left shoulder", "right shoulder")),
    } <= named
    assert len(named) == len(BODY) == 20


def test_an_events_name_stays_a_while_and_says_if_it_was_set_by_hand() -> None:
    told = drawing_of(shot(event(Moment.SET, 0.5), event(Moment.RELEASE, 0.7, by_hand=True)))

    def under(time: float) -> Pixels:
        return captioned(FLAT, told, time=time)[180:]

    assert captioned(FLAT, drawing_of(shot()), time=0.7) is FLAT
    assert np.array_equal(under(0.45), words(""))
    assert np.array_equal(under(1.2), words(""))
    assert np.array_equal(under(0.72), words("release, set by hand"))
    assert np.array_equal(under(0.52), words("set point"))


def test_signs_of_measurement_have_letters() -> None:
    """A missing letter would be drawn as the same box as another missing one."""
    assert len({words(f"x{sign}x").tobytes() for sign in "°±−–×µé"}) == 7


@pytest.mark.parametrize("size", [(180, 390), (640, 360), (720, 1280)])
def test_words_are_under_the_picture_which_stays_whole(size: tuple[int, int]) -> None:
    image = np.random.default_rng(1).integers(0, 256, (*size, 3), dtype=np.uint8)
    told = drawing_of(shot(event(Moment.RELEASE, 0.7)), numbers=("7.3 m/s", "52°", "45°"))
    for time in (0.0, 0.75):
        whole = captioned(image, told, time=time)
        assert np.array_equal(whole[: size[0]], image)
        below = whole[size[0] :]
        # films need an even height
        assert below.shape == (band_height(4, unit=size[1] / PHONE), size[1], 3)
        assert below.shape[0] % 2 == 0
        # each line in its own quarter, and none cut off at an edge
        rows = np.nonzero((below > 200).all(axis=-1))[0]
        assert rows.min() > 2 and rows.max() < below.shape[0] - 3
        quarters = {int(4 * row / below.shape[0]) for row in rows}
        assert quarters >= ({0, 1, 2, 3} if time else {1, 2, 3})


def test_a_band_has_room_for_the_lines_of_the_clip_beside() -> None:
    taller = captioned(FLAT, Drawing(trail=np.empty((0, 3)), label="before"), time=0.0, lines=3)
    assert taller.shape[0] == 180 + band_height(3, unit=1.0)


def test_long_lines_are_made_to_fit() -> None:
    long = words("the quick ball goes over the lazy rim and " * 3)
    columns = np.nonzero((long > 200).all(axis=-1))[1]
    assert 250 < columns.max() < 389


def test_no_more_than_three_numbers_and_no_control_characters() -> None:
    with pytest.raises(BadInput, match="three numbers"):
        drawing_of(shot(), numbers=("a", "b", "c", "d"))
    assert np.array_equal(words("ab", ""), words("a\n\x1bb", "\n"))


def test_points_far_outside_or_not_numbers_do_no_harm() -> None:
    wild = FilmedShot(
        id=UUID(int=1), position=0, start=0.0, end=1.0, ball=None,
        trail=((0.0, -1e9, 50.0), (0.1, float("nan"), 3.0), (0.2, 100.0, 60.0), (0.3, 1e12, 1e12)),
    )  # fmt: skip
    assert changed(draw(FLAT, drawing_of(wild), time=0.25)).any()
    assert np.array_equal(draw(FLAT, Drawing(trail=np.empty((0, 3))), time=0.0), FLAT)


def face(seed: int = 0) -> Pixels:
    """Fine detail on a plain ground, as eyes and mouth have."""
    image = np.full((120, 160, 3), 150, np.uint8)
    detail = np.random.default_rng(seed).integers(0, 256, (60, 60, 3), dtype=np.uint8)
    image[30:90, 50:110] = detail
    return image


BOX = [[50.0, 30.0, 110.0, 90.0]]


def detail(image: Pixels) -> float:
    """Variance of the Laplacian, the usual measure of sharpness, inside the box."""
    inside = np.ascontiguousarray(image[34:86, 54:106])
    return float(cv2.Laplacian(cv2.cvtColor(inside, cv2.COLOR_BGR2GRAY), cv2.CV_64F).var())


def test_a_hidden_face_has_lost_its_detail() -> None:
    assert detail(hide(face(), BOX)) < 1e-3 * detail(face())
    # and what is beside the box is left
    outside = np.ones((120, 160), dtype=bool)
    outside[30:90, 50:110] = False
    assert np.array_equal(hide(face(), BOX)[outside], face()[outside])


def test_what_is_left_of_a_face_is_a_few_averages() -> None:
    """Rank tells how many numbers are in it: at most one for each block each way."""
    region = hide(face(), BOX)[30:90, 50:110, 0].astype(float)
    spread = np.linalg.svd(region - region.mean(), compute_uv=False)
    # rounding to whole levels adds noise of about 0.3 √n to every singular value
    assert np.sum(spread > 4.0 * 0.3 * np.sqrt(60)) <= BLOCKS


def test_sharpening_brings_nothing_back() -> None:
    """Richardson–Lucy, as in image handbooks, knows the blur and still finds no eye."""
    hidden = hide(face(), BOX)[30:90, 50:110, 0].astype(float) + 1.0
    guess = hidden.copy()
    for _ in range(30):
        blurred = cv2.GaussianBlur(guess, (0, 0), 4.5)
        guess = guess * cv2.GaussianBlur(hidden / blurred, (0, 0), 4.5)
    truth = face()[30:90, 50:110, 0].astype(float)
    fine = truth - cv2.GaussianBlur(truth, (0, 0), 4.5)
    found = guess - cv2.GaussianBlur(guess, (0, 0), 4.5)
    assert abs(np.corrcoef(fine.ravel(), found.ravel())[0, 1]) < 0.1


def test_two_faces_with_the_same_averages_become_the_same() -> None:
    block = np.random.default_rng(3).integers(100, 150, (6, 6, 3), dtype=np.uint8)
    even = np.kron(block, np.ones((10, 10, 1), np.uint8))
    checks = (np.indices((60, 60)).sum(axis=0) % 2 * 2 - 1)[..., None] * 40
    one, other = face(), face()
    one[30:90, 50:110], other[30:90, 50:110] = even, (even + checks).astype(np.uint8)
    difference = hide(one, BOX).astype(int) - hide(other, BOX)
    assert np.abs(difference).max() <= 2


def test_boxes_over_the_rim_outside_or_empty_are_taken_as_they_come() -> None:
    image = face()
    assert np.array_equal(hide(image, np.empty((0, 4))), image)
    assert np.array_equal(hide(image, np.array([[np.nan] * 4, [500.0, 500, 600, 600]])), image)
    rim = hide(image, [[-20, -20, 60, 40]])
    assert not np.array_equal(rim, image) and np.array_equal(rim[60:, 80:], image[60:, 80:])
    assert hide(image, [[10, 10, 11, 11]]).shape == image.shape
    # corners may come the wrong way round
    assert np.array_equal(hide(image, [[110, 90, 50, 30]]), hide(image, BOX))
