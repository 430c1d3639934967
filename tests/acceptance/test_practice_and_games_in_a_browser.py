"""From a chart to a plan, a cold test, games and whether it has transferred, in a real browser."""

import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.acceptance.browser import DESKTOP, PHONE, Server, Visitor, check_rules, window

pytestmark = pytest.mark.browser

SIZES = pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
SHORT = ("Made", "Short", "Made", "Short", "Short", "Made", "Short", "Made", "Short", "Made")
SCORED = ((40, "Town", 3), (30, "Hill", 4), (20, "Lake", 6), (10, "Wood", 7))
GAMES = "player,date,opponent,shot_type,attempts,made\n" + "".join(
    f"Invented Ash,{date.today() - timedelta(days=ago)},Invented {town},free throw,8,{made}\n"
    for ago, town, made in SCORED
)


def seen(coach: Visitor, name: str) -> None:
    """Keep a picture of a page and hold it against the rules of access."""
    coach.picture(name)
    check_rules(coach.page)


@SIZES
def test_from_findings_to_a_plan_to_games_to_transfer(
    browser: Browser, server: Server, size: tuple[int, int], pictures: Path, tmp_path: Path
) -> None:
    name = "practice-" + ("phone" if size == PHONE else "desktop")
    with window(browser, server, size) as (_, page, watch):
        coach = Visitor(page, watch, pictures)
        _chart(coach)
        _plan(coach, name)
        _cold_test(coach, name)
        _visit(coach, name)
        _games(coach, name, tmp_path / "games.csv")
        _transferred(coach, name)


def _chart(coach: Visitor) -> None:
    coach.add_player("Invented Ash")
    coach.start_set()
    coach.press(*SHORT, *SHORT)
    coach.all_sent()


def _player(page: Page) -> None:
    page.goto("/players")
    page.get_by_role("link", name="Invented Ash").first.click()


def _plan(coach: Visitor, name: str) -> None:
    page = coach.page
    _player(page)
    seen(coach, f"{name}-player")
    page.get_by_role("link", name="Practice", exact=True).last.click()
    page.get_by_role("link", name="Make a plan").click()
    # what the misses lean to is offered first
    assert page.locator("input[name=focus]").first.is_checked()
    seen(coach, f"{name}-wish")
    page.get_by_role("button", name="Make the plan").click()
    assert "Write the cue" in page.inner_text("#trouble-cue")
    page.get_by_label("The cue: the one thing to think of").fill("over the front of the ring")
    for day in ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"):
        page.get_by_label(day).check()
    page.get_by_label("Shots a visit").fill("60")
    page.get_by_role("button", name="Make the plan").click()
    page.get_by_text("“over the front of the ring”").wait_for()
    assert "makes per 100 (likely" in page.inner_text("main")
    seen(coach, f"{name}-plan")


def _cold_test(coach: Visitor, name: str) -> None:
    page = coach.page
    page.get_by_role("link", name="Next visit").click()
    seen(coach, f"{name}-visit")
    page.get_by_role("link", name="Chart the cold test").click()
    seen(coach, f"{name}-test")
    page.get_by_role("button", name="Chart the 10 shots from free throw").click()
    coach.press(*SHORT)
    coach.all_sent()
    assert "cold test" in page.inner_text("main")
    _player(page)
    page.get_by_role("link", name="Progress").click()
    assert "could be" in page.inner_text(".headline")
    _drawn(page)
    page.get_by_text("Announce a change").click()
    page.get_by_label("What changes").fill("aim deeper")
    page.get_by_role("button", name="Announce it").click()
    assert "Aim deeper, from" in page.inner_text("main")
    _drawn(page)
    seen(coach, f"{name}-progress")


def _visit(coach: Visitor, name: str) -> None:
    page = coach.page
    _player(page)
    page.get_by_role("link", name="Practice", exact=True).last.click()
    page.locator(".rows a").first.click()
    page.get_by_role("link", name="Next visit").click()
    page.get_by_role("link", name="Change drill 1").click()
    seen(coach, f"{name}-item")
    page.get_by_label("Shots").fill("25")
    page.get_by_role("button", name="Store").click()
    page.get_by_label(re.compile("^1. .*: made")).fill("99")
    page.get_by_role("button", name="Write it down").click()
    assert "99 made of 25 attempts can't be" in page.inner_text("#trouble-scores")
    page.get_by_label(re.compile("^1. .*: made")).fill("14")
    page.get_by_role("button", name="Write it down").click()
    assert "✓ done" in page.inner_text("main") and "14 of 25" in page.inner_text("main")
    page.goto("/drills")
    seen(coach, f"{name}-drills")
    page.goto("/practice/group")
    page.get_by_label("Invented Ash").first.check()
    page.get_by_role("button", name="Who goes where when").click()
    page.get_by_text("1 player at 2 places").wait_for()
    seen(coach, f"{name}-group")


def _games(coach: Visitor, name: str, table: Path) -> None:
    page = coach.page
    table.write_text(GAMES.replace("8,3", "8,30"), encoding="utf-8")
    page.goto("/games/tables")
    page.get_by_label("CSV or XLSX file").set_input_files(table)
    page.get_by_role("button", name="Bring in").click()
    assert "1 thing to correct; nothing was brought in" in page.inner_text("main")
    seen(coach, f"{name}-refused-table")
    table.write_text(GAMES, encoding="utf-8")
    page.get_by_label("CSV or XLSX file").set_input_files(table)
    page.get_by_role("button", name="Bring in").click()
    assert "Brought in 4 games and 4 rows." in page.inner_text("main")
    _player(page)
    page.get_by_role("link", name="Games", exact=True).last.click()
    page.get_by_role("link", name="Enter a game").click()
    page.get_by_label("Made").first.fill("5")
    page.get_by_label("Attempts").first.fill("4")
    page.get_by_role("button", name="Store the game").click()
    assert "5 made of 4 attempts can't be" in page.inner_text("#trouble-made-0")
    seen(coach, f"{name}-game")
    page.get_by_label("Attempts").first.fill("6")
    page.get_by_role("button", name="Store the game").click()
    assert "25 of 38" in page.inner_text("main")
    _drawn(page)
    seen(coach, f"{name}-games")
    page.get_by_role("link", name="The next games").click()
    assert "5 games: 38 free throw" in page.inner_text(".headline")
    seen(coach, f"{name}-forecast")


def _transferred(coach: Visitor, name: str) -> None:
    page = coach.page
    page.get_by_role("link", name="Games: Invented Ash").click()
    page.get_by_role("link", name="Has it transferred?").click()
    page.get_by_label("Which change").select_option("day")
    page.get_by_label("First day with it").fill(str(date.today() - timedelta(days=25)))
    page.get_by_role("button", name="Compare before and after").click()
    said = page.inner_text(".headline")
    assert "makes per 100 (likely" in said and "like for like" in said
    seen(coach, f"{name}-transferred")


def _drawn(page: Page) -> None:
    """Wait until each picture is drawn; one that fails to load has no width."""
    page.evaluate("document.querySelectorAll('img').forEach(i => { i.loading = 'eager'; })")
    for _ in range(100):
        if page.evaluate("[...document.images].every(i => i.complete && i.naturalWidth > 0)"):
            return
        page.wait_for_timeout(100)
    raise AssertionError("a picture did not load")


def test_a_head_knock_stops_the_day(browser: Browser, server: Server, pictures: Path) -> None:
    with window(browser, server, PHONE) as (_, page, watch):
        coach = Visitor(page, watch, pictures)
        coach.add_player("Invented Bo")
        page.get_by_role("link", name="Pain or head knock").click()
        page.get_by_label("Head knock").check()
        seen(coach, "practice-phone-stop")
        page.get_by_role("button", name="Stop for today").click()
        assert "see a professional; do not return today" in page.inner_text("main")
        page.get_by_label("Organised minutes").fill("60")
        page.get_by_role("button", name="Write it down").click()
        assert "60 minutes organised" in page.inner_text("main")
        seen(coach, "practice-phone-load")
        page.get_by_role("link", name=re.compile("^Head knock .*not cleared")).click()
        seen(coach, "practice-phone-flag")
        page.goto("/players")
        page.get_by_role("link", name="Invented Bo").click()
        assert "do not return today" in page.inner_text("main")
        page.get_by_role("link", name="Chart shots").click()
        assert "do not return today" in page.inner_text("main")
