"""A film's file is read in a process of its own; whatever is wrong with it is one sentence."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from hoopwright.actions.films.stages import look_at
from hoopwright.errors import BadFilm


def write(path: Path, *, pictures: int = 40) -> None:
    with av.open(str(path), "w") as out:
        stream = out.add_stream("mpeg4", rate=30)
        stream.width, stream.height, stream.pix_fmt = 160, 96, "yuv420p"
        stream.time_base = Fraction(1, 30)
        for n in range(pictures):
            image = np.full((96, 160, 3), (5 * n) % 250, dtype=np.uint8)
            out.mux(stream.encode(av.VideoFrame.from_ndarray(image, format="rgb24")))
        out.mux(stream.encode(None))


def test_a_film_says_what_it_is(tmp_path: Path) -> None:
    path = tmp_path / "$(reboot) a.mp4"
    write(path)
    facts = look_at(path)
    assert (facts.width, facts.height, facts.frames) == (160, 96, 40)
    assert facts.rate == pytest.approx(30.0, rel=1e-3)


def test_what_is_no_film_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    path.write_text("dear diary " * 100)
    with pytest.raises(BadFilm) as caught:
        look_at(path)
    assert "\n" not in caught.value.message
