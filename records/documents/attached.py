"""What the file inside a certificate is called, by those who put it in and those who look."""

from __future__ import annotations

FACTS_FILE = "facts.json"
