"""What the migrations make is what ``tables.py`` says, and nothing else."""

import re
from importlib.resources import files
from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import CheckConstraint, create_engine, inspect

from hoopwright.store.engine import open_database
from hoopwright.store.tables import metadata


def test_migrated_schema_is_tables(database_url: str) -> None:
    open_database(database_url).close()
    engine = create_engine(database_url)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
        seen = inspect(connection)
        for name, table in metadata.tables.items():
            checks = {check["name"] for check in seen.get_check_constraints(name)}
            declared = [c for c in table.constraints if isinstance(c, CheckConstraint)]
            assert len(checks) == len(declared), name
    engine.dispose()


def test_migrated_sqlite_schema_is_tables_to_the_letter(tmp_path: Path) -> None:
    """Constraints, defaults and cascades too, which the comparison above does not look at."""
    migrated, made = f"sqlite:///{tmp_path}/a.db", f"sqlite:///{tmp_path}/b.db"
    open_database(migrated).close()
    engine = create_engine(made)
    metadata.create_all(engine)
    engine.dispose()
    assert _schema(migrated) == _schema(made)


def _schema(url: str) -> dict[str, list[str]]:
    engine = create_engine(url)
    with engine.connect() as connection:
        rows = connection.exec_driver_sql(
            "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL"
            " AND name != 'alembic_version'"
        ).all()
    engine.dispose()
    # a column that was added later stands on the line of the one before
    between = re.compile(r",\s*\n|\(\n|\n\)|, (?=\w+ [A-Z])")
    return {name: sorted(part.strip() for part in between.split(sql)) for name, sql in rows}


def test_one_line_of_revisions_in_order() -> None:
    config = Config()
    config.set_main_option("script_location", str(files("hoopwright.store") / "migrations"))
    script = ScriptDirectory.from_config(config)
    assert len(script.get_heads()) == 1
    for revision in script.walk_revisions():
        assert Path(revision.path).name.startswith(f"v{revision.revision}_")
