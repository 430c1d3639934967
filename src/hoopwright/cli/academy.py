"""``serve`` and ``demo``: the pages, on this computer."""

import contextlib
import ipaddress
import os
import socket
import sys
import threading

import uvicorn

from hoopwright.actions.demo import load_demo
from hoopwright.actions.people import list_players
from hoopwright.actions.reports import warm_up
from hoopwright.cli import options
from hoopwright.cli.show import notes_aside, progress_bar, say
from hoopwright.errors import BadInput
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.web.app import create_app
from hoopwright.worker import worker_beside


def serve(data: options.Data = None, port: options.Port = None) -> None:
    """Serve the pages on this computer until interrupted (Ctrl+C).

    hoopwright serve --data data --port 8350
    """
    settings = Settings.from_env(os.environ, data=data, port=port)
    with listen(settings) as listening:
        serve_pages(settings, listening)


def demo(data: options.Data = None, port: options.Port = None) -> None:
    """Load an invented academy, once, and serve its pages on this computer.

    hoopwright demo --data data --port 8350
    """
    settings = Settings.from_env(os.environ, data=data, port=port)
    with listen(settings) as listening:
        _load(settings)
        serve_pages(settings, listening)


def _load(settings: Settings) -> None:
    """Add the academy where it is not there yet; real players are never mixed with it."""
    database = open_database(settings.database)
    try:
        with database.session() as session, progress_bar() as bar:
            players = list_players(session)
            if players and not any(player.invented for player in players):
                raise BadInput(
                    "This database holds players of your own; give the demo a folder of its own "
                    "with --data."
                )
            task = bar.add_task("Inventing an academy", total=None)
            added = load_demo(
                session, progress=lambda done, of: bar.update(task, completed=done, total=of)
            )
    finally:
        database.close()
    if added.players:
        say(f"Invented: {added.players} players, {added.workouts} workouts, {added.shots} shots.")
    else:
        say("The invented academy is there already; what is there is kept.")


class _Telling(uvicorn.Server):
    """A server that tells its address once it answers there."""

    address = ""

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        say(f"Hoopwright is at {self.address}")
        say("Stop it with Ctrl+C.")


def serve_pages(settings: Settings, listening: socket.socket) -> None:
    """Serve the pages on a socket that was taken for the settings' address, which is printed."""
    app = create_app(settings)
    if not _is_own(settings.host):
        notes_aside(
            [
                "Anyone on this network can read the charts, as there is no sign-in; "
                "see docs/settings.md."
            ]
        )
    # the first reading after an installation is compiled for seconds; a coach should not wait
    warming = threading.Thread(target=_warm_up, daemon=True)
    warming.start()
    server = _Telling(uvicorn.Config(app, log_level="warning", access_log=False))
    server.address = f"http://{_in_address(settings.host)}:{settings.port}/"
    # Ctrl+C is how one stops it, so that is no failure
    with contextlib.suppress(KeyboardInterrupt), worker_beside(settings):
        server.run(sockets=[listening])
    _leave(warming)


def _warm_up() -> None:
    # broken off where the program ends meanwhile, which is no trouble to tell of
    with contextlib.suppress(RuntimeError):
        warm_up()


def _leave(warming: threading.Thread) -> None:
    """End at once where the compiler still runs: it aborts when the program ends around it."""
    if warming.is_alive():
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(0)


def _is_own(host: str) -> bool:
    """Tell whether an address is reachable from this computer only."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def listen(settings: Settings) -> socket.socket:
    """Take the port, before anything else is done, so that a port in use is said in one line.

    Raises
    ------
    BadInput
        There is no such address, or the port can't be had.
    """
    try:
        found = socket.getaddrinfo(settings.host, settings.port, type=socket.SOCK_STREAM)
    except (socket.gaierror, UnicodeError) as trouble:
        raise BadInput(
            f"There is no address called {settings.host!r}; correct HOOPWRIGHT_HOST."
        ) from trouble
    family, _, _, _, address = found[0]
    try:
        return socket.create_server(address[:2], family=family)
    except OSError as trouble:
        reason = os.strerror(trouble.errno) if trouble.errno else str(trouble)
        raise BadInput(
            f"{settings.host}:{settings.port} can't be served ({reason.lower()}); "
            "choose another port with --port."
        ) from trouble
