"""A served site that can be stopped and started again, and a browser that notes what it sees."""

import contextlib
import re
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request

from hoopwright.settings import Settings
from hoopwright.web.app import create_app

PHONE, DESKTOP = (390, 844), (1280, 800)
CHROMIUM = Path("/usr/bin/chromium")
#: no sandbox, as tests may run as root; the rest keeps the browser from calling home
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
#: an answer of ours that a test asks for on purpose is told by the browser as an error
_ASKED_FOR = re.compile(r"Failed to load resource: (the server responded with|net::ERR_)")


class Server:
    """The pages on a free port of this machine."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.settings = Settings(
            data=folder, database=f"sqlite:///{folder}/browser.db", port=self.port
        )
        self._server: uvicorn.Server | None = None
        self._thread: threading.Thread | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        config = uvicorn.Config(
            create_app(self.settings),
            host="127.0.0.1",
            port=self.port,
            log_level="critical",
            ws="none",
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        give_up = time.monotonic() + 20
        while not self._server.started:
            assert time.monotonic() < give_up, "the server did not start"
            time.sleep(0.02)

    def stop(self) -> None:
        assert self._server is not None and self._thread is not None
        self._server.should_exit = True
        self._thread.join(20)
        assert not self._thread.is_alive(), "the server did not stop"


@dataclass
class Watch:
    """What happened in the browser that should not have."""

    errors: list[str] = field(default_factory=list)
    foreign: list[str] = field(default_factory=list)

    def heard(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning") and not _ASKED_FOR.match(message.text):
            self.errors.append(message.text)

    def asked(self, request: Request) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "blob:", "data:")):
            self.foreign.append(request.url)


class Visitor:
    """One browser window and the steps a coach takes in it."""

    def __init__(self, page: Page, watch: Watch, pictures: Path) -> None:
        self.page, self.watch, self.pictures = page, watch, pictures

    def picture(self, name: str, *, full: bool = True) -> None:
        """Keep a screenshot, and check that nothing sticks out sideways."""
        self.page.screenshot(path=self.pictures / f"{name}.png", full_page=full)
        wide, seen = self.page.evaluate(
            "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        assert wide <= seen, f"{name} scrolls sideways: {wide} px in {seen} px"

    def add_player(self, name: str, *, hand: str = "Right", ball: str = "7") -> None:
        page = self.page
        page.goto("/players")
        page.get_by_role("link", name="Add a player").click()
        page.get_by_label("Name").fill(name)
        page.get_by_label(hand, exact=True).check()
        page.get_by_label(ball, exact=True).check()
        page.get_by_role("button", name="Add player").click()
        page.get_by_role("heading", name=name).wait_for()

    def start_set(self) -> None:
        self.page.get_by_role("link", name="Chart shots").click()
        self.page.get_by_role("button", name="Chart this set").click()
        self.page.get_by_role("heading", name="Free throw").wait_for()

    def press(self, *names: str) -> None:
        for name in names:
            buttons = self.page.locator("#buttons")
            buttons.get_by_role("button", name=name, exact=True).click()

    def tap_ring(self, along_cm: float, across_cm: float, result: str) -> None:
        """Tap a place on the ring picture, then made or missed: two taps."""
        box = self.page.locator("#plane").bounding_box()
        assert box is not None
        scale = box["width"] / 140
        self.page.mouse.click(
            box["x"] + box["width"] / 2 + across_cm * scale,
            box["y"] + box["height"] / 2 - along_cm * scale,
        )
        self.page.locator("#ring").get_by_role("button", name=result, exact=True).click()

    def tally(self) -> str:
        return self.page.locator(".tally p").first.inner_text()

    def all_sent(self) -> None:
        self.page.wait_for_function(_NOTHING_KEPT, timeout=20_000)
        self.page.locator("#waiting").wait_for(state="hidden", timeout=20_000)


# the page tells of waiting shots only once sending takes a while, so what it keeps is looked at
_NOTHING_KEPT = """() => {
  try {
    return !Object.keys(localStorage).some((key) => key.startsWith("hoopwright:waiting:"));
  } catch {
    return true;
  }
}"""


@contextlib.contextmanager
def window(
    browser: Browser, server: Server, size: tuple[int, int], **more: object
) -> Iterator[tuple[BrowserContext, Page, Watch]]:
    """Open a window; at its end, nothing may have gone wrong in it."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        base_url=server.address,
        has_touch=size == PHONE,
        **more,  # type: ignore[arg-type]
    )
    context.set_default_timeout(60_000)
    page, watch = context.new_page(), Watch()
    page.on("console", watch.heard)
    page.on("pageerror", lambda error: watch.errors.append(str(error)))
    context.on("request", watch.asked)
    try:
        yield context, page, watch
        assert watch.errors == [], watch.errors
        assert watch.foreign == [], watch.foreign
    finally:
        context.close()


def check_rules(page: Page) -> None:
    """The open axe rule set for WCAG 2.2 levels A and AA, and the size of what is touched."""
    rules = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}
    found = Axe().run(page, options={"runOnly": rules, "resultTypes": ["violations"]})
    assert found.violations_count == 0, f"{page.url}: {found.generate_report()}"
    check_targets(page)


def check_targets(page: Page) -> None:
    """Buttons and fields are at least 44 px high (WCAG 2.2, 2.5.5)."""
    small = page.evaluate(
        "[...document.querySelectorAll('button, .button, nav a, .rows a, summary, select,"
        " input:not([type=hidden], [type=radio], [type=checkbox]), .options label')]"
        ".filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 44)"
        ".map(e => e.outerHTML.slice(0, 120))"
    )
    assert small == []
