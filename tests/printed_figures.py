"""Reference equations of the devices, and the figures that their sheets print."""

from types import SimpleNamespace

from mpmath import exp, findroot, log, mpf, sqrt, tanh

K_OVER_Q = mpf("1.380649e-23") / mpf("1.602176634e-19")
T0 = mpf("298.15")


def transistor_currents(values, vbe, vbc, t=T0):
    """Collector and base current of the inner transistor."""
    absent = {"emitter_leakage_current": 0, "emitter_leakage_emission": 1.5, "cutoff_current": 0, "cutoff_doubling": 10}
    p = {**absent, **values}
    p = SimpleNamespace(**{name: mpf(value) for name, value in p.items()})
    vt = K_OVER_Q * t
    growth = (t / T0) ** p.current_temperature_exponent * exp(p.bandgap_eV / K_OVER_Q * (1 / T0 - 1 / t))
    warmer = (t / T0) ** p.gain_temperature_exponent
    forward = p.saturation_current * growth * (exp(vbe / vt) - 1)
    reverse = p.saturation_current * growth * (exp(vbc / vt) - 1)
    q1 = 1 / (1 - vbc / p.forward_early_voltage)
    qb = q1 / 2 * (1 + sqrt(1 + 4 * forward / p.forward_knee_current))
    leak = p.emitter_leakage_current / warmer * growth ** (1 / p.emitter_leakage_emission)
    base_emitter = forward / (p.forward_gain * warmer) + leak * (exp(vbe / (p.emitter_leakage_emission * vt)) - 1)
    base_collector = reverse / (p.reverse_gain * warmer)
    cut = p.cutoff_current * 2 ** ((t - T0) / p.cutoff_doubling) * tanh(-vbc / (2 * vt))
    return (forward - reverse) / qb - base_collector + cut, base_emitter + base_collector - cut


def active(values, ic, vce):
    """Base-emitter voltage and gain of the whole transistor in the active region."""
    values = {**values, "cutoff_current": 0}

    def balance(vbe, across):
        collector, base = transistor_currents(values, vbe, vbe - across)
        outside = values["collector_resistance"] * ic + values["emitter_resistance"] * (ic + base)
        return log(collector / ic), across + outside - vce

    start = (mpf("0.7"), mpf(vce) - ic * (values["emitter_resistance"] + values["collector_resistance"]))
    vbe, across = findroot(balance, start, tol=1e-15)
    base = transistor_currents(values, vbe, vbe - across)[1]
    return float(vbe + values["emitter_resistance"] * (ic + base)), float(ic / base)


# Per type: gain rows (I_C, V_CE, least, most), V_BE(on) rows (I_C, V_CE, most), V_CE(sat) rows (I_C, I_B, most),
# leakage (°C, most) and the documents.
TO_3 = ([(4, 4, 20, 70), (10, 4, 5, None)], [(4, 4, 1.5)], [(4, 0.4, 1.1), (10, 3.3, 3)])
PLASTIC = ([(4, 4, 20, 70), (10, 4, 5, None)], [(4, 4, 1.8)], [(4, 0.4, 1.1), (10, 3.3, 3)])
DRIVER = ([(0.005, 2, 25, None), (0.15, 2, 40, 250), (0.5, 2, 25, None)], [(0.5, 2, 1)], [(0.5, 0.05, 0.5)])
TRANSISTORS = {
    # ON Semiconductor 2N3055/D, electrical table (I_CEX)
    "2N3055": (*TO_3, [(25, 1e-3), (150, 5e-3)]),
    "MJ2955": (*TO_3, [(25, 1e-3), (150, 5e-3)]),
    # ON Semiconductor TIP3055/D Rev. 5, p. 2; I_CEX STMicroelectronics Rev 5 (TIP3055: I_CEO at 25 °C)
    "TIP2955": (*PLASTIC, [(25, 1e-3), (150, 5e-3)]),
    "TIP3055": (*PLASTIC, [(25, 0.7e-3), (150, 5e-3)]),
    # ON Semiconductor TIP31G/TIP32G p. 2; I_CES Multicomp V1.0
    "TIP32C": ([(1, 4, 25, None), (3, 4, 10, 50)], [(3, 4, 1.8)], [(3, 0.375, 1.2)], [(25, 0.2e-3)]),
    # Fairchild BD136/138/140 Rev. 2.2; I_CBO at 125 °C Continental Device India
    "BD140": (*DRIVER, [(25, 0.1e-6), (125, 10e-6)]),
    # Comset 25/09/2012, Central R3
    "BD139": (*DRIVER, [(25, 0.1e-6), (125, 10e-6)]),
    # Multicomp MJE15030/MJE15031 V1.0
    "MJE15031": (
        [(0.1, 2, 40, None), (2, 2, 40, None), (3, 2, 40, None), (4, 2, 20, None)],
        [(1, 2, 1)],
        [(1, 0.1, 0.5)],
        [(25, 10e-6)],
    ),
    # STMicroelectronics TIP35C/TIP36C Rev 5; the row of 15 A, 15 to 75, is recalled
    "TIP36C": (
        [(1.5, 4, 25, None), (15, 4, 15, 75)],
        [(15, 4, 2), (25, 4, 4)],
        [(15, 1.5, 1.8), (25, 5, 4)],
        [(25, 0.7e-3)],
    ),
    # STMicroelectronics TIP35C/TIP36C Rev 5; the row of 15 A, 15 to 75, is recalled
    "TIP35C": (
        [(1.5, 4, 25, None), (15, 4, 15, 75)],
        [(15, 4, 2)],
        [(15, 1.5, 1.8), (25, 5, 4)],
        [(25, 0.7e-3)],
    ),
    # ON Semiconductor TIP31G/TIP32G p. 2; I_CES Multicomp V1.0
    "TIP31C": ([(1, 4, 25, None), (3, 4, 10, 50)], [(3, 4, 1.8)], [(3, 0.375, 1.2)], [(25, 0.2e-3)]),
    # Mospec (gain at 1 A), STMicroelectronics Dec 2000; the gain at 3 A is recalled
    "BD242C": ([(1, 4, 25, None), (3, 4, 10, None)], [(3, 4, 1.8)], [(3, 0.6, 1.2)], [(25, 0.2e-3)]),
    # Fairchild TIP42 Rev. A (gain), Multicomp TIP42C V1.1
    "TIP42C": ([(0.3, 4, 30, None), (3, 4, 15, 75)], [(6, 4, 2)], [(6, 0.6, 1.5)], [(25, 0.4e-3)]),
    # recalled, all of them
    "TIP41C": ([(0.3, 4, 30, None), (3, 4, 15, 75)], [(6, 4, 2)], [], []),
    # STMicroelectronics D44H11/D45H11 Rev 5 p. 3
    "D44H11": ([(2, 1, 60, None), (4, 1, 40, None)], [], [(8, 0.4, 1)], [(25, 10e-6)]),
    "D45H11": ([(2, 1, 60, None), (4, 1, 40, None)], [], [(8, 0.4, 1)], [(25, 10e-6)]),
    # onsemi MJL3281A/D (gain); Motorola, 1990s issue (V_CE(sat)); V_BE(on) and I_CBO recalled
    "MJL1302A": (
        [(0.5, 5, 75, 150), (1, 5, 75, 150), (3, 5, 75, 150), (5, 5, 75, 150), (8, 5, 45, None)],
        [(8, 5, 1.5)],
        [(10, 1, 3)],
        [(25, 50e-6)],
    ),
    # Motorola MJ15003/D REV 7; V_BE(on), V_CE(sat) and the 2 V of the gain row recalled
    "MJ15003": ([(5, 2, 25, 150)], [(5, 2, 2)], [(5, 0.5, 1)], [(25, 100e-6), (150, 2e-3)]),
    # ON Semiconductor MJ15022/MJ15024 p. 2
    "MJ15024": (
        [(8, 4, 15, 60), (16, 4, 5, None)],
        [(8, 4, 2.2)],
        [(8, 0.8, 1.4), (16, 3.2, 4)],
        [(25, 250e-6)],
    ),
    # Motorola index (gain, V_CE of the rows recalled); V_BE(on) and I_CEO recalled
    "2N3771": ([(15, 4, 15, 60)], [(15, 4, 2.7)], [], [(25, 10e-3)]),
    "2N3772": ([(10, 4, 15, 60)], [(10, 4, 2.2)], [], [(25, 10e-3)]),
    # New Jersey Semiconductor 2N3773/2N6609 p. 2
    "2N3773": (
        [(8, 4, 15, 60), (16, 4, 5, None)],
        [(8, 4, 2.2)],
        [(8, 0.8, 1.4), (16, 3.2, 4)],
        [(25, 2e-3), (150, 10e-3)],
    ),
    # Multicomp 2N3906 V1.1; I_CBO JCST
    "2N3906": (
        [(1e-4, 1, 60, None), (1e-3, 1, 80, None), (0.01, 1, 100, 300), (0.05, 1, 60, None), (0.1, 1, 30, None)],
        [],
        [(0.01, 1e-3, 0.25), (0.05, 5e-3, 0.4)],
        [(25, 0.1e-6)],
    ),
    # MCC 2N3904
    "2N3904": (
        [(1e-4, 1, 40, None), (1e-3, 1, 70, None), (0.01, 1, 100, 300), (0.05, 1, 60, None), (0.1, 1, 30, None)],
        [],
        [(0.01, 1e-3, 0.2), (0.05, 5e-3, 0.3)],
        [],
    ),
    # Rectron BC556/BC557/BC558; the groups A, B, C together
    "BC557": (
        [(2e-3, 5, 110, 800)],
        [(2e-3, 5, 0.7), (0.01, 5, 0.82)],
        [(0.01, 0.5e-3, 0.3), (0.1, 5e-3, 0.65)],
        [(25, 15e-9), (150, 4e-6)],
    ),
    # Fairchild PN2907A Rev. 1.1.2 p. 3
    "2N2907A": (
        [(1e-4, 10, 75, None), (1e-3, 10, 100, None), (0.01, 10, 100, None), (0.15, 10, 100, 300),
         (0.5, 10, 50, None)],
        [],
        [(0.15, 0.015, 0.4), (0.5, 0.05, 1.6)],
        [(25, 20e-9), (150, 20e-6)],
    ),
    # MCC 2N4403
    "2N4403": (
        [(1e-4, 1, 30, None), (1e-3, 1, 60, None), (0.01, 1, 100, None), (0.15, 2, 100, 300), (0.5, 2, 20, None)],
        [],
        [(0.15, 0.015, 0.4), (0.5, 0.05, 0.75)],
        [(25, 0.1e-6)],
    ),
}  # fmt: skip
# Fairchild LM78XX Rev. 1.3.1 p. 3; Fairchild DS400018; Motorola MC7800 p. 9 (limits of regulation: ON Semiconductor
# NCP7800 p. 7); Fairchild MC78M05 Rev. 1.0.8 (drop-out, I_PK, I_SC recalled).
REGULATORS = {
    "7805": dict(vo=(4.8, 5, 5.2), test=(10, 0.5), band=(4.75, 5.25), range=(7, 20), load=(0.005, 1.5, 9e-3, 0.1),
                 line=(7, 25, 4e-3, 0.1), drop=(1, 2), iq=(5e-3, 8e-3), ipk=2.2, isc=0.23, rated=1),
    "7812": dict(vo=(11.5, 12, 12.5), test=(19, 0.5), band=(11.4, 12.6), range=(14.5, 27),
                 load=(0.005, 1.5, 11e-3, 0.24),
                 line=(14.5, 30, 10e-3, 0.24), drop=(1, 2), iq=(5.1e-3, 8e-3), ipk=2.2, isc=0.23, rated=1),
    "7815": dict(vo=(14.4, 15, 15.6), test=(23, 0.5), band=(14.25, 15.75), range=(17.5, 30),
                 load=(0.005, 1.5, 1.8e-3, 0.3),
                 line=(17.9, 30, 8.5e-3, 0.3), drop=(1, 2), iq=(3.5e-3, 8e-3), ipk=2.2, isc=0.2, rated=1),
    "78M05": dict(vo=(4.8, 5, 5.2), test=(10, 0.35), band=(4.75, 5.25), range=(7, 20), load=(0.005, 0.5, None, 0.1),
                  line=(7, 25, None, 0.1), drop=(0.5, 2), iq=(4e-3, 6e-3), ipk=0.7, isc=0.3, rated=0.5),
}  # fmt: skip
