"""Reduced parts on disk, under a hash of everything that made them."""

import hashlib
import json
import os
import tempfile
from dataclasses import asdict, fields
from importlib.metadata import version
from io import BytesIO
from pathlib import Path

import numpy as np

from fea.core.plan import PartPlan
from fea.core.reduction import ReducedPart, Settings, reduce_part
from geometry.errors import InputError
from geometry.mesher import mesh_part

# Raised whenever meshing or reduction would give other numbers for the same input.
FORMAT = 1
PAD_PREFIX = "pad:"
DIGEST_BYTES = hashlib.sha256().digest_size


def reduced_part(
    plan: PartPlan, size: float, settings: Settings, folder: Path
) -> ReducedPart:
    """Return a part's reduction, from the cache if it is there and sound.

    A damaged or foreign file is made anew and never trusted; a new file is written
    whole or not at all, so that interrupted or parallel runs leave nothing half-made.

    Parameters
    ----------
    plan : the part
    size : mesh size [mm]
    settings : degree and number of modes
    folder : the cache

    Raises
    ------
    MeshError, SolveError
    """
    key = part_key(plan, size, settings)
    path = folder / f"{key}.npz"
    found = _load(path, key)
    if found is not None:
        return found
    contacts, patches = plan.own(plan.contacts), plan.own(plan.patches)
    mesh = mesh_part(plan.shape, [*contacts, *patches], size, name=plan.name)
    nu = plan.material.poissons_ratio
    made = reduce_part(mesh, contacts, patches, nu, settings)
    _store(path, key, made)
    return made


def is_cached(plan: PartPlan, size: float, settings: Settings, folder: Path) -> bool:
    """Whether the cache holds a file for this part; it may still prove damaged."""
    return (folder / f"{part_key(plan, size, settings)}.npz").is_file()


def part_key(plan: PartPlan, size: float, settings: Settings) -> str:
    """Hash of everything that the reduction depends on.

    Not among it: name, place, modulus and density, which only move or scale the part.
    """
    made_by = {
        "format": FORMAT,
        "gmsh": version("gmsh"),
        "shape": type(plan.shape).__name__,
        "dimensions": asdict(plan.shape),  # type: ignore[call-overload]
        "contacts": [asdict(pad) for pad in plan.own(plan.contacts)],
        "patches": [asdict(pad) for pad in plan.own(plan.patches)],
        "poissons_ratio": plan.material.poissons_ratio,
        "size": size,
        "settings": asdict(settings),
    }
    rounded = json.loads(json.dumps(made_by), parse_float=_rounded)
    text = json.dumps(rounded, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def _rounded(text: str) -> float:
    """Drop the round-off of moving pads between frames (1e-9 mm)."""
    return round(float(text), 9) + 0.0


def _load(path: Path, key: str) -> ReducedPart | None:
    """Read a part from a file, or None if it is missing, damaged or not this part's."""
    try:
        content = path.read_bytes()
    except OSError:
        return None
    if content[:DIGEST_BYTES] != _digest(memoryview(content)[DIGEST_BYTES:]):
        return None
    stream = BytesIO(content)
    stream.seek(DIGEST_BYTES)
    with np.load(stream, allow_pickle=False) as file:
        if str(file["key"]) != key:
            return None
        pads = {
            name.removeprefix(PAD_PREFIX): file[name]
            for name in file.files
            if name.startswith(PAD_PREFIX)
        }
        plain = {
            field.name: file[field.name]
            for field in fields(ReducedPart)
            if field.name != "pads"
        }
    plain["volume"] = float(plain["volume"])
    plain["unknowns"] = int(plain["unknowns"])
    return ReducedPart(pads=pads, **plain)


def _store(path: Path, key: str, part: ReducedPart) -> None:
    plain = {
        field.name: getattr(part, field.name)
        for field in fields(part)
        if field.name != "pads"
    }
    pads = {PAD_PREFIX + name: rows for name, rows in part.pads.items()}
    archive = BytesIO()
    np.savez(archive, key=key, **plain, **pads)  # type: ignore[arg-type]
    try:
        _write_whole(path, _digest(archive.getbuffer()), archive.getbuffer())
    except OSError as error:
        message = (
            f"{path.parent}: the folder that keeps reduced parts between runs cannot "
            f"be written ({error.strerror}); make it writable or free some space"
        )
        raise InputError(message) from error


def _write_whole(path: Path, *pieces: bytes | memoryview) -> None:
    """Write a file under another name and rename it when it is complete."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, made = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            for piece in pieces:
                file.write(piece)
        Path(made).replace(path)
    except BaseException:
        Path(made).unlink(missing_ok=True)
        raise


def _digest(content: memoryview) -> bytes:
    """Return what stands before the archive, whose own sums leave out its headers."""
    return hashlib.sha256(content).digest()
