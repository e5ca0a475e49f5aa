"""Places: where in the text each key and each value of a design file stands."""

import tomllib
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from outboard.brief.places import Places


def paths(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(deeper for key, element in inner for deeper in paths(element, (*path, key)))]


ODD = '''\
# a remark with "quotes" and [brackets]
top = """
three
[not.a.table]
""" # behind
'quoted key' = 'it is [ not ] = a table'
"es\\u0063aped" = "a \\" b"
when = 2024-01-01 12:30:00
list = [ # remark ]
  1, [2, 3], { x = 1, "y z" = [4] },
]
[a.b]
c.d = 1
c . e = 2
[[a.many]]
n = 1
[a.many.sub]
m = 2
[[a.many]]
n = 3
'''


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("top",), (2, 7)),
        (("quoted key",), (6, 16)),
        (("escaped",), (7, 18)),
        (("when",), (8, 8)),
        (("list", 0), (10, 3)),
        (("list", 1, 1), (10, 10)),
        (("list", 2, "y z", 0), (10, 32)),
        (("a", "b"), (12, 1)),
        (("a", "b", "c", "e"), (14, 9)),
        (("a", "many", 0, "n"), (16, 5)),
        (("a", "many", 0, "sub", "m"), (18, 5)),
        (("a", "many", 1), (19, 1)),
        (("a", "many", 1, "n"), (20, 5)),
        (("a", "many", 1, "missing"), (19, 1)),
        ((), (1, 1)),
    ],
)
def test_every_value_has_its_place(path: tuple[str | int, ...], place: tuple[int, int]) -> None:
    tomllib.loads(ODD)
    assert Places(ODD).value(path) == place


keys = st.text(alphabet="ab_-é .\"'[]#=", min_size=1, max_size=4)
leaves = st.one_of(st.integers(-5, 5), st.booleans(), st.text(max_size=6), st.floats(allow_nan=False))
documents = st.dictionaries(
    keys, st.recursive(leaves, lambda v: st.lists(v, max_size=3) | st.dictionaries(keys, v, max_size=3)), max_size=4
)


@settings(deadline=None)
@given(documents)
def test_every_key_of_any_document_is_found_where_it_is_written(document: dict[str, Any]) -> None:
    text = tomlkit.dumps(document).replace("\r\n", "\n")
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # the writer made something that no reader takes
    places = Places(text)
    lines = text.split("\n")
    for path in paths(table):
        if path:
            line, column = places.key(path)
            rest = lines[line - 1][column - 1 :]
            name = path[-1]
            assert rest, path
            if isinstance(name, str) and name.strip("abé_-") == "":
                assert name in rest, path
