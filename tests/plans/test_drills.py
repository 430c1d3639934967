import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from tests.plans.plan_samples import WISH, turned

from hoopwright.court.frame import spot_named
from hoopwright.errors import BadInput, UnknownName
from hoopwright.plans.drills import TEXTS, checked_drill, drill_of, fitting, library, with_drill
from hoopwright.plans.nouns import ALL_FEATURES, Drill, FocusKind, Stage
from hoopwright.records import Spot

DRILLS = library()
#: signs of a brand or an owner in print
OWNED = re.compile(r"®|™|©|\b(Inc|Ltd|Corp|LLC|App)\b")


def test_the_library_has_enough_of_every_stage() -> None:
    counts = Counter(one.stage for one in DRILLS)
    assert len(DRILLS) >= 35
    assert all(counts[stage] >= 6 for stage in Stage)


@pytest.mark.parametrize("drill", DRILLS, ids=lambda d: d.key)
def test_every_drill_has_every_field(drill: Drill) -> None:
    assert checked_drill(drill) == drill
    assert all(len(getattr(drill, name)) >= 4 for name in TEXTS)
    assert not OWNED.search(" ".join(getattr(drill, name) for name in TEXTS))
    assert all(spot_named(name) for name in drill.spots)
    assert not drill.own


def test_keys_and_names_are_different() -> None:
    assert len({one.key for one in DRILLS}) == len({one.name for one in DRILLS}) == len(DRILLS)


@pytest.mark.parametrize("drill", DRILLS, ids=lambda d: d.key)
def test_no_drill_measures_makes_it_stops_on(drill: Drill) -> None:
    """Fixed attempts are measured; a drill that stops on makes says that attempts are logged."""
    said = f"{drill.set_up} {drill.count}".lower()
    assert ("attempts" in said) or not drill.stops_on_makes
    # no standard that would hold for everybody
    assert "%" not in said + drill.progress


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("kind", [k for k in FocusKind if k is not FocusKind.TRANSFER])
def test_every_focus_has_a_drill_of_every_stage(stage: Stage, kind: FocusKind) -> None:
    """But for practice that goes to games, which does not begin close in."""
    assert any(kind in one.serves for one in DRILLS if one.stage is stage)


def test_fitting_takes_what_can_be_done_and_serves_the_focus_first() -> None:
    alone = fitting(DRILLS, Stage.GAME_LIKE, WISH)
    assert alone and all(one.players_low == 1 for one in alone)
    assert WISH.focus.kind in alone[0].serves
    together = fitting(DRILLS, Stage.GAME_LIKE, replace(WISH, players=4))
    assert len(together) > len(alone)
    assert fitting(DRILLS, Stage.BLOCKED, replace(WISH, features=("wall",))) == ()
    wall = fitting(DRILLS, Stage.CLOSE, replace(turned(), features=("wall",)))
    assert {"wall-shots", "lying-flicks"} == {one.key for one in wall}


def test_no_drill_lies_beyond_the_players_reach() -> None:
    near = replace(WISH, spots=(Spot(name="close", x=0.0, y=2.5),))
    for stage in Stage:
        for one in fitting(DRILLS, stage, near):
            assert all(spot_named(name).distance <= 2.8 for name in one.spots)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"purpose": "  "}, "needs its purpose"),
        ({"name": "x" * 401}, "room for 400"),
        ({"key": "Five Spots"}, "short name"),
        ({"players_low": 0}, "1 to 24 players"),
        ({"players_low": 5, "players_high": 4}, "1 to 24 players"),
        ({"shots_per_minute": 0.0}, "pace"),
        ({"shots_per_minute": float("nan")}, "pace"),
        ({"serves": ()}, "which focus"),
        ({"needs": ("trampoline",)}, "trampoline"),
        ({"spots": ("the moon",)}, "the moon"),
    ],
)
def test_a_drill_that_cannot_be_right_is_refused(change: dict[str, object], said: str) -> None:
    drill = replace(DRILLS[0], **change)  # type: ignore[arg-type]
    with pytest.raises(BadInput, match=said):
        with_drill(DRILLS, drill)


def test_an_own_drill_is_added_and_changed_and_nothing_else() -> None:
    mine = replace(DRILLS[0], key="my-drill", name=" My   drill ")
    more = with_drill(DRILLS, mine)
    assert more[:-1] == DRILLS and more[-1].name == "My drill" and more[-1].own
    again = with_drill(more, replace(mine, name="My better drill"))
    assert len(again) == len(more) and drill_of(again, "my-drill").name == "My better drill"
    with pytest.raises(UnknownName, match="no-such"):
        drill_of(again, "no-such")


def test_the_features_drills_need_are_known() -> None:
    assert {need for one in DRILLS for need in one.needs} == set(ALL_FEATURES)


def test_the_docs_name_the_number_of_drills() -> None:
    docs = Path(__file__).parents[2] / "docs" / "practice.md"
    assert f"{len(DRILLS)} drills" in docs.read_text("utf-8")
