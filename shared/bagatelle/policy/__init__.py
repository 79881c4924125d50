"""The versioned table of every number that the engine decides with."""

from bagatelle.policy.table import POLICY_VERSION, PolicyEntry, policy_table

__all__ = ("POLICY_VERSION", "PolicyEntry", "policy_table")
