from contextlib import closing
from uuid import UUID, uuid4

import pytest
from tests.web.site import OWN, Pages

from hoopwright.actions.shots import get_set, record_shots
from hoopwright.records import MeasuredRelease, Shot
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database

JSON = OWN | {"accept": "application/json", "content-type": "application/json"}


@pytest.fixture
def shot_set(site: Pages) -> str:
    return site.set(site.player())


def send(site: Pages, path: str, *shots: dict[str, object]) -> tuple[int, dict[str, object]]:
    answer = site.client.post(path + "/shots", json={"shots": list(shots)}, headers=JSON)
    return answer.status_code, answer.json()


def shot(made: bool = True, **fields: object) -> dict[str, object]:
    return {"id": str(uuid4()), "made": made, "miss": []} | fields


def test_a_workout_starts_with_a_set_at_a_named_spot(site: Pages) -> None:
    path = site.set(site.player(), spot="left elbow", condition="feet turned", detail="two")
    words = site.get(path).words
    assert "Left elbow" in words and "feet turned" in words and "Short left" in words


def test_a_spot_elsewhere_is_told_by_distance_and_angle(site: Pages) -> None:
    path = site.set(site.player(), spot="elsewhere", distance="15 ft", bearing="-60")
    assert "4.6 m 60° left" in site.get(path).words


@pytest.mark.parametrize(
    ("fields", "field", "said"),
    [
        ({"spot": "elsewhere", "distance": "40 m"}, "distance", "too far"),
        (
            {"spot": "elsewhere", "distance": "1.2", "bearing": "180"},
            "distance",
            "behind the board",
        ),
        ({"spot": "elsewhere", "distance": ""}, "distance", "empty"),
        ({"spot": "elsewhere", "distance": "-3"}, "distance", "above zero"),
        ({"spot": "elsewhere", "distance": "5", "bearing": "nan"}, "bearing", "not a number"),
        ({"spot": "the moon"}, "spot", "no spot called"),
        ({"day": "25/11/2026"}, "day", "write it like 2026-11-25"),
        ({"ring_height": "9 m"}, "ring_height", "from 1 to 4"),
        ({"condition": "x" * 200}, "condition", "longer than 80"),
    ],
)
def test_a_bad_set_is_refused_beside_its_field(
    site: Pages, fields: dict[str, str], field: str, said: str
) -> None:
    player = site.player()
    answer = site.post(player + "/workouts/new", note="keep me", **fields)
    assert answer.status == 400
    assert said in answer.trouble(field)
    assert answer.value("note") == "keep me"
    assert "No workouts yet" in site.get(player).words


def test_taps_are_stored_once_however_often_they_are_sent(site: Pages, shot_set: str) -> None:
    first, second = shot(), shot(made=False, miss=["short"])
    assert send(site, shot_set, first) == (200, {"stored": 1, "shots": 1, "made": 1})
    assert send(site, shot_set, first, second) == (200, {"stored": 1, "shots": 2, "made": 1})
    assert send(site, shot_set, first, second)[1]["stored"] == 0


def test_an_undone_shot_does_not_come_back_when_sent_again(site: Pages, shot_set: str) -> None:
    late = shot()
    send(site, shot_set, late)
    for _ in range(2):
        gone = site.client.post(shot_set + "/undo", json={"shot": late["id"]}, headers=JSON)
        assert gone.json() == {"stored": 0, "shots": 0, "made": 0}
    assert send(site, shot_set, late)[1] == {"stored": 0, "shots": 0, "made": 0}


def test_the_same_id_for_another_shot_is_a_conflict(site: Pages, shot_set: str) -> None:
    one = shot()
    send(site, shot_set, one)
    status, told = send(site, shot_set, one | {"made": False})
    assert status == 409 and "differs" in str(told["error"])


ONE = {"id": "6a1a7d0e-7a1b-4c7e-9a51-0c5f6f1f2a01", "made": True, "miss": []}
NONSENSE: dict[str, object] = {
    "no list": {},
    "empty list": {"shots": []},
    "not a list": {"shots": "m"},
    "too many": {"shots": [ONE] * 201},
    "no id": {"shots": [{"made": True}]},
    "made in words": {"shots": [ONE | {"made": "yes"}]},
    "id is no uuid": {"shots": [ONE | {"id": "7"}]},
    "made and short": {"shots": [ONE | {"miss": ["short"]}]},
    "no such way": {"shots": [ONE | {"made": False, "miss": ["up"]}]},
    "way not listed": {"shots": [ONE | {"made": False, "miss": "short"}]},
    "short and long": {"shots": [ONE | {"made": False, "miss": ["short", "long"]}]},
    "unhashable way": {"shots": [ONE | {"made": False, "miss": [["short"]]}]},
    "no such half": {"shots": [ONE | {"half": "side"}]},
    "unhashable half": {"shots": [ONE | {"half": {}}]},
    "point in one axis": {"shots": [ONE | {"along_cm": 4.0}]},
    "point in words": {"shots": [ONE | {"along_cm": "4", "across_cm": 0}]},
    "40 m away": {"shots": [ONE | {"along_cm": 4000.0, "across_cm": 0}]},
    "huge number": {"shots": [ONE | {"along_cm": 10**400, "across_cm": 0}]},
    "a bare list": [1, 2],
    "null": None,
}


@pytest.mark.parametrize("sent", NONSENSE.values(), ids=NONSENSE.keys())
def test_taps_that_make_no_sense_get_one_sentence(site: Pages, shot_set: str, sent: object) -> None:
    answer = site.client.post(shot_set + "/shots", json=sent, headers=JSON)
    assert answer.status_code == 400
    sentence = answer.json()["error"]
    assert sentence.endswith(".") and "\n" not in sentence
    assert "0 of 0 made" in site.get(shot_set).words


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"\xff\xfe", b'{"shots": [NaN]}', b"[" * 100_000],
    ids=["nothing", "half", "binary", "nan", "deep"],
)
def test_what_is_not_json_is_refused(site: Pages, shot_set: str, body: bytes) -> None:
    answer = site.client.post(shot_set + "/shots", content=body, headers=JSON)
    assert answer.status_code == 400
    assert answer.json()["error"]


def test_without_scripts_each_button_is_a_form(site: Pages, shot_set: str) -> None:
    for result in ("made", "made back", "missed", "missed short"):
        answer = site.post(shot_set + "/shots", id=str(uuid4()), result=result)
        assert answer.path == shot_set
    words = site.get(shot_set).words
    assert "2 of 4 made" in words
    assert "made, back half" in words and "missed short" in words


def test_without_scripts_a_tap_on_the_picture_is_a_point(site: Pages, shot_set: str) -> None:
    """Picture 320 px wide for 140 cm: (160, 210) is 21.9 cm short of the middle, by arithmetic."""
    fields = {"tap.x": "160", "tap.y": "210", "tap.side": "320", "result": "missed"}
    site.post(shot_set + "/shots", id=str(uuid4()), **fields)
    assert "missed, tapped 22 cm short and 0 cm left" in site.get(shot_set).words


def test_without_scripts_nothing_chosen_is_told(site: Pages, shot_set: str) -> None:
    answer = site.post(shot_set + "/shots", result="")
    assert answer.status == 400
    assert "Say made or missed" in answer.trouble("result")


def test_undo_without_scripts_names_its_shot(site: Pages, shot_set: str) -> None:
    one = shot()
    send(site, shot_set, one)
    assert site.get(shot_set).value("shot") == one["id"]
    for _ in range(2):
        assert site.post(shot_set + "/undo", shot=str(one["id"])).path == shot_set
    assert "0 of 0 made" in site.get(shot_set).words


def test_a_shot_is_corrected_and_taken_out(site: Pages, shot_set: str) -> None:
    one = shot(made=False, miss=["left"])
    send(site, shot_set, one)
    path = f"{shot_set}/shots/{one['id']}"
    assert "Now: missed left" in site.get(path).words
    site.post(path, result="missed right")
    assert "missed right" in site.get(shot_set).words
    answer = site.post(path, result="missed short left")
    assert answer.status == 400 and "one direction" in answer.trouble("miss")
    site.post(path, result="remove")
    assert site.get(path).status == 404


def test_what_was_filmed_of_a_shot_outlives_its_correction(
    site: Pages, shot_set: str, settings: Settings
) -> None:
    covariance = tuple(0.01 * (i % 6 == 0) for i in range(25))
    release = MeasuredRelease(
        speed=7.3, angle=0.9, direction=0.0, height=2.1, along=0.02, across=0.0,
        covariance=covariance,
    )  # fmt: skip
    filmed = Shot(id=uuid4(), made=True, release=release, feel=6.0)
    set_id = UUID(shot_set.removeprefix("/sets/"))
    with closing(open_database(settings.database)) as database:
        with database.session() as session:
            record_shots(session, set_id, [filmed], who="a test")
        site.post(f"{shot_set}/shots/{filmed.id}", result="missed long")
        with database.reading() as session:
            (after,) = get_set(session, set_id).shots
    assert not after.made and after.release == release and after.feel == 6.0


def test_a_tapped_point_is_corrected_by_numbers(site: Pages, shot_set: str) -> None:
    one = shot(along_cm=-10.0, across_cm=3.0)
    send(site, shot_set, one)
    path = f"{shot_set}/shots/{one['id']}"
    assert site.get(path).value("along_cm") == "-10"
    site.post(path, result="made", along_cm="12,5", across_cm="0")
    assert "tapped 12 cm long" in site.get(shot_set).words
    answer = site.post(path, result="made", along_cm="far", across_cm="0")
    assert "not a number" in answer.trouble("along_cm") and answer.value("along_cm") == "far"


def test_counts_are_added_once(site: Pages, shot_set: str) -> None:
    fields = {"entry": str(uuid4()), "attempts": "20", "made": "12", "short": "5", "left": "1"}
    for _ in range(2):
        assert site.post(shot_set + "/counts", **fields).path == shot_set
    assert "12 of 20 made" in site.get(shot_set).words


@pytest.mark.parametrize(
    ("fields", "field", "said"),
    [
        ({"attempts": "10", "made": "-1"}, "made", "below zero"),
        ({"attempts": "10", "made": "11"}, "made", "can't be"),
        ({"attempts": "", "made": "1"}, "attempts", "empty"),
        ({"attempts": "ten", "made": "1"}, "attempts", "not a whole number"),
        ({"attempts": "1e9", "made": "1"}, "attempts", "not a whole number"),
        ({"attempts": "100000", "made": "1"}, "attempts", "from 1 to 1000"),
        ({"attempts": "10", "made": "8", "short": "3"}, "misses", "more than the 2"),
        ({"attempts": "10", "made": "8", "long": "NaN"}, "long", "not a whole number"),
    ],
)
def test_bad_counts_are_named_and_kept(
    site: Pages, shot_set: str, fields: dict[str, str], field: str, said: str
) -> None:
    answer = site.post(shot_set + "/counts", **fields)
    assert answer.status == 400
    assert said in answer.trouble(field)
    assert answer.value("attempts") == fields["attempts"]
    assert "0 of 0 made" in answer.words


def test_a_line_from_paper_is_added_and_a_wrong_letter_pointed_at(
    site: Pages, shot_set: str
) -> None:
    site.post(shot_set + "/line", entry=str(uuid4()), line="1: mmsxd 2: lrmmm")
    assert "5 of 10 made" in site.get(shot_set).words
    answer = site.post(shot_set + "/line", line="mmq")
    assert "Character 3" in answer.trouble("line") and answer.value("line") == "mmq"


def test_sets_and_workouts_are_changed_and_removed(site: Pages, shot_set: str) -> None:
    send(site, shot_set, shot(made=False, miss=["left"]))
    answer = site.post(shot_set + "/change", spot="top", detail="along")
    assert answer.status == 400 and "short and long only" in answer.trouble("miss")
    site.post(shot_set + "/change", spot="top", ball_size="6", stops_on_makes="yes")
    words = site.get(shot_set).words
    assert "Top" in words and "Ball 6" in words and "kept out of every percentage" in words
    workout = site.post(shot_set + "/remove").path
    assert workout.startswith("/workouts/") and "No sets" in site.get(workout).words
    site.post(workout, day="2026-11-02", note="cold gym")
    assert "2 November 2026 cold gym" in site.get(workout).words
    assert "No workouts yet" in site.get(site.post(workout + "/remove").path).words


def test_the_next_set_starts_from_the_last_one(site: Pages) -> None:
    player = site.player()
    path = site.set(player, spot="right wing", condition="feet turned")
    workout = site.get(path).text.split('href="/workouts/')[1].split('"')[0]
    form = site.get(f"/workouts/{workout}/sets/new")
    assert form.value("condition") == "feet turned"
    assert '<option value="right wing"' in form.text and "selected>Right wing" in form.text
    second = site.post(f"/workouts/{workout}/sets/new", id=str(uuid4()), spot="top")
    assert second.path.startswith("/sets/")
    assert "2 sets" in site.get(player).words
