"""Rows of the 33 body points in ``Poses.points``, by name of the joint."""

from dataclasses import dataclass

from hoopwright.records import Hand

#: inner corner, middle and outer corner of both eyes, then both ears
HEAD = (1, 2, 3, 4, 5, 6, 7, 8)
#: both shoulders and both hips
TRUNK = (11, 12, 23, 24)
COUNT = 33


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """Rows of one side of the body."""

    shoulder: int
    elbow: int
    wrist: int
    #: of the little and the index finger
    fingers: tuple[int, int]
    hip: int
    knee: int
    ankle: int
    heel: int
    toe: int


LEFT = Side(
    shoulder=11, elbow=13, wrist=15, fingers=(17, 19), hip=23, knee=25, ankle=27, heel=29, toe=31
)
RIGHT = Side(
    shoulder=12, elbow=14, wrist=16, fingers=(18, 20), hip=24, knee=26, ankle=28, heel=30, toe=32
)
#: heels and foot tips, left then right
FEET = (LEFT.heel, LEFT.toe, RIGHT.heel, RIGHT.toe)


def shooting_side(hand: Hand) -> Side:
    """Return the rows of the side that shoots."""
    return RIGHT if hand is Hand.RIGHT else LEFT


def toward_shooting_side(hand: Hand) -> float:
    """Return +1 where the shooting side is the player's right, −1 where it is the left."""
    return 1.0 if hand is Hand.RIGHT else -1.0
