"""Games on the pages: entered row by row, changed, removed."""

import re
from uuid import uuid4

from tests.web.site import Answer, Pages

ROWS = {
    "kind-0": "free throw", "made-0": "3", "attempts-0": "4",
    "kind-1": "three", "made-1": "1", "attempts-1": "5", "contested-1": "contested",
    "kind-2": "three", "made-2": "2", "attempts-2": "3", "contested-2": "open",
}  # fmt: skip


def enter(site: Pages, player: str, **fields: str) -> Answer:
    given = {"id": str(uuid4()), "day": "2026-11-21", "opponent": "Invented Town"}
    return site.post(player + "/games/new", **(given | ROWS | fields))


def game_page(answer: Answer, player: str) -> str:
    found = re.search(rf'href="({player}/games/[0-9a-f-]{{36}})"', answer.text)
    assert found, answer.words
    return found[1]


def test_a_game_is_entered_and_listed(site: Pages) -> None:
    player = site.player()
    answer = enter(site, player)
    assert answer.path == player + "/games"
    assert "21 November 2026 against Invented Town" in answer.words
    assert "3 of 4 free throw · 1 of 5 three, contested · 2 of 3 three, open" in answer.words
    assert "Invented Ash" in site.get("/games").words


def test_sending_a_game_twice_enters_one(site: Pages) -> None:
    player = site.player()
    ids = {"id": str(uuid4())} | {f"line-{i}": str(uuid4()) for i in range(3)}
    enter(site, player, **ids)
    assert enter(site, player, **ids).text.count("Invented Town") == 1


def test_the_next_game_begins_with_the_kinds_of_the_last_one(site: Pages) -> None:
    player = site.player()
    first = site.get(player + "/games/new").text
    assert re.findall(r'<option value="(free throw|two|three)" selected', first) == [
        "free throw", "two", "three",
    ]  # fmt: skip
    enter(site, player)
    again = site.get(player + "/games/new").text
    assert len(re.findall(r'<option value="three" selected', again)) == 2


def test_rows_are_changed_added_and_taken_out(site: Pages) -> None:
    player = site.player()
    game = game_page(enter(site, player), player)
    form = site.get(game)
    ids = [form.value(f"line-{i}") for i in range(4)]
    lines = {f"line-{i}": one for i, one in enumerate(ids)}
    more = {"kind-3": "at the rim", "made-3": "2", "attempts-3": "2"}
    answer = site.post(game, day="2026-11-22", **(ROWS | {"made-0": "4"} | lines | more))
    assert "22 November 2026" in answer.words and "against" not in answer.words
    assert "4 of 4 free throw" in answer.words and "2 of 2 at the rim" in answer.words
    answer = site.post(f"{player}/games/lines/{ids[0]}/remove")
    assert answer.path == game
    assert "free throw" not in site.get(player + "/games").words


def test_two_players_of_one_game(site: Pages) -> None:
    player, other = site.player(), site.player("Invented Bo")
    game = game_page(enter(site, player), player)
    assert "Invented Bo" in site.get(game).words
    theirs = game.replace(player, other)
    answer = site.post(
        theirs, day="2026-11-21", **{"kind-0": "two", "made-0": "1", "attempts-0": "2"}
    )
    assert "1 of 2 two" in answer.words
    assert "also in this game: Invented Ash" in site.get(theirs).words
    assert "two" not in re.findall(r"<small>(.*?)</small>", site.get(player + "/games").text)[0]
    site.post(game + "/remove")
    assert "No games yet" in site.get(other + "/games").words


BAD_ROWS: list[tuple[dict[str, str], str, str]] = [
    ({"made-0": "5"}, "made-0", "5 made of 4 attempts can't be"),
    ({"attempts-0": "", "made-0": "2"}, "attempts-0", "is empty"),
    ({"attempts-0": "many"}, "attempts-0", "not a whole number"),
    ({"attempts-0": "999"}, "made-0", "from 1 to 200"),
    ({"kind-0": ""}, "kind-0", "Choose the kind of shot"),
    ({"kind-0": "dunk"}, "kind-0", "not in the list"),
    ({"contested-0": "contested"}, "made-0", "Nobody defends a free throw"),
    ({"day": "yesterday"}, "day", "not a day"),
    ({"opponent": "x" * 90}, "opponent", "longer than 80"),
    ({"contested-2": "contested"}, "kind-2", "has a row already; put the two together"),
    ({f"attempts-{i}": "" for i in range(3)} | {f"made-{i}": "" for i in range(3)},
     "attempts-0", "No attempts are entered"),
]  # fmt: skip


def test_bad_rows_are_named_and_kept(site: Pages) -> None:
    player = site.player()
    for fields, where, said in BAD_ROWS:
        answer = enter(site, player, **fields)
        assert answer.status == 400, fields
        assert said in answer.trouble(where)
        assert 'value="three" selected' in answer.text
    assert "No games yet" in site.get(player + "/games").words


def test_games_that_are_not_there(site: Pages) -> None:
    player = site.player()
    assert site.get(f"{player}/games/{uuid4()}").status == 404
    assert site.get(f"/players/{uuid4()}/games").status == 404
