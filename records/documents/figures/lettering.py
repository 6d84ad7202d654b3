"""Type: Source Sans Pro, and Roboto for the words it lacks letters for; every face is embedded.

A character that neither face has is printed as its code, U+XXXX, so that no name is ever shown as
an empty box, and no control character turns a line round unseen.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from xml.sax.saxutils import escape

import font_roboto
import font_source_sans_pro
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from records.domain.errors import Code, NotFound

REGULAR, BOLD = "Shop", "Shop-Bold"
ELSE = {REGULAR: "ShopElse", BOLD: "ShopElse-Bold"}
_SPACES = {"\t": " ", "\n": " ", "\r": " "}
_WORDS = re.compile(r"\s+|\S+")


@cache
def load() -> None:
    """Register the faces with ReportLab, once in a process."""
    sans, other = font_source_sans_pro.font_files_ttf, font_roboto.font_files
    files = {
        REGULAR: (sans, "SourceSansPro"),
        BOLD: (sans, "SourceSansProBold"),
        ELSE[REGULAR]: (other, "Roboto"),
        ELSE[BOLD]: (other, "RobotoBold"),
    }
    for name, (found, key) in files.items():
        if not Path(found.get(key, "")).is_file():
            raise NotFound(Code.NOT_RENDERED, f"expected the font {key} in its package, got none")
        pdfmetrics.registerFont(TTFont(name, found[key]))
    for normal, bold in ((REGULAR, BOLD), (ELSE[REGULAR], ELSE[BOLD])):
        pdfmetrics.registerFontFamily(normal, normal, bold, normal, bold)


def runs(text: str, face: str = REGULAR) -> Iterator[tuple[str, str]]:
    """Split a text into (face, piece): a word in our face if that has all its letters."""
    for word in _WORDS.findall(printable(text)):
        if _has(face, word):
            yield face, word
        elif _has(ELSE[face], word):
            yield ELSE[face], word
        else:
            yield from _letter_by_letter(word, face)


def printable(text: str) -> str:
    """Return a text with what can't be seen or isn't in any face written as codes."""
    composed = unicodedata.normalize("NFC", text)
    return "".join(_shown(_SPACES.get(letter, letter)) for letter in composed)


def marked(text: str, face: str = REGULAR) -> str:
    """Return a text as ReportLab's paragraph markup, escaped, each run in a face that has it."""
    pieces = []
    for name, piece in _joined(runs(text, face)):
        inside = escape(piece)
        pieces.append(inside if name == face else f'<font name="{name}">{inside}</font>')
    return "".join(pieces)


def width(text: str, face: str, size: float) -> float:
    """Return how wide a text is when it is set in one line."""
    return sum(float(pdfmetrics.stringWidth(piece, name, size)) for name, piece in runs(text, face))


def _joined(pieces: Iterator[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    held: tuple[str, str] | None = None
    for name, piece in pieces:
        if held and held[0] == name:
            held = (name, held[1] + piece)
        else:
            if held:
                yield held
            held = (name, piece)
    if held:
        yield held


def _letter_by_letter(word: str, face: str) -> Iterator[tuple[str, str]]:
    for letter in word:
        yield (face if _has(face, letter) else ELSE[face]), letter


@cache
def _shown(letter: str) -> str:
    unseen = unicodedata.category(letter) in {"Cc", "Cf", "Co", "Cs", "Cn", "Zl", "Zp"}
    if not unseen and (_has(REGULAR, letter) or _has(ELSE[REGULAR], letter)):
        return letter
    return f" U+{ord(letter):04X} "


def _has(face: str, text: str) -> bool:
    glyphs = _glyphs(face)
    return all(ord(letter) in glyphs for letter in text)


@cache
def _glyphs(face: str) -> frozenset[int]:
    load()
    return frozenset(pdfmetrics.getFont(face).face.charToGlyph)
