"""The drill library on the pages: looked up, added to, changed, given back."""

from tests.web.site import Pages

OWN_DRILL = {
    "name": "Invented Ladder", "stage": "varied", "purpose": "Distances.", "set_up": "Four cones.",
    "suits": "Everyone.", "count": "Makes of 20.", "progress": "A step back.",
    "equipment": "ball, cones", "ring_and_ball": "As usual.", "players_low": "1",
    "players_high": "3", "shots_per_minute": "4,5", "serves-DISTANCE_CONTROL": "yes",
    "needs-basket": "yes", "spot-top": "yes",
}  # fmt: skip


def test_drills_are_looked_up(site: Pages) -> None:
    everything = site.get("/drills").words
    assert "Step-back ladder" in everything and "Knockout" in everything
    found = site.get("/drills?word=ladder&stage=close form work").words
    assert "Step-back ladder" in found and "Knockout" not in found
    assert "0 drills" in site.get("/drills?word=zzz").words
    assert "Set-up" in site.get("/drills/step-back-ladder").words
    assert site.get("/drills/none-such").status in (400, 404)


def test_a_drill_of_ones_own_is_added_changed_and_removed(site: Pages) -> None:
    answer = site.post("/drills/new", **OWN_DRILL)
    assert answer.path == "/drills/invented-ladder"
    assert "1 to 3, about 4.5 shots a minute" in answer.words and "top" in answer.words
    assert "already" in site.post("/drills/new", **OWN_DRILL).trouble("name")
    answer = site.post(answer.path + "/change", **(OWN_DRILL | {"purpose": "Other distances."}))
    assert "Other distances." in answer.words
    assert "Invented Ladder" not in site.post("/drills/invented-ladder/remove").words


def test_a_changed_drill_is_given_back_as_it_came(site: Pages) -> None:
    before = site.get("/drills/knockout").words
    changed = OWN_DRILL | {"name": "Knockout"}
    assert "Four cones." in site.post("/drills/knockout/change", **changed).words
    site.post("/drills/knockout/remove")
    assert site.get("/drills/knockout").words == before


BAD_DRILLS = [
    ("name", "", "needs its name"),
    ("purpose", "", "needs its purpose"),
    ("set_up", "x" * 500, "room for 400"),
    ("players_low", "9", "the fewest not above the most"),
    ("shots_per_minute", "0", "0.2 to 30"),
    ("shots_per_minute", "fast", "not a number"),
    ("serves-DISTANCE_CONTROL", "", "which focus"),
    ("stage", "warm-up", "not in the list"),
]  # fmt: skip


def test_a_drill_that_cannot_be_is_refused_and_kept_on_the_form(site: Pages) -> None:
    for field, typed, said in BAD_DRILLS:
        answer = site.post("/drills/new", **(OWN_DRILL | {field: typed}))
        assert answer.status == 400 and said in answer.words, field
        assert answer.trouble(field.split("-")[0])
        assert answer.value("count") == "Makes of 20."
