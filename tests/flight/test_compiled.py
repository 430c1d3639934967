"""Kernels run where numba may keep nothing on disk, and without compiling at all."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np

from hoopwright.court.standards import ball
from hoopwright.flight import _kernel
from hoopwright.flight._compiled import columns, spread
from hoopwright.flight.arc import Release, cross_ring_plane, fly

SOURCE = Path(__file__).parents[2] / "src"


def run(script: str, **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "PYTHONPATH": str(SOURCE), **environment},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_kernel_compiles_where_no_cache_folder_can_be_written(tmp_path: Path) -> None:
    script = tmp_path / "kernel.py"
    script.write_text(
        "from hoopwright.flight._compiled import compiled\n"
        "@compiled\n"
        "def double(x: float) -> float:\n"
        "    return 2.0 * x\n"
        "print(double(21.0), double._cache.cache_path)\n"
    )
    run_it = f"import runpy; runpy.run_path({str(script)!r})"
    # a file where the folder should be: not even root can write into it
    (tmp_path / "file").write_text("")
    nowhere = {
        "NUMBA_CACHE_LOCATOR_CLASSES": "UserProvidedCacheLocator",
        "NUMBA_CACHE_DIR": str(tmp_path / "file"),
    }
    assert run(run_it, **nowhere).split() == ["42.0", "None"]
    somewhere = {**nowhere, "NUMBA_CACHE_DIR": str(tmp_path / "folder")}
    assert str(tmp_path / "folder") in run(run_it, **somewhere)


def test_plain_python_flies_the_same_shot() -> None:
    script = (
        "from hoopwright.court.standards import ball\n"
        "from hoopwright.flight.arc import Release, cross_ring_plane, fly\n"
        "print(*(float(v) for v in cross_ring_plane(7.5, 0.9, 0.9, ball=ball(7), spin=12.0)))\n"
    )
    plain = np.array(run(script, NUMBA_DISABLE_JIT="1").split(), dtype=np.float64)
    fast = np.array(cross_ring_plane(7.5, 0.9, 0.9, ball=ball(7), spin=12.0))
    np.testing.assert_allclose(plain, fast, rtol=1e-12)


def test_plain_python_plays_the_same_shots() -> None:
    script = (
        "import numpy as np\n"
        "from hoopwright.court.standards import ball, rule_book\n"
        "from hoopwright.flight.ring import shoot\n"
        "book = rule_book('fiba')\n"
        "shots = shoot(np.linspace(7.0, 8.2, 25), 0.9, np.linspace(-0.03, 0.02, 25), bearing=0.4,\n"
        "              distance=4.225, rise=0.9, ball=ball(7), ring=book.ring, board=book.board)\n"
        "print(*shots.outcome, *shots.across)\n"
    )
    plain = run(script, NUMBA_DISABLE_JIT="1").split()
    fast = run(script).split()
    assert plain[:25] == fast[:25]
    assert len(set(fast[:25])) >= 4
    np.testing.assert_allclose(
        np.array(plain[25:], dtype=np.float64), np.array(fast[25:], dtype=np.float64), atol=1e-12
    )


def test_one_compilation_serves_every_mix_of_shapes() -> None:
    frozen = np.full(6, 0.9)
    frozen.flags.writeable = False
    for angle in (0.9, [0.9], np.full((2, 1, 3), 0.9), np.full((2, 1), 0.9), frozen):
        cross_ring_plane(7.5, angle, np.zeros(3) if np.ndim(angle) != 1 else 0.9, ball=ball(7))
    assert len(_kernel.cross_many.signatures) == 1  # type: ignore[attr-defined]


def test_whole_numbers_do_not_compile_anew() -> None:
    fly(Release(speed=8, angle=1, height=2, sidespin=1), ball=ball(7), distance=4, ring_height=3)
    fly(Release(speed=8.0, angle=1.0, height=2.0), ball=ball(7), distance=4.0)
    assert len(_kernel.flight.signatures) == 1  # type: ignore[attr-defined]


def test_single_numbers_are_not_copied_a_million_times() -> None:
    (many, one), shape = columns(np.zeros((1000, 3)), 2.0)
    assert shape == (1000, 3)
    assert (many.shape, one.shape) == ((3000,), (1,))


def test_ranges_cover_everything_once_whatever_the_number_of_threads() -> None:
    for count in (0, 1, 4095, 4096, 50_001):
        for threads in (None, 1, 3):
            seen = np.zeros(count, dtype=np.int64)

            def run_range(first: int, last: int, seen: np.ndarray = seen) -> None:
                seen[first:last] += 1

            spread(run_range, count, threads=threads)
            assert np.all(seen == 1)
