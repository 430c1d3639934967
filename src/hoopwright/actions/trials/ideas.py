"""What is worth a trial: what the findings weigh highest, what goes with where the ball goes."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.links import player_links
from hoopwright.actions.reports import read_player
from hoopwright.chart.findings import Change, Findings, Worth
from hoopwright.film.links.found import Link, Outcome, TrialIdea, Way
from hoopwright.film.results import Body
from hoopwright.records import Estimate, Spot
from hoopwright.reports.facts import change_name
from hoopwright.reports.link_facts import link_sentence, trial_name
from hoopwright.trials.nouns import Better, Measure, Question, Topic

#: most changes of the findings that are offered
MOST = 3
_TOPICS = {
    Body.STANCE_WIDTH: Topic.STANCE_WIDTH,
    Body.STANCE_TURN: Topic.FEET_TURN,
    Body.ELBOW_FLARE: Topic.ELBOW,
    Body.DIP_DEPTH: Topic.DIP,
    Body.KNEE_DIP: Topic.LEGS,
    Body.ELBOW_DIP: Topic.DIP,
    Body.SHOULDER_DIP: Topic.DIP,
    Body.TRUNK_DIP: Topic.DIP,
    Body.KNEE_SET: Topic.LEGS,
    Body.ELBOW_SET: Topic.SET_POINT,
    Body.SHOULDER_SET: Topic.SET_POINT,
    Body.TRUNK_SET: Topic.SET_POINT,
    Body.WRIST_SET: Topic.HAND_UNDER_BALL,
    Body.DIP_TO_RELEASE: Topic.RELEASE_TIME,
    Body.SET_TO_RELEASE: Topic.RELEASE_TIME,
    Body.RELEASE_TO_TOE_OFF: Topic.RELEASE_TIME,
    Body.RELEASE_TO_APEX: Topic.RELEASE_TIME,
    Body.JUMP_RISE: Topic.LEGS,
    Body.BODY_SPEED: Topic.LEGS,
    Body.HOLD: Topic.FOLLOW_THROUGH,
}
_CHANGES = {
    Change.AIM_ALONG: (Topic.AIM_POINT, Measure.ALONG),
    Change.AIM_ACROSS: (Topic.AIM_POINT, Measure.ACROSS),
    Change.DISTANCE_CONTROL: (Topic.OTHER, Measure.DISTANCE_CONTROL),
    Change.LINE_CONTROL: (Topic.OTHER, Measure.LINE_CONTROL),
    Change.ANGLE_UP: (Topic.RELEASE_ANGLE, Measure.MAKE),
    Change.ANGLE_DOWN: (Topic.RELEASE_ANGLE, Measure.MAKE),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Idea:
    """A trial that could be planned."""

    question: Question
    #: why, in one or two sentences
    why: str
    #: what it is likely to bring; None where that isn't known
    makes_per_100: Estimate | None = None


def trial_ideas(session: Session, player_id: UUID) -> tuple[Idea, ...]:
    """Return what is worth a trial for a player, the findings' first; none where nothing is known.

    Raises
    ------
    NotFound
        There is no such player.
    """
    reading = read_player(session, player_id)
    if reading.findings is None:
        return ()
    links = player_links(session, player_id)
    spots = _usual_spots(reading.findings)
    return (*ideas_of_findings(reading.findings), *_from_links(links, spots))


def ideas_of_findings(findings: Findings) -> tuple[Idea, ...]:
    """Return the changes of a player's findings that are worth a trial."""
    return tuple(_from_findings(findings, _usual_spots(findings)))


def question_of_worth(worth: Worth, spots: Sequence[Spot]) -> Question:
    """Return the trial that a change of the findings asks for.

    Parameters
    ----------
    worth
        The change with its size.
    spots
        Where to shoot from.
    """
    topic, measure = _CHANGES[worth.change]
    name = change_name(worth)
    return Question(
        what=f"Does {name} put more shots in?",
        change=name,
        topic=topic,
        measure=measure,
        better=Better.MORE if worth.amount > 0 else Better.LESS,
        spots=tuple(spots),
    )


def question_of_link(idea: TrialIdea, *, slope: float, spots: Sequence[Spot]) -> Question:
    """Return the trial that a link between body and ball asks for.

    It is decided on where the ball goes, not on the body: a body that moved proves nothing yet.

    Parameters
    ----------
    idea
        What to move, and which way.
    slope
        Change of the outcome with more of the measure.
    spots
        Where to shoot from.
    """
    name = trial_name(idea)
    across = idea.outcome is Outcome.ACROSS
    if idea.way is Way.STEADIER:
        measure = Measure.LINE_CONTROL if across else Measure.DISTANCE_CONTROL
    else:
        measure = Measure.ACROSS if across else Measure.ALONG
    rises = (slope > 0) == (idea.way is Way.MORE)
    return Question(
        what=f"Does {name} bring the ball where it should go?",
        change=name,
        topic=_TOPICS.get(idea.measure, Topic.OTHER),
        measure=measure,
        better=Better.MORE if rises else Better.LESS,
        spots=tuple(spots),
    )


def _usual_spots(findings: Findings) -> tuple[Spot, ...]:
    """Return the spot most shot from; a second one would only add noise."""
    spots = findings.conditions[0].spots
    return (max(spots, key=lambda one: one.shots).spot,)


def _from_findings(findings: Findings, spots: Sequence[Spot]) -> list[Idea]:
    gaining = [one for one in findings.conditions[0].worth if one.makes_per_100.value > 0]
    return [
        Idea(
            question=question_of_worth(one, spots),
            why="The chart says that this would pay; a trial says whether it does.",
            makes_per_100=one.makes_per_100,
        )
        for one in gaining[:MOST]
    ]


def _from_links(links: Sequence[Link], spots: Sequence[Spot]) -> list[Idea]:
    return [
        Idea(
            question=question_of_link(one.trial, slope=one.slope.value, spots=spots),
            why=link_sentence(one),
        )
        for one in links
        if one.trial is not None and one.slope is not None
    ]
