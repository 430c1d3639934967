"""What the docs say is there, is there; and the other way round."""

import csv
import re
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
import typer.main

from hoopwright.cli import app
from hoopwright.settings import Settings

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src" / "hoopwright"
#: folders that hold the project's own text
DOCS = ROOT / "docs"


def tree_paths(text: str) -> list[Path]:
    """Return the paths of an indented tree, two spaces a level, folders ending in a slash."""
    block = text.split("```tree\n")[1].split("```")[0]
    stack: list[str] = []
    paths = []
    for line in block.splitlines():
        depth = (len(line) - len(line.lstrip())) // 2
        name = line.split()[0]
        stack = [*stack[:depth], name]
        paths.append(Path(*stack))
    return paths


TREE = tree_paths((ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", TREE, ids=str)
def test_what_the_layout_tree_names_exists(path: Path) -> None:
    assert (ROOT / path).exists()


def test_every_folder_with_code_is_in_the_layout_tree() -> None:
    """Folders of templates and static files belong to the package above them."""
    found = {
        p.parent.relative_to(ROOT) for top in ("src", "tests") for p in ROOT.glob(f"{top}/**/*.py")
    }
    named = set(TREE)
    # the steps of the migrations are files of one kind, described with the folder above them
    nested = {f for f in found if "migrations" in f.parts[:-1]}
    assert sorted(map(str, found - named - nested)) == []


def documented_commands() -> dict[str, str]:
    """Return the text under each `## command` heading of docs/commands.md."""
    text = (DOCS / "commands.md").read_text(encoding="utf-8")
    parts = re.split(r"^## ", text, flags=re.MULTILINE)[1:]
    return {part.split("\n", 1)[0].strip(): part for part in parts}


def cli_options() -> dict[str, set[str]]:
    """Return the long options of each command, named as typed: ``fly``, ``film prepare``."""
    group = typer.main.get_command(app)
    return dict(options_within(group, ()))


def options_within(command: Any, path: tuple[str, ...]) -> Iterator[tuple[str, set[str]]]:
    """Give a command's name and options, or those of the commands in it."""
    for name, inner in getattr(command, "commands", {}).items():
        yield from options_within(inner, (*path, name))
    if not hasattr(command, "commands"):
        opts = {o for p in command.params for o in p.opts + p.secondary_opts}
        yield " ".join(path), {o for o in opts if o.startswith("--")}


def test_every_command_is_documented_and_every_documented_command_exists() -> None:
    assert set(documented_commands()) == set(cli_options())


@pytest.mark.parametrize("command", sorted(cli_options()))
def test_every_option_is_documented_and_every_documented_option_exists(command: str) -> None:
    said = set(re.findall(r"`(--[a-z0-9-]+)", documented_commands()[command]))
    assert said == cli_options()[command] - {"--help"}


def test_every_setting_is_documented_with_its_variable() -> None:
    text = (DOCS / "settings.md").read_text(encoding="utf-8")
    said = set(re.findall(r"^\| `(\w+)`", text, flags=re.MULTILINE))
    assert said == {f.name for f in fields(Settings)}
    variables = set(re.findall(r"HOOPWRIGHT_[A-Z]+", (SRC / "settings.py").read_text("utf-8")))
    assert set(re.findall(r"HOOPWRIGHT_[A-Z]+", text)) == variables
    assert len(variables) >= 4


def reference_keys() -> set[str]:
    text = (DOCS / "references.md").read_text(encoding="utf-8")
    return set(re.findall(r"^\| ([A-Z]\w+) \|", text, flags=re.MULTILINE))


def cited() -> Iterator[tuple[str, Path]]:
    for path in [*SRC.rglob("*.py"), *DOCS.glob("*.md")]:
        for key in re.findall(r"\[([A-Z]\w+)\]_", path.read_text(encoding="utf-8")):
            yield key, path


def test_every_key_cited_is_on_the_references_page() -> None:
    missing = {(key, str(path.relative_to(ROOT))) for key, path in cited()}
    assert sorted(m for m in missing if m[0] not in reference_keys()) == []


def test_every_source_in_the_table_of_standards_is_on_the_references_page() -> None:
    with (SRC / "court" / "standards.csv").open(encoding="utf-8") as file:
        sources = {row["source"] for row in csv.DictReader(file)}
    assert sources
    assert sorted(sources - reference_keys()) == []


def test_links_between_pages_lead_somewhere() -> None:
    """Relative links in the Markdown pages; addresses elsewhere are not followed."""
    dead = []
    for page in [*ROOT.glob("*.md"), *DOCS.glob("*.md")]:
        for target in re.findall(r"\]\(([^)#\s]+)[^)]*\)", page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                dead.append(f"{page.relative_to(ROOT)} → {target}")
    assert dead == []
