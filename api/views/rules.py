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
from api.shapes import ListOf, result_of, row_of
from api.views.base import ForTheShop, Looking, Recording
from records.actions import shop as deeds
from records.actions.specs import set_part_spec
from records.domain.errors import BadValue, Code
from records.queries import shop as rules
from records.queries.specs import SpecPage, spec_page, specs
from records.queries.viewer import not_found


class Specs(ForTheShop, Looking, Recording):
    """Part specs."""

    shows = ListOf(row_of(specs))
    takes = SpecSet
    gives = VersionRecorded

    def look(self, request: Request, **named: Any) -> Any:
        """List the newest version of each part spec with its zone map."""
        return specs()

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Set a part spec, or a new version of it, with its zones."""
        return set_part_spec(by=by, **given)


class Spec(ForTheShop, Looking):
    """One part spec."""

    shows = SpecPage
    asks = ({"name": "version", "type": int, "description": "the newest unless said"},)

    def look(self, request: Request, **named: Any) -> SpecPage:
        """Show a version of a part spec, and which there are."""
        return spec_page(named["number"], _version(request.query_params.get("version")))


class Fixtures(ForTheShop, Looking, Recording):
    """Rod fixtures."""

    shows = ListOf(row_of(rules.rod_fixtures))
    takes = FixtureSet
    gives = VersionRecorded

    def look(self, request: Request, **named: Any) -> Any:
        """List the newest version of each rod fixture."""
        return rules.rod_fixtures()

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Set a rod fixture's contact uncertainty (mm, standard, per hanging)."""
        return deeds.set_fixture(by=by, **given)


class ToleranceClasses(ForTheShop, Looking, Recording):
    """Tolerance classes."""

    shows = ListOf(rules.ToleranceRow)
    takes = ToleranceSet
    gives = VersionRecorded

    def look(self, request: Request, **named: Any) -> Any:
        """List the newest version of each tolerance class."""
        return rules.tolerance_classes()

    def key_of(self, row: Any) -> object:
        return row.name

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Set a tolerance class; builds opened before keep theirs."""
        return deeds.set_tolerance_class(by=by, **given)


class Settings(ForTheShop, Looking, Recording):
    """The shop's settings."""

    shows = result_of(rules.shop_now)
    takes = SettingsSet
    gives = VersionRecorded

    def look(self, request: Request, **named: Any) -> Any:
        """Show the shop's settings as they hold now."""
        return _there(rules.shop_now(), "shop")

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Set a new version of the shop's settings."""
        return deeds.change_settings(by=by, **given)


class BalanceRule(ForTheShop, Looking):
    """The rule for bob weights."""

    shows = rules.BalanceRuleRow

    def look(self, request: Request, **named: Any) -> Any:
        """Show oil, fraction and range for bob weights."""
        return _there(rules.balance_rule(), "balance rule")


class ChecklistView(ForTheShop, Looking):
    """The safety checklist."""

    shows = rules.ChecklistRow

    def look(self, request: Request, **named: Any) -> Any:
        """Show the newest version of the safety checklist; a build keeps the one it opened with."""
        return _there(rules.checklist(), "checklist")


def _there(found: Any, what: str) -> Any:
    if found is None:
        raise not_found(what, "the newest")
    return found


def _version(given: str | None) -> int | None:
    if given is None:
        return None
    if not given.isascii() or not given.isdigit():
        raise BadValue(Code.BAD_VALUE, f"expected a version, got {given[:20]!r}", field="version")
    return int(given[:9])
