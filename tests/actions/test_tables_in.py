"""Reading tables: what is good is read exactly, what is bad is named row by row."""

import io
import time
import zipfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from uuid import UUID

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.actions.columns import COLUMNS, as_typed, defused
from hoopwright.actions.tables_in import LARGEST, read_chart_file, read_charts
from hoopwright.actions.tables_in.grid import MOST_ROWS
from hoopwright.errors import BadTable
from hoopwright.records import Chart, Half, Hand, Landing, Miss, MissDetail, Player, Purpose

DOCS = Path(__file__).parents[2] / "docs" / "chart-csv.md"


def read(*lines: str, players: Sequence[Player] = ()) -> tuple[Chart, ...]:
    return read_charts("\n".join(lines).encode(), name="chart.csv", players=players).charts


def one_chart(*lines: str) -> Chart:
    (chart,) = read(*lines)
    return chart


def troubles(*lines: str) -> dict[tuple[int, str | None], str]:
    with pytest.raises(BadTable) as caught:
        read(*lines)
    assert "\n" not in caught.value.message
    return {(t.row, t.column): t.message for t in caught.value.rows}


def refused(data: bytes, name: str = "chart.csv") -> str:
    with pytest.raises(BadTable) as caught:
        read_charts(data, name=name)
    assert caught.value.message.count(". ") <= 1
    return caught.value.message


def test_a_shot_a_row() -> None:
    chart = one_chart(
        "player,date,spot,made,miss,along_cm,across_cm,tap_error_cm,condition",
        "Invented A,2026-11-02,free throw,yes,,,,,",
        "Invented A,2026-11-02,free throw,NO,Short+Left,-31,-7.5,4,",
        "invented a,2026-11-02,Free-Throw,front,,,,,",
        "Invented A,2026-11-02,left corner,0,right long,,,,higher finish",
    )
    line, corner = chart.sets
    assert [s.made for s in line.shots] == [True, False, True]
    assert line.shots[1].miss == (Miss.SHORT, Miss.LEFT)
    assert line.shots[1].landing == Landing(
        along=-0.31, across=-0.075, along_sd=0.04, across_sd=0.04
    )
    assert line.shots[2].half is Half.FRONT
    # FIBA: free-throw line 4.225 m from below ring centre, corner 6.60 m (rule book, derived)
    assert (line.spot.name, corner.spot.name) == ("free throw", "left corner")
    assert (line.spot.x, line.spot.y) == pytest.approx((0.0, 4.225))
    assert (corner.spot.x, corner.spot.y) == pytest.approx((-6.60, 0.0))
    assert corner.shots[0].miss == (Miss.LONG, Miss.RIGHT)
    assert (corner.condition, corner.position, corner.ordered) == ("higher finish", 1, True)
    assert chart.player.name == "Invented A"
    assert chart.year == 2026
    assert chart.days == ((line.workout_id, date(2026, 11, 2)),)


def test_a_row_of_counts() -> None:
    chart = one_chart(
        "player,distance,bearing_deg,made,attempts,short,long,left,right",
        "Invented A,5,90,11,20,5,2,1,0",
    )
    (one,) = chart.sets
    missed = [s.miss for s in one.shots if not s.made]
    assert (one.made, len(one.shots), one.ordered) == (11, 20, False)
    assert {way: missed.count((way,)) for way in Miss} == {
        Miss.SHORT: 5, Miss.LONG: 2, Miss.LEFT: 1, Miss.RIGHT: 0,
    }  # fmt: skip
    assert missed.count(()) == 1
    assert (one.spot.x, one.spot.y) == pytest.approx((5.0, 0.0))
    assert chart.days == ()
    assert chart.year is None


@pytest.mark.parametrize(
    ("columns", "cells", "place"),
    [
        ("spot", "top", (0.0, 6.75)),
        ("spot", "1.2; 4.0", (1.2, 4.0)),
        ("spot", '"(-1.2, 4)"', (-1.2, 4.0)),
        ("distance", "4.6", (0.0, 4.6)),
        ("distance", '"4,6"', (0.0, 4.6)),
        ("distance,bearing_deg", "5,-90", (-5.0, 0.0)),
        ("spot,distance", "left corner,5", (-5.0, 0.0)),
        ("spot,distance", "by the wall,5", (0.0, 5.0)),
        ("x_m,y_m,spot,distance", "1.5,3,by the wall,9", (1.5, 3.0)),
    ],
)
def test_places(columns: str, cells: str, place: tuple[float, float]) -> None:
    chart = one_chart(f"player,made,{columns}", f"Invented A,yes,{cells}")
    spot = chart.sets[0].spot
    assert (spot.x, spot.y) == pytest.approx(place)
    assert spot.name


def test_rules_say_where_named_spots_are() -> None:
    """NBA arc 23 ft 9 in = 7.239 m (rule text, seen); FIBA 6.75 m (seen)."""
    charts = read("player,made,spot,rules", "Invented A,yes,top,nba", "Invented B,yes,top,")
    far, near = (chart.sets[0].spot.distance for chart in charts)
    assert (far, near) == pytest.approx((7.239, 6.75), abs=5e-4)


def test_what_else_a_table_can_say() -> None:
    chart = one_chart(
        "player,made,spot,ball,ring_height_m,hand,birth_year,player_height_m,coach,invented,"
        "detail,stops_on_makes,ordered,set,rules,purpose,feel",
        "Invented A,yes,free throw,5,2.6,Left,2014,1.42,Invented Coach,yes,two,yes,no,7,fiba-mini,"
        "Cold test,7.5",
    )
    player, one = chart.player, chart.sets[0]
    assert (player.hand, player.birth_year, player.height) == (Hand.LEFT, 2014, 1.42)
    assert (player.coach, player.invented, player.rules) == ("Invented Coach", True, "fiba-mini")
    assert (player.ball_size, player.ring_height) == (5, 2.6)
    assert (one.ball_size, one.ring_height, one.miss_detail) == (5, 2.6, MissDetail.TWO)
    assert (one.stops_on_makes, one.ordered) == (True, False)
    assert (one.purpose, one.shots[0].feel) == (Purpose.COLD_TEST, 7.5)


def test_known_players_lend_what_the_table_leaves_out() -> None:
    known = Player(id=UUID(int=5), name="Invented Á", hand=Hand.LEFT, ball_size=6, ring_height=2.9)
    (chart,) = read("player,made,spot", "invented á,yes,free throw", players=[known])
    assert chart.player == known
    assert (chart.sets[0].ball_size, chart.sets[0].ring_height) == (6, 2.9)


@pytest.mark.parametrize(
    ("rows", "details"),
    [
        (["top,no,short", "top,no,long"], [MissDetail.ALONG]),
        (["top,no,short", "top,no,left"], [MissDetail.ONE]),
        (["top,no,", "top,yes,"], [MissDetail.NONE]),
        (["top,no,left", "left wing,no,short"], [MissDetail.ONE, MissDetail.ONE]),
        (["top,no,short+left", "left wing,no,short"], [MissDetail.TWO, MissDetail.TWO]),
        (["top,no,left", "left wing,no,"], [MissDetail.ONE, MissDetail.NONE]),
    ],
)
def test_how_finely_misses_were_noted(rows: list[str], details: list[MissDetail]) -> None:
    chart = one_chart("player,spot,made,miss", *(f"Invented A,{row}" for row in rows))
    assert [one.miss_detail for one in chart.sets] == details


def test_zero_left_and_right_says_that_sides_were_watched() -> None:
    head = "player,distance,made,attempts,short,left,right"
    assert one_chart(head, "Invented A,4,5,9,4,0,0").sets[0].miss_detail is MissDetail.ONE
    assert one_chart(head, "Invented A,4,5,9,4,,").sets[0].miss_detail is MissDetail.ALONG


def test_the_set_column_keeps_sets_apart() -> None:
    chart = one_chart(
        "player,spot,made,set",
        "Invented A,top,yes,1", "Invented A,top,no,2", "Invented A,top,no,1",
    )  # fmt: skip
    assert [[s.made for s in one.shots] for one in chart.sets] == [[True, False], [False]]


def test_ids_stay_when_rows_are_added_or_numbers_are_written_another_way() -> None:
    head, row = "player,date,distance,made", "Invented A,2026-11-02,4.2,yes"
    first = one_chart(head, row).sets[0]
    more = one_chart(head, row, row, "Invented A,2026-11-03,4.2,no")
    other = one_chart(head, 'INVENTED A,2026-11-02,"4,20",1').sets[0]
    assert more.sets[0].id == first.id == other.id
    assert more.sets[0].shots[0].id == first.shots[0].id == other.shots[0].id
    assert len({s.id for one in more.sets for s in one.shots}) == 3
    # a table without a purpose keeps the ids it had before there was one
    assert first.id == UUID("8aa8822a-ca5c-581c-bc4b-66b332748915")
    tested = one_chart(head + ",purpose", row + ",cold test").sets[0]
    assert tested.id != first.id


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_encodings_separators_and_line_ends(encoding: str, separator: str, ending: str) -> None:
    lines = [["Player", "Made", "SPOT"], ["Invented É", "yes", '"free throw"'], ["", "", ""]]
    data = ending.join(separator.join(line) for line in lines).encode(encoding)
    read_it = read_charts(data, name="chart.csv")
    assert read_it.charts[0].player.name == "Invented É"
    assert any("UTF-8" in note for note in read_it.notes) is (encoding == "cp1252")


def test_notes_say_what_was_passed_over_and_assumed() -> None:
    notes = read_charts(
        b"player,made,distance,Mood,along_cm,across_cm\nInvented A,no,13.75,good,-20,0\n",
        name="chart.csv",
    ).notes
    text = " ".join(notes)
    for said in ("Mood", "ball size 7", "3.05 m", "5 cm", "feet", "no column date"):
        assert said in text


BAD_CELLS = {
    "distance": ["40", "nan", "inf", "-4", "0", "four", "4 m", "1e3", "4_0", "4,2,1"],
    "made": ["7", "maybe", "-1", "nan"],
    "miss": ["up", "short+long", "left right", "short left long"],
    "along_cm": ["nan", "snan", "1200", "6e2", "1e400", ""],
    "tap_error_cm": ["0", "-5", "1000", "inf"],
    "ball": ["9", "6.5", "29.5", "145", "-7", "0", "nan"],
    "ring_height_m": ["10", "0", "nan", "-3.05", "305"],
    "rules": ["my own"],
    "hand": ["both"],
    "birth_year": ["14", "2999", "-5", "nan"],
    "player_height_m": ["142", "nan", "0"],
    "detail": ["fine"],
    "purpose": ["warm test"],
    "feel": ["11", "-1", "nan", "good"],
    "ordered": ["perhaps"],
    "stops_on_makes": ["2"],
    "id": ["12"],
    "bearing_deg": ["nan", "left"],
    "condition": ["x" * 81],
    "date": ["yesterday"],
}
GOOD = {"distance": "4.2", "made": "no", "miss": "short", "along_cm": "-20", "across_cm": "3"}


@pytest.mark.parametrize(("column", "bad"), [(c, b) for c, bads in BAD_CELLS.items() for b in bads])
def test_every_bad_cell_is_named_and_nothing_is_taken(column: str, bad: str) -> None:
    cells = GOOD | {column: bad}
    row = ",".join(f'"{text}"' for text in ("Invented A", *cells.values()))
    good = ",".join(("Invented A", *GOOD.values())) + "," * (len(cells) - len(GOOD))
    if column == "date":
        good += "2026-11-02"
    said = troubles(f"player,{','.join(cells)}", good, row)
    assert {number for number, _ in said} == {3}
    assert all(message.endswith(".") for message in said.values())


def test_made_and_missed_at_once() -> None:
    said = troubles("player,spot,made,miss", "Invented A,top,yes,short")
    assert "mark it made or missed, not both" in said[2, "miss"]


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ("-1,20,,", "made"),
        ("21,20,,", "made"),
        ("5,-20,,", "attempts"),
        ("5,0,,", "attempts"),
        ("0,1001,,", "attempts"),
        ("5,20,-1,", "short"),
        ("5,20,1.5,", "short"),
        ("5,20,16,", "attempts"),
        ("yes,20,,", "made"),
        (",20,,", "made"),
        ("5,,3,", "attempts"),
        ("5,20,,short", "miss"),
        ("nan,20,,", "made"),
    ],
)
def test_counts_that_cannot_be(cells: str, column: str) -> None:
    said = troubles("player,spot,made,attempts,short,miss", f"Invented A,top,{cells}")
    assert (2, column) in said


@pytest.mark.parametrize(
    ("columns", "cells", "column"),
    [
        ("spot", "nowhere", "spot"),
        ("spot", "", "spot"),
        ("spot", "0; -1.2", "spot"),
        ("distance,bearing_deg", "2,180", "distance"),
        ("x_m,y_m", "1,", "x_m"),
        ("x_m,y_m", "0,-1.2", "x_m"),
        ("x_m,y_m", "0,0", "x_m"),
        ("x_m,y_m", "12,1", "x_m"),
    ],
)
def test_places_no_shot_is_taken_from(columns: str, cells: str, column: str) -> None:
    said = troubles(f"player,made,{columns}", f"Invented A,yes,{cells}")
    assert (2, column) in said


def test_blank_player_and_several_troubles_in_one_row_are_all_listed() -> None:
    said = troubles("player,spot,made,ball", ",nowhere,perhaps,4", "Invented A,top,yes,7")
    assert {(2, "player"), (2, "made"), (2, "ball")} <= set(said)


def test_line_numbers_are_those_of_the_file() -> None:
    said = troubles(
        'player,spot,made,"a note', 'on two lines"', "", "Invented A,top,yes,", "",
        'Invented A,top,yes,"one', 'two"', "Invented A,top,maybe,",
    )  # fmt: skip
    assert set(said) == {(8, "made")}


def test_more_cells_than_headings() -> None:
    said = troubles("player,spot,made", "Invented A,top,yes", "A, Invented,top,yes")
    assert "double quotes" in said[3, None]


def test_long_reports_are_cut_and_say_so() -> None:
    with pytest.raises(BadTable) as caught:
        read("player,spot,made", *["Invented A,top,maybe"] * 500)
    assert len(caught.value.rows) == 200
    assert "500 of 500 rows" in caught.value.message
    assert "first 200" in caught.value.message


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\n \n\n", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b"player,spot,made\n", "no rows"),
        (b"player,spot,maid\nInvented A,top,yes", "rename 'maid' to 'made'"),
        (b"player,where,made\nInvented A,top,yes", "no column spot or distance"),
        (b"name,result\nInvented A,yes", "no column player and no column made"),
        (b"player,x_m,made\nInvented A,1,yes", "no column spot or distance"),
        (b"player,spot,made,Made\nInvented A,top,yes,no", "made twice"),
        (b'player,spot,made\nInvented A,top,"yes\n', "line 2"),
        (bytes(range(256)) * 40, "is not a table"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "is not a table"),
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\x00", "is not a table"),
        (b"PK\x03\x04 not really", "damaged"),
        (b"\xd0\xcf\x11\xe0 not really", "can't be read as a spreadsheet"),
    ],
)
def test_files_that_are_no_chart(data: bytes, says: str) -> None:
    assert says in refused(data)


def test_a_file_of_200_mb_is_refused_at_once(tmp_path: Path) -> None:
    file = tmp_path / "huge.csv"
    with file.open("wb") as handle:
        handle.truncate(200_000_000)
    start = time.perf_counter()
    with pytest.raises(BadTable, match=r"huge\.csv has 200 MB, and 20 MB is the most"):
        read_chart_file(file)
    # not a benchmark: reading and parsing it would take minutes
    assert time.perf_counter() - start < 5
    assert "20 MB is the most" in refused(bytes(LARGEST + 1))


def test_too_many_rows() -> None:
    data = b"player,spot,made\n" + b"A,top,y\n" * (MOST_ROWS + 1)
    assert "200,000 rows" in refused(data)


def test_a_workbook_that_unpacks_to_far_more_is_refused() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for part in range(5):
            packed.writestr(f"xl/worksheets/sheet{part}.xml", bytes(50_000_000))
    assert "unpacks" in refused(file.getvalue(), "chart.xlsx")


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(BadTable, match="can't be opened"):
            read_chart_file(path)


def workbook(rows: Sequence[Sequence[object]], *, more: bool = False) -> bytes:
    file = io.BytesIO()
    book = xlsxwriter.Workbook(file, {"in_memory": True})
    sheet = book.add_worksheet("shots")
    as_date = book.add_format({"num_format": "yyyy-mm-dd"})
    for r, row in enumerate(rows):
        for c, value in enumerate(row):
            if isinstance(value, date):
                sheet.write_datetime(r, c, value, as_date)
            else:
                sheet.write(r, c, value)
    if more:
        book.add_worksheet("notes").write(0, 0, "hello")
    book.close()
    return file.getvalue()


def test_a_spreadsheet_with_real_dates_numbers_and_booleans() -> None:
    data = workbook(
        [
            ["Player", "Date", "Distance", "Made", "Along cm", "Across cm"],
            ["Invented A", date(2026, 11, 2), 4.225, True, None, None],
            [],
            ["Invented A", "2026-11-02", "4,225", 0, -31.5, 7],
        ],
        more=True,
    )
    read_it = read_charts(data, name="chart.xlsx")
    (one,) = read_it.charts[0].sets
    assert [s.made for s in one.shots] == [True, False]
    assert one.shots[1].landing is not None
    assert one.shots[1].landing.along == -0.315
    assert any("notes" in note for note in read_it.notes)


def test_spreadsheet_rows_are_counted_as_the_spreadsheet_does() -> None:
    data = workbook([["player", "spot", "made"], [], ["Invented A", "top", "maybe"]])
    with pytest.raises(BadTable) as caught:
        read_charts(data, name="chart.xlsx")
    assert [t.row for t in caught.value.rows] == [3]


def test_blank_rows_and_columns_before_the_headings_are_passed_over() -> None:
    rows = [[], [], ["", "player", "spot", "made"], ["", "Invented A", "top", "yes"]]
    (chart,) = read_charts(workbook(rows), name="chart.xlsx").charts
    assert chart.sets[0].made == 1
    assert "is empty" in refused(workbook([]), "chart.xlsx")


@settings(max_examples=150)
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    refused_or_read(data)
    refused_or_read(b"player,spot,made\n" + data)
    refused_or_read(b"PK\x03\x04" + data)
    refused_or_read(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + data)


@settings(max_examples=150)
@given(
    st.lists(
        st.lists(
            st.one_of(
                st.text(max_size=8),
                st.sampled_from(["Invented A", "top", "4.2", "yes", "short", "3", "2026-11-02"]),
            ),
            min_size=len(COLUMNS),
            max_size=len(COLUMNS),
        ),
        min_size=1,
        max_size=5,
    )
)  # fmt: skip
def test_any_cells_are_read_or_refused(rows: list[list[str]]) -> None:
    quoted = (",".join('"' + c.replace('"', '""') + '"' for c in row) for row in rows)
    refused_or_read("\n".join([",".join(COLUMNS), *quoted]).encode("utf-8", errors="replace"))


def refused_or_read(data: bytes) -> None:
    try:
        assert read_charts(data, name="chart").charts
    except BadTable as trouble:
        assert trouble.message.endswith(".")


@given(st.text(max_size=6))
def test_a_defused_text_comes_back_and_is_no_formula(text: str) -> None:
    out = defused(text)
    assert as_typed(out) == text
    assert not out.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_the_tables_in_the_docs_are_read() -> None:
    blocks = DOCS.read_text(encoding="utf-8").split("```csv\n")[1:]
    read_it = [read_charts(b.split("```")[0].encode(), name="docs.csv") for b in blocks]
    assert [sum(len(s.shots) for c in r.charts for s in c.sets) for r in read_it] == [4, 40]


def test_every_column_is_in_the_docs() -> None:
    text = DOCS.read_text(encoding="utf-8")
    assert [c for c in COLUMNS if f"`{c}`" not in text] == []
