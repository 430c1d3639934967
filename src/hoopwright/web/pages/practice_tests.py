"""A test that a plan books: beginning it, spot by spot, or leaving it out."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid4

from starlette.responses import Response

from hoopwright.actions import load, plans, shots
from hoopwright.actions.plans import PlanView, TestBegin
from hoopwright.errors import NotFound
from hoopwright.plans.nouns import BookedTest
from hoopwright.records import ShotSet
from hoopwright.reports.practice_words import TEST_NAMES, target_sentence
from hoopwright.web.pages.practice_wish import same_place
from hoopwright.web.visit import WHO, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotTest:
    """What of a test is shot from one spot."""

    #: place in the test's spots, from 0
    number: int
    name: str
    shots: int
    #: the set it is charted in; None where it was not begun
    begun: ShotSet | None
    #: id for the set to come
    new_id: UUID


def shown(visit: Visit) -> Response:
    """Show a booked test."""
    view, test = _test(visit)
    row = next(one for one in view.tests if (one.kind, one.day) == (test.kind, test.day))
    begun = [shots.get_set(visit.session, one) for one in row.set_ids]
    return visit.page(
        "plan_test.html",
        view=view,
        plan=view.plan,
        player=view.player,
        test=test,
        row=row,
        title=TEST_NAMES[test.kind],
        target=target_sentence(test.target, test.shots),
        spots=_spots(test, begun),
        reading=load.cautions_for(visit.session, view.player.id, date.today()),
        today=date.today().isoformat(),
    )


def begin(visit: Visit) -> Response:
    """Begin a test from one spot: it is charted like any set."""
    view, test = _test(visit)
    fields = visit.fields
    asked = TestBegin(
        plan_id=view.plan.id,
        kind=test.kind,
        booked=test.day,
        spot=fields.whole("spot", "The spot", default=0),
        set_id=fields.identity("set"),
        on=fields.day("on"),
    )
    fields.check()
    made = plans.begin_test(visit.session, asked, who=WHO)
    return visit.go("shot_set", set=made.id)


def skip(visit: Visit) -> Response:
    """Say that a test will not be taken, or that it will after all."""
    view, test = _test(visit)
    plans.skip_test(
        visit.session,
        view.plan.id,
        kind=test.kind,
        booked=test.day,
        who=WHO,
        skipped=visit.fields.text("skipped") != "no",
    )
    return visit.go("plan", plan=view.plan.id)


def _test(visit: Visit) -> tuple[PlanView, BookedTest]:
    view = plans.view_plan(visit.session, visit.id("plan"))
    asked = (visit.request.path_params["kind"], visit.request.path_params["day"])
    for one in view.plan.tests:
        if (one.kind.value, one.day.isoformat()) == asked:
            return view, one
    raise NotFound("This plan books no such test; look at its list of tests.")


def _spots(test: BookedTest, begun: list[ShotSet]) -> list[SpotTest]:
    """Return what is shot from each spot: as many from each, the first ones the odd ones."""
    each, odd = divmod(test.shots, len(test.spots))
    left, found = list(begun), []
    for i, spot in enumerate(test.spots):
        mine = next((one for one in left if same_place(one.spot, spot)), None)
        if mine is not None:
            left.remove(mine)
        count = each + (i < odd)
        if count or mine is not None:
            found.append(
                SpotTest(number=i, name=spot.name, shots=count, begun=mine, new_id=uuid4())
            )
    return found
