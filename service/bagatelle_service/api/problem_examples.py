"""One example of each problem, for the description."""

from typing import Any, Final

from bagatelle_service.api.problems import INSTANCE_PREFIX, ProblemType

PROBLEM_MEMBERS: Final[dict[str, dict[str, Any]]] = {
    "invalid-input": {
        "detail": "One field is wrong.",
        "errors": [
            {
                "in": "body",
                "pointer": "/routine/blocks/0/minutes",
                "message": "must be at most 600",
                "accepted": "a number from 0.5 to 600",
            }
        ],
    },
    "stored-otherwise": {
        "errors": [
            {
                "in": "body",
                "pointer": "/entries/3",
                "message": "other content is stored under this id, in revision 2",
                "accepted": "the content that is stored; a correction by PUT with If-Match",
            }
        ],
    },
    "not-short": {"share": 0.8, "largest_share": 0.5},
    "nothing-fits": {"task": "lullaby", "smallest_window_seconds": 210},
    "no-short-day-fits": {
        "errors": [
            {
                "in": "body",
                "pointer": "/routine/blocks/0/tasks/0",
                "message": "Its set-up and its smallest piece take 330 seconds.",
                "accepted": "at most 300 seconds for both",
            }
        ],
        "task": "lullaby",
        "needed_seconds": 330,
        "largest_seconds": 300,
    },
    "not-specific": {
        "findings": [
            {
                "task": "lullaby",
                "question": "finished-when",
                "pointer": "/routine/blocks/0/tasks/0/done_when",
                "message": "When is it finished for today?",
                "proposal": [
                    {
                        "op": "add",
                        "path": "/routine/blocks/0/tasks/0/done_when",
                        "value": "two clean passes in a row",
                    }
                ],
            }
        ]
    },
    "plugin-failed": {"plugin": "snare-drum"},
}


def problem_example(row: ProblemType) -> dict[str, Any]:
    """Show a problem of a type, with the members that the type has."""
    members: dict[str, Any] = PROBLEM_MEMBERS.get(row.name, {})
    return {
        "type": row.uri,
        "title": row.title,
        "status": row.status,
        "detail": members.get("detail", row.meaning),
        "instance": INSTANCE_PREFIX + "5f0c2b9e-63f1-4c49-9d0e-0c0f5f1b7a11",
        **members,
    }
