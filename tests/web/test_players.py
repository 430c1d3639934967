import pytest
from tests.web.site import Pages


def test_the_first_page_is_the_list_of_players(site: Pages) -> None:
    answer = site.get("/")
    assert answer.path == "/players"
    assert "No players yet" in answer.words


def test_a_player_is_added_shown_and_changed(site: Pages) -> None:
    path = site.player(
        "Invented Zoë", hand="left", ball_size="5", ring_height="8 ft 6 in", birth_year="2016"
    )
    shown = site.get(path).words
    assert "Born 2016, left-handed, ball 5, ring 2.591 m" in shown
    form = site.get(path + "/change")
    assert form.value("ring_height") == "2.591 m"
    site.post(path + "/change", name="Invented Zoë", ring_height="2,6", ball_size="5", hand="left")
    assert "ring 2.6 m" in site.get("/players").words


def test_sending_the_new_player_form_twice_adds_one(site: Pages) -> None:
    fields = {"id": "6a1a7d0e-7a1b-4c7e-9a51-0c5f6f1f2a01", "name": "Bo", "ring_height": "3.05"}
    assert site.post("/players/new", **fields).status == 200
    assert site.post("/players/new", **fields).status == 200
    assert site.get("/players").text.count("<b>Bo</b>") == 1


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("name", "", "empty"),
        ("name", "x" * 81, "longer than 80"),
        ("birth_year", "-4", "year of birth must be from 1900"),
        ("birth_year", "two thousand", "not a whole number"),
        ("birth_year", "99999999999999999999", "not a whole number"),
        ("height", "NaN", "not a length"),
        ("height", "12 m", "from 0.5 to 2.6 m"),
        ("ring_height", "", "empty"),
        ("ring_height", "inf", "not a length"),
        ("ring_height", "7 m", "ring height in metres must be from 1 to 4"),
        ("ring_height", "1e3", "not a length"),
        ("ball_size", "9", "no ball size 9"),
        ("hand", "both", "not in the list"),
        ("rules", "nowhere", "no rule book"),
    ],
)
def test_bad_input_is_named_beside_its_field_and_kept(
    site: Pages, field: str, typed: str, said: str
) -> None:
    fields = {"name": "Invented Ash", "ring_height": "3.05 m", "coach": "Invented Kim"}
    answer = site.post("/players/new", **(fields | {field: typed}))
    assert answer.status == 400
    assert said in answer.trouble(field)
    assert answer.value("coach") == "Invented Kim"
    assert "Nothing was stored yet" in answer.words
    assert "No players yet" in site.get("/players").words


def test_all_troubles_of_a_form_are_told_at_once(site: Pages) -> None:
    answer = site.post("/players/new", name="A", height="tall", birth_year="x", ring_height="")
    for field in ("height", "birth_year", "ring_height"):
        assert answer.trouble(field)


def test_two_players_of_one_name_need_something_to_tell_them_apart(site: Pages) -> None:
    site.player("Invented Ash", birth_year="2014")
    answer = site.post("/players/new", name="invented ash", ring_height="3.05")
    assert "already a player called" in answer.trouble("name")
    site.player("Invented Ash", birth_year="2015")


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", '"><img src=x>', "{{ 7 * 7 }}", "李"]
)
def test_names_are_shown_as_text(site: Pages, name: str) -> None:
    path = site.player(name)
    for page in (path, "/players", path + "/change", "/workouts", "/findings"):
        answer = site.get(page)
        assert "<script>alert" not in answer.text and "<img src=x" not in answer.text
        assert name in answer.words or name in answer.value("name")


def test_a_player_is_removed_only_after_asking(site: Pages) -> None:
    path = site.player()
    assert "Remove Invented Ash?" in site.get(path + "/remove").words
    assert site.post(path + "/remove", forget="yes").path == "/players"
    assert site.get(path).status == 404


def test_control_characters_and_odd_encodings_do_no_harm(site: Pages) -> None:
    body = b"name=A%00b%FF%FEc&ring_height=3.05"
    kind = {"content-type": "application/x-www-form-urlencoded; charset=utf-16"}
    answer = site.client.post("/players/new", content=body, headers=kind)
    assert answer.status_code == 200
    assert "\x00" not in site.get("/players").text
