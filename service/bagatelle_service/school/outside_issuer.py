"""An outside issuer of tokens (OpenID Connect): its word on who asks, checked by its published keys.

Only who the subject is counts; what the subject may do is the school's own to say, by the role of the member whom
the subject is tied to.
"""

import asyncio
import hashlib
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any, Final

import jwt
from jwt import PyJWK, PyJWKClient
from jwt.exceptions import PyJWKClientConnectionError, PyJWKClientError, PyJWTError
from msgspec import Struct

from bagatelle_service.school.errors import IssuerOutOfReachError, NotAdmittedError
from bagatelle_service.school.secrets import OWN_MARK
from bagatelle_service.settings import Settings

# Public-key signatures alone: with a shared secret, whoever can check a token could make one.
_ALGORITHMS: Final = ("RS256", "ES256")
_NEEDED: Final = ("exp", "iss", "aud", "sub")
_TIMEOUT_SECONDS: Final = 5.0
_KEYS_KEPT_SECONDS: Final = 300.0
_PAUSE_SECONDS: Final = 30.0
"""Before an unknown key is asked for again: else anybody could have the issuer asked at every request."""
_SILENCE_SECONDS: Final = 5.0
"""Before an issuer that did not answer is asked again: else requests would queue up for it."""
_CLOCKS_DIFFER_BY: Final = timedelta(seconds=60)
_NO_WORD: Final = "The token is not one of the issuer's for this service, or it has expired."


class Word(Struct, frozen=True, kw_only=True):
    """What an issuer says of who asks."""

    subject_hash: bytes
    """What the subject is found by."""
    secret: str
    """What kept answers are encrypted under."""
    expires_at: datetime

    def __repr__(self) -> str:
        """Say nothing of who it is."""
        return "Word()"


class OutsideIssuer:
    """Checks the tokens of one issuer."""

    def __init__(self, issuer: str, audience: str, keys_url: str, now: Callable[[], datetime]) -> None:
        self.issuer = issuer
        self._audience = audience
        self._now = now
        self._keys = PyJWKClient(
            keys_url,
            lifespan=_KEYS_KEPT_SECONDS,
            timeout=_TIMEOUT_SECONDS,
            cooldown_duration=_PAUSE_SECONDS,
        )
        # One request at a time may wait for the issuer in a thread, so that they cannot use up all threads.
        self._turn = asyncio.Lock()
        self._silent_until = 0.0

    async def word_of(self, token: str) -> Word:
        """Check a token, and say whose it is.

        :raises NotAdmittedError: where the token is none of the issuer's for this service, or not in force.
        :raises IssuerOutOfReachError: where the issuer's keys cannot be had.
        """
        try:
            header = jwt.get_unverified_header(token)
            # Before the issuer is asked for anything.
            if header.get("alg") not in _ALGORITHMS or "kid" not in header:
                raise NotAdmittedError(_NO_WORD)
            key = await self._key(header["kid"])
            claims: dict[str, Any] = jwt.decode(
                token,
                key,
                algorithms=_ALGORITHMS,
                issuer=self.issuer,
                audience=self._audience,
                # The times are checked below, by the service's own clock.
                options={
                    "require": list(_NEEDED),
                    "verify_exp": False,
                    "verify_nbf": False,
                    "verify_iat": False,
                },
            )
            return self._word(claims)
        except (PyJWTError, UnicodeError, RecursionError):
            raise NotAdmittedError(_NO_WORD) from None

    def _word(self, claims: dict[str, Any]) -> Word:
        expires_at = _moment(claims["exp"])
        begins_at = _moment(claims.get("nbf", 0))
        if not claims["sub"] or expires_at <= self._now() or begins_at > self._now() + _CLOCKS_DIFFER_BY:
            raise NotAdmittedError(_NO_WORD)
        return Word(
            subject_hash=subject_hash(self.issuer, claims["sub"]),
            secret=stable_secret(self.issuer, claims["sub"]),
            expires_at=expires_at,
        )

    async def _key(self, key_id: str) -> PyJWK:
        async with self._turn:
            if time.monotonic() < self._silent_until:
                raise IssuerOutOfReachError
            try:
                key = await asyncio.to_thread(self._find_key, key_id)
            # What an issuer says that is no set of keys raises errors of many kinds.
            except (PyJWTError, OSError, ValueError, TypeError, RecursionError):
                self._silent_until = time.monotonic() + _SILENCE_SECONDS
                raise IssuerOutOfReachError from None
        if key is None:
            raise NotAdmittedError(_NO_WORD)
        return key

    def _find_key(self, key_id: str) -> PyJWK | None:
        found = self._keys.match_kid(self._keys.get_signing_keys(), key_id)
        if found is not None:
            return found
        try:
            return self._keys.get_signing_key(key_id)  # asks the issuer again, now and then
        except PyJWKClientConnectionError:
            raise
        except PyJWKClientError:
            return None


def outside_issuer_of(settings: Settings, now: Callable[[], datetime]) -> OutsideIssuer | None:
    """Make the issuer that the settings name, where they name one."""
    issuer, audience, keys_url = settings.oidc_issuer, settings.oidc_audience, settings.oidc_keys_url
    if issuer is None or audience is None or keys_url is None:
        return None
    return OutsideIssuer(issuer, audience, keys_url, now)


def is_outside_token(secret: str) -> bool:
    """Tell by its shape whether a token is an issuer's (a signed JWT: three parts) and not one of ours."""
    return not secret.startswith(OWN_MARK) and secret.count(".") == 2


def subject_hash(issuer: str, subject: str) -> bytes:
    """Hash who a subject is, as it is stored."""
    return hashlib.sha256(f"{issuer}\n{subject}".encode()).digest()


def stable_secret(issuer: str, subject: str) -> str:
    """Derive what stands for a caller's secret where kept answers are encrypted.

    The token itself will not do: an issuer renews it every few minutes, and a request that is sent again must find
    its answer. What stays is who the subject is, of which the database has another hash alone, so nothing in it
    leads here but guessing the subject. Against that stands the Idempotency-Key, which the cipher's key is made of
    too and which is not stored either: whoever guesses a subject still has to guess a random key of the client's.
    """
    return hashlib.sha256(f"kept answers of a subject\n{issuer}\n{subject}".encode()).hexdigest()


def _moment(seconds: Any) -> datetime:
    """Read a NumericDate (RFC 7519, section 2).

    :raises NotAdmittedError: where it is none.
    """
    if isinstance(seconds, bool) or not isinstance(seconds, int | float):
        raise NotAdmittedError(_NO_WORD)
    try:
        return datetime.fromtimestamp(seconds, UTC)
    except (OverflowError, ValueError, OSError):
        raise NotAdmittedError(_NO_WORD) from None
