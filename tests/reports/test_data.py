import json
import math
from dataclasses import replace

from tests.reports.samples import SHORT, SHORT_READING, around

from hoopwright.reports.data import findings_data


def test_findings_are_plain_values_with_units_in_their_names() -> None:
    data = findings_data(SHORT)
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert data["player"] == "Invented Ash"
    assert data["aim"]["along_cm"]["value"] == -6.0
    assert data["make"]["per_100"]["low95"] < data["make"]["per_100"]["high95"]
    worth = {row["change"]: row for row in data["worth"]}
    assert worth["aim_along"]["amount_cm"] == 6.0
    assert worth["distance_control"]["amount_percent"] == 10.0
    assert worth["angle_up"]["amount_deg"] == 2.0
    assert data["cannot_tell"] == [
        {"question": "angle", "shots_needed": None, "more_than_tried": False}
    ]


def test_further_conditions_follow_the_first() -> None:
    change = replace(SHORT_READING, condition="feet turned")
    data = findings_data(replace(SHORT, conditions=(SHORT_READING, change)))
    assert [one["condition"] for one in data["other_conditions"]] == ["feet turned"]


def test_a_number_that_could_not_be_worked_out_is_null() -> None:
    lost = replace(SHORT_READING, make=around(math.nan, 0.1))
    data = findings_data(replace(SHORT, conditions=(lost,)))
    assert data["make"]["per_100"]["value"] is None
    json.dumps(data, allow_nan=False)
