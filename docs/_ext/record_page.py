"""Write the reference of the well file from its JSON Schema, one section for each table."""

from __future__ import annotations

import re
from typing import Any

Schema = dict[str, Any]
_PLAIN = {"string": "text", "number": "number", "integer": "whole number", "boolean": "`true` or `false`"}


def cell(text: str) -> str:
    """Return text that may stand in a cell of a Markdown table."""
    return text.replace("|", "\\|").replace("\n", " ")


def table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """Return a Markdown table.

    Examples
    --------
    >>> print(table(("key", "holds"), [("top", "depth")]), end="")
    | key | holds |
    | --- | --- |
    | top | depth |
    """
    lines = [heads, tuple("---" for _ in heads), *rows]
    return "".join("| " + " | ".join(cell(text) for text in line) + " |\n" for line in lines)


def target_of(schema: Schema) -> str | None:
    """Return the name of the definition that a schema refers to."""
    reference = schema.get("$ref")
    return None if reference is None else str(reference).rsplit("/", 1)[-1]


def anchor(name: str) -> str:
    """Return the place on the page where a definition stands."""
    return f"record-{name.lower()}"


def spaced(name: str) -> str:
    """Return the name of a definition in plain words.

    Examples
    --------
    >>> spaced("MeasuringPoint")
    'measuring point'
    """
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).lower()


def headings(root: Schema) -> dict[str, str]:
    """Return how each table of the file is written at its head: once, or once for each item.

    Examples
    --------
    >>> headings({"properties": {"casing": {"type": "array", "items": {"$ref": "#/$defs/Casing"}}}})
    {'Casing': '[[casing]]'}
    """
    found = {}
    for key, part in root.get("properties", {}).items():
        one, many = target_of(part), target_of(part.get("items", {}))
        if one is not None:
            found[one] = f"[{key}]"
        elif many is not None:
            found[many] = f"[[{key}]]"
    return found


def words_for(schema: Schema, root: Schema) -> str:
    """Say in words what a value may be.

    Examples
    --------
    >>> words_for({"enum": ["sealed", "open"]}, {})
    '`"sealed"`, `"open"`'
    >>> words_for({"type": "array", "items": {"type": "number"}}, {})
    'list of: number'
    """
    name = target_of(schema)
    if name is not None:
        return f"[{spaced(name)}](#{anchor(name)})"
    if "const" in schema:
        return f"`{schema['const']!r}`"
    if "enum" in schema:
        return ", ".join(literal(value) for value in schema["enum"])
    for several in ("anyOf", "oneOf"):
        if several in schema:
            return ", or ".join(dict.fromkeys(words_for(part, root) for part in schema[several]))
    return words_for_type(schema, root)


def literal(value: Any) -> str:
    """Return a value as it is written in a well file."""
    return (
        f"`{str(value).lower()}`"
        if isinstance(value, bool)
        else f'`"{value}"`'
        if isinstance(value, str)
        else f"`{value}`"
    )


def words_for_type(schema: Schema, root: Schema) -> str:
    """Say in words what a schema with a plain type allows."""
    kind = schema.get("type")
    if isinstance(kind, list):
        return ", or ".join(_PLAIN.get(str(part), str(part)) for part in kind)
    if kind == "array" and "prefixItems" in schema:
        return "row of " + " and ".join(words_for(part, root) for part in schema["prefixItems"])
    if kind == "array":
        return f"list of: {words_for(schema.get('items', {}), root)}"
    if kind == "string" and "format" in schema:
        return str(schema["format"])
    if kind == "string" and str(schema.get("pattern", "")).startswith("^below"):
        return '`"below …"` a quantity'
    return _PLAIN.get(str(kind), "table" if kind == "object" else "any value")


def key_rows(schema: Schema, root: Schema) -> list[tuple[str, ...]]:
    """Return one row for each key of a table."""
    needed = set(schema.get("required", ()))
    return [
        (
            f"`{key}`" + (" (needed)" if key in needed else ""),
            words_for(part, root),
            part.get("description", ""),
        )
        for key, part in schema["properties"].items()
    ]


def section(title: str, schema: Schema, root: Schema) -> str:
    """Return the section of one table or kind of quantity."""
    lines = [f"### {title}\n"]
    if "description" in schema:
        lines.append(f"{schema['description']}\n")
    if "properties" in schema:
        lines.append(table(("key", "holds", "what it is"), key_rows(schema, root)))
    else:
        lines.append(f"Written as {words_for(schema, root)}.\n")
    return "\n".join(lines)


def record_text(root: Schema) -> str:
    """Return the whole reference: the head of the file, every table of it, and every kind of quantity."""
    written, definitions = headings(root), root.get("$defs", {})
    tables = [name for name in definitions if "properties" in definitions[name]]
    kinds = [name for name in definitions if name not in tables]
    parts = ["## The file\n", table(("key", "holds", "what it is"), key_rows(root, root)), "## Tables\n"]
    for name in tables:
        title = f"`{written[name]}`" if name in written else spaced(name).capitalize()
        parts += [f"({anchor(name)})=", section(title, definitions[name], root)]
    parts.append("## Kinds of quantity\n")
    for name in kinds:
        parts += [f"({anchor(name)})=", section(spaced(name).capitalize(), definitions[name], root)]
    return "\n".join(parts)
