"""Trials as a coach walks through them: planned, shot block by block, read, stopped."""

import json
import re
import xml.etree.ElementTree as ET
from uuid import uuid4

import pytest
from tests.web.site import Answer, Pages

from hoopwright.trials import power
from hoopwright.trials.nouns import Measure

SMALL = {"pairs": "5", "shots_per_block": "4", "washout": "1", "familiarisation": "0", "days": "1"}


@pytest.fixture(autouse=True)
def few_differences(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a plan can detect has its own tests; here a few simulated differences are enough."""
    few = {Measure.MAKE: (0.1, 0.4), Measure.ALONG: (0.02, 0.2), Measure.DISTANCE_CONTROL: (0.3,)}
    monkeypatch.setattr(power, "TRIED", few)


@pytest.fixture
def player(site: Pages) -> str:
    return site.player()


def planned(site: Pages, player: str, **fields: str) -> Answer:
    given = {"id": str(uuid4()), "what": "Do turned feet help?", "change": "feet turned",
             "topic": "feet turn", "seed": "7"} | SMALL | fields  # fmt: skip
    return site.post(player + "/trials/new", **given)


def trial(site: Pages, player: str, **fields: str) -> str:
    answer = planned(site, player, **fields)
    assert answer.status == 200 and answer.path.startswith("/trials/"), answer.words[:600]
    return answer.path


def begin(site: Pages, path: str, block: int) -> str:
    answer = site.post(path + "/begin", block=str(block), set=str(uuid4()))
    assert answer.path.startswith("/sets/"), answer.words[:600]
    return answer.path


def shoot(site: Pages, path: str, block: int, line: str) -> str:
    shot_set = begin(site, path, block)
    answer = site.post(shot_set + "/line", entry=str(uuid4()), line=line)
    assert answer.status == 200, answer.words
    return shot_set


def ways(site: Pages, path: str) -> list[str]:
    return [one["way"] for one in json.loads(site.get(path + "?format=json").text)["blocks"]]


def shoot_all(site: Pages, path: str, *, habit: str = "mssss", change: str = "mmmms") -> None:
    for number, way in enumerate(ways(site, path), start=1):
        shoot(site, path, number, change if way == "feet turned" else habit)


def test_before_the_start_it_says_what_it_can_and_cannot_tell(site: Pages, player: str) -> None:
    words = site.get(trial(site, player)).words
    assert "What this trial can tell" in words and "What it can't tell" in words
    assert re.search(r"Counting makes, it (finds a gain of \d+|would often miss even)", words)
    assert "10 blocks, 50 shots in all, about" in words and "minutes" in words
    assert "Seed 7" in words


def test_a_cheaper_measure_is_offered_and_fills_the_form_in(site: Pages, player: str) -> None:
    path = trial(site, player)
    link = re.search(r'href="([^"]+measure=along)"', site.get(path).text)
    assert link
    form = site.get(link[1].replace("&amp;", "&"))
    assert '<option value="along" selected>' in form.text
    assert form.value("change") == "feet turned" and form.value("pairs") == "5"
    other = trial(site, player, measure="along", replaces=form.value("replaces"))
    assert site.get(path).status == 404  # nothing of it was shot, so the new one took its place
    assert "decided on short or long" in site.get(other).words


def test_blocks_are_shot_in_order_and_the_set_page_says_which(site: Pages, player: str) -> None:
    path = trial(site, player)
    order = ways(site, path)
    first = begin(site, path, 1)
    words = site.get(first).words
    assert f"Block 1 of 10: {order[0]}" in words and "the first doesn't count" in words
    assert site.post(path + "/begin", block="1", set=str(uuid4())).path == first
    site.post(first + "/line", entry=str(uuid4()), line="mmsdm")
    page = site.get(first)
    assert f"Next, block 2: {order[1]}" in page.words
    assert "2 of 10 blocks" not in site.get(path).words
    assert "1 of 10 blocks shot" in site.get(path).words and "running" in site.get(path).words


def test_the_sets_of_blocks_carry_their_way(site: Pages, player: str) -> None:
    path = trial(site, player)
    order = ways(site, path)
    page = site.get(shoot(site, path, order.index("feet turned") + 1, "mmsdm"))
    assert '<span class="mark">feet turned</span>' in page.text
    page = site.get(shoot(site, path, order.index("habit") + 1, "mmsdm"))
    assert '<span class="quiet">habit</span>' in page.text


def test_the_verdict_gives_a_word_ranges_and_why_looking_is_allowed(
    site: Pages, player: str
) -> None:
    path = trial(site, player)
    assert "enter all blocks of the first pair" in site.get(path + "/verdict").words
    assert site.get(path + "/verdict.svg").status == 400
    shoot_all(site, path)
    answer = site.post(path + "/look")
    assert answer.path == path + "/verdict"
    words = answer.words
    assert re.search(r"makes: \+\d+ makes per 100 \(likely [+−]?\d+ to \+\d+; could be", words)
    assert "Habit: 0 of 20 made." in words and "Feet turned: 15 of 20 made." in words
    assert "Look as often as you like" in words and "in at most 5 of 100 trials" in words
    assert "it follows from the seed" in words
    assert "6 in 100 of the orders" in words  # 2 of 2^5 orders are as far out, either way
    assert "Looks that were noted: 1" in words
    data = json.loads(site.get(path + "/verdict?format=json").text)
    assert data["by_luck"] == pytest.approx(2 / 2**5)
    assert data["effect"]["makes_per_100"]["low80"] < data["effect"]["makes_per_100"]["value"]
    assert len(data["looks"]) == 5
    assert "ended" in site.get(path).words


def test_the_picture_has_alt_text_and_numbers_beside_it(site: Pages, player: str) -> None:
    path = trial(site, player)
    shoot_all(site, path)
    text = site.get(path + "/verdict").text
    found = re.search(r'<img src="([^"]+)" alt="([^"]+)"', text)
    assert found and "Makes: +" in found[2]
    answer = site.client.get(found[1])
    assert answer.headers["content-type"] == "image/svg+xml"
    assert ET.fromstring(answer.text).tag.endswith("svg")
    assert "vconcat" in site.client.get(path + "/verdict.json").json()


def test_the_order_is_printed(site: Pages, player: str) -> None:
    answer = site.client.get(trial(site, player) + "/order.pdf?paper=letter")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")


BAD = [
    ({"change": ""}, "change", "Say what is tried"),
    ({"change": "Habit"}, "change", "other than the habit's"),
    ({"pairs": "2"}, "pairs", "5 to 500"),
    ({"pairs": "many"}, "pairs", "not a whole number"),
    ({"shots_per_block": "1"}, "shots_per_block", "from 4 to 200"),
    ({"start": "soon"}, "start", "not a day"),
    ({"stop": "2020-01-01"}, "stop", "before the first day"),
    ({"spot": "the moon"}, "spot", "not in the list"),
    ({"smallest": "0"}, "smallest", "above zero"),
    ({"seed": "-3"}, "seed", "whole number from 0"),
    ({"measure": "entry angle", "better": "steadier"}, "better", "Steadier is for"),
    ({"measures_watched": "0"}, "measures_watched", "Between 1 and 100"),
]


@pytest.mark.parametrize(("fields", "beside", "said"), BAD, ids=[str(one[0]) for one in BAD])
def test_bad_input_is_said_beside_the_field_and_nothing_typed_is_lost(
    site: Pages, player: str, fields: dict[str, str], beside: str, said: str
) -> None:
    answer = planned(site, player, **({"also": "new shoes"} | fields))
    assert answer.status == 400
    assert said in answer.trouble(beside)
    assert answer.value("what") == "Do turned feet help?" and answer.value("also") == "new shoes"
    assert "No trial yet" in site.get(player + "/trials").words


def test_a_trial_is_made_longer_stopped_and_removed(site: Pages, player: str) -> None:
    path = trial(site, player)
    answer = site.post(path + "/longer", pairs="0", planned="5")
    assert "Add from 1 to 100" in answer.trouble("pairs")
    site.post(path + "/longer", pairs="2", planned="5")
    site.post(path + "/longer", pairs="2", planned="5")  # sent twice
    assert "0 of 14 blocks shot" in site.get(path).words
    assert site.post(path + "/stop", reason="").status == 400
    site.post(path + "/stop", reason="The season began.")
    words = site.get(path).words
    assert "Stopped: The season began." in words and "Shoot block" not in words
    assert site.post(path + "/begin", block="1", set=str(uuid4())).status == 400
    assert site.post(path + "/remove").path == player + "/trials"
    assert site.get(path).status == 404


def test_a_block_is_ended_early_only_when_a_shot_counts(site: Pages, player: str) -> None:
    path = trial(site, player)
    shot_set = begin(site, path, 1)
    assert "no shot that counts" in site.post(path + "/finish", block="1").words
    site.post(shot_set + "/line", entry=str(uuid4()), line="mms")
    site.post(path + "/finish", block="1")
    assert "1 of 10 blocks shot" in site.get(path).words


def test_trials_are_on_the_players_page_with_their_state(site: Pages, player: str) -> None:
    path = trial(site, player)
    assert "Feet turned planned against habit" in site.get(player).words
    shoot_all(site, path)
    site.post(path + "/look")
    words = site.get(player + "/trials").words
    assert "10 of 10 blocks" in words and "at the last look" in words


def test_a_technique_is_tried_in_phases(site: Pages, player: str) -> None:
    answer = planned(site, player, topic="dip", change="deeper dip", pairs="1", days="2",
                     shots_per_block="5", washout="0", familiarisation="10")  # fmt: skip
    words = site.get(answer.path).words
    assert "Technique has to be learnt" in words and "cold tests" in words
    assert "Make it longer" not in words
    assert "getting used to it" in words and "10 shots" in words


def test_phases_are_read_with_their_warnings(site: Pages, player: str) -> None:
    answer = planned(site, player, topic="dip", change="deeper dip", pairs="1", days="2",
                     shots_per_block="5", washout="0", familiarisation="10")  # fmt: skip
    blocks = json.loads(site.get(answer.path + "?format=json").text)["blocks"]
    for one in blocks:
        line = {"habit": "mssss"}.get(one["way"], "mmmms")
        shoot(site, answer.path, one["block"], line * (one["shots"] // 5))
    words = site.get(answer.path + "/verdict").words
    assert "Habit came first and the change later" in words
    assert "No coin was thrown for this order" in words and "only the two cold tests" in words


def test_a_trial_decided_on_landings_is_said_in_centimetres(site: Pages, player: str) -> None:
    path = trial(site, player, measure="along", change="deeper aim", topic="aim point")
    for number, way in enumerate(ways(site, path), start=1):
        shot_set = begin(site, path, number)
        middle = 6 if way == "deeper aim" else -6
        shots = [{"id": str(uuid4()), "made": i % 2 == 0, "across_cm": 1,
                  "along_cm": middle + 3 * (i - 2) + number % 3} for i in range(5)]  # fmt: skip
        answer = site.client.post(shot_set + "/shots", json={"shots": shots})
        assert answer.status_code == 200, answer.text
    words = site.get(path + "/verdict").words
    assert re.search(
        r"short or long: \d+\.\d cm longer \(likely \d+\.\d to \d+\.\d cm longer", words
    )
    spec = site.client.get(path + "/verdict.json").json()
    titles = [one["layer"][1]["encoding"]["x"]["title"] for one in spec["vconcat"]]
    assert titles == ["cm", "makes per 100 shots"]


def test_feel_goes_with_the_shot_it_was_said_of(site: Pages, player: str) -> None:
    shot_set = site.set(player)
    shots = [{"id": str(uuid4()), "made": True, "feel": 8}, {"id": str(uuid4()), "made": False}]
    answer = site.client.post(shot_set + "/shots", json={"shots": shots})
    assert answer.status_code == 200
    page = site.get(f"{shot_set}/shots/{shots[0]['id']}")
    assert page.value("feel") == "8"
    site.post(f"{shot_set}/shots/{shots[0]['id']}", result="missed")  # feel left as it was
    assert site.get(f"{shot_set}/shots/{shots[0]['id']}").value("feel") == "8"
    words = site.get(player + "/feel").words
    assert "1 shot with a feel so far" in words


@pytest.mark.parametrize("feel", [11, -1, "high", True], ids=str)
def test_a_feel_out_of_range_is_refused(site: Pages, player: str, feel: object) -> None:
    sent = {"shots": [{"id": str(uuid4()), "made": True, "feel": feel}]}
    to_json = {"accept": "application/json"}
    answer = site.client.post(site.set(player) + "/shots", json=sent, headers=to_json)
    assert answer.status_code == 400 and "from 0 to 10" in answer.json()["error"]


def test_what_feel_knows_is_told_for_one_and_for_all(site: Pages, player: str) -> None:
    shot_set = site.set(player)
    shots = [{"id": str(uuid4()), "made": i % 3 > 0, "feel": 3 + 4 * (i % 3 > 0) + i % 2}
             for i in range(60)]  # fmt: skip
    site.client.post(shot_set + "/shots", json={"shots": shots})
    words = site.get(player + "/feel").words
    assert "the one that felt better was the made one" in words and "a coin gets 50" in words
    assert re.search(r"\d+ times in 100 \(likely \d+ to \d+; could be \d+ to \d+\)", words)
    words = site.get("/feel").words
    assert "Invented Ash" in words and "Trust feel" in words


def test_one_question_is_read_over_players_without_names(site: Pages) -> None:
    for name in ("Invented Bo", "Invented Cy"):
        shoot_all(site, trial(site, site.player(name)))
    link = re.search(r'href="(/trials/together/read[^"]+)"', site.get("/trials/together").text)
    assert link
    address = link[1].replace("&amp;", "&")
    page = site.get(address)
    assert "Over 2 players, feet turned against habit (makes): +" in page.words
    assert "The next player like these" in page.words and "Invented Bo" not in page.words
    assert "Can't tell yet how much players differ: 3 more players" in page.words
    assert "Invented Bo" in site.get(address + "&names=yes").words
    picture = site.client.get(address.replace("/read?", "/read.svg?"))
    assert ET.fromstring(picture.text).tag.endswith("svg")


def test_a_question_nobody_has_is_not_there(site: Pages, player: str) -> None:
    assert site.get("/trials/together/read?coach=&change=x&measure=make").status == 404
    assert "No trial yet" in site.get("/trials/together").words


@pytest.mark.usefixtures("sample_reading")
def test_a_finding_starts_a_trial_filled_in(site: Pages, player: str) -> None:
    shot_set = site.set(player)
    site.post(shot_set + "/line", entry=str(uuid4()), line="mmsmd mmmsx")
    link = re.search(r'href="([^"]+idea=6[^"]+)">Try it in a trial', site.get(
        player + "/findings").text)  # fmt: skip
    assert link
    form = site.get(link[1])
    assert form.value("change") == "6 cm deeper aim"
    assert '<option value="along" selected>' in form.text
    assert '<option value="aim point" selected>' in form.text
    answer = site.post(player + "/trials/new", id=str(uuid4()), change=form.value("change"),
                       what=form.value("what"), topic="aim point", measure="along",
                       spot="free throw", **SMALL)  # fmt: skip
    page = site.get(begin(site, answer.path, 1))
    assert "data-ring" in page.text and "Tap where each comes down" in page.words
