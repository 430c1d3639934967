"""What each report says and what it must never say, over invented players in many states."""

import json
import re
from dataclasses import replace
from uuid import UUID

import pytest
from tests.reports.people_samples import (
    ADULT,
    BEHIND,
    BETTER,
    BUSY,
    CENTRED,
    DAY,
    HEAD,
    LITTLE,
    LOST,
    LOWER,
    MUCH,
    NOTHING,
    OPEN,
    PAIN,
    STATES,
    TESTED_ONCE,
    UNKNOWN_AGE,
    WHOLE,
    WON,
    player,
)

from hoopwright.errors import BadInput
from hoopwright.reports.people.coach_report import coach_report
from hoopwright.reports.people.group_report import GroupMaterial, PooledTrials, group_report
from hoopwright.reports.people.material import Material
from hoopwright.reports.people.parent_report import DEFERS_PLAIN, NO_RANKS, parent_report
from hoopwright.reports.people.parent_report import HEAD as HEAD_WORDS
from hoopwright.reports.people.parent_report import PAIN as PAIN_WORDS
from hoopwright.reports.people.parts import Report, Section, texts, unnamed, without_names
from hoopwright.reports.people.player_report import player_report
from hoopwright.reports.people.team_report import UNSAID, team_report
from hoopwright.reports.people.written import report_data
from hoopwright.trials.pooled import PlayerEffect, pool

#: talk that no player, parent or team coach should meet
_JARGON = re.compile(
    r"p-value|p =|signific|posterior|prior\b|standard deviation|hypothes|\brank(ed|ing)?\b|"
    r"percentile|best of the|better than (other|the other)|worse than (other|the other)|\bhot\b",
    re.IGNORECASE,
)
MINORS = sorted(name for name, state in STATES.items() if state.minor)


def whole(report: Report) -> str:
    return json.dumps(report_data(report), ensure_ascii=False)


def section(report: Report, title: str) -> Section:
    return next(one for one in report.sections if one.title.startswith(title))


def outsiders(state: Material) -> list[Report]:
    made = [player_report(state), team_report(state)]
    return [*made, parent_report(state)] if state.minor else made


@pytest.mark.parametrize("state", sorted(STATES))
def test_no_jargon_no_ranks_no_private_notes(state: str) -> None:
    for report in outsiders(STATES[state]):
        said = whole(report)
        assert not _JARGON.search(said), _JARGON.search(said)
        assert "secret note" not in said


@pytest.mark.parametrize("state", sorted(STATES))
def test_the_player_reads_a_strength_first_and_one_thing(state: str) -> None:
    report = player_report(STATES[state])
    titles = [one.title for one in report.sections if one.title != "Stop"]
    assert titles[0] == "What you do well"
    assert titles.count("Your one thing") == 1
    strength = section(report, "What you do well").points
    assert 1 <= len(strength) <= 2
    assert not re.search(r"tend to|miss|worse|lower|can't", " ".join(strength))
    assert sum(len(one.pictures) for one in report.sections) <= 1


def test_the_players_page_of_a_trial_that_was_won() -> None:
    report = player_report(WON)
    assert section(report, "What you do well").points[0] == (
        "A new way was tried fairly: feet turned. It is better."
    )
    (ten,) = section(report, "Your shot now").tens
    # 57 of 100, 95 % range 45 to 69, in tenths
    assert (ten.count, ten.words) == (6, "about 6 of 10; could be 5 to 7")
    assert section(report, "Your one thing").spoken == "over the front"
    assert section(report, "What next").points == (
        "Next practice: 4 December 2026. It has 90 shots.",
    )
    assert section(report, "How we will know").points[0].startswith("4 December 2026: 10 shots.")
    assert "grown-up" in report.closing[0]


def test_what_cannot_be_told_says_how_many_shots_are_still_needed() -> None:
    now = section(player_report(LITTLE), "Your shot now")
    assert now.lines == (
        "Can't tell it more closely yet: about 80 more shots would help.",
        "Can't tell yet if the shots tend to go short or long: about 60 more shots would tell.",
    )
    nothing = section(player_report(NOTHING), "Your shot now")
    assert nothing.lines[0].startswith("Can't tell yet how many go in") and not nothing.tens
    work = section(parent_report(OPEN), "What we work on").points
    assert "About 240 more shots would tell." in work


def test_during_a_trial_both_ways_are_the_one_thing() -> None:
    assert section(player_report(OPEN), "Your one thing").lines == (
        "For now you try two ways in turn: feet turned, and your usual way. Do your best in both.",
    )


def test_nothing_to_change_is_said_where_nothing_pays() -> None:
    assert "Keep your shot as it is." in section(player_report(CENTRED), "Your one thing").lines[0]


def test_a_lost_trial_is_told_without_blame() -> None:
    work = " ".join(section(parent_report(LOST), "What we work on").points)
    assert "It is worse, so the usual way stays." in work
    behind = " ".join(section(parent_report(BEHIND), "What we work on").points)
    assert "It looks worse so far, but it may still be luck. About 90 more shots" in behind


def test_a_stop_comes_first_for_everyone() -> None:
    for state in (PAIN, HEAD):
        for report in (*outsiders(state), coach_report(state)):
            assert report.sections[0].alert, report.title
            assert "Next practice" not in " ".join(texts(report)) or report.reader.value == "coach"


def test_the_family_is_told_of_a_head_knock_and_sent_to_a_professional() -> None:
    (first,) = parent_report(HEAD).sections[0].alert
    assert "A coach can't." in first and "See a doctor" in first
    assert "secret note" not in whole(parent_report(HEAD))


def test_the_team_coach_hears_of_a_stop_but_of_no_other_caution() -> None:
    assert "a coach does not clear" in team_report(HEAD).sections[0].alert[0]
    assert "hours of organised basketball" not in whole(team_report(BUSY))


@pytest.mark.parametrize("state", MINORS)
def test_the_family_always_reads_what_to_do_about_pain_and_head_knocks(state: str) -> None:
    said = " ".join(texts(parent_report(STATES[state])))
    assert PAIN_WORDS in said and HEAD_WORDS in said
    assert NO_RANKS in said and DEFERS_PLAIN in said
    assert "There is no film in this report." in said


def test_progress_has_ranges_and_the_same_denominator() -> None:
    better = section(parent_report(BETTER), "Progress: Free throw spot")
    assert [one.label[:10] for one in better.tens] == ["First test", "Last test,"]
    assert all(re.fullmatch(r"about \d+ of 10; could be \d+ to \d+", t.words) for t in better.tens)
    assert better.tens[0].count < better.tens[1].count
    assert better.lines[0] == "That is better than at first." and better.pictures
    lower = section(parent_report(LOWER), "Progress")
    assert "do not push" in lower.lines[0]
    once = section(parent_report(TESTED_ONCE), "Progress")
    assert "one more test on another day" in once.lines[0] and not once.pictures


def test_load_is_given_as_written_down_with_the_source_of_a_limit() -> None:
    care = section(parent_report(BUSY), "Care and load")
    # three entries of 300 minutes, 60 shots, one with a game, within the last seven days
    assert care.table[1] == ("Last 7 days", "3", "15.0", "180", "1")
    assert "15.0 hours of organised basketball in 7 days" in care.points[0]
    assert care.note.startswith("Limits from: ") and "DiFiori" in care.note
    calm = section(parent_report(MUCH), "Care and load")
    assert calm.points[0].startswith("Nothing that was written down is above")


def test_a_grown_up_has_no_family_report_and_one_of_unknown_age_is_a_child() -> None:
    with pytest.raises(BadInput, match="18 or older"):
        parent_report(ADULT)
    assert parent_report(UNKNOWN_AGE).reader.value == "parent"
    assert "grown-up" not in whole(player_report(ADULT))


def test_the_half_page_for_the_team_coach() -> None:
    report = team_report(WON)
    assert [one.title for one in report.sections] == [
        "What changed", "Cue", "From where", "When to judge it", "What not to say",
    ]  # fmt: skip
    assert section(report, "What changed").points == (
        "Feet turned: it did better in a fair trial, about +6 makes per 100 (likely +1 to +11).",
        "In practice since 30 November 2026.",
    )
    assert section(report, "From where").table[1] == (
        "Free throw", "about 6 of 10; could be 5 to 7", "13 of 20",
    )  # fmt: skip
    assert section(report, "When to judge it").points == (
        "By tests, not by games: the last of them is on 11 January 2027.",
    )
    assert section(report, "What not to say").points == UNSAID
    assert "too early to judge" in section(team_report(MUCH), "When").points[0]
    assert "leave it as it is" in section(team_report(MUCH), "What changed").points[0]


def test_the_team_coach_waits_until_an_announced_dip_is_over() -> None:
    when = section(team_report(WHOLE), "When to judge it").points
    assert when[0].startswith("Not before 27 December 2026: until then new routine may cost makes")
    assert when[2].startswith("In games: can't tell yet;")


def test_the_coach_reads_everything() -> None:
    report = coach_report(WHOLE)
    titles = [one.title for one in report.sections]
    assert set(titles) >= {
        "Findings: Habit",
        "Trial: feet turned, better",
        "Practice",
        "Progress: Free throw",
        "Games beside practice",
        "In games: feet turned",
        "Load and care",
        "Film",
    }
    assert {"progress-0", "ratios", "trial-0", "condition-0-0"} <= {
        name for one in report.sections for name in one.pictures
    }
    said = whole(report)
    assert "Best single change: 6 cm deeper aim" in said and "Entry angle at 4.2 m" in said
    empty = {one.title for one in coach_report(NOTHING).sections}
    assert {"Findings", "Trials", "Practice", "Progress", "Games", "Film"} <= empty


def test_reports_differ_in_what_they_hold() -> None:
    told = [set(texts(one)) for one in (*outsiders(WHOLE), coach_report(WHOLE))]
    for place, one in enumerate(told):
        for other in told[place + 1 :]:
            assert len(one & other) <= len(one) / 2


GROUP = GroupMaterial(
    coach="Invented Coach",
    day=DAY,
    members=tuple(
        replace(state, player=player(f"Invented {chr(65 + place)}x"))
        for place, state in enumerate((WON, LITTLE, OPEN, HEAD, CENTRED, NOTHING))
    ),
)


def test_a_group_is_counted_without_names() -> None:
    report = group_report(GROUP)
    said = whole(report)
    assert not any(one.player.name in said for one in GROUP.members)
    assert "feet turned" not in said
    assert section(report, "How much").points[0] == "166 shots by 5 of 6 players."
    assert section(report, "How the shots go").points[0] == (
        "Short or long: 3 short, 0 long, 1 fine, can't tell yet of 1 (of 5 charted)."
    )
    assert "Stopped today, for pain or a head knock: 1." in section(report, "Care").points
    assert "No names." in report.closing[0]


def test_names_are_told_only_where_asked_for_and_by_the_alphabet() -> None:
    table = section(group_report(GROUP, names=True), "Player by player").table
    assert [row[0] for row in table[1:]] == sorted(one.player.name for one in GROUP.members)
    assert not re.search(r"\d of 10", " ".join(cell for row in table for cell in row))
    assert table[4][2] == "does not practise"


def test_few_players_can_be_told_from_counts_and_that_is_said() -> None:
    few = replace(GROUP, members=GROUP.members[:3])
    assert "personal data" in group_report(few).closing[0]


def test_another_players_name_is_taken_out_of_typed_texts() -> None:
    assert unnamed("as invented bo does", ["Invented Bo"]) == "as another player does"
    assert unnamed("Invented Boris", ["Invented Bo"]) == "Invented Boris"
    plan = WON.plan
    assert plan is not None
    cue = replace(plan.plan.wish.cue, text="like Invented Bo")
    named = replace(WON, plan=replace(plan, plan=replace(plan.plan, wish=replace(plan.plan.wish,
                    cue=cue))))  # fmt: skip
    for report in outsiders(named):
        assert "Invented Bo" in whole(report)
        cleared = whole(without_names(report, ["Invented Bo"]))
        assert "Invented Bo" not in cleared and "like another player" in cleared


def trials_together(players: int) -> PooledTrials:
    effects = [
        PlayerEffect(player=UUID(int=900 + i), value=4.0 + i, sd=3.0, shots=200)
        for i in range(players)
    ]
    pooled = pool(effects, smallest=5.0, sign=1) if effects else None
    (tried,) = WON.trials
    return PooledTrials(
        question=tried.plan.question, pooled=pooled, crude=None, players=max(players, 1)
    )


def test_trials_are_told_together_from_two_players_on() -> None:
    two = section(group_report(replace(GROUP, trials=(trials_together(2),))), "Trials together")
    assert two.points[0].startswith("Over 2 players, feet turned against habit (makes): +")
    assert "could be" in two.points[0]
    for few in (0, 1):
        group = replace(GROUP, trials=(trials_together(few),))
        alone = section(group_report(group), "Trials together: feet turned")
        assert alone.lines[0].startswith("Can't tell yet: it takes trials of two players")
        assert f"so far there are {few}, of 1 player." in alone.lines[0] and not alone.points
