"""What every request passes through: size limit, own-address check, security headers.

The pages are served to one machine or one gym. A page of another site must not be able to read
or post here, and no page may load anything from elsewhere.
"""

import ipaddress
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from hoopwright.errors import BadInput

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "media-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # not "no-referrer": with that a browser hides the origin of our own forms from us
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}
_SAFE = ("GET", "HEAD", "OPTIONS")


class TooLarge(BadInput):
    """The file is too large; split it and bring the parts in one by one."""


#: room for a form's fields beside its film [byte]
_BESIDE = 1_000_000


class SizeLimit:
    """Refuse a body over the limit while it streams in, before it is kept anywhere.

    Parameters
    ----------
    app
        What is behind it.
    largest
        Of an ordinary form [byte].
    film_page, largest_film
        The address where films come in, and the largest one taken there [byte].
    """

    def __init__(
        self, app: ASGIApp, *, largest: int, film_page: str = "", largest_film: int = 0
    ) -> None:
        self.app, self._largest = app, largest
        self._film_page, self._largest_film = film_page, largest_film

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Count what comes in."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        said = Headers(scope=scope).get("content-length", "")
        film = scope["path"] == self._film_page
        largest = self._largest_film + _BESIDE if film else self._largest
        seen = 0

        async def counted() -> Message:
            nonlocal seen
            if said.isdigit() and int(said) > largest:
                raise self._refusal(film)
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > largest:
                raise self._refusal(film)
            return message

        await self.app(scope, counted, send)

    def _refusal(self, film: bool) -> TooLarge:
        if film:
            return TooLarge(
                f"The film is over the limit of {self._largest_film / 1e9:g} GB; film shorter "
                "clips or cut it.",
                field="file",
            )
        return TooLarge(
            f"The file is over the limit of {self._largest / 1e6:g} MB; split it and bring the "
            "parts in one by one.",
            field="file",
        )


class OwnAddress:
    """Refuse requests meant for another host name, and posts from another site's page."""

    def __init__(self, app: ASGIApp, host: str) -> None:
        self.app, self.host = app, host

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request through, or answer 400 or 403."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if not self._is_ours(headers.get("host", "")):
            answer = PlainTextResponse("Open this page by its number address.", status_code=400)
        elif scope["method"] not in _SAFE and _from_elsewhere(headers):
            answer = PlainTextResponse(
                "This was sent by another site's page, so nothing was changed; "
                "open Hoopwright itself and do it there.",
                status_code=403,
            )
        else:
            await self.app(scope, receive, send)
            return
        await answer(scope, receive, send)

    def _is_ours(self, host: str) -> bool:
        """Take number addresses and our own name: a foreign name may be made to point here."""
        name = urlsplit(f"//{host}").hostname or ""
        if name in ("localhost", self.host):
            return True
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return True


def _from_elsewhere(headers: Headers) -> bool:
    site = headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return True
    origin = headers.get("origin")
    return origin is not None and urlsplit(origin).netloc != headers.get("host", "")


class SafeHeaders:
    """Add the security headers to every answer; pages about people are kept in no cache."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Add the headers as the answer starts."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                # our own files hold nothing personal: asked for anew only where they changed
                ours = scope["path"].startswith("/static/")
                headers.setdefault("cache-control", "no-cache" if ours else "no-store")
            await send(message)

        await self.app(scope, receive, with_headers)
