"""Every table is somebody's or nobody's, and every column is described."""

from uuid import UUID

from hoopwright.actions.handed_out import dictionary
from hoopwright.store.owned import OF_NOBODY, owned
from hoopwright.store.tables import metadata


def test_every_table_is_a_players_or_said_to_be_nobodys() -> None:
    assert set(owned(UUID(int=1))) == set(metadata.tables) - OF_NOBODY
    assert set(metadata.tables) > OF_NOBODY


def test_every_column_of_a_players_tables_is_in_the_dictionary_and_no_other() -> None:
    told = [(one["table"], one["column"]) for one in dictionary()]
    tables = [metadata.tables[name] for name in owned(UUID(int=1))]
    there = {(table.name, column.name) for table in tables for column in table.columns}
    assert len(told) == len(set(told))
    assert set(told) == there
    assert all(one["meaning"] for one in dictionary())
