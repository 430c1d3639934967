"""What a plan may be asked for, and what is wrong with a wish in one sentence."""

from dataclasses import replace

from hoopwright.court.frame import check_spot
from hoopwright.errors import BadInput
from hoopwright.plans.nouns import ALL_FEATURES, Cue, Focus, Wish

MOST_WEEKS = 6
#: attempts of a test: fewer tell nothing, more are no cold test any more; common practice
FEWEST_TEST, MOST_TEST = 10, 50
#: practice shots of a visit beside the cold test
FEWEST_SHOTS, MOST_SHOTS = 10, 1000
MOST_SPOTS = 12
LONGEST_CUE, LONGEST_FOCUS = 80, 120


def checked_wish(wish: Wish) -> Wish:
    """Return a wish with its texts tidied.

    Raises
    ------
    BadInput
        Something can't be right; the message says what, and names the field.
    UnknownName
        There is no such rule book.
    """
    _check_time(wish)
    _check_shots(wish)
    _check_place(wish)
    return replace(wish, focus=checked_focus(wish.focus), cue=checked_cue(wish.cue))


def checked_cue(cue: Cue) -> Cue:
    """Return a cue with its text tidied: one short thing.

    Raises
    ------
    BadInput
        It is empty, too long to think of, or more than one line.
    """
    text = cue.text.strip()
    if not text:
        raise BadInput(
            "Write the cue: the one thing to think of, in the player's words.", field="cue"
        )
    if len(text) > LONGEST_CUE or "\n" in text:
        raise BadInput(
            f"A cue is one short thing; keep it on one line of up to {LONGEST_CUE} letters.",
            field="cue",
        )
    return replace(cue, text=" ".join(text.split()))


def checked_focus(focus: Focus) -> Focus:
    """Return a focus with its name tidied.

    Raises
    ------
    BadInput
        It has no name, or one that is too long.
    """
    name = " ".join(focus.name.split())
    if not name:
        raise BadInput("Name the one thing to work on.", field="focus")
    if len(name) > LONGEST_FOCUS:
        raise BadInput(f"Name the focus in up to {LONGEST_FOCUS} letters.", field="focus")
    return replace(focus, name=name)


def _check_time(wish: Wish) -> None:
    if not 1 <= wish.weeks <= MOST_WEEKS:
        raise BadInput(f"A plan goes over 1 to {MOST_WEEKS} weeks.", field="weeks")
    days = wish.weekdays
    if not days or len(set(days)) < len(days) or not set(days) <= set(range(7)):
        raise BadInput("Choose one or more days of the week, each once.", field="weekdays")
    if wish.season is not None and wish.season.last < wish.season.first:
        raise BadInput("The season ends before it begins; check its two days.", field="season")


def _check_shots(wish: Wish) -> None:
    if not FEWEST_TEST <= wish.test_shots <= MOST_TEST:
        raise BadInput(f"A test has {FEWEST_TEST} to {MOST_TEST} attempts.", field="test_shots")
    least = wish.test_shots + FEWEST_SHOTS
    if not least <= wish.shots <= MOST_SHOTS:
        raise BadInput(
            f"Plan {least} to {MOST_SHOTS} shots a visit: {wish.test_shots} for the cold test and "
            f"at least {FEWEST_SHOTS} for practice.",
            field="shots",
        )
    if wish.players < 1:
        raise BadInput("At least one player practises; check the number.", field="players")


def _check_place(wish: Wish) -> None:
    if not 1 <= len(wish.spots) <= MOST_SPOTS:
        raise BadInput(f"Choose 1 to {MOST_SPOTS} spots to shoot from.", field="spots")
    for spot in wish.spots:
        check_spot(spot.x, spot.y, wish.rules)
    unknown = set(wish.features) - set(ALL_FEATURES)
    if unknown:
        raise BadInput(
            f"A gym can have {', '.join(ALL_FEATURES)}, not {sorted(unknown)[0]!r}.",
            field="features",
        )
