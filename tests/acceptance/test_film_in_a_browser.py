"""A film from phone to findings in a real browser: added, marked, measured, reviewed, entered."""

import os
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.acceptance.browser import DESKTOP, PHONE, Server, Visitor, check_rules, window
from tests.acceptance.drawn_film import SIZE, DrawnFilm, draw
from tests.film.bodies import KEPT

from hoopwright.worker import worker_beside

pytestmark = pytest.mark.browser


@pytest.fixture(scope="session")
def drawn_film(tmp_path_factory: pytest.TempPathFactory) -> DrawnFilm:
    return draw(tmp_path_factory.mktemp("film") / "drawn.mp4")


@pytest.fixture
def measuring_server(server: Server, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    """The pages with a worker beside them; with body models only where there are some."""
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2] / "src"))
    folder = Path(os.environ.get("HOOPWRIGHT_MODELS") or KEPT)
    server.stop()
    server.settings = replace(server.settings, models=folder)
    server.start()
    with worker_beside(server.settings):
        yield server


def test_film_to_findings(
    browser: Browser, measuring_server: Server, drawn_film: DrawnFilm, pictures: Path
) -> None:
    with window(browser, measuring_server, DESKTOP) as (_, page, watch):
        coach = Visitor(page, watch, pictures)
        coach.add_player("Invented Ash")
        page.get_by_role("link", name="Film").last.click()
        check_rules(page)
        film = _add(page, drawn_film)
        assert "handled as a child's" in page.inner_text("main")
        _mark(page, coach, drawn_film)
        page.goto(film)
        page.get_by_role("button", name="Measure", exact=True).click()
        coach.picture("desktop-film-measuring")
        page.get_by_role("heading", name="1 shot", exact=True).wait_for(timeout=240_000)
        _look_at(coach, page, page.url)
        _review(page, coach, drawn_film)
        page.goto(film)
        page.get_by_role("button", name="Enter these shots").click()
        assert "1 shot added." in page.inner_text("main")
        assert "1 of 1 made" in page.inner_text("main")
        coach.picture("desktop-film-entered")
        check_rules(page)
        page.get_by_role("link", name="Findings").last.click()
        page.get_by_text("1 shot charted").first.wait_for()
    _on_a_phone(browser, measuring_server, film, pictures)


def _add(page: Page, drawn: DrawnFilm) -> str:
    page.get_by_role("link", name="Add a film").click()
    page.get_by_label("Player").select_option("Invented Ash")
    page.get_by_label("Film", exact=True).set_input_files(drawn.drawn.path)
    check_rules(page)
    page.get_by_role("button", name="Add the film").click()
    page.get_by_role("heading", name="Film of Invented Ash").wait_for()
    check_rules(page)
    return page.url


def _mark(page: Page, coach: Visitor, drawn: DrawnFilm) -> None:
    """Click each landmark's place; step the last one to its pixel with the keyboard."""
    page.get_by_role("link", name="Say where the camera stood").click()
    check_rules(page)
    page.get_by_role("link", name="Mark this film's picture").click()
    page.get_by_text("of at least 4 points marked").wait_for()
    for name, (x, y) in drawn.places.items():
        page.locator(f'[data-landmark="{name}"]').click()
        _click(page, x, y - (5 if name == "board top left" else 0))
    page.locator('[data-landmark="board top left"]').click()
    page.locator("#stage").focus()
    for _ in range(5):
        page.keyboard.press("ArrowDown")
    page.get_by_text("The marks fit to").wait_for()
    page.get_by_text("“ring left edge” does not fit the others").wait_for()
    page.locator("#drawn path").first.wait_for(state="attached")
    assert page.locator("#count").inner_text() == str(len(drawn.places))
    coach.picture("desktop-film-marking")
    page.locator('[data-landmark="ring left edge"]').click()
    page.get_by_role("button", name="Take away").click()
    page.get_by_text("does not fit the others").wait_for(state="detached")
    check_rules(page)
    page.get_by_label("Gym").fill("A drawn hall")
    page.get_by_label("Where the camera stood").fill("right of the free-throw line")
    page.get_by_role("button", name="Keep this place").click()
    page.get_by_role("heading", name="Camera place").wait_for()
    page.get_by_role("link", name="Compare it with this film").click()
    page.get_by_text("The camera stands as it did").wait_for()
    coach.picture("desktop-film-place")
    check_rules(page)


def _click(page: Page, x: float, y: float) -> None:
    box = page.locator("#stage").bounding_box()
    assert box is not None
    scale = box["width"] / SIZE[0]
    page.mouse.click(box["x"] + (x + 0.5) * scale, box["y"] + (y + 0.5) * scale)


def _review(page: Page, coach: Visitor, drawn: DrawnFilm) -> None:
    truth = drawn.drawn.shots[0]
    page.get_by_role("link", name="Shot 1").click()
    page.locator("#drawn path").first.wait_for(state="attached")
    page.get_by_text(re.compile(r"^Picture \d+, release$")).wait_for()
    numbers = page.inner_text("#numbers")
    assert "release speed" in numbers and "likely" in numbers
    assert page.inner_text("#result").startswith("Made")
    speed = float(numbers.split("release speed")[1].split("m/s")[0])
    # issue 3 asks for 0.05 m/s over many shots of 720 lines and more; here 360 lines, one shot
    assert speed == pytest.approx(truth.speed, abs=0.25)
    coach.picture("desktop-film-shot")
    check_rules(page)
    _move_the_release(page)
    page.get_by_role("button", name="It was missed").click()
    page.get_by_text("Missed, set by hand").wait_for(timeout=60_000)
    page.get_by_role("button", name="Take away missed").click()
    page.locator(".outcome", has_text=re.compile("^Made")).wait_for(timeout=60_000)
    _set_the_ball(page)
    _take_a_clip(page, coach)


def _move_the_release(page: Page) -> None:
    """Step with the keyboard to another picture, and set the release there."""
    page.locator("#what").select_option("event release")
    page.locator("#stage").focus()
    before = page.locator("#number").inner_text()
    page.keyboard.press("ArrowRight")
    assert page.locator("#number").inner_text() != before
    was = page.inner_text("#numbers")
    page.keyboard.press("Enter")
    page.locator("#set-by-hand", has_text="release, picture").wait_for(timeout=60_000)
    assert page.inner_text("#numbers") != was
    page.reload()
    assert "release, picture" in page.inner_text("#set-by-hand")


def _set_the_ball(page: Page) -> None:
    """Put the ball where it is drawn, one pixel over, with a closer picture."""
    page.get_by_role("button", name="Closer").click()
    page.locator("#what").select_option("ball")
    page.locator("#stage").focus()
    page.keyboard.press("ArrowRight")
    assert page.locator("#loupe").is_visible()
    page.keyboard.press("Enter")
    page.locator("#set-by-hand", has_text="ball, picture").wait_for(timeout=60_000)
    assert page.locator("#loupe").is_hidden()


def _take_a_clip(page: Page, coach: Visitor) -> None:
    """Faces shown, as finding them needs the models; hiding them has its own tests."""
    page.get_by_label("shown").check()
    page.get_by_role("button", name="Clip (MP4)").click()
    link = page.get_by_role("link", name="Take the clip (MP4)")
    link.wait_for(timeout=120_000)
    check_rules(page)
    coach.picture("desktop-film-clip")
    with page.expect_download() as waited:
        link.click()
    saved = waited.value.path()
    assert waited.value.suggested_filename == "shot.mp4"
    assert saved.read_bytes()[4:8] == b"ftyp"


def _look_at(coach: Visitor, page: Page, address: str) -> None:
    coach.picture("desktop-film")
    page.goto("/films")
    coach.picture("desktop-films")
    check_rules(page)
    page.goto(address)


def _on_a_phone(browser: Browser, server: Server, film: str, pictures: Path) -> None:
    """Every page again as wide as a phone."""
    with window(browser, server, PHONE) as (_, page, watch):
        coach = Visitor(page, watch, pictures)
        for name, address in (
            ("films", "/films"),
            ("film-new", "/films/new"),
            ("film", film),
            ("film-place", film + "/place"),
            ("film-marking", film + "/place/marks"),
        ):
            page.goto(address)
            page.wait_for_load_state("networkidle")
            coach.picture(f"phone-{name}")
            check_rules(page)
        page.goto(film)
        page.get_by_role("link", name="Shot 1").click()
        page.locator("#drawn path").first.wait_for(state="attached")
        coach.picture("phone-film-shot")
        check_rules(page)


def test_a_clip_that_can_t_be_marked(
    browser: Browser, measuring_server: Server, drawn_film: DrawnFilm, pictures: Path
) -> None:
    """From the camera place's page: read by the ball's size, told made by hand, not entered."""
    with window(browser, measuring_server, PHONE) as (_, page, watch):
        coach = Visitor(page, watch, pictures)
        coach.add_player("Invented Ash")
        page.get_by_role("link", name="Film").last.click()
        film = _add(page, drawn_film)
        page.get_by_role("link", name="Say where the camera stood").click()
        page.get_by_role("heading", name="I can't mark it").wait_for()
        coach.picture("phone-film-unmarked-choice")
        check_rules(page)
        page.get_by_role("button", name="Read a side clip by the ball's size").click()
        page.get_by_role("heading", name="1 shot", exact=True).wait_for(timeout=240_000)
        coach.picture("phone-film-unmarked")
        check_rules(page)
        page.get_by_role("link", name="Shot 1").click()
        page.get_by_role("heading", name="Shot 1 of 1").wait_for()
        # the ball's way is drawn up to the picture shown: none at release, some later
        page.locator("#stage").focus()
        for _ in range(6):
            page.keyboard.press("ArrowRight")
        page.locator("#drawn path").first.wait_for(state="attached")
        numbers = page.inner_text("#numbers")
        assert "nothing of short or long, left or right" in numbers and "along" not in numbers
        speed = float(numbers.split("release speed")[1].split("m/s")[0])
        # four of the standard deviations told for such a small picture
        assert speed == pytest.approx(drawn_film.drawn.shots[0].speed, abs=1.2)
        page.get_by_role("button", name="It was made").click()
        page.get_by_text("Made, set by hand").wait_for(timeout=60_000)
        coach.picture("phone-film-unmarked-shot")
        check_rules(page)
        page.goto(film)
        page.get_by_role("button", name="Enter these shots").click()
        said = page.inner_text("main")
        assert "Nothing was entered." in said and "From where it was shot can't be told" in said
