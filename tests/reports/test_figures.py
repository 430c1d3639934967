import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from itertools import pairwise
from uuid import UUID

import pytest
from tests.reports.samples import SHORT_READING

from hoopwright.records import Landing, Shot, ShotSet, Spot
from hoopwright.reports.colours import SCHEMES, Scheme
from hoopwright.reports.figures import figures_of, specification, svg
from hoopwright.reports.landing_map import CENTRAL, Equipment

SPOT = Spot(name="Free throw", x=0.0, y=4.225)
DAY = date(2026, 11, 2)


def tapped_set() -> ShotSet:
    places = ((-0.1, 0.05, True), (-0.3, 0.0, False), (0.05, -0.02, True))
    shots = tuple(
        Shot(
            id=UUID(int=i + 1),
            made=made,
            landing=Landing(along=along, across=across, along_sd=0.05, across_sd=0.05),
        )
        for i, (along, across, made) in enumerate(places)
    )
    return ShotSet(id=UUID(int=90), workout_id=UUID(int=91), position=0, spot=SPOT, shots=shots)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2 contrast ratio: relative luminance of sRGB colours (from memory)."""

    def luminance(colour: str) -> float:
        channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("scheme", SCHEMES.values(), ids=SCHEMES.keys())
def test_colours_stand_out_from_their_ground(scheme: Scheme) -> None:
    """At least 4.5:1 (WCAG 2.2, 1.4.3, level AA)."""
    for colour in (scheme.ink, scheme.muted, scheme.mark, scheme.made, scheme.missed):
        assert contrast(colour, scheme.ground) >= 4.5


def test_central_regions_follow_the_rayleigh_quantile() -> None:
    """Published: 1.1774 and 2.4477 standard deviations hold 50 and 95 % of a circular normal."""
    assert CENTRAL[50] == pytest.approx(1.1774, abs=1e-4)
    assert CENTRAL[95] == pytest.approx(2.4477, abs=1e-4)


def test_each_figure_is_well_formed_svg_with_alt_text_and_a_table() -> None:
    figures = figures_of(SHORT_READING, [tapped_set()])
    assert [one.name for one in figures] == ["landing", "measures", "distance", "worth"]
    for figure in figures:
        root = ET.fromstring(svg(figure.chart))
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert len(figure.alt) > 40 and len(figure.table) >= 3
        assert "style=" not in svg(figure.chart), "inline style would break the content policy"


def test_alt_text_holds_the_numbers_of_the_picture() -> None:
    landing, measures, distance, worth = figures_of(SHORT_READING)
    assert "6 cm short (likely 3 to 9 cm short)" in landing.alt
    assert "Spread along (distance control): 15 cm (likely 12 to 18)" in measures.alt
    assert "Free throw (4.2 m): 13 of 20 made, expected about 6 of 10" in distance.alt
    assert "6 cm deeper aim: about +9 makes per 100 (likely +3 to +14)" in worth.alt


def test_landing_map_is_to_scale() -> None:
    """Ring and ball outlines keep the ratio of their radii, and every tapped point is drawn."""
    gear = Equipment(ring_radius=0.2286, ball_radius=0.1125)
    landing = figures_of(SHORT_READING, [tapped_set()], equipment=gear)[0]
    spec = specification(landing.chart)
    values = [spec["datasets"][layer["data"]["name"]] for layer in spec["layer"]]
    spans = [max(v["across"] for v in rows) - min(v["across"] for v in rows) for rows in values]
    assert spans[0] == pytest.approx(2 * 22.86, rel=2e-3)
    assert pytest.approx(2 * 11.25, rel=2e-3) in spans
    assert any(len(rows) == 3 and rows[0].get("result") for rows in values)
    assert landing.alt.startswith("The ring from above, to scale, with 3 tapped points.")


def test_dark_pictures_use_dark_ground() -> None:
    scheme = SCHEMES["dark"]
    picture = svg(figures_of(SHORT_READING, scheme=scheme)[0].chart, scheme)
    assert re.search(rf'fill="{scheme.ground}"', picture)


def test_spots_at_one_distance_are_drawn_side_by_side() -> None:
    same = [replace(SHORT_READING.spots[0], made=made) for made in (9, 11, 13)]
    distance = figures_of(replace(SHORT_READING, spots=tuple(same)))[2]
    marks = [
        sorted(row["distance"] for row in rows)
        for rows in specification(distance.chart)["datasets"].values()
        if "counts" in rows[0]
    ]
    assert marks and all(b - a >= 0.159 for row in marks for a, b in pairwise(row))
