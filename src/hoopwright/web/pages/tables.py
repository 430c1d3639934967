"""Tables: charts brought in from CSV and XLSX, and taken out again."""

from starlette.responses import Response

from hoopwright.actions.tables_in import ImportReport, import_file
from hoopwright.actions.tables_out import export_charts
from hoopwright.errors import BadInput, NotFound
from hoopwright.reports.words import listed, plural
from hoopwright.web.visit import WHO, Visit

_CSV = "text/csv; charset=utf-8"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def tables(visit: Visit) -> Response:
    """Show how tables come in and go out; after a refusal, each bad row."""
    return visit.page("tables.html", done=())


def bring_in(visit: Visit) -> Response:
    """Bring charts in from a file; all of it or nothing."""
    name, content = visit.upload
    if not name:
        raise BadInput("No file was chosen; choose a CSV or XLSX file.", field="file")
    report = import_file(visit.session, content, name=name, who=WHO)
    return visit.page("tables.html", done=(_brought_in(report), *report.notes))


def take_out(visit: Visit) -> Response:
    """Return all charts as a file."""
    match visit.request.path_params["kind"]:
        case "csv":
            return _file(export_charts(visit.session, None, kind="csv"), "charts.csv", _CSV)
        case "xlsx":
            return _file(export_charts(visit.session, None, kind="xlsx"), "charts.xlsx", _XLSX)
        case _:
            raise NotFound("Tables go out as csv or xlsx; choose one of them.")


def _file(content: bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=headers)


def _brought_in(report: ImportReport) -> str:
    if not report.shots and report.shots_already:
        return f"All {plural(report.shots_already, 'shot')} were here already; nothing changed."
    new = listed(
        [
            plural(count, what)
            for count, what in (
                (report.players, "new player"),
                (report.workouts, "workout"),
                (report.sets, "set"),
                (report.shots, "shot"),
            )
            if count
        ]
    )
    already = f" {report.shots_already} were here already." if report.shots_already else ""
    return f"Brought in {new or 'nothing'}.{already}"
