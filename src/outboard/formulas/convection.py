"""Still air on plates, cylinders and fins; radiation.  The caller takes the properties of air at film temperature."""

from math import pow, sqrt, tanh
from typing import Annotated

from outboard.constants import STANDARD_GRAVITY, STEFAN_BOLTZMANN
from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import T_A, P, R_th

g = Annotated[float, Symbol("g", "m/s²", "acceleration of free fall")]
beta = Annotated[float, Symbol("β", "1/K", "thermal expansion of air, 1/T_film")]
nu = Annotated[float, Symbol("ν", "m²/s", "kinematic viscosity of air")]
alpha = Annotated[float, Symbol("α", "m²/s", "thermal diffusivity of air")]
k = Annotated[float, Symbol("k", "W/(m·K)", "thermal conductivity")]
h = Annotated[float, Symbol("h", "W/(m²·K)", "heat transfer coefficient")]
length = Annotated[
    float, Symbol("L", "m", "height of a plate or fin, diameter of a cylinder, area over perimeter lying flat")
]
spacing = Annotated[float, Symbol("S", "m", "clear distance between fins")]
T_S = Annotated[float, Symbol("T_S", "°C", "surface temperature")]
T_S_abs = Annotated[float, Symbol("T_S", "K", "absolute surface temperature")]
T_A_abs = Annotated[float, Symbol("T_A", "K", "absolute ambient temperature")]
area = Annotated[float, Symbol("A", "m²", "surface area")]
Ra = Annotated[float, Symbol("Ra", "1", "Rayleigh number over the length")]
Ra_S = Annotated[float, Symbol("Ra_S", "1", "Rayleigh number over the spacing")]
Gr = Annotated[float, Symbol("Gr", "1", "Grashof number")]
Pr = Annotated[float, Symbol("Pr", "1", "Prandtl number of air")]
Nu = Annotated[float, Symbol("Nu", "1", "Nusselt number over the same length")]
eps = Annotated[float, Symbol("ε", "1", "emissivity of the surface")]
sigma = Annotated[float, Symbol("σ", "W/(m²·K⁴)", "Stefan–Boltzmann constant")]
m = Annotated[float, Symbol("m", "1/m", "fin parameter")]
perimeter = Annotated[float, Symbol("U", "m", "perimeter of the fin's cross-section")]
section = Annotated[float, Symbol("A_c", "m²", "cross-section of the fin")]
R_fin = Annotated[float, Symbol("R_fin", "K/W", "thermal resistance of one fin")]
N = Annotated[float, Symbol("N", "1", "number of fins")]


@formula("α = ν / Pr", validity="definition", source="Cengel-9.1")
def thermal_diffusivity(*, kinematic_viscosity: nu, prandtl_number: Pr) -> alpha:
    """Thermal diffusivity of air from viscosity and Prandtl number [m²/s]."""
    return kinematic_viscosity / prandtl_number


@formula("Ra = g·β·(T_S − T_A)·L³ / (ν·α)", validity="properties at the film temperature", source="Incropera-9.2")
def rayleigh_number(
    *,
    gravity: g = STANDARD_GRAVITY,
    expansion: beta,
    surface_temperature: T_S,
    ambient_temperature: T_A,
    length: length,
    kinematic_viscosity: nu,
    thermal_diffusivity: alpha,
) -> Ra:
    """Rayleigh number: how strongly warm air rises along a surface [1]."""
    drive = gravity * expansion * (surface_temperature - ambient_temperature) * length**3
    return drive / (kinematic_viscosity * thermal_diffusivity)


@formula("Ra = Gr·Pr", validity="definition", source="Churchill-Chu-plate")
def rayleigh_number_from_grashof(*, grashof_number: Gr, prandtl_number: Pr) -> Ra:
    """Rayleigh number from Grashof and Prandtl number [1]."""
    return grashof_number * prandtl_number


@formula(
    "Nu = (0.825 + 0.387·Ra^(1/6) / (1 + (0.492 / Pr)^(9/16))^(8/27))²",
    validity="vertical plate, any Ra up to 10¹²",
    source="Churchill-Chu-plate",
)
def nusselt_vertical_plate(*, rayleigh_number: Ra, prandtl_number: Pr) -> Nu:
    """Heat transfer from a vertical plate, laminar and turbulent [1]."""
    return _laminar_and_turbulent(0.825, 0.492, rayleigh_number, prandtl_number)


@formula(
    "Nu = 0.68 + 0.670·Ra^(1/4) / (1 + (0.492 / Pr)^(9/16))^(4/9)",
    validity="vertical plate, Ra up to 10⁹",
    source="Lienhard-8.3",
)
def nusselt_vertical_plate_laminar(*, rayleigh_number: Ra, prandtl_number: Pr) -> Nu:
    """Heat transfer from a vertical plate while the flow is laminar [1]."""
    return 0.68 + 0.670 * pow(rayleigh_number, 1 / 4) / pow(1 + pow(0.492 / prandtl_number, 9 / 16), 4 / 9)


@formula(
    "Nu = 0.54·Ra^(1/4)", validity="hot side up, Ra from 10⁴ to 10⁷; length = area / perimeter", source="Cengel-9.2"
)
def nusselt_plate_facing_up(*, rayleigh_number: Ra) -> Nu:
    """Heat transfer from a hot plate that faces up [1]."""
    return 0.54 * pow(rayleigh_number, 1 / 4)


@formula(
    "Nu = 0.27·Ra^(1/4)", validity="hot side down, Ra from 10⁵ to 10¹¹; length = area / perimeter", source="Cengel-9.2"
)
def nusselt_plate_facing_down(*, rayleigh_number: Ra) -> Nu:
    """Heat transfer from a hot plate that faces down [1]."""
    return 0.27 * pow(rayleigh_number, 1 / 4)


@formula(
    "Nu = (0.6 + 0.387·Ra^(1/6) / (1 + (0.559 / Pr)^(9/16))^(8/27))²",
    validity="horizontal cylinder, Ra up to 10¹²; length = diameter",
    source="Cengel-9.1",
)
def nusselt_horizontal_cylinder(*, rayleigh_number: Ra, prandtl_number: Pr) -> Nu:
    """Heat transfer from a horizontal cylinder [1]."""
    return _laminar_and_turbulent(0.6, 0.559, rayleigh_number, prandtl_number)


def _laminar_and_turbulent(still: float, shape: float, rayleigh_number: float, prandtl_number: float) -> float:
    """The form that Churchill and Chu fitted to plate and cylinder alike."""
    denominator = pow(1 + pow(shape / prandtl_number, 9 / 16), 8 / 27)
    return (still + 0.387 * pow(rayleigh_number, 1 / 6) / denominator) ** 2


@formula(
    "Nu = (576 / (Ra_S·S / L)² + 2.873 / (Ra_S·S / L)^(1/2))^(−1/2)",
    validity="vertical channels between isothermal fins; Nu over the spacing",
    source="Cengel-9-31",
)
def nusselt_channel(*, rayleigh_number: Ra_S, spacing: spacing, length: length) -> Nu:
    """Heat transfer from the channels between vertical fins [1]."""
    number = rayleigh_number * spacing / length
    return 1 / sqrt(576 / number**2 + 2.873 / sqrt(number))


@formula(
    "S = 2.714·L / Ra^(1/4)", validity="vertical isothermal fins; most heat from a given base", source="Cengel-9-31"
)
def best_fin_spacing(*, length: length, rayleigh_number: Ra) -> spacing:
    """Fin spacing that moves most heat in still air [m]."""
    return 2.714 * length / pow(rayleigh_number, 1 / 4)


@formula("h = Nu·k / L", validity="Nu and L belong together", source="Incropera-9.2")
def transfer_coefficient(*, nusselt_number: Nu, conductivity: k, length: length) -> h:
    """Heat transfer coefficient [W/(m²·K)]."""
    return nusselt_number * conductivity / length


@formula("P = h·A·(T_S − T_A)", validity="isothermal surface", source="Incropera-9.2")
def convected_power(*, transfer_coefficient: h, area: area, surface_temperature: T_S, ambient_temperature: T_A) -> P:
    """Heat carried away by air [W]."""
    return transfer_coefficient * area * (surface_temperature - ambient_temperature)


@formula("R_th = 1 / (h·A)", validity="isothermal surface", source="Cengel-3.5")
def convection_resistance(*, transfer_coefficient: h, area: area) -> R_th:
    """Thermal resistance of a surface to air [K/W]."""
    return 1 / (transfer_coefficient * area)


@formula(
    "P = ε·σ·A·(T_S⁴ − T_A⁴)",
    validity="surroundings at ambient; fins see each other: take the envelope",
    source="Cengel-9.1",
)
def radiated_power(
    *,
    emissivity: eps,
    constant: sigma = STEFAN_BOLTZMANN,
    area: area,
    surface_temperature: T_S_abs,
    ambient_temperature: T_A_abs,
) -> P:
    """Heat carried away by radiation [W]."""
    return emissivity * constant * area * (surface_temperature**4 - ambient_temperature**4)


@formula("m = √(h·U / (k·A_c))", validity="fin of constant section", source="Incropera-3.11")
def fin_parameter(*, transfer_coefficient: h, perimeter: perimeter, conductivity: k, cross_section: section) -> m:
    """How fast a fin cools towards its tip [1/m]."""
    return sqrt(transfer_coefficient * perimeter / (conductivity * cross_section))


@formula("R_fin = coth(m·L) / (k·A_c·m)", validity="adiabatic tip; L is the length of the fin", source="Incropera-3.11")
def fin_resistance(*, fin_parameter: m, length: length, conductivity: k, cross_section: section) -> R_fin:
    """Thermal resistance of one fin, base to air [K/W]."""
    return 1 / (tanh(fin_parameter * length) * conductivity * cross_section * fin_parameter)


@formula(
    "R_th = 1 / (N / R_fin + h·A)", validity="like fins on an isothermal base, A the bare base", source="Incropera-3.11"
)
def fin_array_resistance(*, fin_count: N, fin_resistance: R_fin, transfer_coefficient: h, area: area) -> R_th:
    """Thermal resistance of a base with fins [K/W]."""
    return 1 / (fin_count / fin_resistance + transfer_coefficient * area)
