"""The shop's rules in versions: part specs, rod fixtures, tolerance classes, settings."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request

from api.serializers.specs import (
    FixtureSet,
    SettingsSet,
    SpecSet,
    ToleranceSet,
    VersionRecorded,
)
from api.shapes import ListOf, PartOf
from api.views.base import ForTheShop, Looking, Recording
from records.actions import shop as deeds
from records.actions.specs import set_part_spec
from records.domain.errors import BadValue, Code
from records.queries import shop as rules
from records.queries.papers import Fixture, Settings
from records.queries.specs import SpecPage, spec_page, specs
from records.queries.viewer import not_found


class Specs(ForTheShop, Looking, Recording):
    """Part specs."""
