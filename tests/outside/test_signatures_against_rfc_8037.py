"""Signatures, keys and thumbprints against the examples of RFC 8037, appendix A."""

import base64

from bagatelle_service.signing import SigningKey
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from jwt import PyJWK
from jwt.api_jws import PyJWS

# A.1 and A.2.
PRIVATE = "nWGxne_9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A"
PUBLIC = "11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo"
# A.3.
THUMBPRINT = "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k"
# A.4.
PAYLOAD = b"Example of Ed25519 signing"
SIGNED = (
    "eyJhbGciOiJFZERTQSJ9.RXhhbXBsZSBvZiBFZDI1NTE5IHNpZ25pbmc."
    "hgyY0il_MGCjP0JzlnLWG1PPOt7-09PGcvMg3AIbQR6dWbhijcNR4ki4iylGjg5BhVsPt9g7sVvpAr_MuM0KAg"
)

PRIVATE_KEY = Ed25519PrivateKey.from_private_bytes(base64.urlsafe_b64decode(PRIVATE + "="))
KEY = SigningKey(PRIVATE_KEY)


def test_the_public_key_and_its_thumbprint() -> None:
    public = KEY.public
    assert (public.kty, public.crv, public.x, public.kid) == ("OKP", "Ed25519", PUBLIC, THUMBPRINT)


def test_the_signature() -> None:
    assert PyJWS().encode(PAYLOAD, PRIVATE_KEY, "EdDSA", {"typ": None}) == SIGNED


def test_ours_is_checked_by_the_published_key() -> None:
    signed = KEY.sign(PAYLOAD, "text/plain")
    public = PyJWK({"kty": "OKP", "crv": "Ed25519", "x": PUBLIC})
    read = PyJWS().decode_complete(signed, public, algorithms=["EdDSA"])
    assert read["payload"] == PAYLOAD
    assert read["header"] == {"alg": "EdDSA", "kid": THUMBPRINT, "cty": "text/plain"}
    assert PyJWS().decode(SIGNED, public, algorithms=["EdDSA"]) == PAYLOAD
