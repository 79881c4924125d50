"""`/v1/students/{student_id}/bundle` and `/v1/signing-keys`: what apps make sheets from without a network."""

from typing import Annotated, Any, Final
from uuid import UUID

from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, Struct, UnsetType

from bagatelle_service.api import problems
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import EXAMPLE_ID, id_in_path
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.bundles import make_bundle
from bagatelle_service.school.fields import IdText
from bagatelle_service.signing import PublicKey, SigningKey, key_set

AnyRequest = Request[Any, Any, Any]
_JWS: Final = "application/jose"
"""Of the compact serialization (RFC 7515, 9.2.1)."""
_JWK_SET: Final = "application/jwk-set+json"


class BundleQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is to be in it."""

    routine: (
        Annotated[
            IdText,
            Meta(
                description="The routine; without it, the open one whose plans were prepared last.",
                examples=[EXAMPLE_ID],
            ),
        ]
        | UnsetType
    ) = UNSET


class SigningKeysAnswer(Struct, frozen=True, kw_only=True):
    """A JSON Web Key Set (RFC 7517)."""

    keys: tuple[PublicKey, ...]
    """Empty where the service signs nothing."""


SHOW_BUNDLE = Operation(
    operation_id="show_bundle",
    tag="practice",
    summary="Give a student's prepared plans as one signed document, to be used without a network",
    description=(
        "A JSON Web Signature in compact serialization (RFC 7515) with EdDSA over Ed25519 (RFC 8037); `GET "
        "/v1/signing-keys` has the public key that `kid` of its header names. Check the signature, then undo "
        "gzip (`cty` is `gzip`), then read the JSON object: `format`, `version`; `walking_rule`, the "
        "version of the rule by which a card becomes a sheet; `sub`, the student's id; `iat` and `exp` (RFC "
        "7519), made at and valid until, 28 days later; `routine`; `date`, the student's today; `last_done`, "
        "task, unit and the last day before that date on which it was done; `done_on_date`, likewise for "
        "the date itself, which sheets of later dates go by too; `cards`, for each prepared kind of day "
        "`kind`, `plan`, `plan_revision`, `name` (what a sheet calls the card) and the `card`. It names "
        "nobody; titles and wording are the learner's own."
    ),
    stored=True,
    scope="practice.read",
    path_parameters=STUDENT_ID,
    query=BundleQuery,
    media_type=_JWS,
    answer=None,
    answer_description="The signed document.",
    answer_examples=(Example("bundle", "The beginning of one", from_file("bundle-answer")),),
    problems=(problems.NOT_PREPARED, problems.NO_SIGNING_KEY),
)
SHOW_SIGNING_KEYS = Operation(
    operation_id="show_signing_keys",
    tag="service",
    summary="Show the public keys that bundles are signed with",
    description="A JSON Web Key Set (RFC 7517). Keep it with the bundle, so that this can be checked offline too.",
    needs_token=False,
    media_type=_JWK_SET,
    answer=SigningKeysAnswer,
    answer_description="The keys.",
    answer_examples=(Example("keys", "One key", from_file("signing-keys-answer")),),
)


def bundle_routes(stored: Stored, key: SigningKey | None) -> list[HTTPRouteHandler]:
    """Make the handlers."""
    keys = key_set(key)

    @get("/v1/students/{student_id:str}/bundle", opt={OPT_KEY: SHOW_BUNDLE})
    async def show(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        named = query_of(request, BundleQuery).routine
        routine_id = None if named is UNSET else UUID(named)
        return await stored.show(request, lambda work: make_bundle(work, student_id, routine_id, key))

    @get("/v1/signing-keys", opt={OPT_KEY: SHOW_SIGNING_KEYS})
    async def show_keys() -> Response[bytes]:
        return Response(keys, media_type=_JWK_SET)

    return [show, show_keys]
