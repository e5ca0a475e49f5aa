"""The letters that hand equations are written with: sign, unit, meaning.

Letters follow data-sheet and textbook usage: upper case with upper-case index for direct quantities, h_FE for the
static current gain.  "°C" marks a temperature (kelvin inside, Celsius for the reader), "K" an absolute temperature
or a difference, "1" a pure number.  All currents and voltages are magnitudes of a positive regulator with a PNP bypass;
the negative circuit is its mirror image.
"""

from typing import Annotated

from outboard.formulas.formula import Symbol

# --- the regulator and its load -------------------------------------------------------------------------------------
V_I = Annotated[float, Symbol("V_I", "V", "input voltage")]
V_O = Annotated[float, Symbol("V_O", "V", "output voltage")]
V_REG = Annotated[float, Symbol("V_REG", "V", "voltage that the regulator holds from output to reference pin")]
V_REF = Annotated[float, Symbol("V_REF", "V", "reference voltage")]
V_DO = Annotated[float, Symbol("V_DO", "V", "drop-out voltage of the regulator")]
I_O = Annotated[float, Symbol("I_O", "A", "load current")]
I_O_most = Annotated[float, Symbol("I_O,max", "A", "greatest load current")]
I_O_least = Annotated[float, Symbol("I_O,min", "A", "least load current")]
I_REG = Annotated[float, Symbol("I_REG", "A", "current through the regulator")]
I_REG_most = Annotated[float, Symbol("I_REG,max", "A", "greatest current that the regulator may carry")]
I_Q = Annotated[float, Symbol("I_Q", "A", "quiescent current of the regulator")]
I_Q_most = Annotated[float, Symbol("I_Q,max", "A", "greatest quiescent current of the regulator")]
I_ADJ = Annotated[float, Symbol("I_ADJ", "A", "current out of the adjustment pin")]
R_L = Annotated[float, Symbol("R_L", "Ω", "load resistance")]
P_max = Annotated[float, Symbol("P_max", "W", "greatest power of the pass device")]

# --- the bypass transistor ------------------------------------------------------------------------------------------
h_FE = Annotated[float, Symbol("h_FE", "1", "static current gain")]
h_FE_least = Annotated[float, Symbol("h_FE,min", "1", "least static current gain")]
h_FE1 = Annotated[float, Symbol("h_FE1", "1", "static current gain of the driver")]
h_FE2 = Annotated[float, Symbol("h_FE2", "1", "static current gain of the pass device")]
V_BE = Annotated[float, Symbol("V_BE", "V", "base-emitter voltage in conduction")]
V_BE_most = Annotated[float, Symbol("V_BE,max", "V", "greatest base-emitter voltage in conduction (cold)")]
V_BE_hot = Annotated[float, Symbol("V_BE,hot", "V", "least base-emitter voltage at which the hot transistor conducts")]
V_BE1 = Annotated[float, Symbol("V_BE1", "V", "base-emitter voltage of the driver")]
V_BE2 = Annotated[float, Symbol("V_BE2", "V", "base-emitter voltage of the second transistor")]
V_CE = Annotated[float, Symbol("V_CE", "V", "collector-emitter voltage")]
V_CE_sat = Annotated[float, Symbol("V_CE,sat", "V", "collector-emitter saturation voltage of the driver")]
V_CB = Annotated[float, Symbol("V_CB", "V", "collector-base voltage")]
I_B = Annotated[float, Symbol("I_B", "A", "base current")]
I_C = Annotated[float, Symbol("I_C", "A", "collector current")]
I_C1 = Annotated[float, Symbol("I_C1", "A", "collector current of the driver")]
I_C2 = Annotated[float, Symbol("I_C2", "A", "collector current of the pass device")]
I_E = Annotated[float, Symbol("I_E", "A", "emitter current")]
I_C_most = Annotated[float, Symbol("I_C,max", "A", "greatest collector current of one device")]
V_D = Annotated[float, Symbol("V_D", "V", "forward voltage of the compensating diode")]

# --- resistors of the stage -----------------------------------------------------------------------------------------
R = Annotated[float, Symbol("R", "Ω", "resistance")]
R1 = Annotated[float, Symbol("R1", "Ω", "base resistor, from the input to the regulator")]
R1_least = Annotated[float, Symbol("R1,min", "Ω", "least base resistor")]
R1_most = Annotated[float, Symbol("R1,max", "Ω", "greatest base resistor")]
R2 = Annotated[float, Symbol("R2", "Ω", "bleed resistor, base to emitter of the pass device")]
R2_most = Annotated[float, Symbol("R2,max", "Ω", "greatest bleed resistor")]
R_D = Annotated[float, Symbol("R_D", "Ω", "resistor in the regulator lead")]
R_E = Annotated[float, Symbol("R_E", "Ω", "resistor in the emitter lead")]
R_S = Annotated[float, Symbol("R_S", "Ω", "sense resistor")]
R_B = Annotated[float, Symbol("R_B", "Ω", "resistor in the base lead")]
R_C = Annotated[float, Symbol("R_C", "Ω", "resistor in the collector lead")]
V_R = Annotated[float, Symbol("V_R", "V", "voltage across the resistor")]
I_h = Annotated[float, Symbol("I_h", "A", "hand-over current of the regulator, where the transistor starts to conduct")]
I_on = Annotated[float, Symbol("I_on", "A", "driver current at which the pass device starts to conduct")]

# --- leakage --------------------------------------------------------------------------------------------------------
I_CBO = Annotated[float, Symbol("I_CBO", "A", "collector-base leakage current")]
I_CBO_hot = Annotated[float, Symbol("I_CBO,hot", "A", "collector-base leakage current of the hot device")]
I_CEO = Annotated[float, Symbol("I_CEO", "A", "collector-emitter leakage current with open base")]
I_CEX = Annotated[float, Symbol("I_CEX", "A", "collector leakage current of the hot pass device with its bleed")]

# --- temperatures and heat ------------------------------------------------------------------------------------------
T = Annotated[float, Symbol("T", "°C", "temperature")]
T_0 = Annotated[float, Symbol("T_0", "°C", "temperature at which the figure is stated")]
T_J = Annotated[float, Symbol("T_J", "°C", "junction temperature")]
T_C = Annotated[float, Symbol("T_C", "°C", "case temperature")]
T_A = Annotated[float, Symbol("T_A", "°C", "ambient temperature")]
T_abs = Annotated[float, Symbol("T", "K", "absolute temperature")]
P = Annotated[float, Symbol("P", "W", "power turned into heat")]
P_0 = Annotated[float, Symbol("P_0", "W", "rated power at the stated case temperature")]
P_1 = Annotated[float, Symbol("P_1", "W", "power that one device may turn into heat at its case temperature")]
D = Annotated[float, Symbol("D", "W/K", "slope of the power derating line")]
d = Annotated[float, Symbol("d", "1", "share of the rating that is used")]
n_devices = Annotated[float, Symbol("n", "1", "number of devices in parallel")]
R_th = Annotated[float, Symbol("R_th", "K/W", "thermal resistance")]
R_JC = Annotated[float, Symbol("R_JC", "K/W", "thermal resistance from junction to case")]
R_CS = Annotated[float, Symbol("R_CS", "K/W", "thermal resistance from case to sink (pad)")]
R_SA = Annotated[float, Symbol("R_SA", "K/W", "thermal resistance from sink to ambient")]
R_JA = Annotated[float, Symbol("R_JA", "K/W", "thermal resistance from junction to ambient")]

# --- junction physics -----------------------------------------------------------------------------------------------
V_T = Annotated[float, Symbol("V_T", "V", "thermal voltage k·T/q")]
I_S = Annotated[float, Symbol("I_S", "A", "saturation (scale) current of the junction")]
I_F = Annotated[float, Symbol("I_F", "A", "forward current of the junction")]
V_F = Annotated[float, Symbol("V_F", "V", "forward voltage of the junction")]
emission = Annotated[float, Symbol("n", "1", "emission coefficient")]
tempco = Annotated[float, Symbol("k_V", "V/K", "change of base-emitter voltage with temperature")]
