"""The invented academy: complete, marked, the same every time, and flown by the physics."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from hoopwright.actions.demo import DemoReport, load_demo
from hoopwright.actions.demo_practice import FEEL_GUESSES, FEEL_KNOWS, HURT, PLAN, PLAYED, TRIAL
from hoopwright.actions.demo_roster import ACADEMY, MARK, MEMBERS, Trait
from hoopwright.actions.feel import feel_of
from hoopwright.actions.games import list_games, practice_to_games
from hoopwright.actions.load import cautions_for
from hoopwright.actions.people import find_player, list_players, remove_player
from hoopwright.actions.plans import running_plan, view_plan
from hoopwright.actions.progress import progress_of
from hoopwright.actions.shots import chart_of, list_workouts
from hoopwright.actions.tables_in import read_charts
from hoopwright.actions.tables_out import export_charts
from hoopwright.actions.trials import list_trials, looks_at, read_trial
from hoopwright.records import Chart, Hand, Miss, MissDetail, Player
from hoopwright.store.engine import Database, open_database
from hoopwright.store.trials import TrialState
from hoopwright.trials.feel import Told

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def academy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    folder: Path = tmp_path_factory.mktemp("demo")
    database = open_database(f"sqlite:///{folder}/hoopwright.db")
    with database.session() as session:
        load_demo(session, today=TODAY)
    yield database
    database.close()


@pytest.fixture(scope="module")
def charts(academy: Database) -> list[Chart]:
    with academy.reading() as session:
        return [chart_of(session, player.id) for player in list_players(session)]


@pytest.fixture(scope="module")
def players(charts: list[Chart]) -> list[Player]:
    return [chart.player for chart in charts]


def test_who_is_in_it(players: list[Player]) -> None:
    ages = [TODAY.year - (player.birth_year or 0) for player in players]
    assert (len(players), min(ages), max(ages)) == (24, 7, 40)
    assert len({player.coach for player in players}) == 3
    assert sum(player.hand is Hand.LEFT for player in players) >= 3
    assert {player.ball_size for player in players} == {3, 5, 6, 7}
    assert min(player.ring_height for player in players) < 2.6


def test_all_of_it_is_marked_as_invented(academy: Database, players: list[Player]) -> None:
    assert all(player.invented and player.coach.endswith(MARK) for player in players)
    with academy.reading() as session:
        visits = [v for player in players for v in list_workouts(session, player.id)]
    assert {visit.note for visit in visits} == {ACADEMY}
    assert ACADEMY.endswith(MARK)


def test_eight_weeks_up_to_today(charts: list[Chart]) -> None:
    days = [day for chart in charts for _, day in chart.days]
    assert max(days) <= TODAY
    assert 7 * 7 < (max(days) - min(days)).days < 8 * 7


def test_every_way_of_charting_is_there(charts: list[Chart]) -> None:
    sets = [one for chart in charts for one in chart.sets]
    shots = [shot for one in sets for shot in one.shots]
    assert {one.miss_detail for one in sets} == set(MissDetail)
    directed = sum(bool(shot.miss) for shot in shots) / sum(not shot.made for shot in shots)
    assert directed > 0.5
    assert any(shot.landing for shot in shots)
    assert any(shot.half for shot in shots)
    assert any(not one.ordered for one in sets)
    assert any(one.stops_on_makes and one.shots[-1].made for one in sets)
    assert len({one.condition for one in sets}) >= 4
    assert len({one.spot.name for one in sets}) >= 8
    shots_of = {chart.player.name: sum(len(one.shots) for one in chart.sets) for chart in charts}
    assert min(shots_of.values()) == 0
    assert 12 in shots_of.values()


def test_a_trait_shows_in_the_misses(charts: list[Chart]) -> None:
    """Who is set up to be short misses short more often than long, who is set up long the reverse.

    Known truth: the simulation's own speed bias, 0.9 % of the speed either way.
    """
    seen = 0
    traits = {member.name: member.trait for _, members in MEMBERS for member in members}
    for chart in charts:
        ways = Counter(way for one in chart.sets for shot in one.shots for way in shot.miss)
        if ways.total() < 50 or any(one.condition for one in chart.sets):
            continue
        seen += traits[chart.player.name] in (Trait.SHORT, Trait.LONG)
        if traits[chart.player.name] is Trait.SHORT:
            assert ways[Miss.SHORT] > 1.5 * ways[Miss.LONG], chart.player.name
        if traits[chart.player.name] is Trait.LONG:
            assert ways[Miss.LONG] > ways[Miss.SHORT], chart.player.name
    assert seen >= 4


def test_farther_is_harder(charts: list[Chart]) -> None:
    near, far = [0, 0], [0, 0]
    for one in (one for chart in charts for one in chart.sets):
        if one.ring_height == 3.05 and one.ball_size > 5:
            tally = near if one.spot.distance < 4.5 else far if one.spot.distance > 6.5 else [0, 0]
            tally[0] += one.made
            tally[1] += len(one.shots)
    assert near[0] / near[1] > 1.3 * far[0] / far[1]


def test_a_second_time_adds_nothing_and_keeps_what_was_done(academy: Database) -> None:
    with academy.reading() as session:
        remove_player(session, find_player(session, "Per Woldgate").id, who="coach")
        assert load_demo(session, today=TODAY) == DemoReport(players=0, workouts=0, shots=0)
        assert len(list_players(session)) == 23


def test_it_is_the_same_for_everybody(academy: Database) -> None:
    other = open_database("sqlite://")
    seen: list[tuple[int, int]] = []
    with other.session() as session:
        report = load_demo(session, today=TODAY, progress=lambda done, of: seen.append((done, of)))
        again = export_charts(session, None, kind="csv")
    other.close()
    with academy.reading() as session:
        assert export_charts(session, None, kind="csv") == again
    assert seen == [(i, 24) for i in range(1, 25)]
    assert report.shots == sum(
        len(one.shots) for c in read_charts(again, name="demo.csv").charts for one in c.sets
    )


def test_a_trial_was_shot_and_read(academy: Database) -> None:
    with academy.reading() as session:
        (view,) = list_trials(session, find_player(session, TRIAL).id)
        reading = read_trial(session, view.trial.id)
        assert view.state is TrialState.ENDED
        assert view.trial.planned_by.endswith(MARK)
        assert reading.verdict is not None
        assert [one.verdict for one in looks_at(session, view.trial.id)] == [reading.verdict]
        assert (reading.verdict.habit_shots, reading.verdict.change_shots) == (120, 120)


def test_a_plan_goes_on_and_part_of_it_is_done(academy: Database) -> None:
    with academy.reading() as session:
        kept = running_plan(session, find_player(session, PLAN).id)
        assert kept is not None
        view = view_plan(session, kept.id)
        assert len(view.logs) == 2
        assert all(MARK in one.note and one.scores for one in view.logs)
        assert view.next_session is not None


def test_cold_tests_make_a_line_with_an_announced_dip(academy: Database) -> None:
    with academy.reading() as session:
        reading = progress_of(session, find_player(session, PLAN).id)
        assert reading.progress is not None
        (line,) = reading.progress.lines
        assert [point.attempts for point in line.points] == [10] * 8
        assert len(line.dips) == 1 and line.dips[0].open


def test_games_stand_beside_practice(academy: Database) -> None:
    with academy.reading() as session:
        for name in PLAYED:
            player = find_player(session, name)
            games = list_games(session, player.id)
            assert len(games) == 6
            assert all(one.opponent.endswith(MARK) and one.day <= TODAY for one in games)
            assert practice_to_games(session, player.id).rows


def test_feel_knows_in_one_player_and_not_in_the_other(academy: Database) -> None:
    with academy.reading() as session:
        told = {
            n: feel_of(session, find_player(session, n).id).feel for n in (FEEL_KNOWS, FEEL_GUESSES)
        }
        knows, guesses = told[FEEL_KNOWS], told[FEEL_GUESSES]
        assert knows is not None and guesses is not None
        assert knows.told in (Told.A_LOT, Told.SOMETHING)
        assert guesses.told in (Told.NOTHING, Told.CANNOT_TELL)


def test_load_was_written_down_and_nobody_is_stopped(academy: Database) -> None:
    with academy.reading() as session:
        reading = cautions_for(session, find_player(session, HURT).id, TODAY)
        assert len(reading.entries) == 7
        assert [one.cleared_on is not None for one in reading.flags] == [True]
        assert not reading.stopped
