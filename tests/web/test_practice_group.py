"""The session sheet of a group: who goes where when, or why not."""

from urllib.parse import urlencode
from uuid import UUID

from tests.web.site import Answer, Pages

BASKETS = {
    "basket-0": "North", "ring-0": "3.05 m", "room-0": "2", "lines-0": "yes",
    "basket-1": "South", "ring-1": "3.05 m", "room-1": "2", "lines-1": "yes",
    "minutes": "30", "slot_minutes": "6", "slot_shots": "15", "day": "2026-11-30",
}  # fmt: skip


def group(site: Pages, count: int, **player: str) -> list[UUID]:
    paths = [site.player(f"Invented {'ABCDEFGH'[i]}", **player) for i in range(count)]
    return [UUID(path.rsplit("/", 1)[1]) for path in paths]


def ask(site: Pages, players: list[UUID], **fields: str) -> Answer:
    asked = {f"player-{one}": "yes" for one in players} | BASKETS | fields
    return site.get("/practice/group?" + urlencode(asked))


def test_six_players_at_two_baskets(site: Pages) -> None:
    players = group(site, 6)
    answer = ask(site, players)
    assert answer.status == 200
    assert "6 players at 2 places, 30 minutes" in answer.words
    assert "North" in answer.words and "Invented F" in answer.words and "rest" in answer.words
    asked = {f"player-{one}": "yes" for one in players} | BASKETS
    print_out = site.client.get("/practice/group.pdf?" + urlencode(asked))
    assert print_out.content.startswith(b"%PDF-")


def test_partners_are_at_the_same_basket(site: Pages) -> None:
    one, other, *rest = group(site, 4)
    pair = {"first-0": str(one), "second-0": str(other)}
    rows = ask(site, [one, other, *rest], **pair).text
    cells = [part.split("</tr>")[0].split("<td>")[1:-1] for part in rows.split("<tr>")[2:4]]
    assert cells[0] == cells[1]


def test_a_stopped_player_is_left_out_and_named(site: Pages) -> None:
    players = group(site, 3)
    site.post(f"/players/{players[0]}/stop", kind="head knock", day="2026-11-30")
    answer = ask(site, players)
    assert "Invented A is left out." in answer.words
    assert "do not return today" in answer.words and "2 players at 2 places" in answer.words


BAD_GROUPS: list[tuple[dict[str, str], str]] = [
    ({"ring-0": "2.6 m", "ring-1": "2.6 m"}, "No basket has a ring at 3.05 m for Invented A"),
    ({"room-0": "0"}, "room for at least one"),
    ({"minutes": "4"}, "room for one turn at least"),
    ({"minutes": "many"}, "not a number"),
    ({"minutes": "1000"}, "1 to 24 slots"),
    ({"ring-0": "", "room-0": "", "ring-1": "", "room-1": ""}, "at least one basket"),
    ({"ring-0": "high"}, "not a length"),
    ({"first-0": "x"}, "Partners are two different players"),
    ({"day": "Monday"}, "not a day"),
    ({"slot_shots": "0"}, "shots and minutes above 0"),
]  # fmt: skip


def test_why_it_cannot_be_done_is_said(site: Pages) -> None:
    players = group(site, 2)
    for fields, said in BAD_GROUPS:
        answer = ask(site, players, **fields)
        assert answer.status == 400, fields
        assert said in answer.words
        assert answer.value("basket-1") == "South"


def test_nobody_chosen(site: Pages) -> None:
    group(site, 1)
    assert "Choose who is there" in ask(site, []).trouble("players")
    assert site.client.get("/practice/group.pdf").status_code == 400
