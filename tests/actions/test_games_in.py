"""Games from a table: every bad row is named, and the same file twice gives the same ids."""

import io
from datetime import date
from uuid import UUID

import pytest
import xlsxwriter

from hoopwright.actions.tables_in.games import GamesRead, read_games
from hoopwright.errors import BadTable
from hoopwright.records import Player
from hoopwright.transfer.nouns import ShotType

HEAD = "Player,Date,Opponent,Shot type,Contested,Made,Attempts"
GOOD = f"""{HEAD}
Invented A,2026-11-03,North,three off the catch,yes,2,5
Invented A,2026-11-03,North,free throw,,3,4
invented b,2026-11-03,north,Mid-range,open,1,3
Invented A,2026-11-10,South,3,,1,2
"""


def read(text: str, *, players: tuple[Player, ...] = ()) -> GamesRead:
    return read_games(text.encode(), name="games.csv", players=players)


def troubles(text: str) -> list[tuple[int, str | None]]:
    with pytest.raises(BadTable) as trouble:
        read(text)
    assert all(row.message.endswith(".") for row in trouble.value.rows)
    return [(row.row, row.column) for row in trouble.value.rows]


def test_a_table_is_read_as_written() -> None:
    found = read(GOOD)
    assert [player.name for player in found.players] == ["Invented A", "invented b"]
    assert [(g.day, g.opponent, len(g.lines)) for g in found.games] == [
        (date(2026, 11, 3), "North", 3),
        (date(2026, 11, 10), "South", 1),
    ]
    first, second, third, last = found.lines
    assert (first.kind, first.made, first.attempts) == ((ShotType.THREE_CATCH, True), 2, 5)
    assert (second.kind, second.made, second.attempts) == ((ShotType.FREE_THROW, None), 3, 4)
    assert (third.kind, third.player_id) == ((ShotType.MID, False), found.players[1].id)
    assert (last.shot_type, last.game_id) == (ShotType.THREE, found.games[1].id)
    assert found.notes == ()


def test_the_same_file_twice_is_the_same_and_a_longer_one_keeps_its_ids() -> None:
    longer = read(GOOD + "Invented A,2026-11-17,East,three,,0,1\n")
    assert read(GOOD) == read(GOOD)
    assert {line.id for line in read(GOOD).lines} < {line.id for line in longer.lines}
    assert len({line.id for line in longer.lines}) == 5


def test_a_spreadsheet_says_the_same_as_text() -> None:
    memory = io.BytesIO()
    with xlsxwriter.Workbook(memory) as book:
        sheet = book.add_worksheet()
        for number, line in enumerate(GOOD.splitlines()):
            cells = [int(cell) if cell.isdigit() else cell for cell in line.split(",")]
            sheet.write_row(number, 0, cells)
    assert read_games(memory.getvalue(), name="games.xlsx").games == read(GOOD).games


def test_known_players_are_found_by_name() -> None:
    known = Player(id=UUID(int=7), name="INVENTED A", birth_year=2010)
    assert read(GOOD, players=(known,)).players[0] == known
    assert read(GOOD, players=(known,)).lines[0].player_id == known.id


def test_every_bad_row_is_named() -> None:
    bad = f"""{HEAD}
Invented A,2026-11-03,North,three,,6,5
Invented A,2026-11-03,North,dunk contest,,1,1
,2026-11-03,North,three,,1,1
Invented A,2026-13-03,North,three,,1,1
Invented A,,North,three,,1,1
Invented A,2026-11-03,North,free throw,yes,1,2
Invented A,2026-11-03,North,three,maybe,1,2
Invented A,2026-11-03,North,three,,many,2
Invented A,2026-11-03,North,,,1,2
Invented A,2026-11-03,North,three,,1,201
Invented A,2026-11-03,North,three,,-1,2
Invented A,2026-11-03,North,three,,1,2
"""
    assert troubles(bad) == [
        (2, "made"), (3, "shot_type"), (4, "player"), (5, "date"), (6, "date"), (7, "contested"),
        (8, "contested"), (9, "made"), (10, "shot_type"), (11, "attempts"), (12, "made"),
    ]  # fmt: skip


def test_a_missing_column_is_named_with_what_it_might_be() -> None:
    with pytest.raises(BadTable, match=r"no column shot_type; rename 'shot_typ' to 'shot_type'"):
        read("player,date,shot typ,made\nInvented A,2026-11-03,three,1\n")
    with pytest.raises(BadTable, match="no column date"):
        read("player,shot_type,made\nInvented A,three,1\n")


def test_a_row_without_attempts_is_one_shot() -> None:
    rows = "player,date,shot_type,made\nA,2026-11-03,three,yes\nA,2026-11-03,three,no\n"
    found = read(rows)
    assert [(line.made, line.attempts) for line in found.lines] == [(1, 1), (0, 1)]
    assert len({line.id for line in found.lines}) == 2
    assert "added up" in found.notes[0]
    assert troubles("player,date,shot_type,made\nA,2026-11-03,three,4\n") == [(2, "made")]


def test_rows_with_nothing_in_them_are_passed_over_and_said() -> None:
    found = read(GOOD + "Invented A,2026-11-10,South,free throw,,0,0\n")
    assert len(found.lines) == 4
    assert found.notes == ("Rows without any attempt were passed over: 1.",)


def test_without_an_opponent_the_game_is_the_players_own() -> None:
    rows = "player,date,shot_type,made,attempts\nA,2026-11-03,three,1,2\nB,2026-11-03,three,1,2\n"
    assert len(read(rows).games) == 2
