"""What an instrument plugin sees: the hooks, and the types that they return."""

from bagatelle.contract.hookspecs import (
    CONTRACT_VERSION,
    ENTRY_POINT_GROUP,
    PROJECT,
    InstrumentHooks,
    hookimpl,
)
from bagatelle.model.exercise import (
    BarTiming,
    Exercise,
    Instrument,
    Material,
    NoteTiming,
    OpenString,
    OwnTaskProposal,
    PlainTiming,
    SoftForm,
    Source,
    Texts,
    Timing,
    Unit,
)
from bagatelle.model.text import Message, Value

__all__ = (
    "CONTRACT_VERSION",
    "ENTRY_POINT_GROUP",
    "PROJECT",
    "BarTiming",
    "Exercise",
    "Instrument",
    "InstrumentHooks",
    "Material",
    "Message",
    "NoteTiming",
    "OpenString",
    "OwnTaskProposal",
    "PlainTiming",
    "SoftForm",
    "Source",
    "Texts",
    "Timing",
    "Unit",
    "Value",
    "hookimpl",
)
