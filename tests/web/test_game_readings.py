"""What games say on the pages: beside practice, to come, before and after; and tables of them."""

from uuid import uuid4

from tests.web.site import OWN, Pages

TABLE = """player,date,opponent,shot_type,contested,attempts,made
Invented Ash,2026-10-03,Invented Town,three,yes,6,2
Invented Ash,2026-10-10,Invented Hill,three,yes,5,1
Invented Ash,2026-11-07,Invented Lake,three,yes,7,4
Invented Ash,2026-11-14,Invented Wood,three,yes,6,4
"""


def bring_in(site: Pages, content: str, name: str = "games.csv") -> tuple[int, str]:
    answer = site.client.post("/games/tables", files={"file": (name, content)}, headers=OWN)
    return answer.status_code, " ".join(answer.text.split())


def charted(site: Pages, player: str) -> None:
    shot_set = site.set(player, spot="top")
    site.post(shot_set + "/counts", made="32", attempts="50", entry=str(uuid4()))


def test_a_table_comes_in_once_or_not_at_all(site: Pages) -> None:
    status, page = bring_in(site, TABLE)
    assert status == 200 and "Brought in 1 new player, 4 games and 4 rows." in page
    assert "All 4 rows were here already" in bring_in(site, TABLE)[1]
    status, page = bring_in(site, TABLE.replace("6,4", "6,9").replace("three,yes,5", "dunk,yes,5"))
    assert status == 400 and "2 things to correct; nothing was brought in" in page
    assert '<th scope="row">3</th><td class="nowrap">shot_type</td>' in page
    assert '<th scope="row">5</th>' in page
    answer = site.client.post("/games/tables", data={"x": "y"}, headers=OWN)
    assert answer.status_code == 400 and "No file was chosen" in answer.text


def test_games_stand_beside_practice_with_their_source(site: Pages) -> None:
    player = site.player()
    bring_in(site, TABLE)
    words = site.get(player + "/games").words
    assert "not charted in practice lately, so it can't be told: three" in words
    charted(site, player)
    words = site.get(player + "/games").words
    assert "from 11 of 24" in words and "game makes for 100 of practice (likely" in words
    assert "about half the practice one (common practice, no source)" in words
    assert "this player's 24 game attempts" in words
    assert "more game attempts would" in words
    # three-point reliability 0.7 at about 750 attempts: split halves of professionals, see games.md
    assert "After 24 attempts at threes, about 7 parts in 100" in words
    data = site.client.get(player + "/games?format=json").json()
    assert {one["contested"] for one in data["kinds"]} == {None, True}
    for name in ("ratios.svg", "ratios.svg?colours=dark"):
        picture = site.client.get(f"{player}/games/{name}")
        assert picture.headers["content-type"].startswith("image/svg")
    assert site.client.get(player + "/games/ratios.json").json()["layer"]


def test_the_next_games_are_foreseen(site: Pages) -> None:
    player = site.player()
    assert "No game was entered yet" in site.get(player + "/games/forecast").words
    assert site.get(player + "/games/ratios.svg").status == 404
    bring_in(site, TABLE)
    charted(site, player)
    words = site.get(player + "/games/forecast").words
    assert "5 games: 30 three." in words
    assert "Out of 30 attempts: about" in words and "luck alone would give" in words
    answer = site.get(player + "/games/forecast?games=2&attempts-0=8&attempts-8=10")
    assert "2 games: 10 three." in answer.words
    assert "nothing is charted of it in practice: free throw" in answer.words
    for query, field, said in (
        ("games=0", "games", "Between 1 and 200 games"),
        ("games=some", "games", "not a whole number"),
        ("attempts-8=-4", "attempts-8", "below 0"),
        ("attempts-0=4", "attempts", "chart some practice of them first"),
    ):
        answer = site.get(f"{player}/games/forecast?{query}")
        assert answer.status == 400 and said in answer.trouble(field)


def test_whether_it_has_transferred(site: Pages) -> None:
    player = site.player()
    bring_in(site, TABLE)
    answer = site.get(player + "/games/transferred?change=day&day=2026-10-20&weeks=1")
    assert "like for like" in answer.words and "three, contested" in answer.words
    assert "3 of 11" in answer.words and "8 of 13" in answer.words
    assert "makes per 100 (likely" in answer.words
    answer = site.get(player + "/games/transferred?change=day&day=2026-10-20&weeks=3")
    assert "7 attempts while the change was new" in answer.words
    answer = site.get(player + "/games/transferred?change=day&day=2027-01-01")
    assert "Can't tell yet." in answer.words and "both before and after" in answer.words
    for query, field, said in (
        ("change=day", "day", "Give the first day"),
        ("change=day&day=then", "day", "not a day"),
        ("change=day&day=2026-10-20&weeks=900", "weeks", "0 to 550 days"),
        ("change=nothing&day=2026-10-20", "change", "not in the list any more"),
    ):
        answer = site.get(f"{player}/games/transferred?{query}")
        assert answer.status == 400 and said in answer.trouble(field), query


def test_an_announced_change_can_be_chosen(site: Pages) -> None:
    player = site.player()
    bring_in(site, TABLE)
    site.post(player + "/progress", name="feet turned", day="2026-10-20", weeks="2")
    form = site.get(player + "/games/transferred").text
    assert "feet turned, announced for 2026-10-20" in form
    key = form.split('<option value="')[1].split('"')[0]
    answer = site.get(f"{player}/games/transferred?change={key}")
    assert "8 of 13" in answer.words
