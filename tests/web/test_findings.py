import json
import re
import xml.etree.ElementTree as ET
from uuid import uuid4

import pytest
from tests.reports.samples import FILMED
from tests.web.site import Pages

from hoopwright.actions import reports

pytestmark = pytest.mark.usefixtures("sample_reading")


@pytest.fixture
def player(site: Pages) -> str:
    path = site.player(hand="left", ball_size="6", ring_height="2.6")
    shot_set = site.set(path)
    site.post(shot_set + "/line", entry=str(uuid4()), line="mmsmd mmmsx")
    return path


def test_nothing_charted_says_what_to_do(site: Pages) -> None:
    path = site.player() + "/findings"
    assert "Nothing is charted yet" in site.get(path).words
    answer = site.get(path + "?format=json")
    assert answer.status == 400 and "chart about 20 shots" in json.loads(answer.text)["error"]
    assert site.get(path + ".pdf").status == 400
    assert site.get(path + "/0/landing.svg").status == 400


def test_findings_are_read_in_sentences(site: Pages, player: str) -> None:
    words = site.get(player + "/findings").words
    assert "Best single change: 6 cm deeper aim, worth about +9 makes per 100" in words
    assert "From the spots charted you make about 6 of 10; could be 5 to 7." in words
    assert "film 10 shots from the side" in words and "Not measured" in words


def test_each_picture_is_served_with_alt_text_and_numbers_beside_it(
    site: Pages, player: str
) -> None:
    text = site.get(player + "/findings").text
    sources = re.findall(r'<img src="([^"]+)" alt="([^"]+)"', text)
    assert len(sources) == 4 and text.count("<table>") == 4
    for source, alt in sources:
        assert len(alt) > 40
        for address in (source, source + "?colours=dark"):
            answer = site.client.get(address)
            assert answer.headers["content-type"] == "image/svg+xml"
            assert ET.fromstring(answer.text).tag.endswith("svg")


def test_the_interactive_picture_comes_from_us_alone(site: Pages, player: str) -> None:
    spec = site.client.get(player + "/findings/0/worth.json").json()
    assert spec["$schema"].startswith("https://vega.github.io/schema/")  # a name, never fetched
    assert "url" not in json.dumps(spec["layer"])
    script = site.client.get("/interactive.js")
    assert script.headers["content-type"].startswith("text/javascript")
    assert "vegaEmbed" in script.text


def test_the_same_address_gives_data(site: Pages, player: str) -> None:
    asked = site.client.get(player + "/findings?format=json")
    accepted = site.client.get(player + "/findings", headers={"accept": "application/json"})
    assert asked.json() == accepted.json()
    data = asked.json()
    assert data["player"] == "Invented Ash"
    assert data["worth"][0]["amount_cm"] == 6.0
    assert data["worth"][0]["makes_per_100"]["low80"] < data["worth"][0]["makes_per_100"]["value"]
    assert data["aim"]["along_cm"]["value"] == pytest.approx(-6.0)


def test_the_print_is_a_pdf(site: Pages, player: str) -> None:
    answer = site.client.get(player + "/findings.pdf?paper=letter")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")


@pytest.mark.parametrize("end", ["/0/nothing.svg", "/7/worth.svg", "/0/worth.png", "/x/worth.svg"])
def test_unknown_pictures_are_not_there(site: Pages, player: str, end: str) -> None:
    assert site.get(player + "/findings" + end).status == 404


def test_players_are_listed_by_name_never_by_result(site: Pages, player: str) -> None:
    site.player("Invented Aa")
    words = site.get("/findings").words
    assert words.index("Invented Aa") < words.index("Invented Ash")
    assert not re.search(r"\d+ (of|%)", words.split("Whose findings?")[1].split("Stop on")[0])


def test_filmed_shots_add_what_film_says(
    site: Pages, player: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reports, "read_chart", lambda chart, prior=None: FILMED)
    reports.forget_readings()
    words = site.get(player + "/findings").words
    assert "From film Entry angle at 4.2 m: 43.0° (likely 42.4 to 43.6)" in words
    assert "Speed control: release speeds differ by 0.09 m/s (likely 0.07 to 0.11)" in words
    data = json.loads(site.get(player + "/findings?format=json").text)
    assert data["film"]["release_angle_spread_deg"]["value"] == pytest.approx(1.3)
    assert data["film"]["speed_spread_m_per_s"]["told"] is True
