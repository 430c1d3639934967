"""The invented academy: who is in it. All names are made up; nobody here exists."""

from dataclasses import dataclass
from enum import StrEnum

from hoopwright.chart.simulate import Style
from hoopwright.records import Hand

#: marks whatever belongs to the academy, wherever it is shown
MARK = "(invented)"
ACADEMY = f"Fennimoor Shooting Academy {MARK}"


class Trait(StrEnum):
    """What sets a player's shot apart from others of the same age."""

    PLAIN = "plain"
    SHORT = "short"
    LONG = "long"
    LEFT = "left"
    RIGHT = "right"
    FLAT = "flat"
    SCATTERED = "scattered"
    STEADY = "steady"


class Share(StrEnum):
    """How much of the eight weeks a player was there for."""

    ALL = "all"
    #: one short visit: too few shots to tell anything
    ONE_VISIT = "one visit"
    #: joined, not charted yet
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A coach's players and where they shoot from."""

    coach: str
    rules: str
    #: names of spots, or metres straight in front of the ring
    spots: tuple[str | float, ...]
    #: sets of ten in one visit; common practice for the age, no source
    sets_a_visit: int


@dataclass(frozen=True, slots=True)
class Member:
    """One player of the academy."""

    name: str
    age: int
    #: stature [m]
    height: float
    ball_size: int
    #: [m]
    ring_height: float
    style: Style
    trait: Trait = Trait.PLAIN
    hand: Hand = Hand.RIGHT
    #: what is tried from the fourth week on; "" for nothing
    condition: str = ""
    share: Share = Share.ALL


_LEFT = Hand.LEFT

MINIS = Group(
    coach=f"Coach Birka Tollund {MARK}",
    rules="fiba-mini",
    spots=("left block", 3.0, "right block", "free throw"),
    sets_a_visit=3,
)
YOUTH = Group(
    coach=f"Coach Ivo Merrowick {MARK}",
    rules="fiba",
    spots=("free throw", "left elbow", "right elbow", "left wing", "right wing"),
    sets_a_visit=4,
)
GROWN = Group(
    coach=f"Coach Selma Quillmere {MARK}",
    rules="fiba",
    spots=("free throw", "left corner", "left wing", "top", "right wing", "right corner"),
    sets_a_visit=6,
)

MEMBERS: tuple[tuple[Group, tuple[Member, ...]], ...] = (
    (
        MINIS,
        (
            Member("Pip Yarrowell", 7, 1.22, 3, 2.44, Style.COUNTS),
            Member("Juno Hazelund", 7, 1.24, 3, 2.44, Style.ALONG, Trait.SHORT),
            Member("Tavi Brackenby", 8, 1.29, 5, 2.44, Style.ONE, Trait.SHORT, _LEFT),
            Member("Nell Ostrella", 9, 1.33, 5, 2.60, Style.ALONG, condition="legs first"),
            Member("Oren Sorrelay", 9, 1.36, 5, 2.60, Style.ONE, Trait.RIGHT),
            Member("Mika Vexholm", 10, 1.40, 5, 2.60, Style.TWO, Trait.SCATTERED),
            Member("Lio Pindale", 11, 1.46, 5, 3.05, Style.COUNTS, Trait.FLAT),
            Member("Runa Tallowby", 12, 1.52, 5, 3.05, Style.ONE, Trait.SHORT,
                   condition="higher finish"),
        ),
    ),
    (
        YOUTH,
        (
            Member("Ada Quenby", 12, 1.55, 6, 3.05, Style.ONE, Trait.LEFT),
            Member("Bram Ollister", 13, 1.63, 7, 3.05, Style.ONE, Trait.SHORT, _LEFT,
                   "aim deeper"),
            Member("Cleo Farrowmere", 13, 1.60, 6, 3.05, Style.TWO),
            Member("Dov Windlesea", 14, 1.71, 7, 3.05, Style.ALONG, Trait.FLAT,
                   condition="higher finish"),
            Member("Esme Thornquill", 14, 1.66, 6, 3.05, Style.POINTS, Trait.SHORT,
                   condition="aim deeper"),
            Member("Faro Lindwick", 15, 1.78, 7, 3.05, Style.ONE, Trait.SCATTERED),
            Member("Gita Marlowen", 16, 1.72, 6, 3.05, Style.HALVES, Trait.LONG),
            Member("Hale Dunmarrow", 16, 1.84, 7, 3.05, Style.ONE, share=Share.ONE_VISIT),
        ),
    ),
    (
        GROWN,
        (
            Member("Isa Copperlin", 17, 1.76, 6, 3.05, Style.POINTS, Trait.RIGHT),
            Member("Joss Everholt", 18, 1.88, 7, 3.05, Style.ONE, Trait.SHORT,
                   condition="aim deeper"),
            Member("Kaya Silverlow", 20, 1.80, 6, 3.05, Style.HALVES, Trait.STEADY),
            Member("Linus Ravensby", 22, 1.93, 7, 3.05, Style.TWO, Trait.LONG, _LEFT),
            Member("Maren Holloway-Tusk", 26, 1.74, 6, 3.05, Style.ONE),
            Member("Nico Astermoor", 29, 1.85, 7, 3.05, Style.POINTS, Trait.STEADY),
            Member("Orla Finchley-Dray", 34, 1.70, 6, 3.05, Style.COUNTS, Trait.PLAIN, _LEFT),
            Member("Per Woldgate", 40, 1.82, 7, 3.05, Style.ONE, share=Share.NONE),
        ),
    ),
)  # fmt: skip
