"""Whatever is typed, a command answers or refuses in a line; it never shows a trace."""

import json

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.cli.conftest import Run

#: the fixture keeps nothing between runs
CALM = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
TYPED = st.one_of(
    st.floats().map(repr),
    st.floats(-20, 80).map(repr),
    st.integers().map(str),
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8),
)


def answers_or_refuses(run: Run, words: list[str]) -> None:
    done = run(*words)
    assert done.exit_code in (0, 2), (words, done.exception)
    if done.exit_code == 2:
        assert done.stdout == ""
        assert done.stderr.count("\n") == 1
    else:
        json.loads(done.stdout, parse_constant=lambda word: 1 / 0)


@CALM
@given(st.lists(TYPED, min_size=5, max_size=5), TYPED, st.booleans())
def test_fly(run: Run, values: list[str], height: str, no_air: bool) -> None:
    names = ("distance", "release-height", "speed", "angle", "spin")
    words = [f"--{name}={value}" for name, value in zip(names, values, strict=True)]
    air = ["--no-air"] if no_air else []
    answers_or_refuses(run, ["fly", *words, f"--ring-height={height}", *air, "--json"])


@CALM
@given(
    distance=st.floats(0.5, 15),
    speed=st.floats(0.1, 40),
    angle=st.floats(-89, 89),
    height=st.floats(0.1, 4.9),
    spin=st.floats(-20, 20),
    bearing=st.floats(-180, 180),
)
def test_fly_with_plain_numbers(run: Run, **values: float) -> None:
    values["release-height"] = values.pop("height")
    words = [f"--{name}={value}" for name, value in values.items()]
    answers_or_refuses(run, ["fly", *words, "--json"])


@CALM
@given(st.lists(TYPED, min_size=4, max_size=4))
def test_ring(run: Run, values: list[str]) -> None:
    names = ("along-cm", "across-cm", "entry-angle", "entry-speed")
    words = [f"--{name}={value}" for name, value in zip(names, values, strict=True)]
    answers_or_refuses(run, ["ring", *words, "--json"])


@CALM
@given(
    along=st.floats(-300, 300),
    across=st.floats(-300, 300),
    angle=st.floats(1, 90),
    speed=st.floats(1, 20),
    bearing=st.floats(-105, 105),
)
def test_ring_with_plain_numbers(run: Run, **values: float) -> None:
    names = {"along": "along-cm", "across": "across-cm", "angle": "entry-angle"}
    names |= {"speed": "entry-speed"}
    words = [f"--{names.get(name, name)}={value}" for name, value in values.items()]
    answers_or_refuses(run, ["ring", *words, "--json"])
