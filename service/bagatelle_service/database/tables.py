"""The tables, as SQLAlchemy sees them. The migrations make them; a test holds both together."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import CheckConstraint, DateTime, MetaData, SmallInteger, Uuid
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class Table(DeclarativeBase):
    """The base of every table. Constraints have predictable names, so that migrations can change them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class Installation(Table):
    """The one row that says whose database this is, so that a wrong URL is noticed."""

    __tablename__ = "installation"
    __table_args__ = (CheckConstraint("only_row = 1", name="only_row"),)

    only_row: Mapped[int] = mapped_column(SmallInteger, primary_key=True, autoincrement=False)
    id: Mapped[UUID] = mapped_column(Uuid)
    created_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
