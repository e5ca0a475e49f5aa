"""What the catalogue has in stock beside its types: heat sinks, resistors, capacitors, packages."""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.parts import catalogue, find_stock, heat_sinks, resistor_ratings, sink_corrections, stock
from outboard.parts.consistency import consistency
from outboard.parts.listing import figure_rows
from outboard.sources import RECALLED, source


def test_stock_is_there():
    kinds = [record.kind for record in stock().values()]
    assert {kind: kinds.count(kind) for kind in set(kinds)} == {
        "package": 5, "resistor": 5, "capacitor": 3, "heat sink": 17,
    }  # fmt: skip
    assert not set(stock()) & set(catalogue())


def test_stock_is_found_as_people_spell_it():
    assert find_stock("comb extrusion 100 x 50").name == "comb extrusion 100 × 50"
    assert find_stock("Metal Film").kind == "resistor"
    assert find_stock("2N3055") is None


def test_heat_sinks():
    """Praktische Elektronik, table of TO-220 sinks: 24 to 2.9 K/W; the large extrusions are from memory."""
    sinks = heat_sinks()
    assert len(sinks) == 16
    assert [sink.resistance for sink in sinks] == sorted(sink.resistance for sink in sinks)
    assert {sink.origin.kind for sink in sinks if sink.origin.source == RECALLED} == {"recalled"}
    seen = {sink.name: sink.resistance for sink in sinks if sink.origin.source == "S144"}
    assert len(seen) == 10 and seen["V-fin extrusion 89 × 50"] == 2.9 and seen["finger sink 42 × 42"] == 6.8


def test_sink_corrections_run_the_right_way():
    """A cooler sink has more resistance, a longer one less; 1 where the figure was taken."""
    rows = sink_corrections()
    rises = [(row.conditions.temperature_rise, row.typical) for row in rows["rise_factor"]]
    lengths = [(row.conditions.length, row.typical) for row in rows["length_factor"]]
    for points in (rises, lengths):
        ordered = sorted(points)
        assert [factor for _, factor in ordered] == sorted((factor for _, factor in points), reverse=True)
    assert dict(rises)[75] == 1 and [x for x, factor in lengths if factor == 1] == [pytest.approx(0.0762)]
    assert rows["air_factor"][0].typical == 0.435


def test_resistor_ratings():
    """Vishay PR01/02/03: 1, 2, 3 W at 70 °C from 1 Ω up, 0.6, 1.2, 1.6 W below; Yageo SQP500: 5 W at 40 °C."""
    rows = resistor_ratings()
    assert [row.rated_power for row in rows] == sorted(row.rated_power for row in rows)
    film = {row.rated_power for row in rows if row.name.startswith("power metal film") and row.suits(0.82)}
    assert film == {0.6, 1.2, 1.6}
    assert {row.rated_power for row in rows if row.name.startswith("power metal film") and row.suits(47)} == {1, 2, 3}
    (wire,) = (row for row in rows if row.name == "ceramic-cased wirewound 5 W")
    assert wire.full_power_temperature == 40 + ZERO_CELSIUS and wire.zero_power_temperature == 275 + ZERO_CELSIUS
    assert wire.suits(0.1) and not wire.suits(0.05)
    assert all(source(row.source) for row in rows)


def test_a_resistor_series_shows_its_ratings():
    """Vishay PR01/02/03: the powers that the sizing uses are those that are shown."""
    shown = sorted(row.most for row in find_stock("power metal film").rows("P_rated"))
    used = [rating.rated_power for rating in resistor_ratings() if rating.series == "power metal film"]
    assert shown == used == [0.6, 1, 1.2, 1.6, 2, 3]
    assert {rating.series for rating in resistor_ratings()} <= set(stock())


def test_losses_and_resistances_of_capacitors_agree():
    """ESR = tan δ/(2πfC): the derived rows against the sheet's own tan δ (Lelon RGA), at 1000 µF and below."""
    rows = find_stock("aluminium general")
    losses = {row.conditions.rated_voltage: row.most for row in rows.rows("tan_delta")}
    compared = 0
    for row in rows.rows("ESR"):
        given = row.conditions
        if given.capacitance <= 1e-3:
            expected = losses[given.rated_voltage] / (2 * 3.14159265 * given.frequency * given.capacitance)
            assert row.most == pytest.approx(expected, rel=4e-3)
            assert row.kind("most") == "derived"
            compared += 1
    assert compared == 3


def test_every_stock_figure_can_be_shown():
    for record in stock().values():
        for row in figure_rows(record):
            assert row.symbol and (row.least or row.typical or row.most) and row.citation
        assert not [finding for finding in consistency(record) if finding.severity != "note"]
