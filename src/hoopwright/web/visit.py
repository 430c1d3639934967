"""One visit to one page: what came in, and how it is answered.

The wrapper owns the transaction: it commits before the answer leaves, so that what the phone is
told was stored is stored. A refusal shows the page again with what was typed and the sentence
beside its field.
"""

from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from uuid import UUID

from jinja2 import Environment
from sqlalchemy.orm import Session
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from hoopwright.errors import (
    BadInput,
    Conflict,
    HoopwrightError,
    ModelsMissing,
    NotFound,
    StoreTrouble,
)
from hoopwright.settings import Settings
from hoopwright.web.forms import Fields, troubles_of
from hoopwright.web.guards import TooLarge
from hoopwright.web.stills import Stills
from hoopwright.web.uploads import Upload

if TYPE_CHECKING:
    from hoopwright.store.engine import Database
    from hoopwright.store.media import Media

#: class → status, the nearest class in the tree counts
STATUS: Mapping[type[HoopwrightError], int] = {
    HoopwrightError: 500,
    BadInput: 400,
    TooLarge: 413,
    NotFound: 404,
    Conflict: 409,
    ModelsMissing: 409,
    StoreTrouble: 503,
}
#: kept in the log of changes; there are no sign-ins, so whoever holds the phone is the coach
WHO = "coach"


def status_of(trouble: HoopwrightError) -> int:
    """Return the status of an error."""
    return next(STATUS[kind] for kind in type(trouble).__mro__ if kind in STATUS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What all pages share."""

    settings: Settings
    database: "Database"
    templates: Environment
    #: where films are kept
    media: "Media"
    #: pictures of them that were looked at lately
    stills: Stills


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One request, read."""

    site: Site
    request: Request
    session: Session
    fields: Fields = field(default_factory=Fields)
    #: uploaded file: name and content
    upload: tuple[str, bytes] = ("", b"")
    #: a film that is still coming in, on the one page that takes films
    incoming: Upload | None = None
    #: decoded JSON body, where one was sent
    sent: Any = None
    #: field → sentence, when the page is shown again after a refusal
    troubles: Mapping[str, str] = field(default_factory=dict)
    #: the refusal itself
    refusal: HoopwrightError | None = None

    def id(self, name: str) -> UUID:
        """Return an id from the address."""
        found: UUID = self.request.path_params[name]
        return found

    @property
    def wants_json(self) -> bool:
        """Tell whether data was asked for rather than a page."""
        return wants_json(self.request)

    def page(self, template: str, **context: object) -> Response:
        """Show a page."""
        status = 200 if self.refusal is None else status_of(self.refusal)
        shown = self.site.templates.get_template(template).render(
            visit=self,
            path=self.path,
            typed=self.fields.typed,
            troubles=self.troubles,
            refusal=self.refusal,
            **context,
        )
        return HTMLResponse(shown, status_code=status)

    def go(self, route: str, **params: object) -> Response:
        """Send the browser to another page."""
        return RedirectResponse(self.request.url_for(route, **params).path, status_code=303)

    def path(self, route: str, **params: object) -> str:
        """Return the address of a page of ours, without host."""
        return self.request.url_for(route, **params).path


Handler = Callable[[Visit], Response]


def wants_json(request: Request) -> bool:
    """Tell whether data was asked for, by the address or the Accept header."""
    asked = request.query_params.get("format")
    accepts = request.headers.get("accept", "")
    return asked == "json" or (asked is None and accepts.startswith("application/json"))


def endpoint(
    site: Site, get: Handler | None, post: Handler | None = None
) -> Callable[[Request], Awaitable[Response]]:
    """Make an endpoint of a page's handlers; they run in a thread, so plain functions do.

    Parameters
    ----------
    site
        What all pages share.
    get
        Shows the page; also shows it again when ``post`` refuses.
    post
        Does what the page's form asks for.
    """

    async def answer(request: Request) -> Response:
        if request.method != "POST":
            return await run_in_threadpool(_show, site, request, get)
        try:
            arrived = await _arrived(request)
        except TooLarge as trouble:
            return await run_in_threadpool(_refuse, site, request, get, trouble)
        return await run_in_threadpool(_do, site, request, get, post, arrived)

    return answer


def taking_in(site: Site, get: Handler, post: Handler) -> Callable[[Request], Awaitable[Response]]:
    """Make an endpoint of a page whose form brings a film, which its handler reads as it comes.

    Parameters
    ----------
    site, get, post
        As for ``endpoint``.
    """

    async def answer(request: Request) -> Response:
        if request.method != "POST":
            return await run_in_threadpool(_show, site, request, get)
        return await run_in_threadpool(_take_in, site, request, get, post, request.stream())

    return answer


def _take_in(
    site: Site, request: Request, get: Handler, post: Handler, stream: AsyncIterator[bytes]
) -> Response:
    try:
        incoming = Upload(request.headers.get("content-type", ""), stream)
        incoming.begin()
    except BadInput as trouble:
        return _refuse(site, request, get, trouble)
    fields = Fields(incoming.fields)
    arrived = _Arrived(fields=fields, upload=("", b""), sent=None, incoming=incoming)
    answer = _do(site, request, get, post, arrived)
    # one that is too large is not waited for
    with suppress(BadInput):
        incoming.drain()
    return answer


@dataclass(frozen=True, slots=True, kw_only=True)
class _Arrived:
    fields: Fields
    upload: tuple[str, bytes]
    sent: Any
    incoming: Upload | None = None


async def _arrived(request: Request) -> _Arrived:
    if request.headers.get("content-type", "").startswith("application/json"):
        try:
            return _Arrived(fields=Fields(), upload=("", b""), sent=await request.json())
        except (ValueError, RecursionError) as trouble:
            raise HTTPException(400, "The data sent is not JSON; nothing was changed.") from trouble
    async with request.form(max_files=1, max_fields=100) as form:
        typed, upload = {}, ("", b"")
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                upload = (value.filename or "", await value.read())
            else:
                typed[name] = value
    return _Arrived(fields=Fields(typed), upload=upload, sent=None)


def _show(site: Site, request: Request, get: Handler | None) -> Response:
    if get is None:
        raise HTTPException(405)
    with site.database.reading() as session:
        return get(Visit(site=site, request=request, session=session))


def _do(
    site: Site, request: Request, get: Handler | None, post: Handler | None, arrived: _Arrived
) -> Response:
    if post is None:
        raise HTTPException(405)
    try:
        with site.database.session() as session:
            return post(
                Visit(
                    site=site,
                    request=request,
                    session=session,
                    fields=arrived.fields,
                    upload=arrived.upload,
                    incoming=arrived.incoming,
                    sent=arrived.sent,
                )
            )
    except (BadInput, Conflict) as trouble:
        return _refuse(site, request, get, trouble, fields=arrived.fields)


def _refuse(
    site: Site,
    request: Request,
    get: Handler | None,
    trouble: HoopwrightError,
    *,
    fields: Fields | None = None,
) -> Response:
    """Show the page again with what was typed, or answer with data."""
    if get is None or wants_json(request):
        return JSONResponse({"error": trouble.message}, status_code=status_of(trouble))
    found = troubles_of(trouble) if isinstance(trouble, BadInput) else {"": trouble.message}
    with site.database.reading() as session:
        return get(
            Visit(
                site=site,
                request=request,
                session=session,
                fields=fields or Fields(),
                troubles=found,
                refusal=trouble,
            )
        )
