"""What the service signs with: an Ed25519 key of its own (RFC 8032, RFC 8037), from a file that the settings name.

Signed is a JSON Web Signature in compact serialization (RFC 7515) of any bytes; who checks one takes the public key
from the service's JSON Web Key Set (RFC 7517), by the thumbprint (RFC 7638) that the signature's header names.
"""

import base64
import hashlib
import os
from pathlib import Path
from typing import Final, Literal

import msgspec
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from jwt.api_jws import PyJWS
from msgspec import Struct

from bagatelle_service.settings import Settings, SettingsError

ALGORITHM: Final = "EdDSA"
"""As RFC 8037 names it, and libraries know it; RFC 9864 would say Ed25519."""
_ONLY_THE_SERVICE: Final = 0o600


class PublicKey(Struct, frozen=True, kw_only=True):
    """A public key as a JSON Web Key (RFC 7517, RFC 8037)."""

    kty: Literal["OKP"] = "OKP"
    crv: Literal["Ed25519"] = "Ed25519"
    x: str
    """The key, in base64url."""
    kid: str
    """Its thumbprint (RFC 7638), which headers of signatures name."""
    use: Literal["sig"] = "sig"
    alg: Literal["EdDSA"] = "EdDSA"


class SigningKey:
    """A private key, and what is done with it."""

    def __init__(self, private: Ed25519PrivateKey) -> None:
        """Find out how the public key is known."""
        self._private = private
        raw = private.public_key().public_bytes_raw()
        x = base64.urlsafe_b64encode(raw).rstrip(b"=").decode()
        # RFC 7638, 3: the required members alone, in the order of their names, without spaces.
        thumbprint = hashlib.sha256(f'{{"crv":"Ed25519","kty":"OKP","x":"{x}"}}'.encode()).digest()
        kid = base64.urlsafe_b64encode(thumbprint).rstrip(b"=").decode()
        self.public = PublicKey(x=x, kid=kid)

    def sign(self, payload: bytes, content_type: str) -> str:
        """Sign bytes; return the JSON Web Signature, which holds them.

        :param content_type: their media type, without `application/` (RFC 7515, 4.1.10).
        """
        headers = {"typ": None, "kid": self.public.kid, "cty": content_type}
        return PyJWS().encode(payload, self._private, ALGORITHM, headers)

    def __repr__(self) -> str:
        """Say which key it is, and nothing of the private one."""
        return f"SigningKey({self.public.kid})"


def make_signing_key(path: Path) -> SigningKey:
    """Make a key, and a file of it that its owner alone may read (PKCS #8 in PEM).

    :raises OSError: where there is such a file already, or none can be made.
    """
    private = Ed25519PrivateKey.generate()
    pem = private.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _ONLY_THE_SERVICE), "wb") as file:
        file.write(pem)
    return SigningKey(private)


def signing_key_of(settings: Settings) -> SigningKey | None:
    """Read the key that the settings name; None where they name none.

    :raises SettingsError: where its file cannot be used.
    """
    if not settings.signing_key_file:
        return None
    try:
        pem = Path(settings.signing_key_file).read_bytes()
        private = serialization.load_pem_private_key(pem, password=None)
    except (OSError, ValueError, TypeError, UnsupportedAlgorithm) as error:
        reason = (
            error.strerror if isinstance(error, OSError) else "it is no private key in PEM without a password"
        )
        raise SettingsError(_unusable(str(reason))) from None
    if not isinstance(private, Ed25519PrivateKey):
        raise SettingsError(_unusable("its key is none of Ed25519"))
    return SigningKey(private)


def key_set(key: SigningKey | None) -> bytes:
    """Write the JSON Web Key Set: the public key, or none where nothing is signed."""
    return msgspec.json.encode({"keys": [] if key is None else [key.public]})


def _unusable(reason: str) -> str:
    return (
        f"BAGATELLE_SIGNING_KEY_FILE cannot be used: {reason}. It takes a file that `bagatelle signing-key FILE` "
        "has made."
    )
