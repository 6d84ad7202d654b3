"""`manage.py open-shop`: open a shop's record with its first manager."""

from __future__ import annotations

import getpass
import os
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from records.actions.accounts import make_account
from records.actions.shop import open_shop
from records.domain.errors import TarebookError


class Command(BaseCommand):
    help = "Open the shop once: its name, its time zone, its first manager and that one's account."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the shop's name, as it stands on paper")
        parser.add_argument("--place", default="")
        parser.add_argument("--timezone", required=True, help="such as Europe/London")
        parser.add_argument("--person", default="P-01", help="shop number of the first manager")
        parser.add_argument("--person-name", required=True)
        parser.add_argument("--username", required=True)

    def handle(self, *_args: Any, **given: Any) -> None:
        password = os.environ.get("TAREBOOK_FIRST_PASSWORD") or getpass.getpass("password: ")
        try:
            with transaction.atomic():
                open_shop(
                    name=given["name"],
                    place=given["place"],
                    timezone=given["timezone"],
                    first_person=given["person"],
                    first_name=given["person_name"],
                )
                make_account(username=given["username"], password=password, person=given["person"])
        except TarebookError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{given['name']} is open; sign in as {given['username']}")
