"""Pages for what went wrong: each says what is wrong and what to do."""

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from hoopwright.errors import HoopwrightError
from hoopwright.web.guards import HEADERS
from hoopwright.web.visit import Site, status_of, wants_json

_SAID = {
    400: "What was sent can't be read; open the page again and retype it.",
    404: "There is no such page; it may have been removed. Look in the list of players.",
    405: "This address does something only when its own button is used; go back to the page.",
}


def status_page(site: Site, request: Request, trouble: Exception) -> Response:
    """Answer what the web layer itself refused."""
    status = trouble.status_code if isinstance(trouble, HTTPException) else 500
    return _answer(site, request, status, _SAID.get(status, "That can't be done here; go back."))


def refused(site: Site, request: Request, trouble: Exception) -> Response:
    """Answer what an action refused and no form can show."""
    status = status_of(trouble) if isinstance(trouble, HoopwrightError) else 500
    return _answer(site, request, status, str(trouble))


def broken(site: Site, request: Request, trouble: Exception) -> Response:
    """Answer what nobody foresaw; the transaction was rolled back."""
    said = "Something broke inside Hoopwright; nothing was changed. Go back and try once more."
    return _answer(site, request, 500, said)


def _answer(site: Site, request: Request, status: int, sentence: str) -> Response:
    # given here as well: what breaks inside is answered outside the layer that adds them
    headers = {**HEADERS, "cache-control": "no-store"}
    if wants_json(request):
        return JSONResponse({"error": sentence}, status_code=status, headers=headers)
    shown = site.templates.get_template("trouble.html").render(
        sentence=sentence, status=status, path=lambda name: request.app.url_path_for(name)
    )
    return HTMLResponse(shown, status_code=status, headers=headers)
