"""Tables in: read a file, report row by row, store what was read.

Reading (``charts``) needs no database; storing (``keeping``) does.
"""

from hoopwright.actions.tables_in.charts import ChartsRead, read_chart_file, read_charts
from hoopwright.actions.tables_in.grid import LARGEST
from hoopwright.actions.tables_in.keeping import ImportReport, import_charts, import_file

__all__ = [
    "LARGEST",
    "ChartsRead",
    "ImportReport",
    "import_charts",
    "import_file",
    "read_chart_file",
    "read_charts",
]
