"""Write the reference of the well file from its JSON Schema, one section for each table."""

from __future__ import annotations

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
        return f"[{name}](#{name.lower()})"
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


def section(name: str, schema: Schema, root: Schema) -> str:
    """Return the section of one definition: its keys when it is a table, else what it may be."""
    lines = [f"## {name}\n"]
    if "description" in schema:
        lines.append(f"{schema['description']}\n")
    if "properties" in schema:
        required = set(schema.get("required", ()))
        rows = [
            (
                f"`{key}`" + (" (needed)" if key in required else ""),
                words_for(part, root),
                str(part.get("description", "")),
            )
            for key, part in schema["properties"].items()
        ]
        lines.append(table(("key", "holds", "what it is"), rows))
    else:
        lines.append(f"{words_for(schema, root)}\n")
        examples = schema.get("examples", ())
        if examples:
            lines.append("For example " + ", ".join(literal(value) for value in examples) + ".\n")
    return "\n".join(lines)


def record_text(root: Schema) -> str:
    """Return the whole reference: the well file itself, then every table and kind of quantity it uses."""
    whole = {key: value for key, value in root.items() if key != "$defs"}
    parts = [section("Well file", whole, root)]
    parts += [section(name, schema, root) for name, schema in root.get("$defs", {}).items()]
    return "\n".join(parts)
