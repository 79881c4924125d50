"""For authors of plugins: begin one, and check it before anybody else does."""

from bagatelle.kit.checking import check_plugin, check_project
from bagatelle.kit.checks import CHECKS, CheckReport
from bagatelle.kit.identifiers import Listing
from bagatelle.kit.lengths import exact_seconds
from bagatelle.kit.subject import Subject, SubjectError, subjects_of

__all__ = (
    "CHECKS",
    "CheckReport",
    "Listing",
    "Subject",
    "SubjectError",
    "check_plugin",
    "check_project",
    "exact_seconds",
    "subjects_of",
)
