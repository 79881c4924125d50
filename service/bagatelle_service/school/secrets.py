"""Tokens and codes: made at random, shown once, stored as hashes only."""

import base64
import hashlib
import secrets
from typing import Final

from cryptography.fernet import Fernet

OWN_MARK: Final = "bagatelle_"
"""What every token of ours begins with, so that a scanner of leaks knows one."""
_CODE_LETTERS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Without I, L, O and U, which are misread (the alphabet of Douglas Crockford's Base 32)."""
_READ_AS: Final = str.maketrans("ILO", "110", "- \t")
_CODE_LENGTH: Final = 20


def new_token() -> str:
    """Draw a token of 256 random bits."""
    return OWN_MARK + secrets.token_urlsafe(32)


def new_code() -> str:
    """Draw a code of 100 random bits, to be typed by hand: four groups of five letters and digits."""
    letters = "".join(secrets.choice(_CODE_LETTERS) for _ in range(_CODE_LENGTH))
    return "-".join(letters[start : start + 5] for start in range(0, _CODE_LENGTH, 5))


def read_code(text: str) -> str:
    """Read a code as it was typed: small letters, hyphens, and I, L, O for what they look like."""
    return text.upper().translate(_READ_AS)


def hash_of(secret: str) -> bytes:
    """Hash a secret. No salt and no slowness: it has too many bits to be guessed."""
    return hashlib.sha256(secret.encode()).digest()


def same(one: bytes, other: bytes) -> bool:
    """Compare in a time that tells nothing."""
    return secrets.compare_digest(one, other)


def cipher(*parts: bytes) -> Fernet:
    """Make a cipher whose key is what the parts come to; none of them is stored together with what it encrypts."""
    digest = hashlib.sha256(b"".join(hashlib.sha256(part).digest() for part in parts)).digest()
    return Fernet(base64.urlsafe_b64encode(digest))
