"""Tables that are taken out whole, from the page that shows a part of them."""

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.lots.spirit_account import month_of
from stillroom.actions.lots.tables_out import table_out
from stillroom.web.duties import Addresses
from stillroom.web.pages import lab_of, today

router = Addresses()
KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@router.get("/export/{name}.{ending}", needs="reader")
def export(request: Request, name: str, ending: str, month: str = "") -> Response:
    """A table as a file."""
    wanted = month_of(month, today(request)) if month else ""
    content = table_out(lab_of(request), name, ending, wanted)
    return sent_as_file(name, ending, content)


def sent_as_file(name: str, ending: str, content: bytes) -> Response:
    """A table to be kept, "csv" or "xlsx"."""
    kept = {"Content-Disposition": f'attachment; filename="{name}.{ending}"'}
    return Response(content, media_type=KINDS[ending], headers=kept)
