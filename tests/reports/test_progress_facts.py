"""Progress in sentences, as a picture and as data."""

from collections.abc import Sequence
from datetime import date, timedelta
from uuid import UUID

from hoopwright.reports.figures import svg
from hoopwright.reports.game_data import progress_data
from hoopwright.reports.progress_facts import line_facts
from hoopwright.reports.progress_figures import progress_figure
from hoopwright.transfer.nouns import AnnouncedChange, ColdTest, TestKind
from hoopwright.transfer.progress import PlaceLine, read_progress

FIRST = date(2026, 9, 7)


def taken(made: Sequence[int], *, of: int = 20, first: date = FIRST) -> list[ColdTest]:
    return [
        ColdTest(
            id=UUID(int=i), player_id=UUID(int=1), day=first + timedelta(days=4 * i),
            attempts=of, made=one, place="free throw",
        )
        for i, one in enumerate(made)
    ]  # fmt: skip


def line(tests: Sequence[ColdTest], changes: Sequence[AnnouncedChange] = ()) -> PlaceLine:
    (found,) = read_progress(tests, changes).lines
    return found


DOWN = taken([16, 15, 16, 17, 15, 16, 5, 6, 5, 4, 6, 5])


def test_one_test_cannot_tell_how_it_moves() -> None:
    facts = line_facts(line(taken([12])))
    assert facts.now.startswith("About 6 of 10; could be ")
    assert "take another cold test on another day" in " ".join(facts.sentences)
    assert "more cold-test shots would" in " ".join(facts.sentences)


def test_a_fall_nobody_announced_is_an_alarm() -> None:
    said = " ".join(line_facts(line(DOWN)).sentences)
    assert "Worse than at the first test: about −" in said and "makes per 100 (likely" in said
    assert "the level is another one" in said
    assert "look at load, pain and film first" in said


def test_an_announced_dip_is_none() -> None:
    change = AnnouncedChange(name="feet turned", day=DOWN[6].day, dip_days=28)
    said = " ".join(line_facts(line(DOWN, [change])).sentences)
    assert "falls into the dip that was announced for “feet turned”" in said
    assert "so fewer makes are no alarm" in said
    assert "look at load" not in said


def test_a_dip_that_does_not_end_is_said() -> None:
    change = AnnouncedChange(name="feet turned", day=DOWN[6].day, dip_days=7)
    said = " ".join(line_facts(line(DOWN, [change])).sentences)
    assert "should be over since" in said and "but is not: about −" in said


def test_later_tests_are_held_against_what_was_foreseen() -> None:
    tests = taken([12, 11, 12])
    later = taken([17], first=date(2026, 10, 20))
    marked = [
        ColdTest(
            id=UUID(int=90), player_id=UUID(int=1), day=later[0].day, attempts=20, made=17,
            kind=TestKind.RETENTION, place="free throw",
        ),
        ColdTest(
            id=UUID(int=91), player_id=UUID(int=1), day=later[0].day, attempts=20, made=3,
            kind=TestKind.TRANSFER, place="free throw",
        ),
    ]  # fmt: skip
    found = line([*tests, *marked])
    said = " ".join(line_facts(found).sentences)
    assert "Retention test of 20 October 2026, 17 of 20: " in said
    assert "Transfer test of 20 October 2026, 3 of 20: " in said
    assert "worse than the tests before foresaw" in said
    drawn = progress_figure(found, name="line")
    spec = drawn.chart.to_json()
    assert '"retention test"' in spec and '"transfer test"' in spec
    assert spec.count('"cold test"') >= 3


def test_only_a_retention_or_transfer_test() -> None:
    alone = ColdTest(
        id=UUID(int=5), player_id=UUID(int=1), day=FIRST, attempts=10, made=4,
        kind=TestKind.TRANSFER, place="top",
    )  # fmt: skip
    facts = line_facts(line([alone]))
    assert facts.now == "No cold test of this place yet."
    assert "no test came before" in " ".join(facts.sentences)


def test_the_picture_shows_dip_and_change_and_is_drawn() -> None:
    change = AnnouncedChange(name="feet turned", day=DOWN[5].day, dip_days=28)
    figure = progress_figure(line(DOWN, [change]), name="line")
    assert figure.alt.startswith("Makes of 100 over the days. About ")
    assert len(figure.table) == 1 + len(DOWN)
    drawn = svg(figure.chart)
    assert drawn.startswith("<svg") and "stroke-dasharray" in drawn
    one_day = progress_figure(line(taken([12])), name="line")
    assert svg(one_day.chart).startswith("<svg")


def test_the_data_say_all_of_it() -> None:
    change = AnnouncedChange(name="feet turned", day=DOWN[5].day, dip_days=28)
    (place,) = progress_data(read_progress(DOWN, [change]))["places"]
    assert place["place"] == "free throw" and len(place["tests"]) == 12
    assert place["changes"][0]["announced"] == "feet turned" and not place["changes"][0]["alarm"]
    assert place["gain_makes_per_100"]["high80"] < 0
    assert place["dips"][0]["makes_per_100"]["value"] < 0
