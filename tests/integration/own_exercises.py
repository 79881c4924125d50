"""The study book of the API's own examples, and how it is sent."""

from pathlib import Path

import httpx

from tests.integration.school import As, SchoolOfTest

EXAMPLES = Path(__file__).parents[2] / "service/bagatelle_service/api/examples"
STUDY_BOOK = (EXAMPLES / "study-book.toml").read_text(encoding="utf-8")
LIST, PATH = "/v1/school/exercises", "/v1/school/exercises/study-book"


def put(who: As, text: str | bytes, path: str = PATH, **headers: str) -> httpx.Response:
    content = text.encode() if isinstance(text, str) else text
    return who.send("PUT", path, content=content, headers={"Content-Type": "application/toml", **headers})


def stored(school: SchoolOfTest, text: str = STUDY_BOOK) -> httpx.Response:
    response = put(school.owner, text)
    assert response.status_code == 201, response.text
    return response
