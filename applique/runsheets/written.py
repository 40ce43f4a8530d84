"""A run sheet as the bytes of a file."""

from __future__ import annotations

from applique.pages.runsheet import run_sheet_page
from applique.paper.run_content import RunSheet
from applique.paper.sizes import SizeMm
from applique.report import Finding

ENDINGS = (".html", ".pdf")
"""Of the files that a run sheet can be."""


def written(sheet: RunSheet, ending: str, paper_mm: SizeMm) -> tuple[bytes, list[Finding]]:
    """A run sheet as a page or, on paper of a size, as a PDF, by its file's ending; and a warning
    where the PDF can't show some letters. Raises ValueError for another ending."""
    if ending not in ENDINGS:
        raise ValueError(f"'{ending}' is no ending of a run sheet; give {' or '.join(ENDINGS)}")
    if ending == ".html":
        return run_sheet_page(sheet, {}), []
    from applique.paper.pdf import lost_letters, pdf_bytes  # The PDF library is slow to load.
    from applique.paper.runsheet import run_sheet_printout

    printout = run_sheet_printout(sheet, paper_mm)
    return pdf_bytes(printout), lost_letters(printout, "the run sheet")
