"""Every report as it is seen, on a phone and at a desk, and by the open rules for access."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.acceptance.browser import DESKTOP, PHONE, Server, Visitor, check_rules, window
from tests.actions.report_material import ASH, keep
from tests.reports.samples import SHORT

from hoopwright.actions import reports
from hoopwright.chart.findings import Findings
from hoopwright.chart.prior import Prior
from hoopwright.records import Chart
from hoopwright.store.engine import open_database

pytestmark = pytest.mark.browser


@pytest.fixture(autouse=True)
def sample_reading(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The reading of a chart has its own tests."""

    def read(chart: Chart, *, prior: Prior | None = None) -> Findings:
        return replace(SHORT, player_name=chart.player.name)

    reports.forget_readings()
    monkeypatch.setattr(reports, "read_chart", read)
    yield
    reports.forget_readings()


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_each_report_can_be_read_and_kept(
    browser: Browser, server: Server, size: tuple[int, int], pictures: Path
) -> None:
    database = open_database(server.settings.database)
    with database.session() as session:
        keep(session, date.today())
    database.close()
    name = "phone" if size == PHONE else "desktop"
    with window(browser, server, size) as (_, page, watch):
        coach = Visitor(page, watch, pictures)
        page.goto("/reports")
        check_rules(page)
        page.get_by_role("link", name=ASH.name).click()
        check_rules(page)
        for link in (
            "For the player",
            "For the family",
            "For the team coach",
            "For you, the coach",
        ):
            page.get_by_role("link", name=link).click()
            _draw(page)
            check_rules(page)
            coach.picture(f"{name}-report-{page.url.rsplit('/', 1)[1]}")
            with page.expect_download() as kept:
                page.get_by_role("link", name="Keep as a file (PDF)").click()
            assert Path(kept.value.path()).read_bytes().startswith(b"%PDF-")
            page.go_back()
        page.goto("/reports")
        page.get_by_role("link", name=ASH.coach).click()
        check_rules(page)
        page.get_by_role("link", name="With names").click()
        check_rules(page)
        coach.picture(f"{name}-report-group")
        assert ASH.name in page.inner_text("main")


def _draw(page: Page) -> None:
    """Wait until each picture is drawn; one that fails to load has no width."""
    page.evaluate("document.querySelectorAll('img').forEach(i => { i.loading = 'eager'; })")
    for _ in range(300):
        if page.evaluate("[...document.images].every(i => i.complete && i.naturalWidth > 0)"):
            return
        page.wait_for_timeout(100)
    raise AssertionError("a picture did not load")
