"""Fixtures shared by all: few and small."""

import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote
from uuid import uuid4

import pytest
from sqlalchemy import create_engine

from hoopwright.store.engine import Database, open_database

POSTGRES = os.environ.get("HOOPWRIGHT_TEST_POSTGRES", "")


@pytest.fixture
def postgres_url() -> Iterator[str]:
    """The address of an empty schema of its own, dropped after the test."""
    if not POSTGRES:
        pytest.skip("HOOPWRIGHT_TEST_POSTGRES is not set")
    name = f"t_{uuid4().hex}"
    engine = create_engine(POSTGRES, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql(f"CREATE SCHEMA {name}")
    joint = "&" if "?" in POSTGRES else "?"
    yield f"{POSTGRES}{joint}options={quote(f'-csearch_path={name}')}"
    with engine.connect() as connection:
        connection.exec_driver_sql(f"DROP SCHEMA {name} CASCADE")
    engine.dispose()


@pytest.fixture(
    params=["sqlite", *([pytest.param("postgres", marks=pytest.mark.postgres)] * bool(POSTGRES))]
)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty database; with PostgreSQL at hand, each test runs on both."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path}/hoopwright.db"
    url = request.getfixturevalue("postgres_url")
    assert isinstance(url, str)
    return url


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """An open, empty database."""
    opened = open_database(database_url)
    yield opened
    opened.close()
