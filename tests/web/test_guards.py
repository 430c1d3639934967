import re

import pytest
from tests.web.site import Pages

PAGES = [
    "/players",
    "/players/new",
    "/workouts",
    "/findings",
    "/tables",
    "/static/style.css",
    "/no",
]


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_carries_the_security_headers(site: Pages, path: str) -> None:
    headers = site.client.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy and "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


@pytest.mark.parametrize("path", PAGES[:5])
def test_pages_load_nothing_from_elsewhere_and_run_nothing_inline(site: Pages, path: str) -> None:
    text = site.get(path).text
    assert not re.search(r"(src|href|action)=\"(https?:)?//", text)
    assert not re.search(r"\son\w+=|\sstyle=|<style", text)
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://elsewhere.example"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "null"},
    ],
    ids=str,
)
def test_a_form_on_another_site_changes_nothing(site: Pages, headers: dict[str, str]) -> None:
    fields = {"name": "Intruder", "ring_height": "3.05"}
    answer = site.client.post("/players/new", data=fields, headers=headers)
    assert answer.status_code == 403 and "nothing was changed" in answer.text
    assert "No players yet" in site.get("/players").words


def test_a_foreign_name_that_points_here_is_refused(site: Pages) -> None:
    assert site.client.get("/players", headers={"host": "evil.example"}).status_code == 400
    for host in ("127.0.0.1:8350", "localhost:8350", "[::1]:8350", "192.168.1.20:8350"):
        assert site.client.get("/players", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["/nowhere", "/players/1", "/players/6a1a7d0e-7a1b-4c7e-9a51-0c5f6f1f2a01", "/sets/x/shots"],
)
def test_what_is_not_there_gets_a_friendly_page(site: Pages, path: str) -> None:
    answer = site.get(path)
    assert answer.status == 404
    assert "Not here" in answer.words and 'href="/players"' in answer.text


@pytest.mark.parametrize(
    ("method", "path"), [("POST", "/players"), ("PUT", "/players/new"), ("DELETE", "/findings")]
)
def test_a_wrong_method_gets_a_friendly_page(site: Pages, method: str, path: str) -> None:
    answer = site.client.request(method, path)
    assert answer.status_code == 405
    assert "go back to the page" in answer.text


def test_a_post_address_opened_as_a_page_is_explained(site: Pages) -> None:
    shot_set = site.set(site.player())
    assert site.get(shot_set + "/shots").status == 405


def test_what_breaks_inside_shows_no_trace(site: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*args: object, **more: object) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr("hoopwright.actions.people.list_players", broken)
    answer = site.client.get("/players")
    assert answer.status_code == 500
    assert "nothing was changed" in answer.text and "secret" not in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_too_many_fields_or_broken_multipart_are_refused(site: Pages) -> None:
    many = {f"f{i}": "x" for i in range(200)}
    assert site.client.post("/players/new", data=many).status_code == 400
    kind = {"content-type": "multipart/form-data; boundary=b"}
    answer = site.client.post("/tables", content=b"--b\r\nnonsense", headers=kind)
    assert answer.status_code == 400
