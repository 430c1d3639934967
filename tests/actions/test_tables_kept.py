"""Tables into the store and out again: nothing doubled, nothing lost, nothing half kept."""

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Literal
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from hoopwright.actions.people import add_player, change_player, find_player, list_players
from hoopwright.actions.sameness import same_shot
from hoopwright.actions.shots import (
    chart_of,
    correct_shot,
    list_workouts,
    remove_set,
    start_workout,
    undo_last,
)
from hoopwright.actions.tables_in import ImportReport, import_charts, import_file, read_charts
from hoopwright.actions.tables_out import export_charts
from hoopwright.errors import BadInput, BadTable, Conflict
from hoopwright.records import (
    Chart,
    Half,
    Hand,
    Landing,
    Miss,
    MissDetail,
    Player,
    Purpose,
    Shot,
    ShotSet,
    Spot,
    Workout,
)
from hoopwright.store.engine import Database, open_database

HEAD = "player,date,spot,made,miss,birth_year"
ROWS = (
    "Invented A,2026-11-02,top,yes,,",
    "Invented A,2026-11-02,top,no,short,",
    "Invented A,2026-11-09,top,no,long,",
    "Invented B,2026-11-02,top,yes,,2012",
)


def table(*rows: str, head: str = HEAD) -> bytes:
    return "\n".join([head, *rows]).encode()


def keep(session: Session, data: bytes) -> ImportReport:
    return import_file(session, data, name="chart.csv", who="coach")


def counts(report: ImportReport) -> tuple[int, int, int, int, int]:
    return report.players, report.workouts, report.sets, report.shots, report.shots_already


def test_the_same_file_twice_adds_nothing(database: Database) -> None:
    for expected in ((2, 3, 3, 4, 0), (0, 0, 0, 0, 4)):
        with database.session() as session:
            assert counts(keep(session, table(*ROWS))) == expected
    with database.reading() as session:
        assert [player.birth_year for player in list_players(session)] == [None, 2012]


def test_rows_added_below_are_added(database: Database) -> None:
    with database.session() as session:
        keep(session, table(*ROWS))
        more = table(*ROWS, "Invented A,2026-11-02,top,no,left,", "Invented A,2026-11-16,top,yes,,")
        assert counts(keep(session, more)) == (0, 1, 1, 2, 4)
        player = find_player(session, "Invented A")
        first = list_workouts(session, player.id)[0].sets[0]
    assert [s.miss for s in first.shots] == [(), (Miss.SHORT,), (Miss.LEFT,)]
    assert first.miss_detail is MissDetail.ONE


def test_a_changed_row_is_refused_and_nothing_kept(database: Database) -> None:
    with database.session() as session:
        keep(session, table(*ROWS))
    changed = table("Invented A,2026-11-02,top,no,,", *ROWS[1:], "Invented C,2026-11-02,top,yes,,")
    with pytest.raises(Conflict, match=r"Invented A.*top"), database.session() as session:
        keep(session, changed)
    with database.reading() as session:
        assert len(list_players(session)) == 2


def test_what_was_corrected_undone_or_removed_in_the_store_stays_so(database: Database) -> None:
    with database.session() as session:
        keep(session, table(*ROWS))
        player = find_player(session, "Invented A")
        first, second = (visit.sets[0] for visit in list_workouts(session, player.id))
        correct_shot(session, replace(first.shots[0], half=Half.BACK), who="coach")
        undo_last(session, second.id, who="coach")
        assert counts(keep(session, table(*ROWS))) == (0, 0, 0, 0, 4)
        assert list_workouts(session, player.id)[0].sets[0].shots[0].half is Half.BACK
        assert list_workouts(session, player.id)[1].sets[0].shots == ()
        remove_set(session, first.id, who="coach")
        assert counts(keep(session, table(*ROWS))) == (0, 0, 1, 2, 2)


def test_a_renamed_player_is_still_the_same(database: Database) -> None:
    with database.session() as session:
        keep(session, table(*ROWS))
        player = find_player(session, "Invented A")
        change_player(session, replace(player, name="Invented Z", birth_year=2010), who="coach")
        assert counts(keep(session, table(*ROWS))) == (0, 0, 0, 0, 4)
        assert len(list_players(session)) == 2


def test_a_player_of_the_store_is_found_by_name(database: Database) -> None:
    known = Player(id=uuid4(), name="Invented a", hand=Hand.LEFT, ball_size=5, ring_height=2.6)
    with database.session() as session:
        add_player(session, known, who="coach")
        assert keep(session, table(*ROWS)).players == 1
        chart = chart_of(session, known.id)
    assert chart.player == known
    assert {(s.ball_size, s.ring_height) for s in chart.sets} == {(5, 2.6)}


def test_two_of_one_name_need_the_year(database: Database) -> None:
    with database.session() as session:
        for year in (2010, 2012):
            player = Player(id=uuid4(), name="Invented B", birth_year=year)
            add_player(session, player, who="coach")
        assert counts(keep(session, table(ROWS[3]))) == (0, 1, 1, 1, 0)
        assert len(chart_of(session, find_player(session, "Invented B (2012)").id).sets) == 1
    with pytest.raises(BadInput, match="year of birth"), database.session() as session:
        keep(session, table(ROWS[3].replace("2012", "")))


def test_another_players_rows_are_not_taken_over(database: Database) -> None:
    with database.session() as session:
        keep(session, table(*ROWS))
        player = find_player(session, "Invented A")
        change_player(session, replace(player, name="Invented Z"), who="coach")
        add_player(session, Player(id=uuid4(), name="Invented A"), who="coach")
    more = table("Invented A,2026-11-02,left wing,yes,,")
    with pytest.raises(Conflict, match="another player"), database.session() as session:
        keep(session, more)


def test_shots_without_dates_are_not_stored(database: Database) -> None:
    charts = read_charts(b"player,spot,made\nInvented A,top,yes", name="chart.csv").charts
    with pytest.raises(BadInput, match="column date"), database.session() as session:
        import_charts(session, charts, who="coach")


def test_a_bad_row_keeps_everything_out(database: Database) -> None:
    with pytest.raises(BadTable), database.session() as session:
        keep(session, table(*ROWS, "Invented C,2026-11-02,top,maybe,,"))
    with database.reading() as session:
        assert list_players(session) == []


# -- round trip ---------------------------------------------------------------------------------

centimetre = st.floats(-0.9, 0.9, allow_nan=False)
error = st.floats(0.001, 0.2)


@st.composite
def shots(draw: st.DrawFn) -> Shot:
    made = draw(st.booleans())
    along = draw(st.sampled_from([None, Miss.SHORT, Miss.LONG]))
    across = draw(st.sampled_from([None, Miss.LEFT, Miss.RIGHT]))
    landing = Landing(
        along=draw(centimetre), across=draw(centimetre), along_sd=draw(error), across_sd=draw(error)
    )
    return Shot(
        id=draw(st.uuids(version=4)),
        made=made,
        miss=() if made else tuple(way for way in (along, across) if way),
        half=draw(st.sampled_from([None, *Half])) if made else None,
        landing=draw(st.sampled_from([None, landing])),
        feel=draw(st.sampled_from([None, 0.0, 7.5, 10.0])),
    )


@st.composite
def sets(draw: st.DrawFn) -> ShotSet:
    return ShotSet(
        id=draw(st.uuids(version=4)),
        workout_id=UUID(int=0),
        position=0,
        spot=Spot(
            name=draw(st.sampled_from(["top", "=1+1", "@here", "by the 'wall'"])),
            # to the millimetre: a spreadsheet keeps ten digits
            x=draw(st.integers(-6000, 6000)) / 1000,
            y=draw(st.integers(1000, 8000)) / 1000,
        ),
        condition=draw(st.sampled_from(["", "higher finish", "-slower", "'quoted"])),
        ball_size=draw(st.sampled_from([3, 5, 6, 7])),
        ring_height=draw(st.sampled_from([2.6, 3.05])),
        miss_detail=MissDetail.TWO,
        ordered=draw(st.booleans()),
        stops_on_makes=draw(st.booleans()),
        purpose=draw(st.sampled_from(Purpose)),
        shots=tuple(draw(st.lists(shots(), min_size=1, max_size=6))),
    )


PLAYERS = (
    Player(
        id=UUID(int=11), name="+Invented, “Á”", birth_year=2014, hand=Hand.LEFT, height=1.42,
        ball_size=5, ring_height=2.6, rules="fiba-mini", coach="=Invented()", invented=True,
    ),
    Player(id=UUID(int=12), name="Invented B"),
)  # fmt: skip


def filled(database: Database, drawn: list[ShotSet]) -> None:
    with database.session() as session:
        for player in PLAYERS:
            add_player(session, player, who="coach")
        for i, one in enumerate(drawn):
            player, day = PLAYERS[i % 2], date(2026, 11, 1 + i // 2)
            visit = Workout(id=uuid4(), player_id=player.id, day=day)
            moved = replace(one, workout_id=visit.id)
            start_workout(session, replace(visit, sets=(moved,)), who="coach")


def contents(chart: Chart) -> list[tuple[object, ...]]:
    days = dict(chart.days)
    return [
        (
            days[s.workout_id], s.spot, s.condition, s.ball_size, s.ring_height,
            s.miss_detail, s.ordered, s.stops_on_makes, s.purpose, len(s.shots),
        )
        for s in chart.sets
    ]  # fmt: skip


def charts(database: Database) -> list[Chart]:
    with database.reading() as session:
        found = [chart_of(session, player.id) for player in list_players(session)]
    return [chart for chart in found if chart.sets]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(sets(), min_size=1, max_size=5, unique_by=lambda s: s.id))
def test_out_and_into_an_empty_store(kind: Literal["csv", "xlsx"], drawn: list[ShotSet]) -> None:
    ids = [shot.id for one in drawn for shot in one.shots]
    if len(ids) != len(set(ids)):
        return
    before, after = open_database("sqlite://"), open_database("sqlite://")
    filled(before, drawn)
    with before.session() as session:
        data = export_charts(session, None, kind=kind)
        again = import_file(session, data, name=f"chart.{kind}", who="coach")
        assert counts(again) == (0, 0, 0, 0, len(ids))
    with after.session() as session:
        assert import_file(session, data, name=f"chart.{kind}", who="coach").shots == len(ids)
    for old, new in zip(charts(before), charts(after), strict=True):
        assert contents(new) == contents(old)
        same = {"id": old.player.id, "ball_size": 7, "ring_height": 3.05}
        assert replace(new.player, **same) == replace(old.player, **same)  # type: ignore[arg-type]
        pairs = zip(old.sets, new.sets, strict=True)
        for one, other in ((a, b) for s, t in pairs for a, b in zip(s.shots, t.shots, strict=True)):
            assert one.id == other.id
            assert same_shot(one, other)
    before.close()
    after.close()


def test_only_the_players_asked_for(database: Database) -> None:
    with database.session() as session:
        keep(session, table(*ROWS))
        wanted = find_player(session, "Invented B")
        data = export_charts(session, [wanted.id], kind="csv")
        nobody = export_charts(session, [], kind="csv")
    rows = list(csv.DictReader(io.StringIO(data.decode())))
    assert [row["player"] for row in rows] == ["Invented B"]
    assert len(nobody.decode().splitlines()) == 1


def test_no_cell_of_an_exported_table_is_a_formula(database: Database) -> None:
    """Formula injection: OWASP "CSV Injection" names these first characters (from memory)."""
    risky: list[Callable[[str], str]] = [lambda s, c=c: c + s for c in "=+-@"]  # type: ignore[misc]
    with database.session() as session:
        for i, make in enumerate(risky):
            player = Player(id=uuid4(), name=make(f"HYPERLINK({i})"), coach=make("x"))
            spot = Spot(name=make("spot"), x=0.0, y=4.0)
            visit = Workout(id=uuid4(), player_id=player.id, day=date(2026, 11, 2))
            one = ShotSet(
                id=uuid4(), workout_id=visit.id, position=0, spot=spot, condition=make("c"),
                shots=(Shot(id=uuid4(), made=True),),
            )  # fmt: skip
            add_player(session, player, who="coach")
            start_workout(session, replace(visit, sets=(one,)), who="coach")
        data = export_charts(session, None, kind="csv").decode()
    cells = [cell for row in csv.reader(io.StringIO(data)) for cell in row]
    assert sum(cell.startswith("'") for cell in cells) == 16
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
