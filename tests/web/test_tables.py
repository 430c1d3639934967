from pathlib import Path

import anyio
import pytest
from starlette.types import Message
from tests.web.site import OWN, Pages

from hoopwright.settings import Settings
from hoopwright.web.app import create_app

GOOD = """player,date,spot,made,miss
Invented Ash,2026-11-02,free throw,yes,
Invented Ash,2026-11-02,free throw,no,short
"""


def bring_in(site: Pages, content: bytes, name: str = "charts.csv") -> tuple[int, str]:
    answer = site.client.post("/tables", files={"file": (name, content)}, headers=OWN)
    page = " ".join(answer.text.split())
    return answer.status_code, page


def test_a_table_comes_in_once_and_goes_out_again(site: Pages) -> None:
    status, page = bring_in(site, GOOD.encode())
    assert status == 200 and "Brought in 1 new player, 1 workout, 1 set and 2 shots." in page
    status, page = bring_in(site, GOOD.encode())
    assert status == 200 and "All 2 shots were here already; nothing changed." in page
    out = site.client.get("/tables/csv")
    assert out.headers["content-disposition"] == 'attachment; filename="charts.csv"'
    assert out.text.count("Invented Ash") == 2
    assert site.client.get("/tables/xlsx").content.startswith(b"PK")
    assert site.get("/tables/pdf").status == 404


def test_each_bad_row_is_named(site: Pages) -> None:
    bad = (
        GOOD
        + "Invented Ash,2026-11-02,the moon,yes,\nInvented Ash,2026-11-02,free throw,yes,short\n"
    )
    status, page = bring_in(site, bad.encode())
    assert status == 400
    assert "2 things to correct; nothing was brought in" in page
    assert (
        '<th scope="row">4</th><td class="nowrap">spot</td>' in page
        and '<th scope="row">5</th>' in page
    )
    assert "No players yet" in site.get("/players").words


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00\x01\x02\xff" * 500,
        b"PK\x03\x04 not really a workbook",
        b"colour,shape\nred,round\n",
        "player,date\nAsh,NaN\n".encode("utf-16"),
        GOOD.replace("yes", "NaN").encode(),
    ],
    ids=["empty", "binary", "not a workbook", "wrong columns", "utf-16", "nan"],
)
def test_a_file_that_is_no_chart_gets_a_sentence(site: Pages, content: bytes) -> None:
    status, page = bring_in(site, content)
    assert status == 400
    assert "Nothing was stored yet" in page
    assert "No players yet" in site.get("/players").words


def test_no_file_chosen_is_told(site: Pages) -> None:
    answer = site.client.post("/tables", data={"x": "y"}, headers=OWN)
    assert answer.status_code == 400 and "No file was chosen" in answer.text


def test_a_file_over_the_limit_is_refused(site: Pages) -> None:
    status, page = bring_in(site, b"player,date\n" * 50_000)
    assert status == 413
    assert "over the limit of 0.2 MB" in page


def test_a_large_file_is_refused_while_it_streams(tmp_path: Path) -> None:
    """No length is announced and the sender would never stop: reading must stop by itself."""
    settings = Settings(data=tmp_path, database="sqlite://", largest_upload=100_000)
    app = create_app(settings)
    pulled = 0

    async def receive() -> Message:
        nonlocal pulled
        pulled += 1
        head = b'--b\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\n'
        return {
            "type": "http.request",
            "body": (head if pulled == 1 else b"") + b"x" * 10_000,
            "more_body": True,
        }

    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/tables", "raw_path": b"/tables",
        "query_string": b"", "root_path": "", "scheme": "http", "http_version": "1.1",
        "server": ("127.0.0.1", 80), "client": ("127.0.0.1", 1), "headers": [
            (b"host", b"127.0.0.1"), (b"content-type", b"multipart/form-data; boundary=b"),
        ],
    }  # fmt: skip
    anyio.run(app, scope, receive, send)
    assert sent[0]["status"] == 413
    assert pulled <= 12
