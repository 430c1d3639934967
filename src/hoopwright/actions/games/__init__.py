"""Games: attempts by shot type, typed or from a table, and what they say beside practice."""

from hoopwright.actions.games.kept import (
    add_game,
    announce_change,
    announced_changes,
    change_game,
    change_line,
    get_game,
    list_games,
    record_lines,
    remove_game,
    remove_line,
    withdraw_change,
)
from hoopwright.actions.games.reading import (
    ForecastReading,
    GamesReading,
    TransferReading,
    forecast_games,
    has_transferred,
    practice_to_games,
)
from hoopwright.actions.games.tables import GamesReport, import_games
from hoopwright.store.games import Announced

__all__ = [
    "Announced",
    "ForecastReading",
    "GamesReading",
    "GamesReport",
    "TransferReading",
    "add_game",
    "announce_change",
    "announced_changes",
    "change_game",
    "change_line",
    "forecast_games",
    "get_game",
    "has_transferred",
    "import_games",
    "list_games",
    "practice_to_games",
    "record_lines",
    "remove_game",
    "remove_line",
    "withdraw_change",
]
