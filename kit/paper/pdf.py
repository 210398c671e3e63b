"""A paper as a PDF: A4, at exactly its size, every letter of it there."""

from __future__ import annotations

from kit.paper.document import Document


def pdf_bytes(document: Document) -> bytes:
    """Return a paper as a PDF file.

    Its title stands at the top of the first page, unless the paper begins with it, or with a
    drawing that leaves it no room; the file's own title is always whole.

    Parameters
    ----------
    document : Document
        What it says.

    Returns
    -------
    bytes
        The same for the same paper, whenever it is printed.

    Raises
    ------
    ValueError
        If a drawing is larger than `Document.room_mm`: a defect of what drew it.
    """
    from kit.paper.pdf_pages import printed  # noqa: PLC0415 - fpdf2 loads when it is first needed

    return printed(document)
