"""Operations on what a school has stored."""
