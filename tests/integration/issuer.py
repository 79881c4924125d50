"""An outside issuer of tokens on this machine: keys, a server that publishes them, and tokens."""

import base64
import hashlib
import hmac
import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import jwt
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from jwt.algorithms import ECAlgorithm, RSAAlgorithm

ISSUER = "https://accounts.example"
AUDIENCE = "practice-plans"
RSA = "rsa-one"
EC = "ec-one"


class Issuer:
    """Signs tokens, and publishes the public halves of its keys."""

    def __init__(self) -> None:
        self.keys: dict[str, Any] = {
            RSA: rsa.generate_private_key(public_exponent=65537, key_size=2048),
            EC: ec.generate_private_key(ec.SECP256R1()),
        }
        self.asked = 0
        self.answer: bytes | None = None
        """What is answered in the place of the keys."""
        self.url = ""

    def key_set(self) -> bytes:
        if self.answer is not None:
            return self.answer
        found = []
        for name, key in self.keys.items():
            algorithm = RSAAlgorithm if isinstance(key, rsa.RSAPrivateKey) else ECAlgorithm
            found.append({**algorithm.to_jwk(key.public_key(), as_dict=True), "kid": name, "use": "sig"})
        return json.dumps({"keys": found}).encode()

    def settings(self) -> dict[str, Any]:
        return {"oidc_issuer": ISSUER, "oidc_audience": AUDIENCE, "oidc_keys_url": self.url}

    def token(self, claims: dict[str, Any], kid: str = RSA, signed_with: str | None = None) -> str:
        key = self.keys[signed_with or kid]
        algorithm = "RS256" if isinstance(key, rsa.RSAPrivateKey) else "ES256"
        return jwt.encode(claims, key, algorithm=algorithm, headers={"kid": kid})

    def unsigned(self, claims: dict[str, Any]) -> str:
        return f"{_part({'alg': 'none', 'typ': 'JWT', 'kid': RSA})}.{_part(claims)}."

    def signed_with_the_public_key(self, claims: dict[str, Any]) -> str:
        """Take the public key, which everybody has, for a shared secret (RFC 8725, section 2.1)."""
        public = self.keys[RSA].public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
        signed = f"{_part({'alg': 'HS256', 'typ': 'JWT', 'kid': RSA})}.{_part(claims)}"
        signature = hmac.new(public, signed.encode(), hashlib.sha256).digest()
        return f"{signed}.{base64.urlsafe_b64encode(signature).rstrip(b'=').decode()}"


def claims_of(subject: str, now: datetime, **others: Any) -> dict[str, Any]:
    """Say who somebody is for an hour; a claim given as None is left out."""
    expires = int((now + timedelta(hours=1)).timestamp())
    claims = {"iss": ISSUER, "aud": AUDIENCE, "sub": subject, "exp": expires, **others}
    return {name: value for name, value in claims.items() if value is not None}


def _part(value: dict[str, Any]) -> str:
    return base64.urlsafe_b64encode(json.dumps(value).encode()).rstrip(b"=").decode()


@contextmanager
def issuer_here() -> Iterator[Issuer]:
    """Serve an issuer's keys until the block ends."""
    issuer = Issuer()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            issuer.asked += 1
            body = issuer.key_set()
            self.send_response(200)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    issuer.url = f"http://127.0.0.1:{server.server_address[1]}/keys"
    try:
        yield issuer
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
