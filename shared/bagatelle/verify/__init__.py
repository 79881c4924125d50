"""Checks a plan's answer from its own numbers; shares no code with the engine."""

from bagatelle.verify.verdict import Fault, Group, NotChecked, Verdict
from bagatelle.verify.verification import verify_answer

__all__ = ("Fault", "Group", "NotChecked", "Verdict", "verify_answer")
