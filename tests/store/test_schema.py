"""What the migrations make is what ``tables.py`` says, and nothing else."""

import re
from datetime import date
from importlib.resources import files
from pathlib import Path
from uuid import uuid4

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import CheckConstraint, MetaData, Table, create_engine, insert, inspect

from hoopwright.records import Purpose
from hoopwright.store import workouts
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


def test_a_filled_database_of_the_version_before_keeps_its_shots(database_url: str) -> None:
    """Columns that are added must not rebuild the table of shots: that would drop releases."""
    player, workout, one, shot = (uuid4() for _ in range(4))
    migrate_to(database_url, "0002")
    engine = create_engine(database_url)
    with engine.begin() as connection:
        older = MetaData()
        older.reflect(connection, only=["players", "workouts", "sets", "shots", "releases"])
        for name, row in (
            ("players", OLD_PLAYER | {"id": player}),
            ("workouts", {"id": workout, "player_id": player, "day": date(2026, 9, 1), "note": ""}),
            ("sets", OLD_SET | {"id": one, "workout_id": workout}),
            ("shots", {"id": shot, "set_id": one, "position": 0, "made": True}),
            ("releases", OLD_RELEASE | {"shot_id": shot}),
        ):
            connection.execute(insert(retyped(older.tables[name])).values(row))
    engine.dispose()
    database = open_database(database_url)
    with database.reading() as session:
        (kept,) = workouts.list_workouts(session, player)
    database.close()
    (kept_set,) = kept.sets
    assert kept_set.purpose is Purpose.PRACTICE
    (kept_shot,) = kept_set.shots
    assert (kept_shot.id, kept_shot.feel) == (shot, None)
    assert kept_shot.release is not None


def test_the_step_back_and_forth_again(database_url: str) -> None:
    open_database(database_url).close()
    migrate_to(database_url, "0002", down=True)
    open_database(database_url).close()
    test_migrated_schema_is_tables(database_url)


OLD_PLAYER = {
    "name": "Invented A", "name_key": "invented a", "birth_year": 0, "hand": "right",
    "ball_size": 7, "ring_height": 3.05, "rules": "fiba", "coach": "", "invented": True,
}  # fmt: skip
OLD_SET = {
    "position": 0, "spot": "top", "x": 0.0, "y": 6.75, "condition": "", "ball_size": 7,
    "ring_height": 3.05, "miss_detail": "one", "ordered": True, "stops_on_makes": False,
}  # fmt: skip
OLD_RELEASE = {
    "speed": 8.0, "angle": 0.9, "direction": 0.0, "height": 2.1, "along": 0.0, "across": 0.0,
    "covariance": [1e-4] * 25,
}  # fmt: skip


def retyped(table: Table) -> Table:
    """Give a reflected table the column types that Python values go into."""
    for column in table.columns:
        column.type = metadata.tables[table.name].columns[column.name].type
    return table


def migrate_to(url: str, revision: str, *, down: bool = False) -> None:
    engine = create_engine(url)
    with engine.begin() as connection:
        config = Config()
        config.set_main_option("script_location", str(files("hoopwright.store") / "migrations"))
        config.attributes["connection"] = connection
        (command.downgrade if down else command.upgrade)(config, revision)
    engine.dispose()
