"""A small site with an empty database, and readings made by hand so that pages are quick."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from shutil import copyfile

import pytest
from starlette.testclient import TestClient
from tests.reports.samples import SHORT
from tests.web.site import Pages

from hoopwright.actions import reports
from hoopwright.chart.findings import Findings
from hoopwright.chart.prior import Prior
from hoopwright.records import Chart
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.web.app import create_app


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Migrated once; each test gets a copy."""
    path = tmp_path_factory.mktemp("database") / "empty.db"
    open_database(f"sqlite:///{path}").close()
    return path


@pytest.fixture
def settings(tmp_path: Path, empty_database: Path) -> Settings:
    copyfile(empty_database, tmp_path / "test.db")
    return Settings(data=tmp_path, database=f"sqlite:///{tmp_path}/test.db", largest_upload=200_000)


@pytest.fixture
def client(settings: Settings) -> Iterator[TestClient]:
    app = create_app(settings)
    with TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False) as client:
        yield client


@pytest.fixture
def site(client: TestClient) -> Pages:
    return Pages(client)


@pytest.fixture
def sample_reading(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The reading itself has its own tests; here only what pages make of one is tested."""

    def read(chart: Chart, *, prior: Prior | None = None) -> Findings:
        return replace(SHORT, player_name=chart.player.name)

    reports.forget_readings()
    monkeypatch.setattr(reports, "read_chart", read)
    yield
    reports.forget_readings()
