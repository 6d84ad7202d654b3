"""What tests read from a page."""

from __future__ import annotations

import re
from html import unescape
from typing import Any


def body(answer: Any) -> str:
    """Return a page's text as it was sent."""
    text: str = answer.content.decode()
    return text


def title(answer: Any) -> str:
    """Return the sentence that heads a page, without its marks."""
    found = re.search(r"<h1>(.*?)</h1>", body(answer), re.DOTALL)
    assert found, body(answer)[:500]
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", found[1]).split()))


def errors_at(answer: Any, field: str) -> list[str]:
    """Return what stands as an error at a field."""
    found = re.search(rf'id="id_{field}_error">(.*?)</ul>', body(answer), re.DOTALL)
    return [unescape(one) for one in re.findall(r"<li>(.*?)</li>", found[1])] if found else []


def kept(answer: Any, name: str) -> str:
    """Return what an input still holds."""
    found = re.search(rf'<input[^>]*name="{name}"[^>]*value="([^"]*)"', body(answer))
    assert found, f"no input {name} with a value"
    return unescape(found[1])
