"""What was seen on a film goes into one file and back."""

import numpy as np
import pytest
from tests.actions.film_material import CLIP, material

from hoopwright.actions.films.seen import load_seen, save_seen
from hoopwright.errors import BadFilm


def test_what_was_seen_comes_back() -> None:
    before, back = material(), load_seen(save_seen(material()))
    assert (back.clip, back.moved, back.rate_asked) == (CLIP, "", before.rate_asked)
    assert back.notes == before.notes
    np.testing.assert_array_equal(back.hands.middle, before.hands.middle)
    np.testing.assert_array_equal(back.poses[0].others, before.poses[0].others)


def test_what_was_seen_cannot_be_read_from_anything_else() -> None:
    whole = save_seen(material())
    for content in (b"", b"PK", whole[: len(whole) // 2], whole.replace(b"hands", b"HANDS")):
        with pytest.raises(BadFilm, match="measure it again"):
            load_seen(content)
