"""People and customers as they are booked."""

from __future__ import annotations

from rest_framework import serializers

from api.serializers.base import Given, a_number, a_reason


class PersonBooked(Given):
    number = a_number(20)
    name = serializers.CharField(max_length=200)
    roles = serializers.ListField(child=serializers.CharField(max_length=20), max_length=10)
    service = serializers.BooleanField(default=False)


class RoleGiven(Given):
    role = serializers.CharField(max_length=20)


class RoleEnded(Given):
    role = serializers.CharField(max_length=20)
    reason = a_reason()


class PersonLeft(Given):
    reason = a_reason()


class CustomerBooked(Given):
    number = a_number(20)
    name = serializers.CharField(max_length=200)
    email = serializers.EmailField(required=False)
