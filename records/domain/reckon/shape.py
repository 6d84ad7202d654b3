"""Read the object that came for a sum: every key by name, nothing unknown, no wrong number.

Use:

    def reckon(data: Mapping[str, object]) -> dict[str, object]:
        read = Shape(data)
        length_mm = read.number("length_mm", above=0)           # 150, 150.0 or "150.0"
        fraction = read.optional_number("fraction", 0.5, minimum=0, maximum=1)
        aim = read.text("aim", one_of=("spread", "metal"))
        masses_g = read.numbers("masses_g", above=0)            # [501.2, "500.9", ...]
        allowance = read.optional_number_or_numbers("allowance_g", minimum=0)
        takes = [(r.number("x_mm"), r.number("mass_g", above=0)) for r in read.objects("removals")]
        read.done()                                             # refuses keys nobody asked for
        return {...}

Keys of children are named by their path (`scale/d_g`, `removals/2/x_mm`), escaped as in a JSON
pointer (RFC 6901) but without the leading slash. `done` on the outermost shape covers children.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from records.domain.errors import BadValue, Code
from records.domain.reckon.numbers import LONGEST_LIST, Limits, read_number, refuse, say


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")


class Shape:
    """One JSON object being read; see the module's docstring for use."""

    def __init__(self, data: object, path: str = "") -> None:
        if not isinstance(data, Mapping):
            refuse(path, "an object", data)
        self.path = path
        self._data: Mapping[str, object] = data
        self._asked: dict[str, None] = {}
        self._children: list[Shape] = []

    def at(self, key: str | int) -> str:
        """Return the path of a key of this object, for an error of your own."""
        name = _escaped(str(key))
        return f"{self.path}/{name}" if self.path else name

    def keys(self) -> list[str]:
        """Return every key that came, in its order."""
        return list(self._data)

    def has(self, key: str) -> bool:
        """Say whether the key came with a value; asking makes the key known."""
        self._asked[key] = None
        return self._data.get(key) is not None

    def raw(self, key: str, expected: str) -> object:
        """Return the value of a key that must be there, unread."""
        if not self.has(key):
            raise BadValue(
                Code.MISSING,
                f"missing; expected {expected}",
                field=self.at(key),
                expected=expected,
                got="nothing",
            )
        return self._data[key]

    def number(
        self,
        key: str,
        *,
        minimum: float | None = None,
        above: float | None = None,
        maximum: float | None = None,
        below: float | None = None,
    ) -> float:
        """Return the number at key, within its limits."""
        limits = Limits(minimum, above, maximum, below)
        return read_number(self.raw(key, limits.words()), self.at(key), limits)

    def optional_number(
        self,
        key: str,
        default: float | None = None,
        *,
        minimum: float | None = None,
        above: float | None = None,
        maximum: float | None = None,
        below: float | None = None,
    ) -> float | None:
        """Return the number at key, or the default when it didn't come or is null."""
        if not self.has(key):
            return default
        return self.number(key, minimum=minimum, above=above, maximum=maximum, below=below)

    def number_or(
        self,
        key: str,
        default: float,
        *,
        minimum: float | None = None,
        above: float | None = None,
        maximum: float | None = None,
    ) -> float:
        """Return the number at key, or a default that is a number."""
        if not self.has(key):
            return default
        return self.number(key, minimum=minimum, above=above, maximum=maximum)

    def decimal(self, key: str) -> Decimal:
        """Return the exact decimal at key: of a float, the shortest decimal that means it."""
        expected = Limits().words()
        value = self.raw(key, expected)
        read_number(value, self.at(key), Limits())
        return value if isinstance(value, Decimal) else Decimal(str(value))

    def whole(self, key: str, *, minimum: int = 0, maximum: int = LONGEST_LIST) -> int:
        """Return the whole number at key, 0 or more unless said otherwise."""
        expected = f"a whole number from {minimum} to {maximum}"
        value = self.raw(key, expected)
        number = read_number(value, self.at(key), Limits())
        if number != int(number) or not minimum <= number <= maximum:
            refuse(self.at(key), expected, value, Code.OUT_OF_RANGE)
        return int(number)

    def optional_whole(
        self, key: str, default: int, *, minimum: int = 0, maximum: int = LONGEST_LIST
    ) -> int:
        """Return the whole number at key, or the default."""
        if not self.has(key):
            return default
        return self.whole(key, minimum=minimum, maximum=maximum)

    def text(self, key: str, *, one_of: tuple[str, ...] = ()) -> str:
        """Return the text at key; with one_of, one of these words."""
        expected = f"one of {', '.join(one_of)}" if one_of else "a text"
        value = self.raw(key, expected)
        if not isinstance(value, str) or not value or (one_of and value not in one_of):
            refuse(self.at(key), expected, value)
        return value

    def flag(self, key: str) -> bool:
        """Return the true or false at key."""
        value = self.raw(key, "true or false")
        if not isinstance(value, bool):
            refuse(self.at(key), "true or false", value)
        return value

    def optional_flag(self, key: str, default: bool) -> bool:
        """Return the true or false at key, or the default."""
        return self.flag(key) if self.has(key) else default

    def items(self, key: str, *, at_least: int = 0, of: str = "values") -> list[object]:
        """Return the list at key, unread."""
        expected = f"a list of at least {at_least} {of}" if at_least else f"a list of {of}"
        value = self.raw(key, expected)
        if not isinstance(value, list | tuple) or not at_least <= len(value) <= LONGEST_LIST:
            refuse(self.at(key), expected, value)
        return list(value)

    def numbers(
        self,
        key: str,
        *,
        minimum: float | None = None,
        above: float | None = None,
        at_least: int = 1,
    ) -> list[float]:
        """Return the list of numbers at key, each within the limits."""
        limits = Limits(minimum, above)
        items = self.items(key, at_least=at_least, of="numbers")
        return [read_number(item, f"{self.at(key)}/{i}", limits) for i, item in enumerate(items)]

    def optional_number_or_numbers(
        self, key: str, *, minimum: float | None = None, above: float | None = None
    ) -> float | list[float] | None:
        """Return one number for all, or a list of one for each, or None."""
        if not self.has(key):
            return None
        if isinstance(self._data[key], list | tuple):
            return self.numbers(key, minimum=minimum, above=above, at_least=0)
        return self.number(key, minimum=minimum, above=above)

    def texts(self, key: str, *, one_of: tuple[str, ...] = ()) -> list[str]:
        """Return the list of texts at key."""
        expected = f"one of {', '.join(one_of)}" if one_of else "a text"
        texts: list[str] = []
        for i, item in enumerate(self.items(key, of="texts")):
            if not isinstance(item, str) or (one_of and item not in one_of):
                refuse(f"{self.at(key)}/{i}", expected, item)
            texts.append(item)
        return texts

    def child(self, key: str) -> Shape:
        """Return the object at key as a shape of its own."""
        shape = Shape(self.raw(key, "an object"), self.at(key))
        self._children.append(shape)
        return shape

    def optional_child(self, key: str) -> Shape | None:
        """Return the object at key, or None when it didn't come."""
        return self.child(key) if self.has(key) else None

    def objects(self, key: str, *, at_least: int = 1) -> list[Shape]:
        """Return the list of objects at key, each a shape of its own."""
        items = self.items(key, at_least=at_least, of="objects")
        shapes = [Shape(item, f"{self.at(key)}/{i}") for i, item in enumerate(items)]
        self._children.extend(shapes)
        return shapes

    def done(self) -> None:
        """Refuse any key that was never asked for, here and in the children."""
        for key in self._data:
            if key not in self._asked:
                expected = "only " + ", ".join(self._asked)
                raise BadValue(
                    Code.UNKNOWN_KEY,
                    f"unknown key; expected {expected}",
                    field=self.at(key),
                    expected=expected,
                    got=say(key),
                )
        for shape in self._children:
            shape.done()
