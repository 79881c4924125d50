"""Nothing gets round the bond of each query to its school; secrets are compared in a time that tells nothing."""

import ast
import importlib.util
from pathlib import Path
from types import ModuleType

import pytest
from bagatelle_service.database.tables import SchoolBound, Table

from tests.architecture.source_tree import ROOT, code_below, short_name, syntax

SERVICE = "service/bagatelle_service"
OUTSIDE_STORAGE = [
    path for path in code_below(SERVICE) if not path.is_relative_to(ROOT / SERVICE / "database")
]
# Each would make a statement that the filter of sessions does not see.
PAST_THE_FILTER = {
    "__table__", "TextClause", "column", "exec_driver_sql", "from_statement", "literal_column", "metadata", "table",
    "text",
}  # fmt: skip
SECRET_ENDINGS = ("digest", "hash", "secret", "shown")


def migration_of(path: Path) -> ModuleType:
    specification = importlib.util.spec_from_file_location(f"migration_{path.stem}", path)
    assert specification is not None
    assert specification.loader is not None
    migration = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(migration)
    return migration


def test_rows_of_every_school_bound_table_are_kept_apart() -> None:
    migrations = [migration_of(path) for path in sorted((ROOT / "migrations/versions").glob("*.py"))]
    kept_apart = {table for migration in migrations for table in getattr(migration, "OF_A_SCHOOL", ())}
    found_by_secret = {
        table for migration in migrations for table in getattr(migration, "FOUND_BY_SECRET", ())
    }
    bound = {
        mapper.class_.__tablename__
        for mapper in Table.registry.mappers
        if issubclass(mapper.class_, SchoolBound)
    }
    assert kept_apart == bound
    with_hash = {table.name for table in Table.metadata.tables.values() if "hash" in table.columns}
    # A snapshot's hash is of what it holds, and opens nothing.
    assert found_by_secret == with_hash - {"catalogue_snapshot"}


@pytest.mark.parametrize("path", OUTSIDE_STORAGE, ids=short_name)
def test_no_query_gets_past_the_filter(path: Path) -> None:
    assert ways_past_the_filter(syntax(path)) == []


@pytest.mark.parametrize("path", code_below(SERVICE), ids=short_name)
def test_secrets_are_compared_by_same(path: Path) -> None:
    assert plain_comparisons(syntax(path)) == []


def ways_past_the_filter(tree: ast.Module) -> list[str]:
    """List names of SQLAlchemy that make a statement of no mapped class."""
    found = []
    for node in ast.walk(tree):
        match node:
            case ast.ImportFrom(module=str(module), names=names) if module.split(".")[0] == "sqlalchemy":
                found += [alias.name for alias in names if alias.name in PAST_THE_FILTER]
            case ast.Attribute(attr="__table__" | "exec_driver_sql" | "from_statement" as name):
                found.append(name)
            case ast.Attribute(
                value=ast.Name(id="Table" | "SchoolBound"), attr="metadata" | "registry" as name
            ):
                found.append(name)
            case ast.Attribute(value=ast.Name(id="sqlalchemy"), attr=name) if name in PAST_THE_FILTER:
                found.append(name)
    return found


def plain_comparisons(tree: ast.Module) -> list[str]:
    """List comparisons of a secret or its hash by `==`, those in SQL aside: they name a table's class."""
    return [
        ast.unparse(node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare)
        and any(isinstance(operator, ast.Eq | ast.NotEq) for operator in node.ops)
        and any(is_secret(side) for side in (node.left, *node.comparators))
        and not any(is_of_a_table(side) for side in (node.left, *node.comparators))
    ]


def is_secret(node: ast.expr) -> bool:
    match node:
        case ast.Attribute(attr=name) | ast.Name(id=name):
            return name.lower().endswith(SECRET_ENDINGS)
        case ast.Call(func=function):
            return is_secret(function) or (isinstance(function, ast.Name) and function.id == "hash_of")
    return False


def is_of_a_table(node: ast.expr) -> bool:
    tables = {mapper.class_.__name__ for mapper in Table.registry.mappers}
    return isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in tables


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("from sqlalchemy import select, text", ["text"]),
        ("from sqlalchemy.sql import table", ["table"]),
        ("rows = Student.__table__.select()", ["__table__"]),
        ("select(Student)\nresponse.text", []),
    ],
)
def test_a_way_past_the_filter_is_seen(source: str, found: list[str]) -> None:
    assert ways_past_the_filter(ast.parse(source)) == found


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("token.hash == shown", 1),
        ("kept.request_hash != request.request_hash", 1),
        ("hash_of(code) == row", 1),
        ("Token.hash == shown", 0),
        ("same(token.hash, shown)", 0),
    ],
)
def test_a_plain_comparison_of_secrets_is_seen(source: str, count: int) -> None:
    assert len(plain_comparisons(ast.parse(source))) == count
