"""A file inside the paper, set in with ReportLab's own objects so that the bytes stay the same."""

from __future__ import annotations

from typing import Any

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDate,
    PDFDictionary,
    PDFName,
    PDFStream,
    PDFString,
    PDFZCompress,
)

from records.documents.attached import FACTS_FILE

_JSON = "/application#2Fjson"  # ReportLab's PDFName leaves the slash as it is (7.3.5 asks for #2F)
_DESCRIPTION = "All that this certificate says, for machines; its SHA-256 is in the shop's ledger."


def attach_facts(canvas: Any, facts_bytes: bytes) -> None:
    """Attach the frozen facts (ISO 32000-1, 7.11.4; the relationship is of ISO 32000-2, 14.13)."""
    document = canvas._doc
    stream = PDFStream(
        dictionary=PDFDictionary(
            {
                "Type": PDFName("EmbeddedFile"),
                "Subtype": _JSON,
                "Params": PDFDictionary(
                    {"Size": len(facts_bytes), "ModDate": PDFDate(ts=document._timeStamp)}
                ),
            }
        ),
        content=facts_bytes,
        filters=[PDFZCompress],
    )
    held = document.Reference(stream)
    file = PDFDictionary(
        {
            "Type": PDFName("Filespec"),
            "F": PDFString(FACTS_FILE),
            "UF": PDFString(FACTS_FILE),
            "Desc": PDFString(_DESCRIPTION),
            "AFRelationship": PDFName("Data"),
            "EF": PDFDictionary({"F": held, "UF": held}),
        }
    )
    _enter(document, document.Reference(file))


def _enter(document: Any, file: Any) -> None:
    catalog = document.Catalog
    names = PDFDictionary({"Names": PDFArray([PDFString(FACTS_FILE), file])})
    catalog.Names = PDFDictionary({"EmbeddedFiles": names})
    # ReportLab's catalogue doesn't know associated files: one more key, of this document only
    catalog.AF = PDFArray([file])
    catalog.__NoDefault__ = [*catalog.__NoDefault__, "AF"]
    catalog.__Refs__ = [*catalog.__Refs__, "AF"]
