"""How well film is read: drawn clips of known shots, measured end to end, and a table of errors.

    python benchmarks/film_accuracy.py FOLDER [--clips N] [--workers N] [--table]

Clips and results are kept in FOLDER, one file each, so that a run that was broken off goes on where
it stopped. Each clip has four shots from one spot; the scene is marked with errors of a pixel or
so, as a person does it, and calibrated from those marks. ``--table`` only prints what is there.
"""

import argparse
import json
import math
import multiprocessing
import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from uuid import UUID

import cv2
import numpy as np

from hoopwright.court.frame import spot_at
from hoopwright.court.standards import ball
from hoopwright.film.calibrate import calibrate
from hoopwright.film.camera import Camera
from hoopwright.film.landmarks import Mark
from hoopwright.film.measure import measure_clip
from hoopwright.film.results import FilmedShot
from hoopwright.film.scene import Scene
from hoopwright.film.synthetic.draw import Drawn, TrueShot, draw_clip
from hoopwright.film.synthetic.places import behind, beside
from hoopwright.film.synthetic.setting import Phone, Setting
from hoopwright.film.synthetic.shots import KnownShot
from hoopwright.film.synthetic.usual import true_marks
from hoopwright.film.told import Shooter
from hoopwright.flight.arc import Release, speed_to_reach

#: shots in a clip, and time from one to the next [s]
SHOTS, GAP = 4, 5.0
#: how much higher or lower than usual the drawn figure can let go [m]
REACH = 0.02
#: error of a mark set by hand [px of 720 lines]
MARK_SD = 1.2
#: a shot read within this of a true one is that one [s]
SAME = 0.5


@dataclass(frozen=True)
class Plan:
    """One clip."""

    number: int
    behind: bool
    size: tuple[int, int]
    rate: float

    @property
    def name(self) -> str:
        """Of its files."""
        place = "behind" if self.behind else "side"
        return f"{place}-{self.size[1]}p{self.rate:.0f}-{self.number:03d}"


def plans(count: int) -> list[Plan]:
    """Return the clips: three quarters from the side, one in eight at 1080p60."""
    small, large = ((1280, 720), 30.0), ((1920, 1080), 60.0)
    return [Plan(n, n % 4 == 3, *(large if n % 16 in (1, 3) else small)) for n in range(count)]


def shots(plan: Plan, rng: np.random.Generator) -> list[KnownShot]:
    """Draw the shots of a clip: spreads of physics.md S1, spin and heights common practice."""
    spot = spot_at(rng.uniform(3.0, 6.8), rng.uniform(-0.6, 0.6))
    angle, height = math.radians(rng.uniform(49.0, 55.0)), rng.uniform(1.9, 2.45)
    found = []
    for n in range(SHOTS):
        a = angle + math.radians(rng.normal(0.0, 1.3))
        h = height + float(np.clip(rng.normal(0.0, 0.025), -REACH, REACH))
        spin = rng.normal(12.6, 3.0)
        there = speed_to_reach(spot.distance, a, 3.05 - h, ball=ball(7), spin=spin)
        release = Release(
            speed=float(there) * (1.0 + rng.normal(0.004, 0.012)), angle=a,
            direction=math.radians(rng.normal(0.0, 1.0)), height=h, spin=spin,
        )  # fmt: skip
        found.append(KnownShot(spot=spot, release=release, start=0.6 + GAP * n))
    return found


def camera(plan: Plan, known: list[KnownShot], rng: np.random.Generator) -> Camera:
    """Place the phone: 60° to 120° of the shot line and 8 to 14 m away, or behind the shooter."""
    spot = known[0].spot
    if plan.behind:
        return behind(
            spot, back=rng.uniform(2.5, 4.5), aside=rng.uniform(-0.6, 0.6),
            height=rng.uniform(1.4, 1.9), size=plan.size,
        )  # fmt: skip
    side = 1.0 if rng.random() < 0.5 else -1.0
    return beside(
        spot, angle=side * math.radians(rng.uniform(60.0, 120.0)), away=rng.uniform(8.0, 14.0),
        height=rng.uniform(1.2, 1.8), size=plan.size, lens=rng.uniform(-0.06, 0.02),
    )  # fmt: skip


def marked(true: Camera, rng: np.random.Generator) -> Scene:
    """Return the scene that marks set by hand give: every landmark in the picture, ring too."""
    sd = MARK_SD * true.height / 720.0
    marks = tuple(
        Mark(name=m.name, x=m.x + rng.normal(0.0, sd), y=m.y + rng.normal(0.0, sd))
        for m in true_marks(true)
    )
    found = calibrate(marks, width=true.width, height=true.height, mark_sd=sd)
    return Scene(
        gym="A drawn gym", place="see the clip's name", rules="fiba", ring_height=3.05, ball_size=7,
        marks=marks, mark_sd=sd, camera=found.camera, rms=found.rms, bad=found.bad,
    )  # fmt: skip


def one_clip(job: tuple[Plan, Path]) -> str:
    """Draw and measure a clip unless that was done, and keep the errors of its shots."""
    plan, folder = job
    result = folder / f"{plan.name}.json"
    if result.exists():
        return plan.name
    cv2.setNumThreads(1)
    rng = np.random.default_rng((2026, plan.number))
    known = shots(plan, rng)
    true = camera(plan, known, rng)
    film = folder / f"{plan.name}.mp4"
    phone = Phone(
        rate=plan.rate,
        shutter=rng.uniform(0.002, 0.006),
        readout=rng.uniform(0.006, min(0.018, 0.9 / plan.rate)),
    )
    drawn = draw_clip(
        film, camera=true, shots=known, setting=Setting(phone=phone, seed=plan.number)
    )
    seen = marked(true, rng)
    begun = perf_counter()
    read, _ = measure_clip(film, seen, shooter=Shooter(film=UUID(int=plan.number)))
    report = {
        "clip": plan.name, "seconds": perf_counter() - begun, "frames": len(drawn.times),
        **errors(drawn, read.shots, plan.rate),
    }  # fmt: skip
    result.write_text(json.dumps(report))
    film.unlink()
    return plan.name


def errors(drawn: Drawn, read: tuple[FilmedShot, ...], rate: float) -> dict[str, object]:
    """Compare what was read with what was drawn."""
    rows, false = [], 0
    left = list(drawn.shots)
    for shot in read:
        if shot.ball is None:
            continue
        near = min(
            left, key=lambda t: abs(t.release_time - shot.ball.release_time.value), default=None
        )
        if near is None or abs(near.release_time - shot.ball.release_time.value) > SAME:
            false += 1
            continue
        left.remove(near)
        rows.append(_row(shot, near, rate))
    return {"true": len(drawn.shots), "false": false, "missed": len(left), "rows": rows}


def _row(shot: FilmedShot, true: TrueShot, rate: float) -> dict[str, object]:
    path = shot.ball
    assert path is not None
    release, sd = path.release, np.sqrt(np.diag(np.array(path.release.total).reshape(5, 5)))
    pairs = {
        "speed": (release.speed - true.speed, sd[0]),
        "angle": (math.degrees(release.angle - true.angle), math.degrees(sd[1])),
        "direction": (math.degrees(release.direction - true.direction), math.degrees(sd[2])),
        "along": (release.along - true.along, sd[3]),
        "across": (release.across - true.across, sd[4]),
        "entry": (
            math.degrees(path.entry_angle.value - true.entry_angle),
            math.degrees(path.entry_angle.sd),
        ),
        "apex": (path.apex.value - true.apex, path.apex.sd),
        "height": (release.height - true.height, path.release_height.sd),
        "time": (
            (path.release_time.value - true.release_time) * rate, path.release_time.sd * rate
        ),
    }  # fmt: skip
    return {
        **{k: [float(a), float(b)] for k, (a, b) in pairs.items()},
        "made": [bool(true.made), bool(path.made), path.made_chance],
        "doubts": [d.flag.value for d in shot.doubts],
        "usable": shot.usable,
    }


UNITS = {
    "speed": "release speed [m/s]", "angle": "release angle [°]", "direction": "direction [°]",
    "along": "along [m]", "across": "across [m]", "entry": "entry angle [°]", "apex": "apex [m]",
    "height": "release height [m]", "time": "release time [frame]",
}  # fmt: skip


def table(folder: Path) -> Iterator[str]:
    """Give the lines of the table."""
    reports = [json.loads(p.read_text()) for p in sorted(folder.glob("*.json"))]
    kinds = sorted({r["clip"].rsplit("-", 1)[0] for r in reports})
    groups = {k: [r for r in reports if r["clip"].startswith(k)] for k in kinds}
    for place in ("side", "behind"):
        groups[f"all {place}"] = [r for r in reports if r["clip"].startswith(place)]
    groups = {name: found for name, found in groups.items() if found} | {"all": reports}
    yield "| | " + " | ".join(groups) + " |"
    yield "|---|" + "---:|" * len(groups)
    yield "| true shots | " + " | ".join(str(_sum(g, "true")) for g in groups.values()) + " |"
    for what in ("missed", "false"):
        shares = (f"{100 * _sum(g, what) / max(_sum(g, 'true'), 1):.1f} %" for g in groups.values())
        yield f"| {what} | " + " | ".join(shares) + " |"
    rows = {k: [row for r in g for row in r["rows"]] for k, g in groups.items()}
    right = (
        f"{100 * np.mean([r['made'][0] == r['made'][1] for r in v]):.1f} %" for v in rows.values()
    )
    yield "| made or missed right | " + " | ".join(right) + " |"
    for key, name in UNITS.items():
        off = {k: np.array([r[key] for r in v]) for k, v in rows.items()}
        rms = (f"{np.sqrt(np.mean(o[:, 0] ** 2)):.3f}" for o in off.values())
        yield f"| {name}, RMSE | " + " | ".join(rms) + " |"
        held = (f"{100 * np.mean(np.abs(o[:, 0]) < 1.96 * o[:, 1]):.1f} %" for o in off.values())
        yield "| … in its 95 % range | " + " | ".join(held) + " |"
    speed = (f"{_sum(g, 'frames') / sum(r['seconds'] for r in g):.0f}" for g in groups.values())
    yield "| frames a second, ball alone | " + " | ".join(speed) + " |"


def _sum(reports: list[dict[str, object]], key: str) -> int:
    return sum(int(str(r[key])) for r in reports)


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--clips", type=int, default=68)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--table", action="store_true")
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    if not asked.table:
        os.environ["OMP_NUM_THREADS"] = "1"
        spawn = multiprocessing.get_context("spawn")
        with ProcessPoolExecutor(asked.workers, mp_context=spawn) as pool:
            for name in pool.map(one_clip, [(p, asked.folder) for p in plans(asked.clips)]):
                print(name, flush=True)
    for line in table(asked.folder):
        print(line)


if __name__ == "__main__":
    main()
