"""``fly`` and ``ring``: what they print, and every refusal."""

import math

import pytest
from tests.cli.conftest import Refused, Run, RunJson

FLY = {
    "--distance": "4.191",
    "--release-height": "2.134",
    "--speed": "7.3",
    "--angle": "52",
    "--spin": "3",
}
RING = {"--along-cm": "12", "--across-cm": "-6", "--entry-angle": "44"}


def words(options: dict[str, str], **changes: str) -> list[str]:
    named = options | {f"--{name.replace('_', '-')}": value for name, value in changes.items()}
    return [word for pair in named.items() for word in pair]


def test_fly_gives_the_numbers_promised(run_json: RunJson) -> None:
    shot = run_json("fly", *words(FLY))
    for key in ("along_m", "across_m", "entry_angle_deg", "apex_m", "time_s"):
        assert math.isfinite(shot[key])
    assert isinstance(shot["outcome"], str)
    assert shot["across_m"] == 0.0
    low, high = shot["along_range_m"]
    assert low <= shot["along_m"] <= high
    assert 0.0 <= shot["make"] <= 1.0


def test_fly_without_air_is_the_least_speed_parabola(run_json: RunJson) -> None:
    """Brancazio 1981, derived with g = 9.81 (9.80665 here; tolerances allow for that).

    From 13.75 ft, 3 ft below the ring, 51.154° and 7.1450 m/s reach ring centre at 38.846° after
    0.9352 s, with the apex 1.5783 m above release.
    """
    shot = run_json(
        "fly",
        *words(FLY, angle="51.154", speed="7.1450", release_height="2.1336", spin="0"),
        *("--ring-height", "3.048", "--no-air"),
    )
    assert shot["along_m"] == pytest.approx(0.0, abs=0.003)
    assert shot["entry_angle_deg"] == pytest.approx(38.846, abs=0.02)
    assert shot["time_s"] == pytest.approx(0.9352, abs=0.0005)
    assert shot["apex_m"] == pytest.approx(2.1336 + 1.5783, abs=0.001)
    assert shot["along_range_m"] == [shot["along_m"]] * 2


def test_air_shortens_a_free_throw_by_what_is_published(run_json: RunJson) -> None:
    """A vacuum model over-throws a free throw by 0.3 to 0.45 m (derived from Palmer 2005's table).

    Without backspin, whose lift takes part of that back.
    """
    still = run_json("fly", *words(FLY, spin="0"))
    none = run_json("fly", *words(FLY, spin="0"), "--no-air")
    assert 0.25 < none["along_m"] - still["along_m"] < 0.5


def test_direction_mirrors(run_json: RunJson) -> None:
    right = run_json("fly", *words(FLY, direction="1.5"))
    left = run_json("fly", *words(FLY, direction="-1.5"))
    assert right["across_m"] == -left["across_m"] > 0.05
    assert right["along_m"] == left["along_m"]


def test_a_small_ball_and_a_low_ring_are_taken(run_json: RunJson) -> None:
    options = words(FLY, speed="6.9", release_height="1.5", distance="3.619", spin="2")
    shot = run_json("fly", *options, "--ring-height", "2.6", "--ball", "5")
    assert shot["apex_m"] > 2.6
    senior = run_json("fly", *options, "--ring-height", "2.6", "--ball", "7")
    assert senior["along_m"] != shot["along_m"]


def test_thin_air_carries_farther(run_json: RunJson) -> None:
    high = run_json("fly", *words(FLY), "--altitude", "2240", "--temperature", "15")
    assert high["along_m"] > run_json("fly", *words(FLY))["along_m"] + 0.02


def test_fly_in_words(run: Run) -> None:
    done = run("fly", *words(FLY))
    assert done.exit_code == 0
    for said in ("Comes down", "Entry angle", "Apex", "Chance to go in"):
        assert said in done.stdout


@pytest.mark.parametrize("option", [*sorted(FLY), "--direction", "--bearing", "--altitude"])
@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e400", "1e300", "-1e300"])
def test_fly_refuses_what_is_no_number(refused: Refused, option: str, value: str) -> None:
    refused("fly", *words(FLY | {option: value}))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"speed": "4"}, "never comes down through the ring"),
        ({"speed": "0"}, "Release speed"),
        ({"speed": "-7"}, "Release speed"),
        ({"distance": "40"}, "too far"),
        ({"distance": "-4"}, "above zero"),
        ({"distance": "0"}, "above zero"),
        ({"bearing": "180", "distance": "1"}, "behind the board"),
        ({"bearing": "150", "distance": "1.4"}, "behind the board"),
        ({"angle": "90"}, "angle"),
        ({"angle": "-95"}, "angle"),
        ({"release_height": "0"}, "Release height"),
        ({"release_height": "7"}, "Release height"),
        ({"ball": "4"}, "no ball size 4"),
        ({"ball": "-7"}, "no ball size"),
        ({"ball": "9" * 400}, "no ball size"),
        ({"ring_height": "0.5"}, "ring height"),
        ({"ring_height": "nan"}, "ring height"),
        ({"ring_height": "305"}, "ring height"),
        ({"rules": "street"}, "no rule book"),
        ({"spin": "500"}, "--spin"),
        ({"temperature": "293"}, "--temperature"),
        ({"altitude": "99999"}, "--altitude"),
    ],
)
def test_fly_refuses_in_one_sentence(refused: Refused, changes: dict[str, str], said: str) -> None:
    assert said in refused("fly", *words(FLY, **changes))


def test_ring_gives_a_chance_an_outcome_and_the_contacts(run_json: RunJson) -> None:
    shot = run_json("ring", *words(RING))
    assert 0.0 <= shot["make"] <= 1.0
    assert 0.0 < shot["make_error"] < 0.02
    assert shot["outcome"]
    assert [c["touched"] for c in shot["contacts"]]
    for contact in shot["contacts"]:
        assert {"time_s", "along_cm", "across_cm", "normal_speed_m_per_s"} <= set(contact)


def test_ring_dead_centre_is_clean_and_far_off_is_an_air_ball(run_json: RunJson) -> None:
    """Closed form: centre at 45° leaves (45.45·sin 45° − 24.2)/2 = 4 cm either side of the ball."""
    centre = run_json("ring", *words(RING, along_cm="0", across_cm="0", entry_angle="45"))
    assert (centre["make"], centre["outcome"], centre["contacts"]) == (1.0, "clean", [])
    far = run_json("ring", *words(RING, along_cm="-90"))
    assert (far["make"], far["outcome"], far["contacts"]) == (0.0, "air_ball", [])


def test_ring_left_and_right_mirror(run_json: RunJson) -> None:
    """Straight in front, mirrored places must give mirrored stories, number for number."""
    right = run_json("ring", *words(RING, across_cm="11"))
    left = run_json("ring", *words(RING, across_cm="-11"))
    assert right["make"] == left["make"]
    assert [c["across_cm"] for c in right["contacts"]] == [
        -c["across_cm"] for c in left["contacts"]
    ]


def test_ring_entry_speed_is_taken(run_json: RunJson) -> None:
    slow = run_json("ring", *words(RING, along_cm="16", entry_speed="5"))
    fast = run_json("ring", *words(RING, along_cm="16", entry_speed="9"))
    assert (slow["entry_speed_m_per_s"], fast["entry_speed_m_per_s"]) == (5.0, 9.0)
    assert slow["contacts"] != fast["contacts"]


def test_ring_in_words(run: Run) -> None:
    done = run("ring", *words(RING))
    assert done.exit_code == 0
    assert "Chance to go in" in done.stdout


@pytest.mark.parametrize("option", [*sorted(RING), "--entry-speed", "--bearing", "--ring-height"])
@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e300", "-1e300"])
def test_ring_refuses_what_is_no_number(refused: Refused, option: str, value: str) -> None:
    refused("ring", *words(RING | {option: value}))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"entry_angle": "0"}, "--entry-angle"),
        ({"entry_angle": "91"}, "--entry-angle"),
        ({"entry_speed": "0"}, "--entry-speed"),
        ({"along_cm": "4000"}, "--along-cm"),
        ({"bearing": "170"}, "--bearing"),
        ({"ball": "12"}, "no ball size 12"),
        ({"rules": ""}, "no rule book"),
    ],
)
def test_ring_refuses_in_one_sentence(refused: Refused, changes: dict[str, str], said: str) -> None:
    assert said in refused("ring", *words(RING, **changes))
