"""Messages that several exercises share."""

from bagatelle.contract import Message, Value


def tempo(bpm: int) -> Message:
    """Return 'crotchet = 84', or what the language calls it."""
    return Message("snare-drum.tempo", {"bpm": bpm})


def tempo_label(bpm: int) -> Message:
    """Return the label of a unit that is a tempo: the number alone, so that several can be listed."""
    return Message("snare-drum.unit.tempo", {"bpm": bpm})


def note_values(notes_per_beat: int) -> Message:
    """Return 'quavers' for 2 to the crotchet, and so on to 6."""
    return Message(f"snare-drum.note-values.{notes_per_beat}")


def amount(kind: str, **numbers: Value) -> Message:
    """Return how much one unit is, such as '4 passes of 8 bars', for texts that name it `amount`.

    :param kind: which wording; its plural follows one of the numbers.
    """
    return Message(f"snare-drum.amount.{kind}", numbers)
