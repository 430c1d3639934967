"""The pages under Reports: who gets what, as a page and as a file."""

import json
import re
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest
from starlette.testclient import TestClient
from tests.actions.report_material import ASH, BO, COACH, kept_in
from tests.web.site import Pages

from hoopwright.settings import Settings

pytestmark = pytest.mark.usefixtures("sample_reading", "kept")
ASHS, BOS = (f"/players/{one.id}/reports" for one in (ASH, BO))
GROUP = f"/reports/group?coach={COACH.replace(' ', '+')}"


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return kept_in(tmp_path_factory.mktemp("kept") / "kept.db", date.today())


@pytest.fixture
def kept(settings: Settings, once: Path) -> None:
    copyfile(once, settings.database.removeprefix("sqlite:///"))


def test_reports_are_found_from_the_list_and_from_the_player(site: Pages) -> None:
    listed = site.get("/reports")
    assert ASHS in listed.text and GROUP in listed.text
    assert ASHS in site.get(f"/players/{ASH.id}").text
    for name in ("For the player", "For the family", "For the team coach", "For you, the coach"):
        assert name in site.get(ASHS).words


@pytest.mark.parametrize(
    ("reader", "heading", "own"),
    [
        ("player", "Invented Ash", "What you do well"),
        ("parent", "For the family of Invented Ash", "Care and load"),
        ("team", "For the team coach: Invented Ash", "What not to say"),
        ("coach", "Everything on Invented Ash", "How the findings were read"),
    ],
)
def test_each_report_is_a_page_a_file_and_data(
    site: Pages, client: TestClient, reader: str, heading: str, own: str
) -> None:
    page = site.get(f"{ASHS}/{reader}")
    assert page.status == 200 and re.search(rf"<h1>{heading}\b", page.text)
    assert own in page.words and "invented" in page.words
    made = client.get(f"{ASHS}/{reader}.pdf")
    assert made.headers["content-type"] == "application/pdf" and made.content[:5] == b"%PDF-"
    assert made.headers["content-disposition"] == (
        f'attachment; filename="report-{reader}-{ASH.id}.pdf"'
    )
    data = json.loads(site.get(f"{ASHS}/{reader}?format=json").text)
    assert data["reader"] == reader and data["title"] == heading
    assert all(one["title"] in page.words for one in data["sections"])


def test_every_picture_of_a_page_is_there_in_light_and_dark(
    site: Pages, client: TestClient
) -> None:
    for reader in ("player", "parent", "coach"):
        addresses = re.findall(
            r'src(?:set)?="([^"]+\.svg[^"]*)"', site.get(f"{ASHS}/{reader}").text
        )
        assert addresses
        for address in addresses:
            found = client.get(address)
            assert found.status_code == 200 and found.text.startswith("<svg"), address


def test_a_grown_up_player_has_none_for_the_family(site: Pages) -> None:
    assert "For the family" not in site.get(BOS).words.replace("no report for the family", "")
    refused = site.get(f"{BOS}/parent")
    assert refused.status == 400 and "18 or older" in refused.words


@pytest.mark.parametrize("path", ["/group", "/nobody", "/nobody.pdf", "/player/landing-7.svg"])
def test_what_is_not_there_is_refused_in_words(site: Pages, path: str) -> None:
    assert site.get(ASHS + path).status == 404


def test_a_group_is_told_without_names_until_they_are_asked_for(
    site: Pages, client: TestClient
) -> None:
    page = site.get(GROUP)
    assert ASH.name not in page.words and "No names" not in page.words
    assert "Fewer than 5 players can be told from counts" in page.words
    link = re.search(r'href="([^"]+names=yes)"', page.text)
    assert link
    named = site.get(link[1].replace("&amp;", "&"))
    assert ASH.name in named.words and BO.name in named.words
    assert json.loads(site.get(GROUP + "&format=json").text)["reader"] == "group"
    made = client.get(GROUP.replace("/group?", "/group.pdf?"))
    assert made.content[:5] == b"%PDF-"
    assert made.headers["content-disposition"].startswith("attachment; ")
    assert site.get("/reports/group?coach=Nobody").status == 404
