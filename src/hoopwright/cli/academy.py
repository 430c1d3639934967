"""``serve`` and ``demo``: the pages, on this computer."""

import contextlib
import ipaddress
import os
import socket

import uvicorn

from hoopwright.cli import options
from hoopwright.cli.show import notes_aside, say
from hoopwright.errors import BadInput
from hoopwright.settings import Settings
from hoopwright.web.app import create_app


def serve(data: options.Data = None, port: options.Port = None) -> None:
    """Serve the pages on this computer until interrupted (Ctrl+C).

    hoopwright serve --data data --port 8350
    """
    serve_pages(Settings.from_env(os.environ, data=data, port=port))


def serve_pages(settings: Settings) -> None:
    """Serve the pages at the address of the settings, which is printed once it answers."""
    listening = _listen(settings)
    with listening:
        app = create_app(settings)
        if not _is_own(settings.host):
            notes_aside(
                ["Anyone on this network can read the charts, as there is no sign-in; see "
                 "docs/settings.md."]
            )  # fmt: skip
        say(f"Hoopwright is at http://{_in_address(settings.host)}:{settings.port}/")
        say("Stop it with Ctrl+C.")
        config = uvicorn.Config(app, log_level="warning", access_log=False)
        # Ctrl+C is how one stops it, so that is no failure
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listening])


def _is_own(host: str) -> bool:
    """Tell whether an address is reachable from this computer only."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def _listen(settings: Settings) -> socket.socket:
    """Take the port before anything else is done, so that a port in use is said in one line."""
    try:
        family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
        taken = socket.create_server((settings.host, settings.port), family=family)
    except (socket.gaierror, UnicodeError) as trouble:
        raise BadInput(
            f"There is no address called {settings.host!r}; correct HOOPWRIGHT_HOST."
        ) from trouble
    except OSError as trouble:
        reason = os.strerror(trouble.errno) if trouble.errno else str(trouble)
        raise BadInput(
            f"{settings.host}:{settings.port} can't be served ({reason.lower()}); "
            "choose another port with --port."
        ) from trouble
    return taken
