"""Progress on the pages: the line of each place, and changes announced beforehand."""

from uuid import uuid4

from tests.web.site import Pages


def cold_test(site: Pages, player: str, day: str, made: int, *, purpose: str = "cold test") -> None:
    shot_set = site.set(player, day=day, purpose=purpose)
    site.post(shot_set + "/counts", made=str(made), attempts="10", entry=str(uuid4()))


def test_cold_tests_make_a_line_and_practice_does_not(site: Pages) -> None:
    player = site.player()
    cold_test(site, player, "2026-10-01", 9, purpose="")
    assert "No cold test yet" in site.get(player + "/progress").words
    assert site.client.get(player + "/progress?format=json").status_code == 400
    assert site.get(player + "/progress/0.svg").status == 404
    for day, made in (("2026-10-05", 4), ("2026-10-12", 5), ("2026-10-19", 6)):
        cold_test(site, player, day, made)
    cold_test(site, player, "2026-11-02", 8, purpose="retention test")
    cold_test(site, player, "2026-11-02", 3, purpose="transfer test")
    words = site.get(player + "/progress").words
    assert (
        "Free throw" in words and "than at the first test" in words
    ) or "Can't tell yet" in words
    assert "Retention test of 2 November 2026, 8 of 10" in words
    assert "Transfer test of 2 November 2026, 3 of 10" in words
    assert "more cold-test shots would" in words
    assert "9 of 10" not in words
    data = site.client.get(player + "/progress?format=json").json()
    assert [test["made"] for test in data["places"][0]["tests"]] == [4, 5, 6, 8]
    picture = site.client.get(player + "/progress/0.svg?colours=dark")
    assert picture.headers["content-type"].startswith("image/svg") and "<path" in picture.text
    assert site.client.get(player + "/progress/0.json").json()["layer"]
    assert site.get(player + "/progress/1.svg").status == 404


def test_a_dip_is_announced_and_taken_back(site: Pages) -> None:
    player = site.player()
    cold_test(site, player, "2026-10-05", 6)
    fields = {"id": str(uuid4()), "name": "feet turned", "day": "2026-10-06", "weeks": "3"}
    answer = site.post(player + "/progress", **fields)
    assert "Feet turned, from 6 October 2026 to 27 October 2026" in answer.words
    assert site.post(player + "/progress", **fields).text.count("Feet turned, from") == 1
    cold_test(site, player, "2026-10-12", 4)
    assert "fewer makes are no alarm" in site.get(player + "/progress").words
    action = answer.text.split('/withdraw"')[0].rsplit('"', 1)[1]
    assert "Feet turned" not in site.post(action + "/withdraw").words


BAD = [
    ({"name": ""}, "name", "empty"),
    ({"day": "soon"}, "day", "not a day"),
    ({"weeks": "99"}, "weeks", "0 to 550 days"),
    ({"weeks": "-1"}, "weeks", "0 to 550 days"),
    ({"weeks": "some"}, "weeks", "not a whole number"),
]


def test_what_cannot_be_announced(site: Pages) -> None:
    player = site.player()
    for fields, where, said in BAD:
        answer = site.post(player + "/progress", **({"name": "feet", "weeks": "4"} | fields))
        assert answer.status == 400 and said in answer.trouble(where)
    assert "from" not in site.get(player + "/progress").words.split("Changes announced")[1][:90]


def test_what_a_set_is_for_is_stored_changed_and_refused(site: Pages) -> None:
    player = site.player()
    shot_set = site.set(player, purpose="cold test")
    assert "cold test" in site.get(shot_set).words
    assert '<option value="cold test" selected' in site.get(shot_set + "/change").text
    site.post(shot_set + "/change", purpose="drill", spot="free throw")
    assert "cold test" not in site.get(shot_set).words
    answer = site.post(shot_set + "/change", purpose="warm-up")
    assert "not in the list" in answer.trouble("purpose")
