"""Reports from what is kept: one player's own things only, stops first, groups without names."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest
from sqlalchemy.orm import Session
from tests.actions.report_material import ASH, BO, COACH, kept_in
from tests.reports.samples import SHORT

from hoopwright.actions import reports
from hoopwright.actions.load import raise_flag
from hoopwright.actions.reports_people import material_of, report_of, report_of_group
from hoopwright.chart.findings import Findings
from hoopwright.chart.prior import Prior
from hoopwright.errors import BadInput, NotFound
from hoopwright.load.nouns import Flag, FlagKind
from hoopwright.records import Chart
from hoopwright.reports.people.parts import Reader
from hoopwright.reports.people.written import report_data
from hoopwright.store.engine import Database, open_database

DAY = date(2026, 11, 25)


@pytest.fixture(autouse=True)
def sample_reading(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The reading of a chart has its own tests."""

    def read(chart: Chart, *, prior: Prior | None = None) -> Findings:
        return replace(SHORT, player_name=chart.player.name)

    reports.forget_readings()
    monkeypatch.setattr(reports, "read_chart", read)
    yield
    reports.forget_readings()


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    path = kept_in(tmp_path_factory.mktemp("kept") / "kept.db", DAY)
    database = open_database(f"sqlite:///{path}")
    yield database
    database.close()


@pytest.fixture
def session(kept: Database) -> Iterator[Session]:
    """Nothing that a test keeps stays."""
    with kept.session() as opened:
        yield opened
        opened.rollback()


def said(session: Session, reader: Reader) -> str:
    found = report_of(session, ASH.id, reader=reader, today=DAY)
    return json.dumps(report_data(found.report), ensure_ascii=False)


def test_everything_kept_of_a_player_is_there(session: Session) -> None:
    found = material_of(session, ASH.id, today=DAY)
    assert (found.shots, len(found.days)) == (100, 4)
    assert [len(line.points) for line in found.progress] == [4]
    assert found.plan is not None and found.plan.visits_done == 0
    assert found.plan.coming is not None and found.plan.coming.day == date(2026, 11, 30)
    assert [one.kind.value for one in found.plan.tests][:2] == ["cold", "cold"]
    # charted shots count as load though nobody wrote them down
    assert sum(one.coached_shots for one in found.load.entries) == 100
    assert found.minor and found.focus is not None and found.focus.name == "feet turned"


@pytest.mark.parametrize("reader", [r for r in Reader if r is not Reader.GROUP])
def test_no_other_player_is_named_even_where_a_cue_names_one(
    session: Session, reader: Reader
) -> None:
    told = said(session, reader)
    assert BO.name not in told and "like another player, toes out" in told


def test_a_flag_stops_the_player_in_every_report(session: Session) -> None:
    flag = Flag(id=UUID(int=9), player_id=ASH.id, kind=FlagKind.PAIN, day=DAY, note="left knee")
    raise_flag(session, flag, who="coach")
    for reader in (Reader.PLAYER, Reader.PARENT, Reader.TEAM):
        found = report_of(session, ASH.id, reader=reader, today=DAY)
        assert found.report.sections[0].alert
        assert "left knee" not in json.dumps(report_data(found.report))


def test_a_grown_up_player_has_no_report_for_the_family(session: Session) -> None:
    with pytest.raises(BadInput, match="Invented Bo is 18 or older"):
        report_of(session, BO.id, reader=Reader.PARENT, today=DAY)
    assert report_of(session, BO.id, reader=Reader.PLAYER, today=DAY).report.title == BO.name


def test_pictures_are_those_of_the_report_alone(session: Session) -> None:
    found = report_of(session, ASH.id, reader=Reader.PLAYER, today=DAY)
    assert found.picture("landing").title == "Where your shots come down"
    with pytest.raises(NotFound):
        found.picture("progress-0")


def test_a_group_is_told_without_names_and_an_unknown_coach_is_refused(session: Session) -> None:
    plain = json.dumps(report_data(report_of_group(session, COACH, today=DAY)))
    assert ASH.name not in plain and "100 shots by 1 of 2 players." in plain
    named = json.dumps(report_data(report_of_group(session, COACH, names=True, today=DAY)))
    assert ASH.name in named and BO.name in named
    with pytest.raises(NotFound, match="No player is with Nobody"):
        report_of_group(session, "Nobody", today=DAY)


def test_there_is_no_group_report_of_one_player(session: Session) -> None:
    with pytest.raises(NotFound, match="no such report of one player"):
        report_of(session, ASH.id, reader=Reader.GROUP, today=DAY)
