"""Files inside the paper, set in with ReportLab's own objects so that the bytes stay the same."""

from __future__ import annotations

from collections.abc import Mapping
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

from records.documents.attached import ENTRY_FILE, FACTS_FILE, KEY_FILE, PROOF_FILE

# ReportLab's PDFName leaves the slash as it is (7.3.5 asks for #2F)
_JSON, _TEXT = "/application#2Fjson", "/text#2Fplain"
_SAID = {
    FACTS_FILE: (
        _JSON,
        "All that this certificate says, for machines; its SHA-256 is in the shop's ledger.",
    ),
    ENTRY_FILE: (_JSON, "The ledger's entry of the release, byte for byte."),
    PROOF_FILE: (_TEXT, "The proof that the entry is in the shop's log (C2SP tlog-proof)."),
    KEY_FILE: (_TEXT, "The public key of the shop's log."),
}


def attach_files(canvas: Any, files: Mapping[str, bytes]) -> None:
    """Attach files by name (ISO 32000-1, 7.11.4; the relationship is of ISO 32000-2, 14.13)."""
    document = canvas._doc
    held = {name: document.Reference(_file(document, name, files[name])) for name in sorted(files)}
    catalog = document.Catalog
    names = [each for name, file in held.items() for each in (PDFString(name), file)]
    catalog.Names = PDFDictionary({"EmbeddedFiles": PDFDictionary({"Names": PDFArray(names)})})
    # ReportLab's catalogue doesn't know associated files: one more key, of this document only
    catalog.AF = PDFArray(list(held.values()))
    catalog.__NoDefault__ = [*catalog.__NoDefault__, "AF"]
    catalog.__Refs__ = [*catalog.__Refs__, "AF"]


def _file(document: Any, name: str, content: bytes) -> PDFDictionary:
    kind, description = _SAID[name]
    stream = PDFStream(
        dictionary=PDFDictionary(
            {
                "Type": PDFName("EmbeddedFile"),
                "Subtype": kind,
                "Params": PDFDictionary(
                    {"Size": len(content), "ModDate": PDFDate(ts=document._timeStamp)}
                ),
            }
        ),
        content=content,
        filters=[PDFZCompress],
    )
    held = document.Reference(stream)
    return PDFDictionary(
        {
            "Type": PDFName("Filespec"),
            "F": PDFString(name),
            "UF": PDFString(name),
            "Desc": PDFString(description),
            "AFRelationship": PDFName("Data"),
            "EF": PDFDictionary({"F": held, "UF": held}),
        }
    )
