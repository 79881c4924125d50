"""`python -m tests.vectors`: write the test vectors of the walk again, after a change of the rule that is meant."""

from tests.vectors.day_sheets import FILE, text_of, vectors

if __name__ == "__main__":
    FILE.write_text(text_of(vectors()), encoding="utf-8")
