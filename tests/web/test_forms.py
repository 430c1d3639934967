import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.web.forms import Fields, FormTrouble


@pytest.mark.parametrize(
    ("typed", "metres"),
    [
        ("3.05", 3.05),
        ("3,05 m", 3.05),
        ("305 cm", 3.05),
        ("10 ft", 3.048),  # 1 ft = 0.3048 m, exact by the 1959 agreement
        ("8'6\"", 2.5908),
        ("8 ft 6 in", 2.5908),
        ("4 feet 10 inches", 1.4732),
    ],
)
def test_lengths_are_read_in_the_units_people_write(typed: str, metres: float) -> None:
    fields = Fields({"x": typed})
    assert fields.length("x", "The length") == pytest.approx(metres)
    fields.check()


@given(st.text(max_size=30))
def test_no_text_breaks_a_reader(typed: str) -> None:
    """Whatever is typed is read or named; nothing else may happen."""
    fields = Fields({"x": typed})
    fields.length("x", "It")
    fields.number("x", "It")
    fields.whole("x", "It")
    fields.day("x")
    fields.identity("x")
    for sentence in fields.troubles.values():
        assert sentence.endswith(".")
    if fields.troubles:
        with pytest.raises(FormTrouble):
            fields.check()


@given(st.integers(-(10**8), 10**8))
def test_whole_numbers_round_trip(number: int) -> None:
    fields = Fields({"x": str(number)})
    assert fields.whole("x", "It") == number
    fields.check()
