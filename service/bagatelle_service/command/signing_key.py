"""`bagatelle signing-key`: make the key that offline bundles are signed with."""

import argparse
import sys
from pathlib import Path
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "signing-key",
        help="make the key that offline bundles are signed with",
        description="Make an Ed25519 key and write it to a file that its owner alone may read; an existing one "
        "is left alone. Name the file in BAGATELLE_SIGNING_KEY_FILE. Once another is named, bundles that the older "
        "key has signed can no longer be checked against the service: apps fetch new ones.",
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="the file to be made")
    parser.set_defaults(func=_make_key)


def _make_key(arguments: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.signing import make_signing_key

    try:
        key = make_signing_key(arguments.file)
    except OSError as error:
        print(f"bagatelle signing-key: {arguments.file}: {error.strerror}", file=sys.stderr)
        return 1
    print(f"Key: {key.public.kid}")
    return 0
