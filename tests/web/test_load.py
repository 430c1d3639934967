"""Load on the pages: what was done, pain and head knocks, and who may go on."""

import re
from datetime import date, timedelta
from uuid import uuid4

from tests.web.site import Pages

TODAY = date.today().isoformat()
YESTERDAY = (date.today() - timedelta(days=1)).isoformat()


def head_knock(site: Pages, player: str, *, day: str = TODAY) -> str:
    """Stop a player; return the address of the flag's page."""
    answer = site.post(
        player + "/stop", id=str(uuid4()), kind="head knock", day=day, reported_by="Invented aunt"
    )
    assert answer.status == 200 and answer.path.endswith("/load"), answer.words
    found = re.search(rf'href="({player}/flags/[^"]+)"', answer.text)
    assert found
    return found[1]


def test_a_day_is_written_down_shown_corrected_and_removed(site: Pages) -> None:
    player = site.player(birth_year="1990")
    fields = {"id": str(uuid4()), "organised_minutes": "90", "coached_shots": "60", "games": "1"}
    answer = site.post(player + "/load", **fields, note="team practice")
    assert "90 minutes organised, 60 shots with a coach, 1 game, team practice" in answer.words
    assert site.post(player + "/load", **fields, note="team practice").text.count("90 min") == 1
    entry = re.search(rf'href="({player}/load/[^"]+)"', answer.text)
    assert entry
    assert site.get(entry[1]).value("organised_minutes") == "90"
    answer = site.post(entry[1], day=TODAY, self_led_minutes="25,5")
    assert "25.5 minutes alone" in answer.words and "team practice" not in answer.words
    assert "Nothing yet" in site.post(entry[1] + "/remove").words


BAD_DAYS = [
    ("organised_minutes", "-1", "from 0 to 1440"),
    ("organised_minutes", "a lot", "not a number"),
    ("self_led_minutes", "1441", "from 0 to 1440"),
    ("coached_shots", "-3", "below 0"),
    ("games", "2.5", "not a whole number"),
    ("day", "soon", "not a day"),
    ("day", "1890-01-01", "from 1950"),
    ("note", "x" * 500, "longer than 400"),
]  # fmt: skip


def test_what_cannot_be_is_named_and_the_rest_is_kept(site: Pages) -> None:
    player = site.player()
    for field, typed, said in BAD_DAYS:
        answer = site.post(player + "/load", **({"self_led_shots": "40"} | {field: typed}))
        assert answer.status == 400, field
        assert said in answer.text
        assert answer.value("self_led_shots") == "40"
        assert "Days with nothing written down count as rest" in answer.words


def test_an_empty_day_is_refused(site: Pages) -> None:
    player = site.player()
    assert "Nothing is written down for that day" in site.post(player + "/load").words


def test_a_head_knock_stops_the_day_on_every_page_that_begins_practice(site: Pages) -> None:
    player = site.player(birth_year="2014")
    head_knock(site, player)
    for page in (player, player + "/load", player + "/workouts/new"):
        answer = site.get(page)
        assert "see a professional; do not return today" in answer.words, page
        assert "CDC, HEADS UP" in answer.words, page


def test_a_coach_cannot_clear_a_head_knock_nor_anybody_on_the_day(site: Pages) -> None:
    player = site.player()
    flag = head_knock(site, player)
    clear = flag + "/clear"
    day = (date.today() + timedelta(days=1)).isoformat()
    assert "player or parent" not in site.get(flag).text
    answer = site.post(clear, by="player or parent", name="Invented uncle", day=day)
    assert answer.status == 400 and "only a licensed health professional" in answer.words
    answer = site.post(clear, by="health professional", name="Invented doctor", day=TODAY)
    assert "Nobody returns on the day of a flag" in answer.trouble("day")
    assert answer.value("name") == "Invented doctor"
    answer = site.post(clear, by="health professional", name="", day=day)
    assert "empty" in answer.trouble("name")
    assert "Say who cleared" in site.post(clear, name="Invented doctor", day=day).trouble("by")


def test_a_cleared_knock_is_shown_with_the_way_back(site: Pages) -> None:
    player = site.player(birth_year="1990")
    flag = head_knock(site, player, day=YESTERDAY)
    answer = site.post(flag + "/clear", by="health professional", name="Invented doctor", day=TODAY)
    assert "come back step by step" in answer.words
    assert "by Invented doctor" in answer.words


def test_a_flag_taken_back_needs_a_reason(site: Pages) -> None:
    player = site.player(birth_year="1990")
    flag = head_knock(site, player)
    assert "empty" in site.post(flag + "/withdraw", reason="").trouble("reason")
    answer = site.post(flag + "/withdraw", reason="wrong player")
    assert "do not return today" not in answer.words
    assert site.get(flag).status == 404


def test_a_flag_says_what_it_is(site: Pages) -> None:
    player = site.player()
    answer = site.post(player + "/stop", note="left knee")
    assert "Say what it is" in answer.trouble("kind")
    assert answer.value("note") == "left knee"
    assert "not in the list" in site.post(player + "/stop", kind="tired").trouble("kind")


def test_limits_of_the_youngest_hold_where_the_age_is_not_told(site: Pages) -> None:
    """3 organised hours a week up to age 8: DiFiori and others 2018, Table 4 (seen)."""
    player = site.player()
    for shown in ("180", "181"):
        answer = site.post(player + "/load", organised_minutes=shown, id=str(uuid4()), day=TODAY)
        over = "hours of organised basketball in 7 days" in answer.words
        assert over == (shown == "181")
        if not over:
            entry = re.search(rf'href="({player}/load/[^"]+)"', answer.text)
            assert entry
            site.post(entry[1] + "/remove")
    assert "limit of the youngest is used" in answer.words
    assert "DiFiori and others 2018" in answer.words


def test_entries_and_flags_that_are_not_there(site: Pages) -> None:
    player = site.player()
    for place in (f"/load/{uuid4()}", f"/flags/{uuid4()}"):
        assert site.get(player + place).status == 404
    assert site.get(f"/players/{uuid4()}/load").status == 404
