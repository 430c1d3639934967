"""Links from body to ball as plain data, ready for JSON; SI units, as the keys say."""

from collections.abc import Sequence
from typing import Any

from hoopwright.film.links.found import Link
from hoopwright.reports.data import estimate_data
from hoopwright.reports.link_facts import link_sentence


def links_data(links: Sequence[Link]) -> list[dict[str, Any]]:
    """Return links as dictionaries.

    Parameters
    ----------
    links
        Of one player.
    """
    return [_link(one) for one in links]


def _link(one: Link) -> dict[str, Any]:
    idea = one.trial
    return {
        "measure": one.measure.value,
        "outcome": one.outcome.value,
        "said": one.said.value,
        "sentence": link_sentence(one),
        "shots": one.shots,
        "shots_needed": one.shots_needed,
        "own_sd_si": one.own_sd,
        "change_per_own_sd_si": None if one.slope is None else estimate_data(one.slope),
        "by_luck": one.by_luck,
        "together": [other.value for other in one.together],
        "trial": None if idea is None else {"measure": idea.measure.value, "way": idea.way.value},
    }
