"""Where errors become one line on the error stream and an exit code."""

import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import typer
from typer.core import TyperGroup

from hoopwright.errors import BadTable, HoopwrightError

#: broken off: interrupted, or the system would not read or write
BROKEN_OFF = 1
#: refused: what was typed or sent can't be used
REFUSED = 2

#: what Typer raises for an unknown option, a missing value and the like; it has no public name
_UsageTrouble: type[Exception] = typer.BadParameter.__mro__[2]


def _stop(message: str, code: int) -> NoReturn:
    typer.echo(f"hoopwright: {' '.join(message.split())}", err=True)
    sys.exit(code)


def _row_lines(error: HoopwrightError) -> None:
    """Print one line per bad row of a table, before the sentence that sums them up."""
    if isinstance(error, BadTable):
        for row in error.rows:
            where = f"row {row.row}" + (f", column {row.column}" if row.column else "")
            typer.echo(f"{where}: {' '.join(row.message.split())}", err=True)


class OneLineErrors(TyperGroup):
    """The group of all commands; turns errors into one line and an exit code."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> NoReturn:
        """Run a command and exit: 0 done, 1 broken off, 2 refused."""
        try:
            code = super().main(
                args,
                "hoopwright",
                complete_var,
                standalone_mode=False,
                windows_expand_args=windows_expand_args,
                **extra,
            )
        except HoopwrightError as error:
            _row_lines(error)
            _stop(error.message, REFUSED)
        except _UsageTrouble as error:
            _stop(_usage_message(error), REFUSED)
        except typer.Abort:
            _stop("Broken off.", BROKEN_OFF)
        except OSError as error:
            _stop(f"{error.strerror or error}: {error.filename or 'input or output'}.", BROKEN_OFF)
        sys.exit(BROKEN_OFF if code not in (0, 2, None) else code or 0)


def _usage_message(error: Exception) -> str:
    message = getattr(error, "format_message", error.__str__)()
    context = getattr(error, "ctx", None)
    command = context.command_path if context is not None else "hoopwright"
    return f"{str(message).rstrip('.')}; see {command} --help."
