"""The short forms to be filled in, one for each kind of part."""

from importlib.resources import files


def form(kind: str) -> str:
    """The form of a kind, commented, with figures of an invented part; without a sheet it is refused."""
    return (files("outboard.own_parts") / "forms" / f"{kind}.toml").read_text(encoding="utf-8")
