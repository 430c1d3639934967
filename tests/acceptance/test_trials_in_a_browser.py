"""The trial half of the journey: a finding, a planned trial, 80 shots by taps, the verdict."""

from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page
from tests.acceptance.browser import DESKTOP, PHONE, Server, Visitor, check_rules, window

pytestmark = pytest.mark.browser

PAIRS, SHOTS = 5, 8
#: twenty misses short of forty: an aim that a finding names
CHART = "m m s m s s m m s m s m s m s m m s s m " * 2
#: eight shots of a block, each way
HABIT = ("Short", "Made", "Short", "Short", "Made", "Long", "Short", "Short")
CHANGE = ("Made", "Made", "Long", "Made", "Made", "Made", "Short", "Made")


def test_finding_to_trial_to_eighty_shots_to_verdict(
    browser: Browser, server: Server, pictures: Path
) -> None:
    with window(browser, server, PHONE) as (context, page, watch):
        coach = Visitor(page, watch, pictures)
        coach.add_player("Invented Rowan")
        coach.start_set()
        page.get_by_text("Copy a line from paper").click()
        page.get_by_label("Line").fill(CHART)
        page.get_by_role("button", name="Add these shots").click()
        page.get_by_role("link", name="Findings").last.click()
        page.get_by_role("link", name="Try it in a trial").first.click()
        assert "aim" in page.get_by_label("What is tried").input_value()
        coach.picture("phone-trial-new")
        _checked(page)
        trial = _plan(coach)
        assert "What this trial can tell" in page.inner_text("main")
        coach.picture("phone-trial-planned")
        _checked(page)
        _shoot(coach, server)
        _read(coach)
        sheet = context.request.get(f"{server.address}{trial}/order.pdf")
        (pictures / "trial-order.pdf").write_bytes(sheet.body())
        assert sheet.body().startswith(b"%PDF-")
        _other_pages(coach, trial)


def _checked(page: Page) -> None:
    """The rules hold on the phone and on the desk."""
    check_rules(page)
    width, height = DESKTOP
    page.set_viewport_size({"width": width, "height": height})
    check_rules(page)
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})


def _plan(coach: Visitor) -> str:
    """Plan a small trial; a size that makes none is refused first, and nothing typed is lost."""
    page = coach.page
    page.get_by_label("The question, in your words").fill("Does a deeper aim help Rowan?")
    page.get_by_label("Decided on").select_option("make")
    page.get_by_text("How large, and how it is laid out").click()
    sizes = {"Shots a block": SHOTS, "Washout shots": 0, "To get used to it": 0, "Visits": 1}
    for name, value in sizes.items():
        page.get_by_label(name).fill(str(value))
    page.get_by_label("Pairs, fours or tests").fill("2")
    page.get_by_role("button", name="Plan it").click()
    assert "even a clean sweep could be luck" in page.inner_text("#trouble-pairs")
    question = page.get_by_label("The question, in your words").input_value()
    assert question == "Does a deeper aim help Rowan?"
    coach.picture("phone-trial-refused", full=False)
    _checked(page)
    page.get_by_label("Pairs, fours or tests").fill(str(PAIRS))
    page.get_by_role("button", name="Plan it").click()
    page.wait_for_url("**/trials/*")
    return urlsplit(page.url).path


def _shoot(coach: Visitor, server: Server) -> None:
    """Tap every block; one with feel, one while the server is away."""
    page = coach.page
    page.get_by_role("button", name="Shoot block 1").click()
    for number in range(1, 2 * PAIRS + 1):
        page.get_by_role("region", name="Trial").get_by_text(f"Block {number} of 10").wait_for()
        habit = page.locator(".headed .quiet").count() == 1
        taps = HABIT if habit else CHANGE
        if number == 1:
            _tap_with_feel(coach, taps)
        elif number == 2:
            _tap_while_away(coach, server, taps)
        else:
            coach.press(*taps)
        page.get_by_text("The block is full.").wait_for()
        assert not page.locator("#buttons").is_visible()
        coach.all_sent()
        if number == 3:
            coach.picture("phone-block-full", full=False)
            _checked(page)
        if number < 2 * PAIRS:
            page.get_by_role("button", name=f"Next, block {number + 1}").click()
    page.get_by_role("link", name="Back to the trial").click()
    page.wait_for_url("**/trials/*")
    assert "10 of 10 blocks shot" in page.inner_text("main")


def _tap_with_feel(coach: Visitor, taps: tuple[str, ...]) -> None:
    page = coach.page
    page.get_by_label("Ask how each shot felt").check()
    for place, name in enumerate(taps):
        page.get_by_role("button", name=f"felt {3 + place % 6}", exact=True).click()
        if place == 1:
            coach.picture("phone-block-feel", full=False)
            _checked(page)
        coach.press(name)
    coach.all_sent()
    page.reload()
    assert page.locator("#row li").count() == len(taps)
    page.get_by_label("Ask how each shot felt").uncheck()


def _tap_while_away(coach: Visitor, server: Server, taps: tuple[str, ...]) -> None:
    """Taps wait while the server is away, and so does the way to the next page."""
    page = coach.page
    coach.press(*taps[:3])
    server.stop()
    coach.press(*taps[3:])
    page.get_by_text("wait on this phone").wait_for()
    page.get_by_role("link", name="Back to the trial").click()
    page.get_by_text("The server can't be reached just now").wait_for()
    assert page.locator("#row li").count() == len(taps)
    server.start()
    coach.all_sent()


def _read(coach: Visitor) -> None:
    page = coach.page
    page.get_by_role("link", name="What the shots say").click()
    page.get_by_role("button", name="Note this look").click()
    words = page.inner_text("main")
    # 6 of 8 against 2 of 8 in every pair: 2 of the 32 orders are as far out, either way
    assert "Habit: 10 of 40 made." in words and "30 of 40 made." in words
    assert "6 in 100 of the orders" in words
    assert "Look as often as you like" in words and "could be" in words
    page.locator("figure img").evaluate("image => image.decode()")
    coach.picture("phone-verdict")
    _checked(page)
    page.get_by_role("button", name="Pictures that answer to touch").click()
    page.get_by_text("Point at or tap a mark for its numbers.").wait_for()


def _other_pages(coach: Visitor, trial: str) -> None:
    """Every other page of trials and feel, by the rules, with a picture of each."""
    page = coach.page
    page.get_by_role("link", name="Make a plan from it").click()
    assert "deeper aim" in page.inner_text("main")  # what won can be practised
    page.goto(trial)
    coach.picture("phone-trial-ended")
    _checked(page)
    page.get_by_role("link", name="Trials: Invented Rowan").click()
    coach.picture("phone-trials")
    _checked(page)
    page.get_by_role("link", name="Feel: does it know").click()
    assert "8 shots with a feel so far" in page.inner_text("main")
    _checked(page)
    page.goto("/feel")
    assert "Invented Rowan" in page.inner_text("main")
    _checked(page)
    page.goto("/trials")
    _checked(page)
    page.get_by_role("link", name="One question over all players").click()
    _checked(page)
    page.locator("main .rows a").first.click()
    assert "Over 1 player" in page.inner_text("main")
    page.locator("figure img").evaluate("image => image.decode()")
    coach.picture("phone-together")
    _checked(page)
