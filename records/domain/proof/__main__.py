"""`python -m records.domain.proof BUNDLE [--key KEY]`: verify a bundle, away from the shop."""

import sys
from argparse import ArgumentParser
from pathlib import Path

from records.domain.proof.verify import verify_bundle


def main(arguments: list[str] | None = None) -> int:
    """Print the report; return 0 when the bundle holds, else 1."""
    parser = ArgumentParser(prog="python -m records.domain.proof", description="Verify a bundle.")
    parser.add_argument("bundle", type=Path)
    parser.add_argument(
        "--key",
        action="append",
        help="the log's public key, name+id+base64; more than one may be given",
    )
    given = parser.parse_args(arguments)
    try:
        raw = given.bundle.read_bytes()
    except OSError as error:
        sys.stderr.write(f"{given.bundle}: expected a file to read, got {error.strerror}\n")
        return 1
    report = verify_bundle(raw, given.key)
    sys.stdout.buffer.write(f"{report}\n".encode())
    return 1 if report.refused else 0


if __name__ == "__main__":
    sys.exit(main())
