"""The one-letter-per-shot line, as ``docs/quick-entry.md`` describes it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.actions.quick_line import MOST, Mark, detail_of, parse_line
from hoopwright.errors import BadInput
from hoopwright.records import Half, Miss, MissDetail

LETTERS = {
    "m": Mark(made=True),
    "f": Mark(made=True, half=Half.FRONT),
    "b": Mark(made=True, half=Half.BACK),
    "x": Mark(made=False),
    "s": Mark(made=False, miss=(Miss.SHORT,)),
    "d": Mark(made=False, miss=(Miss.LONG,)),
    "l": Mark(made=False, miss=(Miss.LEFT,)),
    "r": Mark(made=False, miss=(Miss.RIGHT,)),
    "(sl)": Mark(made=False, miss=(Miss.SHORT, Miss.LEFT)),
    "(rd)": Mark(made=False, miss=(Miss.RIGHT, Miss.LONG)),
}
DOCS = Path(__file__).parents[2] / "docs" / "quick-entry.md"


@pytest.mark.parametrize(("letter", "mark"), LETTERS.items())
def test_each_letter(letter: str, mark: Mark) -> None:
    assert parse_line(letter) == parse_line(letter.upper()) == (mark,)


@given(
    st.lists(st.sampled_from(list(LETTERS)), min_size=1, max_size=60),
    st.lists(st.sampled_from(["", " ", ", ", "  ", "|", "/", ";", " 3: ", " 12 "]), min_size=60),
)
def test_gaps_and_row_numbers_change_nothing(letters: list[str], gaps: list[str]) -> None:
    line = "".join(gap + letter for gap, letter in zip(gaps, letters, strict=False))
    assert parse_line(line) == tuple(LETTERS[letter] for letter in letters)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_in_one_sentence(text: str) -> None:
    try:
        assert parse_line(text)
    except BadInput as trouble:
        assert trouble.field == "line"
        assert trouble.message.endswith(".")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("mmsqmm", "Character 4, 'q' in “mms→qmm”"),
        ("mm5", "Character 3, '5'"),
        ("m 5m", "Character 3, '5'"),
        ("m(sx)m", "Character 4, 'x'"),
        ("m(sd)m", "Character 2, '('"),
        ("m(s)m", "Character 2, '('"),
        ("m(slr)m", "Character 2, '('"),
        ("m(sl", "is closed"),
        ("m)", "Character 2, ')'"),
        ("", "no shot in this line"),
        (" 1: 2: ", "no shot in this line"),
        ("m" * (MOST + 1), "1001 shots"),
    ],
)
def test_the_wrong_character_is_pointed_at(line: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_line(line)
    assert says in caught.value.message


@pytest.mark.parametrize(
    ("line", "detail"),
    [
        ("mxm", MissDetail.NONE),
        ("msd", MissDetail.ALONG),
        ("msl", MissDetail.ONE),
        ("ms(sl)", MissDetail.TWO),
    ],
)
def test_detail_is_what_stands_on_the_sheet(line: str, detail: MissDetail) -> None:
    assert detail_of(parse_line(line)) is detail


def test_the_example_in_the_docs() -> None:
    text = DOCS.read_text(encoding="utf-8")
    line = text.split("```")[1].strip()
    marks = parse_line(line)
    ways = [" and ".join(w.value for w in mark.miss) for mark in marks if not mark.made]
    assert (len(marks), sum(mark.made for mark in marks)) == (20, 13)
    assert {way: ways.count(way) for way in ways} == {
        "short": 2, "long": 2, "right": 1, "short and left": 1, "": 1,
    }  # fmt: skip
    with pytest.raises(BadInput) as caught:
        parse_line("mmsqmm")
    quoted = " ".join(text.split("> ", 1)[1].replace("\n> ", " ").split())
    assert caught.value.message == quoted
