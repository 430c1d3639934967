"""What the phone and the gym are like in a drawn clip."""

import math
from dataclasses import dataclass, field
from enum import StrEnum

from hoopwright.court.equipment import Ball
from hoopwright.court.standards import RuleBook, rule_book
from hoopwright.court.standards import ball as ball_of
from hoopwright.errors import BadInput
from hoopwright.film.synthetic.jumpshot import Player


class Codec(StrEnum):
    """How a clip is packed; the value is the standard's name."""

    H264 = "h264"
    HEVC = "hevc"


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """How the phone films and packs a clip."""

    #: pictures a second
    rate: float = 60.0
    #: how long each row is exposed [s]
    shutter: float = 1.0 / 200.0
    #: from the first row's exposure to the last row's [s]; 0 for a global shutter
    readout: float = 0.010
    #: standard deviation of the noise of a mid-grey pixel, of 255
    noise: float = 2.5
    #: the lamps' flicker, as a share of the light, 0 to 0.02
    flicker: float = 0.008
    #: slow change of the automatic exposure, as a share of the light
    drift: float = 0.03
    #: [bit/s]; None for what phones use at this size and rate
    bit_rate: int | None = None
    codec: Codec = Codec.H264
    #: standard deviation of the gaps between pictures, as a share of the usual gap
    jitter: float = 0.0
    #: chance that a picture is left out
    dropped: float = 0.0
    #: how many times slower the file plays than it was filmed
    slowed: float = 1.0
    #: quarter turns clockwise that a player must make to see the picture upright, 0 to 3
    turns: int = 0

    def __post_init__(self) -> None:
        numbers = (self.rate, self.shutter, self.readout, self.noise, self.flicker, self.drift)
        if not all(math.isfinite(n) and n >= 0.0 for n in numbers) or not 1 <= self.rate <= 1000:
            raise BadInput(
                "A phone's rate must be 1 to 1000 pictures a second, its times not below zero."
            )
        if self.shutter > 1.0 / self.rate or self.readout > 1.0 / self.rate:
            raise BadInput("Shutter and read-out can't take longer than a picture lasts.")
        if not (0.0 <= self.jitter <= 0.3 and 0.0 <= self.dropped <= 0.5 and self.flicker <= 0.02):
            raise BadInput("Jitter goes to 0.3, dropped pictures to 0.5 and flicker to 0.02.")
        if self.turns not in (0, 1, 2, 3) or not 1.0 <= self.slowed <= 32.0:
            raise BadInput("Quarter turns are 0 to 3, and a file plays 1 to 32 times slower.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The gym, who is in it, and the phone."""

    phone: Phone = field(default_factory=Phone)
    book: RuleBook = field(default_factory=lambda: rule_book("fiba"))
    ball: Ball = field(default_factory=lambda: ball_of(7))
    #: people besides shooter and rebounder
    people: int = 3
    #: balls besides the one that is shot: one dribbled, the others lying
    other_balls: int = 2
    #: who shoots; None for a ball that flies by itself, without a rebounder either
    player: Player | None = field(default_factory=Player)
    #: pictures averaged over one exposure of people; more than 1 blurs hands, and takes as long
    images: int = 1
    #: from the end of the last shot's fall to the clip's end [s]
    after: float = 0.5
    #: chooses colours, walls, people and noise
    seed: int = 0

    def __post_init__(self) -> None:
        if not (0 <= self.people <= 12 and 0 <= self.other_balls <= 6):
            raise BadInput("A drawn gym holds up to 12 people and 6 other balls.")
        if not 1 <= self.images <= 16:
            raise BadInput("People are drawn 1 to 16 times an exposure.")
