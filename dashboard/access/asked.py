"""What a request to run a callback is about: which callback, and which gardens it names."""

import json
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import parse_qsl

#: Keys under which an address or the identifier of a part of a page names a garden; a part that is called so
#: itself holds one as its value.
GARDEN_KEYS = ("garden", "site")


def is_as_registered(body: Mapping[str, Any], registered: Mapping[str, Any]) -> bool:
    """Return whether a request sends the parts that the callback takes.

    Dash goes by their order alone, so a value could be sent under another part's name, past the rules.
    """
    for group in ("inputs", "state"):
        sent, wanted = body.get(group) or [], registered.get(group) or []
        if not isinstance(sent, list) or len(sent) != len(wanted):
            return False
        for part, one in zip(sent, wanted, strict=True):
            if str(one["id"]).startswith("{"):
                continue  # a pattern: many parts, or one by its identifier
            if not isinstance(part, dict) or (part.get("id"), part.get("property")) != (
                one["id"],
                one["property"],
            ):
                return False
    return True


def callback_name(output: str, inputs: Any) -> str:
    """Return the name of a callback in the rules: its first output, else its first input.

    An output that several callbacks share ends in a mark of Dash's own, which is left out; the identifier of
    a part that stands many times on a page keeps its `type` alone.
    """
    first = output.removeprefix("..").split("...")[0].removesuffix("..").split("@")[0]
    if "." not in first:
        first = _first_input(inputs)
    identity, _, what = first.rpartition(".")
    if identity.startswith("{"):
        try:
            identity = str(json.loads(identity).get("type", identity))
        except ValueError:
            return first
    return f"{identity}.{what}"


def _first_input(inputs: Any) -> str:
    while isinstance(inputs, list) and inputs:
        inputs = inputs[0]
    if not isinstance(inputs, dict):
        return ""
    identity = inputs.get("id")
    written = json.dumps(identity) if isinstance(identity, dict) else str(identity)
    return f"{written}.{inputs.get('property')}"


def parts_of(body: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield every part of a page that a callback's request sends, or asks to change."""
    waiting = [body.get("inputs"), body.get("state"), body.get("outputs")]
    while waiting:
        one = waiting.pop()
        if isinstance(one, list):
            waiting += one
        elif isinstance(one, dict):
            yield one


def gardens_named(body: Mapping[str, Any]) -> Iterator[str]:
    """Yield every garden that a callback's request names: in an address, an identifier or a stored choice."""
    for part in parts_of(body):
        identity, value = part.get("id"), part.get("value")
        kind = identity.get("type") if isinstance(identity, dict) else identity
        if kind in GARDEN_KEYS and isinstance(value, str):
            yield value
        yield from _gardens_in(identity)
        yield from _gardens_in(value)


def _gardens_in(value: Any) -> Iterator[str]:
    waiting = [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            for key, inner in one.items():
                if key in GARDEN_KEYS and isinstance(inner, str):
                    yield inner
                waiting.append(inner)
        elif isinstance(one, list):
            waiting += one
        elif isinstance(one, str) and one.startswith(("?", "/")):
            query = one.partition("?")[2]
            yield from (found for key, found in parse_qsl(query) if key in GARDEN_KEYS)
