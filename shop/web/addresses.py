"""Numbers as they stand in an address: a shop may put a stroke in them, an address may not."""

from __future__ import annotations


class ShopNumber:
    """Any number of the shop; a stroke, a tilde and a leading dot are written as ~2F, ~7E, ~2E."""

    regex = "[^/]+"

    def to_python(self, value: str) -> str:
        """Return the number that an address means."""
        return value.replace("~2E", ".").replace("~2F", "/").replace("~7E", "~")

    def to_url(self, value: str) -> str:
        """Return the number as an address writes it."""
        plain = str(value).replace("~", "~7E").replace("/", "~2F")
        # a browser takes a segment of dots for a way up
        return f"~2E{plain[1:]}" if plain.startswith(".") else plain
