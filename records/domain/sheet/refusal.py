"""What is wrong with a row of a sheet, named by row as in the file and by column."""

from __future__ import annotations

from collections.abc import Iterable

from records.domain.errors import BadValue, Code, ManyErrors, TarebookError


def refused(
    expected: str, got: str, hint: str = "", *, code: Code = Code.BAD_VALUE, field: str = ""
) -> BadValue:
    """Return the error of a cell; what was got is cut short."""
    shown = repr(got[:40]) if got else "nothing"
    advice = f"; {hint}" if hint else ""
    return BadValue(
        code, f"expected {expected}, got {shown}{advice}", field=field, expected=expected, got=shown
    )


def field_of(row: int, column: str = "") -> str:
    """Return the field of a cell: `rows/17/reading`, rows counted as in the file."""
    return f"rows/{row}/{column}" if column else f"rows/{row}"


def place_of(error: TarebookError) -> tuple[int, str]:
    """Return the row and column that an error's field names; (0, "") where it names none."""
    start, row, column = (*error.field.split("/", 2), "", "")[:3]
    return (int(row), column) if start == "rows" and row.isdecimal() else (0, "")


def refuse_all(errors: Iterable[TarebookError]) -> None:
    """Raise the errors together, in the order of the file's rows; none, and nothing happens."""
    found = sorted(errors, key=lambda error: place_of(error)[0])
    if found:
        raise ManyErrors(found)
