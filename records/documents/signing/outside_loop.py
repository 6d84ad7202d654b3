"""Run pyHanko's coroutines to their end, also where a loop is already running (as in a browser
test): `asyncio.run` refuses there, so the work goes to a thread of its own.
"""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def finish(work: Coroutine[Any, Any, T]) -> T:
    """Return what a coroutine returns."""
    try:
        asyncio.get_running_loop()
    except RuntimeError:
        return asyncio.run(work)
    with ThreadPoolExecutor(1) as apart:
        return apart.submit(asyncio.run, work).result()
