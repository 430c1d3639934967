"""Tables: charts brought in from CSV and XLSX, and taken out again."""

from starlette.responses import Response

from hoopwright.actions.tables_in import import_charts, read_charts
from hoopwright.actions.tables_out import export_charts
from hoopwright.errors import BadInput, NotFound
from hoopwright.web.visit import WHO, Visit

_KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def tables(visit: Visit) -> Response:
    """Show how tables come in and go out; after a refusal, each bad row."""
    return visit.page("tables.html", report=None, notes=())


def bring_in(visit: Visit) -> Response:
    """Bring charts in from a file; all of it or nothing."""
    name, content = visit.upload
    if not name:
        raise BadInput("No file was chosen; choose a CSV or XLSX file.", field="file")
    read = read_charts(content, name=name)
    report = import_charts(visit.session, read.charts, who=WHO)
    return visit.page("tables.html", report=report, notes=read.notes)


def take_out(visit: Visit) -> Response:
    """Return all charts as a file."""
    kind = visit.request.path_params["kind"]
    if kind not in _KINDS:
        raise NotFound("Tables go out as csv or xlsx; choose one of them.")
    return Response(
        export_charts(visit.session, None, kind=kind),
        media_type=_KINDS[kind],
        headers={"content-disposition": f'attachment; filename="charts.{kind}"'},
    )
