import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright
from tests.acceptance.browser import ARGUMENTS, CHROMIUM, Server


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if not CHROMIUM.exists():
        reason = f"There is no browser at {CHROMIUM}; install the Debian package chromium."
        if os.environ.get("HOOPWRIGHT_REQUIRE_BROWSER") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield launched
        launched.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    server = Server(tmp_path)
    server.start()
    yield server
    server.stop()


@pytest.fixture(scope="session")
def pictures() -> Path:
    folder = Path(__file__).parents[2] / "test-output"
    folder.mkdir(exist_ok=True)
    return folder
