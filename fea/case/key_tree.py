"""Every key of the case file by its dotted name, and the nearest one to a slip."""

from functools import cache

from pydantic.fields import FieldInfo

from fea.case.field_kind import FieldKind
from fea.case.schema import Case
from fea.case.section import Section

# Out of 100: a slip of the pen in a short word still scores this against the word.
_NEAR_SCORE = 65.0


@cache
def leaf_fields() -> dict[str, FieldInfo]:
    """Return the field of every key that holds a value, by its dotted name."""
    return dict(_walk(Case, "", leaves=True))


@cache
def section_fields() -> dict[str, FieldInfo]:
    """Return the field of every section, by its dotted name; outer ones first."""
    return dict(_walk(Case, "", leaves=False))


def _walk(
    section: type[Section], prefix: str, *, leaves: bool
) -> list[tuple[str, FieldInfo]]:
    found = []
    for name, field in section.model_fields.items():
        key, inner = f"{prefix}{name}", field.annotation
        is_section = isinstance(inner, type) and issubclass(inner, Section)
        if is_section != leaves:
            found.append((key, field))
        if is_section:
            found += _walk(inner, f"{key}.", leaves=leaves)  # type: ignore[arg-type]
    return found


def kind_of(key: str) -> FieldKind:
    """Return what a key accepts."""
    return next(
        item for item in leaf_fields()[key].metadata if isinstance(item, FieldKind)
    )


def siblings(key: str) -> list[str]:
    """Return the names that a key's section knows, keys and sections within it."""
    parent = key.rpartition(".")[0]
    known = [*leaf_fields(), *section_fields()]
    return [name.rpartition(".")[2] for name in known if _parent(name) == parent]


def nearest_key(key: str) -> str | None:
    """Return the known key that was most likely meant, None if none comes near.

    First among the names of the same section, then the same name in another section,
    because a key in the wrong section is the other common slip.
    """
    # Imported when a key is wrong, so that a right case need not wait for it.
    from rapidfuzz import fuzz, process

    parent, _, name = key.rpartition(".")
    near = process.extractOne(
        name, siblings(key), scorer=fuzz.ratio, score_cutoff=_NEAR_SCORE
    )
    if near is not None:
        return f"{parent}.{near[0]}" if parent else near[0]
    by_name = {known.rpartition(".")[2]: known for known in leaf_fields()}
    near = process.extractOne(
        name, list(by_name), scorer=fuzz.ratio, score_cutoff=_NEAR_SCORE
    )
    return None if near is None else by_name[near[0]]


def _parent(key: str) -> str:
    return key.rpartition(".")[0]
