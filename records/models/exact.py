"""Decimals that SQLite gives back as they were written.

SQLite has no decimals: Django's own column there is NUMERIC, so a mass becomes a double and comes
back with 15 digits (1000.029428234375 g, which is 35.275 oz, as 1000.02942823438). Here it is kept
as a text, padded with zeros, so that greater and lesser hold for masses of zero and above, and
comparisons with zero for all. PostgreSQL keeps an exact numeric, as ever.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper

# the stubs' class is generic, the real one isn't
if TYPE_CHECKING:
    Base = models.DecimalField[Any, Any]
else:
    Base = models.DecimalField


class ExactDecimalField(Base):
    """A decimal of `max_digits` digits, `decimal_places` of them after the point, kept exactly."""

    def get_internal_type(self) -> str:
        # not "DecimalField": Django would read it through a double on SQLite
        return "ExactDecimalField"

    def db_type(self, connection: BaseDatabaseWrapper) -> str:
        if connection.vendor == "sqlite":
            return "text"
        return f"numeric({self.max_digits}, {self.decimal_places})"

    def get_db_prep_value(
        self, value: Any, connection: BaseDatabaseWrapper, prepared: bool = False
    ) -> Any:
        value = value if prepared else self.get_prep_value(value)
        if connection.vendor != "sqlite" or not isinstance(value, Decimal):
            return super().get_db_prep_value(value, connection, prepared=True)
        return self._padded(value)

    def from_db_value(self, value: Any, _expression: Any, _connection: Any) -> Decimal | None:
        if value is None:
            return None
        # a sum reckoned by SQLite is a double: exact masses are summed in Python
        return _plain(Decimal(str(value)).quantize(self._step, context=self.context))

    @property
    def _step(self) -> Decimal:
        return Decimal(1).scaleb(-self.decimal_places)

    def _padded(self, value: Decimal) -> str:
        text = format(abs(value).quantize(self._step, context=self.context), "f")
        sign = "-" if value < 0 else ""
        return sign + text.zfill(self.max_digits + 1)


def _plain(value: Decimal) -> Decimal:
    """Drop the zeros that pad a column, so that 0.5 g is said as 0.5 g; never an exponent."""
    short = value.normalize()
    return short if short.as_tuple().exponent <= 0 else short.quantize(Decimal(1))  # type: ignore[operator]
