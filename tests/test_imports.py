"""Modules import alone, quietly and in the right order; names and sizes keep house rules."""

import ast
import os
import re
import statistics
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src"
SCIENCE = ("court", "flight", "chart")
#: files that make a page, beside Python
PAGE_FILES = ("*.js", "*.css", "*.html", "*.typ")

#: run in a bare process, sockets refused, no home. A first child imports everything and tells
#: which libraries that took; with those loaded, each of our modules is the first of ours to be
#: imported in a child of its own
EACH_ALONE = """
import importlib, os, pathlib, socket, sys

def refuse(*args, **kwargs):
    raise PermissionError("no network while importing")

socket.socket.connect = socket.socket.bind = socket.getaddrinfo = refuse
ours = sys.stdin.read().split()
seen = pathlib.Path("seen.txt")

def in_child(names, note=False):
    pid = os.fork()
    if pid:
        return os.waitpid(pid, 0)
    for name in names:
        try:
            importlib.import_module(name)
        except BaseException as error:
            print(name, type(error).__name__, error, file=sys.stderr, flush=True)
    if note:
        seen.write_text(" ".join(n for n in sys.modules if not n.startswith("hoopwright")))
    os._exit(0)

in_child(ours, note=True)
libraries = seen.read_text().split()
seen.unlink()
for name in libraries:
    try:
        importlib.import_module(name)
    except Exception:
        pass  # an alias or an optional part, which ours did without
for name in ours:
    in_child([name])
"""


def module_names() -> list[str]:
    names = []
    for path in sorted((SRC / "hoopwright").rglob("*.py")):
        parts = path.relative_to(SRC).with_suffix("").parts
        # migration steps are run by Alembic, not imported; __main__ starts the program
        if "migrations" not in parts and parts[-1] != "__main__":
            names.append(".".join(parts).removesuffix(".__init__"))
    return names


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_every_module_imports_alone_without_home_or_network(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", EACH_ALONE],
        input="\n".join(module_names()),
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={
            "PATH": os.environ["PATH"],
            "HOME": "/dev/null/nowhere",
            "PYTHONPATH": str(SRC),
            # each module is translated once, and not once for every module that needs it
            "PYTHONPYCACHEPREFIX": str(tmp_path_factory.mktemp("bytecode")),
        },
        timeout=240,
        check=False,
    )
    assert done.stderr == ""
    assert done.returncode == 0
    assert list(tmp_path.iterdir()) == []


def test_layers_are_kept() -> None:
    code = (
        "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(SRC)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-1000:]


def identifiers(tree: ast.AST) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        for field in ("id", "arg", "attr", "name"):
            value = getattr(node, field, None)
            if isinstance(value, str):
                found.add(value)
    return found


@pytest.mark.parametrize("package", SCIENCE)
def test_science_names_no_unit_but_si(package: str) -> None:
    wrong = []
    for path in (SRC / "hoopwright" / package).rglob("*.py"):
        names = identifiers(ast.parse(path.read_text(encoding="utf-8")))
        wrong += [f"{path.name}: {n}" for n in names if re.search(r"_(deg|ft|inch|mph|cm)$", n)]
    assert sorted(wrong) == []


def test_identifiers_finds_what_it_should() -> None:
    """Guards the guard above."""
    code = "def f(angle_deg):\n    along_cm = x.speed_mph\n    return g(height_ft=1)\n"
    assert {"angle_deg", "along_cm", "speed_mph", "height_ft"} <= identifiers(ast.parse(code))


def code_files() -> list[Path]:
    tops = [ROOT / name for name in ("src", "tests", "benchmarks")]
    return [path for top in tops for path in top.rglob("*.py")]


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_file_is_over_500_lines_and_half_are_under_200() -> None:
    pages = [p for pattern in PAGE_FILES for p in (SRC / "hoopwright").rglob(pattern)]
    own = [p for p in [*code_files(), *pages] if ".min." not in p.name]
    assert [str(p.relative_to(ROOT)) for p in own if lines(p) > 500] == []
    assert statistics.median(lines(p) for p in code_files()) <= 200


def body_lines(node: ast.FunctionDef) -> int:
    """Length of a function without its docstring."""
    first = node.body[0]
    doc = ast.get_docstring(node) is not None
    docstring = (first.end_lineno or 0) - first.lineno + 1 if doc else 0
    return (node.end_lineno or 0) - node.lineno + 1 - docstring


def test_no_function_is_over_60_lines() -> None:
    long = []
    for path in code_files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and body_lines(node) > 60:
                long.append(f"{path.relative_to(ROOT)}: {node.name} {body_lines(node)}")
    assert long == []


def test_no_drawer_modules() -> None:
    drawers = {"utils", "util", "helpers", "helper", "common", "tools", "misc"}
    assert [str(p) for p in (SRC / "hoopwright").rglob("*") if p.stem in drawers] == []
