"""Contact, fins, still air and radiation.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.formulas import convection, thermal


def test_cengel_3_5_contact(printed):
    """T14. Cengel, Heat Transfer, ex. 3.5 (second-hand): 42 000 W/(m²·K) on 8 cm², copper 10 mm on 0.01 m².

    Conductivity of copper 386 W/(m·K): memory, agrees with the printed plate resistance.
    """
    joint = thermal.contact_resistance(contact_conductance=42e3, contact_area=8e-4)
    plate = thermal.conduction_resistance(wall_thickness=10e-3, conductivity=386.0, wall_area=0.01)
    air = convection.convection_resistance(transfer_coefficient=25.0, area=0.01)
    assert (joint, plate, air) == (printed("0.0298"), printed("0.00259"), printed("4.0"))
    chain = thermal.thermal_chain(junction_to_case=joint, case_to_sink=plate, sink_to_ambient=air)
    power = thermal.allowed_power(
        junction_temperature=ZERO_CELSIUS + 70, ambient_temperature=ZERO_CELSIUS + 20, thermal_resistance=chain
    )
    assert chain == printed("4.032")
    assert power == printed("12.40")
    drop = thermal.junction_temperature(ambient_temperature=0.0, power=power, junction_to_case=joint)
    assert drop == printed("0.369")


def test_cengel_3_11_sink_selection(printed):
    """T15. Cengel, ex. 3.11 (second-hand): 60 W, case 90 °C, air 30 °C."""
    needed = thermal.thermal_resistance(
        hot_temperature=ZERO_CELSIUS + 90, cold_temperature=ZERO_CELSIUS + 30, power=60.0
    )
    assert needed == printed("1.0")


def test_incropera_3_11_finned_sink(printed):
    """T16. Incropera, Fundamentals of Heat and Mass Transfer, ex. 3.11, p. 158 (inputs second-hand, result derived).

    A square cell of 50 mm cooled on both faces: 22 fins of 1 mm by 8 mm in all, base 2 mm, joint 1e-3 m²·K/W.
    """
    width, thickness, count, film = 50e-3, 1e-3, 22, 19.1
    faces = 2 * width * width
    fin = {"conductivity": 200.0, "cross_section": thickness * width}
    decay = convection.fin_parameter(transfer_coefficient=film, perimeter=2 * (width + thickness), **fin)
    one = convection.fin_resistance(fin_parameter=decay, length=8e-3, **fin)
    array = convection.fin_array_resistance(
        fin_count=count, fin_resistance=one, transfer_coefficient=film, area=faces - count * thickness * width
    )
    joint = thermal.contact_resistance(contact_conductance=1 / 1e-3, contact_area=faces)
    base = thermal.conduction_resistance(wall_thickness=2e-3, conductivity=200.0, wall_area=faces)
    total = thermal.thermal_chain(junction_to_case=joint, case_to_sink=base, sink_to_ambient=array)
    assert decay == printed("13.958")
    assert one == printed("64.43")
    assert total == printed("2.606")
    cell = thermal.junction_temperature(ambient_temperature=ZERO_CELSIUS + 25, power=11.25, junction_to_case=total)
    assert cell - ZERO_CELSIUS == printed("54.3")


def test_churchill_chu_vertical_plate(printed):
    """T17. Churchill and Chu 1975, check value carried by a heat-transfer library (seen): Pr 0.69, Gr 2.63e9."""
    rayleigh = convection.rayleigh_number_from_grashof(grashof_number=2.63e9, prandtl_number=0.69)
    found = convection.nusselt_vertical_plate(rayleigh_number=rayleigh, prandtl_number=0.69)
    assert found == printed("147.161852")


def test_incropera_9_2_fire_screen(printed):
    """T18. Incropera, ex. 9.2, p. 572 (second-hand): 232 °C and 23 °C, 0.71 m by 1.02 m.

    The example does not state g; of 9.8, 9.80665 and 9.81 m/s² only the last meets all four figures of the copy.
    """
    hot, cold = ZERO_CELSIUS + 232, ZERO_CELSIUS + 23
    rayleigh = convection.rayleigh_number(
        gravity=9.81,
        expansion=0.0025,
        surface_temperature=hot,
        ambient_temperature=cold,
        length=0.71,
        kinematic_viscosity=26.4e-6,
        thermal_diffusivity=38.3e-6,
    )
    nusselt = convection.nusselt_vertical_plate(rayleigh_number=rayleigh, prandtl_number=0.690)
    film = convection.transfer_coefficient(nusselt_number=nusselt, conductivity=0.0338, length=0.71)
    power = convection.convected_power(
        transfer_coefficient=film, area=0.71 * 1.02, surface_temperature=hot, ambient_temperature=cold
    )
    assert rayleigh == printed("1.814", 1e9)
    assert nusselt == printed("147.15")
    assert film == printed("7.005")
    assert power == printed("1060")


def test_cengel_9_2_horizontal_plate(printed):
    """T20. Cengel, ex. 9.2(b, c): 0.6 m square, 90 °C in 30 °C (inputs second-hand, result derived).

    Erratum of the copy: integer 1/4 spoils its convection; only the 182 W of radiation is printed right.
    Air at 60 °C: 0.02808 W/(m·K), Pr 0.7202, 1.896e-5 m²/s (memory of the book's table); the book's g is 9.81 m/s².
    """
    hot, cold = 363.0, 303.0
    rayleigh = convection.rayleigh_number(
        gravity=9.81,
        expansion=1 / 333,
        surface_temperature=hot,
        ambient_temperature=cold,
        length=0.15,
        kinematic_viscosity=1.896e-5,
        thermal_diffusivity=convection.thermal_diffusivity(kinematic_viscosity=1.896e-5, prandtl_number=0.7202),
    )

    def power(nusselt: float) -> float:
        film = convection.transfer_coefficient(nusselt_number=nusselt, conductivity=0.02808, length=0.15)
        return convection.convected_power(
            transfer_coefficient=film, area=0.36, surface_temperature=hot, ambient_temperature=cold
        )

    up = convection.nusselt_plate_facing_up(rayleigh_number=rayleigh)
    down = convection.nusselt_plate_facing_down(rayleigh_number=rayleigh)
    assert (up, down) == (printed("31.75"), printed("15.88"))
    assert (power(up), power(down)) == (printed("128.4"), printed("64.2"))
    radiated = convection.radiated_power(emissivity=1.0, area=0.36, surface_temperature=hot, ambient_temperature=cold)
    assert radiated == printed("182")
    assert radiated == printed("182.4")


def test_cengel_9_1_horizontal_cylinder(printed):
    """T21. Cengel, ex. 9.1: 80 mm pipe, 6 m, 70 °C in 20 °C (inputs second-hand, result derived).

    Erratum of the copy: integer division, and a Stefan–Boltzmann constant typed 5.76e-8, which gives 562 W.
    """
    hot, cold, surface = 343.0, 293.0, 3.141592653589793 * 0.08 * 6.0
    rayleigh = convection.rayleigh_number(
        gravity=9.81,
        expansion=1 / 318,
        surface_temperature=hot,
        ambient_temperature=cold,
        length=0.08,
        kinematic_viscosity=1.75e-5,
        thermal_diffusivity=convection.thermal_diffusivity(kinematic_viscosity=1.75e-5, prandtl_number=0.7241),
    )
    nusselt = convection.nusselt_horizontal_cylinder(rayleigh_number=rayleigh, prandtl_number=0.7241)
    film = convection.transfer_coefficient(nusselt_number=nusselt, conductivity=0.02699, length=0.08)
    places = {"area": surface, "surface_temperature": hot, "ambient_temperature": cold}
    assert rayleigh == printed("1.867", 1e6)
    assert nusselt == printed("17.394")
    assert film == printed("5.868")
    assert convection.convected_power(transfer_coefficient=film, **places) == printed("442.5")
    assert convection.radiated_power(emissivity=1.0, **places) == printed("553.3")


@pytest.mark.parametrize("rayleigh", [1e6, 1e8])
def test_cengel_fin_spacing(rayleigh, printed):
    """T23. Cengel, eq. 9-31 (second-hand): Nu 1.307 at the best spacing; the correlation says 1.3066."""
    length = 0.1
    best = convection.best_fin_spacing(length=length, rayleigh_number=rayleigh)
    over_spacing = rayleigh * (best / length) ** 3
    found = convection.nusselt_channel(rayleigh_number=over_spacing, spacing=best, length=length)
    assert found == printed("1.307")
    assert found == printed("1.3066")


def test_incropera_3_2_chip_on_plate(printed):
    """T25. Incropera, ex. 3.2, p. 107 (second-hand): 1e4 W/m², air on both sides, joint 0.9e-4 m²·K/W, 8 mm Al."""
    above = convection.convection_resistance(transfer_coefficient=100.0, area=1.0)
    joint = thermal.contact_resistance(contact_conductance=1 / 0.9e-4, contact_area=1.0)
    plate = thermal.conduction_resistance(wall_thickness=8e-3, conductivity=239.0, wall_area=1.0)
    below = thermal.thermal_chain(junction_to_case=joint, case_to_sink=plate, sink_to_ambient=above)
    both = thermal.parallel_resistance(one_path=above, other_path=below)
    chip = thermal.junction_temperature(ambient_temperature=ZERO_CELSIUS + 25, power=1e4, junction_to_case=both)
    assert chip - ZERO_CELSIUS == printed("75.31")
