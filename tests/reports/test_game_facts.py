"""What games say in sentences: each number has its range, and where it is from."""

from uuid import UUID

import pytest

from hoopwright.reports.colours import DARK
from hoopwright.reports.figures import svg
from hoopwright.reports.game_data import forecast_data, ratio_data, transfer_data
from hoopwright.reports.game_facts import (
    forecast_sentences,
    kind_words,
    noise_sentence,
    ratio_facts,
    transfer_facts,
)
from hoopwright.reports.game_figures import ratio_figure
from hoopwright.transfer.forecast import Expected, forecast
from hoopwright.transfer.nouns import Band, ShotType
from hoopwright.transfer.ratio import Played, RatioReading, read_ratios
from hoopwright.transfer.shares import PracticeShare
from hoopwright.transfer.transferred import Counts, compare

ASH, BO = UUID(int=1), UUID(int=2)
ALONE = PracticeShare.from_counts(80, 100)


def three(attempts: int = 0, made: int = 0, player: UUID = ASH) -> Played:
    return Played(
        player_id=player, shot_type=ShotType.THREE, practice=ALONE, attempts=attempts, made=made
    )


def read(*played: Played) -> RatioReading:
    return read_ratios(played)[0]


def test_without_games_the_rule_of_thumb_is_said_as_such() -> None:
    """8 of 10 alone reads about 40 of 100 in games, wide: common practice, no source."""
    facts = ratio_facts(read(three()))
    game = int(facts.game.split(" of ")[0])
    assert 35 <= game <= 45 and "(likely 26 to 60)" in facts.game
    assert "a guess: no game of this kind entered yet" in facts.game
    assert "about half the practice one (common practice, no source)" in facts.source
    assert "moved by" not in facts.source
    assert "more game attempts would" in facts.needed
    assert facts.noise == ""


def test_games_of_the_player_and_of_others_are_named_as_what_moved_it() -> None:
    facts = ratio_facts(read(three(40, 14), three(60, 25, BO)))
    assert "from 14 of 40" in facts.game
    assert "the games of 1 other player of this coach and this player's 40 game attempts" in (
        facts.source
    )


def test_free_throws_start_elsewhere() -> None:
    played = Played(player_id=ASH, shot_type=ShotType.FREE_THROW, practice=ALONE)
    assert "about 95 of 100 of the practice" in ratio_facts(read(played)).source


def test_a_told_percentage_needs_no_more_attempts() -> None:
    assert ratio_facts(read(three(2000, 700))).needed == ""


@pytest.mark.parametrize(
    ("band", "attempts", "skill"),
    # reliabilities .24, .55 and .81: from the published spreads, see docs/games.md
    [(Band.THREE, 100, 24), (Band.THREE, 400, 55), (Band.FREE_THROW, 100, 81)],
)
def test_noise_is_said_as_the_published_spreads_give_it(
    band: Band, attempts: int, skill: int
) -> None:
    said = noise_sentence(band, attempts)
    assert f"about {skill} parts in 100" in said


def test_nothing_is_said_of_noise_where_nothing_is_published() -> None:
    assert noise_sentence(Band.MID, 50) == noise_sentence(Band.THREE, 0) == ""


def test_a_forecast_gives_makes_points_and_luck() -> None:
    reading = read(three(40, 14))
    found = forecast([Expected(shot_type=ShotType.THREE, attempts=20, share=reading.share)])
    makes, points, luck = forecast_sentences(found)
    assert "Out of 20 attempts: about 7 made (likely" in makes and "could be" in makes
    assert "points (likely" in points
    assert "luck alone would give" in luck
    data = forecast_data(found)
    assert data["makes"]["low95"] <= data["makes_by_luck_low80"]


def test_a_mix_that_explains_the_difference_is_said() -> None:
    """Each kind alone is no better (rates equal), yet all shots together look better."""
    rim, three_ = (ShotType.RIM, None), (ShotType.THREE, None)
    found = compare(
        {
            rim: Counts(before=20, before_made=12, after=80, after_made=48),
            three_: Counts(before=80, before_made=24, after=20, after_made=6),
        }
    )
    facts = transfer_facts(found)
    assert facts.verdict == "Can't tell yet whether it has come into games."
    assert any("come of another mix of shots, not of shooting" in one for one in facts.sentences)
    assert facts.table[1] == ("at the rim", "12 of 20", "48 of 80")
    assert transfer_data(found)["mix_explains"] is True


def test_what_was_left_out_and_what_is_still_needed_is_said() -> None:
    mid, three_ = (ShotType.MID, True), (ShotType.THREE, None)
    both = Counts(before=40, before_made=10, after=40, after_made=16)
    found = compare({three_: both, mid: Counts(before=9, before_made=3)})
    said = " ".join(transfer_facts(found).sentences)
    assert "left out: mid-range, contested" in said
    assert "more game attempts of the same mix" in said or "can ever be made clear" in said


def test_a_clear_change_is_called_better() -> None:
    both = Counts(before=600, before_made=180, after=600, after_made=270)
    facts = transfer_facts(compare({(ShotType.THREE, None): both}))
    assert facts.verdict == "Better in games since then."
    assert not any("more game attempt" in one for one in facts.sentences)


def test_kinds_are_said_with_what_was_noted() -> None:
    assert kind_words(ShotType.THREE_CATCH, True) == "three off the catch, contested"
    assert kind_words(ShotType.RIM, False) == "at the rim, open"
    assert kind_words(ShotType.FREE_THROW, None) == "free throw"


def test_the_picture_has_the_numbers_in_words_and_is_drawn() -> None:
    readings = read_ratios([three(40, 14)])
    figure = ratio_figure(readings, scheme=DARK)
    assert "three, practice: 79 of 100 (likely" in figure.alt
    assert len(figure.table) == 3
    assert svg(figure.chart, DARK).startswith("<svg")
    ratio = ratio_data(readings[0])["ratio"]["value"]
    assert ratio == pytest.approx(readings[0].ratio.value, abs=1e-6)
