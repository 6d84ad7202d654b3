"""A refusal, and the proof that it wrote nothing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.apps import apps

from records.domain.errors import Code, TarebookError
from records.models.ledger import StreamHead


def written() -> dict[str, int]:
    """Count every row of every table of the records app, and where the streams stand."""
    models = apps.get_app_config("records").get_models(include_auto_created=True)
    counts = {model._meta.label_lower: model._default_manager.count() for model in models}
    return counts | {"entries in all": sum(StreamHead.objects.values_list("seq", flat=True))}


@contextmanager
def refused(
    kind: type[TarebookError], code: Code, field: str | None = None
) -> Iterator[pytest.ExceptionInfo[TarebookError]]:
    """Expect a refusal with this code at this field, and that nothing at all was written."""
    before = written()
    with pytest.raises(kind) as caught:
        yield caught
    assert written() == before
    assert caught.value.code is code, str(caught.value)
    if field is not None:
        assert caught.value.field == field, str(caught.value)
