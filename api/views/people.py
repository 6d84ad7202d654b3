"""People of the shop and customers."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request

from api.serializers.people import (
    CustomerBooked,
    PersonBooked,
    PersonLeft,
    RoleEnded,
    RoleGiven,
)
from api.shapes import ListOf
from api.views.base import ForTheShop, Looking, Recording
from records.actions import people as deeds
from records.queries.customers import CustomerRow, customers
from records.queries.people import PersonRow, people


class People(ForTheShop, Looking, Recording):
    """Everybody who was ever recorded."""

    shows = ListOf(PersonRow)
    takes = PersonBooked

    def look(self, request: Request, **named: Any) -> tuple[PersonRow, ...]:
        """List the people of the shop, with the roles they hold now."""
        return people()

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Book a person, or a service such as a scale bridge, with roles."""
        return deeds.book_person(by=by, **given)


class PersonRoles(ForTheShop, Recording):
    """Roles of a person."""

    takes = RoleGiven

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Give a person a role from now on."""
        return deeds.grant_role(by=by, person=named["number"], **given)


class PersonRoleEnds(ForTheShop, Recording):
    """Ends of roles."""

    takes = RoleEnded

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """End a role of a person."""
        return deeds.end_role(by=by, person=named["number"], **given)


class PersonEnd(ForTheShop, Recording):
    """The end of a person's work here."""

    takes = PersonLeft

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Record that someone no longer works here; account and tokens end with it."""
        return deeds.end_person(by=by, person=named["number"], **given)


class Customers(ForTheShop, Looking, Recording):
    """Whom engines are done for."""

    shows = ListOf(CustomerRow)
    takes = CustomerBooked

    def look(self, request: Request, **named: Any) -> tuple[CustomerRow, ...]:
        """List the customers by number."""
        return customers()

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Book a customer."""
        return deeds.book_customer(by=by, **given)
