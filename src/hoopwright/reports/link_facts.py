"""What was found of links from body to ball, in sentences; "goes with", never "because"."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.film.links.found import Link, Outcome, Said, TrialIdea
from hoopwright.film.results import Body
from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.units import to_centimetres, to_degrees

#: unit → (factor from SI, sign after the number, decimals)
_UNITS = {
    "cm": (to_centimetres(1.0), " cm", 0),
    "deg": (to_degrees(1.0), "°", 0),
    "ms": (1000.0, " ms", 0),
    "m/s": (1.0, " m/s", 2),
    "share": (100.0, " % of stature", 1),
}
#: what was seen where a measure was larger, and the unit it is said in
_MORE: dict[Body, tuple[str, str]] = {
    Body.STANCE_WIDTH: ("your stance was wider", "cm"),
    Body.STANCE_TURN: ("your feet were turned further to the non-shooting side", "deg"),
    Body.HIP_TURN: ("your hips were turned further to the non-shooting side", "deg"),
    Body.SHOULDER_TURN: ("your shoulders were turned further to the non-shooting side", "deg"),
    Body.SIGHT_LINE: ("your wrist was further to the shooting side of the sight line", "cm"),
    Body.ELBOW_FLARE: ("your elbow was further out", "deg"),
    Body.DIP_DEPTH: ("your dip was deeper", "cm"),
    Body.KNEE_DIP: ("your knees were straighter at the dip", "deg"),
    Body.KNEE_SET: ("your knees were straighter at the set point", "deg"),
    Body.KNEE_RELEASE: ("your knees were straighter at release", "deg"),
    Body.ELBOW_DIP: ("your elbow was straighter at the dip", "deg"),
    Body.ELBOW_SET: ("your elbow was straighter at the set point", "deg"),
    Body.ELBOW_RELEASE: ("your elbow was straighter at release", "deg"),
    Body.SHOULDER_DIP: ("your upper arm was higher at the dip", "deg"),
    Body.SHOULDER_SET: ("your upper arm was higher at the set point", "deg"),
    Body.SHOULDER_RELEASE: ("your upper arm was higher at release", "deg"),
    Body.TRUNK_DIP: ("you leaned further forward at the dip", "deg"),
    Body.TRUNK_SET: ("you leaned further forward at the set point", "deg"),
    Body.TRUNK_RELEASE: ("you leaned further forward at release", "deg"),
    Body.WRIST_SET: ("your hand was further under the ball at the set point", "deg"),
    Body.DIP_TO_RELEASE: ("dip to release took longer", "ms"),
    Body.SET_TO_RELEASE: ("set point to release took longer", "ms"),
    Body.RELEASE_TO_TOE_OFF: ("you released later after toe-off", "ms"),
    Body.RELEASE_TO_APEX: ("you released later in the jump", "ms"),
    Body.JUMP_RISE: ("you jumped higher", "cm"),
    Body.BODY_SPEED: ("your body rose faster at release", "m/s"),
    Body.ARM_SPEED: ("your arm gave more of the speed", "m/s"),
    Body.RELEASE_RATIO: ("you released higher", "share"),
    Body.HOLD: ("you held the finish longer", "ms"),
}
#: what the ball did for less and for more of an outcome, its unit, and what it is called
_BALL: dict[Outcome, tuple[str, str, str, str]] = {
    Outcome.ALONG: ("the ball went shorter", "the ball went longer", "cm", "short/long"),
    Outcome.ACROSS: (
        "the ball went further left", "the ball went further right", "cm", "left/right",
    ),
    Outcome.SPEED: ("the ball left slower", "the ball left faster", "m/s", "release speed"),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkFacts:
    """What a report says of the links of one player."""

    #: each link worth a trial, and the trial it would start
    worth: tuple[tuple[str, TrialIdea], ...]
    cannot_tell: tuple[str, ...]
    none_seen: tuple[str, ...]
    #: how to read them
    note: str


def link_facts(links: Sequence[Link]) -> LinkFacts:
    """Say in sentences what was found of links."""
    return LinkFacts(
        worth=tuple((link_sentence(one), one.trial) for one in links if one.trial is not None),
        cannot_tell=_sentences(links, Said.CANNOT_TELL),
        none_seen=_sentences(links, Said.NONE_SEEN),
        note=(
            "A link says that two things went together, not that one made the other; only a trial "
            "can show that. So many were looked at that luck is counted: a player without any "
            "link gets one named in at most 1 case in 20."
        ),
    )


def _sentences(links: Sequence[Link], said: Said) -> tuple[str, ...]:
    return tuple(link_sentence(one) for one in links if one.said is said)


def link_sentence(link: Link) -> str:
    """Return one link in plain words, with its range."""
    if link.said is Said.WORTH_A_TRIAL and link.slope is not None:
        return _worth(link, link.slope)
    about = f"{link.measure.value} and {_BALL[link.outcome][3]}"
    if link.said is Said.NONE_SEEN and link.slope is not None:
        return (
            f"No link seen between {about}: {_per(link, link.slope)} "
            f"in {words.plural(link.shots, 'filmed shot')}."
        )
    return f"Can't tell yet about {about}: {_needed(link)}."


def _worth(link: Link, slope: Estimate) -> str:
    less, more, _, _ = _BALL[link.outcome]
    went = more if slope.value > 0.0 else less
    with_it = ""
    if link.together:
        names = words.listed([one.value for one in link.together])
        with_it = f" It moves together with {names}: the link may be theirs."
    return f"When {_MORE[link.measure][0]}, {went}: {_per(link, slope)}. Worth a trial.{with_it}"


def _per(link: Link, slope: Estimate) -> str:
    """Return e.g. ``4 cm per 3 cm (likely 2 to 6)``, positive the way that is named."""
    turned = -1.0 if slope.value < 0.0 and link.said is Said.WORTH_A_TRIAL else 1.0
    ends = sorted(turned * end for end in (slope.low80, slope.high80))
    factor, sign, places = _UNITS[_BALL[link.outcome][2]]
    value, low, high = (_number(factor * x, places) for x in (turned * slope.value, *ends))
    return f"{value}{sign} per {_own(link)} (likely {low} to {high})"


def _own(link: Link) -> str:
    factor, sign, places = _UNITS[_MORE[link.measure][1]]
    size = factor * link.own_sd
    # a spread that rounds to nothing would make no sense as a step
    return f"{_number(size, places if round(size, places) else places + 1)}{sign}"


def _number(value: float, places: int) -> str:
    said = f"{value:.{places}f}".replace("-", "−")
    return said if said.strip("−0.") else said.lstrip("−")


def _needed(link: Link) -> str:
    if link.beyond:
        return "even 400 more filmed shots would not tell"
    if link.shots_needed is None:
        return (
            "it changes less from shot to shot than this film can see; film closer, steadier or "
            "with more frames a second"
        )
    return f"about {link.shots_needed} more filmed shots would tell"


def trial_name(idea: TrialIdea) -> str:
    """Return what the trial would try, e.g. ``more dip depth``."""
    return f"{idea.way.value} {idea.measure.value}"
