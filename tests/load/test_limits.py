import re
from datetime import date
from pathlib import Path

import pytest

from hoopwright.load.limits import all_limits, careful_age, limit, load_limits
from hoopwright.load.nouns import CautionKind, Status

REFERENCES = Path(__file__).parents[2] / "docs" / "references.md"


@pytest.mark.parametrize(
    ("age", "hours", "games"),
    [
        # DiFiori and others 2018, Sports Medicine 48:2053, Table 4 (seen): ages 7-8, 9-11, 12-14
        (7, 3, 1), (8, 3, 1), (9, 5, 2), (11, 5, 2), (12, 10, 2), (14, 10, 2),
        # US grades 9-12; taken as ages 15 to 18
        (15, 14, 2), (18, 14, 2),
    ],
)  # fmt: skip
def test_weekly_hours_and_games_a_day_as_published(age: int, hours: float, games: float) -> None:
    the_hours, the_games = (
        limit(kind, age) for kind in (CautionKind.WEEKLY_HOURS, CautionKind.GAMES)
    )
    assert the_hours is not None and the_hours.value == hours
    assert the_games is not None and the_games.value == games
    assert the_hours.key == the_games.key == "DiFiori2018"


@pytest.mark.parametrize(("age", "days"), [(7, 2), (8, 2), (9, 2), (11, 2), (12, 1), (18, 1)])
def test_rest_days_as_published(age: int, days: float) -> None:
    """DiFiori and others 2018: at least 2, 2, 1 and 1 rest days a week (seen)."""
    rule = limit(CautionKind.REST_DAYS, age)
    assert rule is not None and (rule.value, rule.key) == (days, "DiFiori2018")


def test_more_than_sixteen_hours_is_for_the_young() -> None:
    """Brenner 2016, Pediatrics 138:e20162148: 16 hours a week (second-hand)."""
    rule = limit(CautionKind.HIGH_HOURS, 16)
    assert rule is not None and rule.value == 16 and rule.status is Status.SECOND_HAND
    assert limit(CautionKind.HIGH_HOURS, 19) is None


@pytest.mark.parametrize(
    ("age", "low", "high"),
    [(9, 60, 80), (11, 100, 150), (13, 150, 250), (15, 250, 350), (30, 300, 500)],
)
def test_shots_a_day_are_common_practice_without_a_source(age: int, low: int, high: int) -> None:
    """Under 10, 12, 14, 16 and adult: common practice, no source."""
    rule = limit(CautionKind.SESSION_SHOTS, age)
    assert rule is not None and (rule.value, rule.high) == (low, high)
    assert rule.status is Status.CUSTOM and "no source" in rule.source


def test_every_limit_says_where_it_is_from() -> None:
    keys = set(re.findall(r"^\| ([A-Z]\w+) \|", REFERENCES.read_text("utf-8"), re.MULTILINE))
    for one in all_limits():
        assert one.source
        assert (one.status is Status.CUSTOM) == (one.key == "")
        assert not one.key or one.key in keys
        assert 0 < one.value <= one.high


@pytest.mark.parametrize("kind", [CautionKind.REST_DAYS, CautionKind.SESSION_SHOTS])
@pytest.mark.parametrize("age", [None, *range(3, 80)])
def test_every_age_has_exactly_one(kind: CautionKind, age: int | None) -> None:
    assert limit(kind, age) is not None
    fits = [
        one
        for one in all_limits()
        if one.kind is kind
        and age is not None
        and (one.youngest or 0) <= age
        and (one.oldest is None or age <= one.oldest)
    ]
    assert len(fits) == (0 if age is None else 1)


@pytest.mark.parametrize("kind", [one.kind for one in all_limits()])
def test_an_unknown_age_gets_the_most_careful_limit(kind: CautionKind) -> None:
    unknown = limit(kind, None)
    assert unknown is not None
    of_kind = [one.value for one in all_limits() if one.kind is kind]
    rest = kind in (CautionKind.REST_DAYS, CautionKind.MONTHS_OFF)
    assert unknown.value == (max(of_kind) if rest else min(of_kind))


def test_a_birth_year_gives_the_lower_of_two_ages() -> None:
    assert careful_age(2014, date(2026, 1, 1)) == 11
    assert careful_age(2014, date(2026, 12, 31)) == 11
    assert careful_age(2026, date(2026, 12, 31)) == 0
    assert careful_age(None, date(2026, 12, 31)) is None


def test_what_a_plan_is_held_against() -> None:
    ten, unknown, adult = load_limits(10), load_limits(None), load_limits(30)
    assert (ten.shots_a_day, ten.days_a_week, ten.hours_a_week) == (100, 5, 5)
    assert (unknown.shots_a_day, unknown.days_a_week, unknown.hours_a_week) == (60, 5, 3)
    assert unknown.shots_source.startswith("age not known")
    assert (adult.shots_a_day, adult.days_a_week, adult.hours_a_week) == (300, 6, None)
