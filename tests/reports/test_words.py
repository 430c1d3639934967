import pytest
from tests.reports.samples import around

from hoopwright.reports import words


@pytest.mark.parametrize(
    ("value", "said"), [(3.4, "+3"), (-2.6, "−3"), (0.4, "0"), (-0.4, "0"), (12.0, "+12")]
)
def test_signed_has_a_true_minus_and_no_signed_zero(value: float, said: str) -> None:
    assert words.signed(value) == said


def test_sided_range_names_a_side_once_or_both() -> None:
    assert words.sided_range(around(-0.06, 0.0234), "short", "long") == "3 to 9 cm short"
    assert words.sided_range(around(0.015, 0.03), "left", "right") == "2 cm left to 5 cm right"
    assert words.sided_range(around(0.0, 0.001), "left", "right") == "0 cm"


def test_of_ten_always_carries_a_range() -> None:
    assert words.of_ten(around(0.57, 0.06)) == "about 6 of 10; could be 5 to 7"
    narrow = words.of_ten(around(0.6, 0.01))
    assert narrow == "about 6 of 10; could be 58 to 62 of 100"


def test_gain_rounds_to_whole_makes() -> None:
    assert words.gain(around(8.7, 4.3)) == "about +9 makes per 100 (likely +3 to +14)"


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "less than 1 chance in 10"),
        (0.1, "about 1 chance in 10"),
        (0.83, "about 8 chances in 10"),
        (0.999, "more than 9 chances in 10"),
    ],
)
def test_chances_never_claim_certainty(share: float, said: str) -> None:
    assert words.chances(share) == said


def test_listed() -> None:
    assert words.listed([]) == ""
    assert words.listed(["a"]) == "a"
    assert words.listed(["a", "b", "c"]) == "a, b and c"


def test_off_centre_names_the_side_once() -> None:
    said = words.off_centre(around(-0.06, 0.0234), "short", "long")
    assert said == "6 cm short of ring centre (likely 3 to 9 cm)"
    said = words.off_centre(around(0.001, 0.02), "left", "right")
    assert said == "at ring centre (likely 2 cm left to 3 cm right)"
    said = words.off_centre(around(0.03, 0.04), "left", "right")
    assert said == "3 cm right of ring centre (likely 2 cm left to 8 cm right)"


def test_an_estimated_count_pretends_to_no_more_than_two_digits() -> None:
    assert words.about(1, "more shot") == "1 more shot"
    assert words.about(87, "more shot") == "87 more shots"
    assert words.about(2952, "more shot") == "3000 more shots"
    assert words.about(431, "more shot") == "440 more shots"
