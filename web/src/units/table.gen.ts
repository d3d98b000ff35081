// Generated from Go by `make golden`; do not edit. docs/reference/units.md is the same table.

/** A unit of display and the SI magnitude from which it is used; the home step shows zero. SI = number * factor + offset. */
export interface Step {
  unit: string;
  from: number;
  home: boolean;
  factor: number;
  offset: number;
}
export interface Quantity {
  symbol: string;
  si: Step[];
  us: Step[];
}

const step = (unit: string, from: number, home: boolean, factor: number, offset: number): Step => ({
  unit,
  from,
  home,
  factor,
  offset,
});

export const quantities: Record<string, Quantity> = {
  "mass": {
    symbol: "kg",
    si: [
      step("mg", 0, false, 1e-06, 0),
      step("g", 0.001, false, 0.001, 0),
      step("kg", 1, true, 1, 0),
      step("t", 10000, false, 1000, 0),
    ],
    us: [
      step("oz", 0, false, 0.028349523125, 0),
      step("lb", 0.45359237, true, 0.45359237, 0),
    ],
  },
  "length": {
    symbol: "m",
    si: [
      step("µm", 0, false, 1e-06, 0),
      step("mm", 0.0001, true, 0.001, 0),
      step("m", 10, false, 1, 0),
      step("km", 1000, false, 1000, 0),
    ],
    us: [
      step("in", 0, true, 0.0254, 0),
      step("ft", 3.048, false, 0.3048, 0),
      step("mi", 1609.344, false, 1609.344, 0),
    ],
  },
  "area": {
    symbol: "m²",
    si: [
      step("mm²", 0, false, 1e-06, 0),
      step("m²", 0.01, true, 1, 0),
    ],
    us: [
      step("in²", 0, true, 0.00064516, 0),
      step("ft²", 0.09290304, false, 0.09290304, 0),
    ],
  },
  "volume": {
    symbol: "m³",
    si: [
      step("mm³", 0, false, 1e-09, 0),
      step("cm³", 1e-06, false, 1e-06, 0),
      step("L", 0.001, true, 0.001, 0),
      step("m³", 1, false, 1, 0),
    ],
    us: [
      step("in³", 0, true, 1.6387064e-05, 0),
      step("ft³", 0.028316846592, false, 0.028316846592, 0),
    ],
  },
  "time": {
    symbol: "s",
    si: [
      step("µs", 0, false, 1e-06, 0),
      step("ms", 0.001, false, 0.001, 0),
      step("s", 1, true, 1, 0),
      step("min", 180, false, 60, 0),
      step("h", 7200, false, 3600, 0),
      step("d", 2.592e+06, false, 86400, 0),
      step("a", 3.15576e+07, false, 3.15576e+07, 0),
    ],
    us: [
      step("µs", 0, false, 1e-06, 0),
      step("ms", 0.001, false, 0.001, 0),
      step("s", 1, true, 1, 0),
      step("min", 180, false, 60, 0),
      step("h", 7200, false, 3600, 0),
      step("d", 2.592e+06, false, 86400, 0),
      step("a", 3.15576e+07, false, 3.15576e+07, 0),
    ],
  },
  "speed": {
    symbol: "m/s",
    si: [
      step("km/h", 0, true, 0.2777777777777778, 0),
    ],
    us: [
      step("mph", 0, true, 0.44704, 0),
    ],
  },
  "acceleration": {
    symbol: "m/s²",
    si: [
      step("m/s²", 0, true, 1, 0),
    ],
    us: [
      step("ft/s²", 0, true, 0.3048, 0),
    ],
  },
  "force": {
    symbol: "N",
    si: [
      step("N", 0, true, 1, 0),
      step("kN", 10000, false, 1000, 0),
    ],
    us: [
      step("lbf", 0, true, 4.4482216152605, 0),
    ],
  },
  "torque": {
    symbol: "N·m",
    si: [
      step("N·m", 0, true, 1, 0),
    ],
    us: [
      step("lbf·ft", 0, true, 1.3558179483314003, 0),
    ],
  },
  "energy": {
    symbol: "J",
    si: [
      step("J", 0, false, 1, 0),
      step("Wh", 3600, false, 3600, 0),
      step("kWh", 3.6e+06, true, 3.6e+06, 0),
      step("MWh", 3.6e+10, false, 3.6e+09, 0),
    ],
    us: [
      step("J", 0, false, 1, 0),
      step("Wh", 3600, false, 3600, 0),
      step("kWh", 3.6e+06, true, 3.6e+06, 0),
      step("MWh", 3.6e+10, false, 3.6e+09, 0),
    ],
  },
  "power": {
    symbol: "W",
    si: [
      step("mW", 0, false, 0.001, 0),
      step("W", 1, true, 1, 0),
      step("kW", 1000, false, 1000, 0),
      step("MW", 1e+07, false, 1e+06, 0),
    ],
    us: [
      step("mW", 0, false, 0.001, 0),
      step("W", 1, true, 1, 0),
      step("kW", 1000, false, 1000, 0),
      step("MW", 1e+07, false, 1e+06, 0),
    ],
  },
  "pressure": {
    symbol: "Pa",
    si: [
      step("Pa", 0, false, 1, 0),
      step("kPa", 1000, true, 1000, 0),
      step("MPa", 1e+07, false, 1e+06, 0),
    ],
    us: [
      step("psi", 0, true, 6894.757293168362, 0),
    ],
  },
  "density": {
    symbol: "kg/m³",
    si: [
      step("kg/m³", 0, true, 1, 0),
    ],
    us: [
      step("lb/ft³", 0, true, 16.018463373960138, 0),
    ],
  },
  "mass flow": {
    symbol: "kg/s",
    si: [
      step("g/s", 0, true, 0.001, 0),
      step("kg/s", 1, false, 1, 0),
    ],
    us: [
      step("lb/min", 0, true, 0.007559872833333333, 0),
    ],
  },
  "volume flow": {
    symbol: "m³/s",
    si: [
      step("L/min", 0, true, 1.6666666666666667e-05, 0),
    ],
    us: [
      step("gal(US)/min", 0, true, 6.30901964e-05, 0),
    ],
  },
  "angle": {
    symbol: "rad",
    si: [
      step("°", 0, true, 0.017453292519943295, 0),
    ],
    us: [
      step("°", 0, true, 0.017453292519943295, 0),
    ],
  },
  "rotational speed": {
    symbol: "rad/s",
    si: [
      step("rpm", 0, true, 0.10471975511965978, 0),
    ],
    us: [
      step("rpm", 0, true, 0.10471975511965978, 0),
    ],
  },
  "moment of inertia": {
    symbol: "kg·m²",
    si: [
      step("kg·m²", 0, true, 1, 0),
    ],
    us: [
      step("lb·ft²", 0, true, 0.0421401100938048, 0),
    ],
  },
  "stiffness": {
    symbol: "N/m",
    si: [
      step("N/mm", 0, true, 1000, 0),
    ],
    us: [
      step("lbf/in", 0, true, 175.1268352464764, 0),
    ],
  },
  "drag per speed": {
    symbol: "N/(m/s)",
    si: [
      step("N/(km/h)", 0, true, 3.6, 0),
    ],
    us: [
      step("lbf/mph", 0, true, 9.950388366277068, 0),
    ],
  },
  "drag per speed squared": {
    symbol: "N/(m/s)²",
    si: [
      step("N/(km/h)²", 0, true, 12.96, 0),
    ],
    us: [
      step("lbf/mph²", 0, true, 22.258384856561083, 0),
    ],
  },
  "slope": {
    symbol: "1",
    si: [
      step("%", 0, true, 0.01, 0),
    ],
    us: [
      step("%", 0, true, 0.01, 0),
    ],
  },
  "consumption": {
    symbol: "J/m",
    si: [
      step("Wh/km", 0, true, 3.6, 0),
    ],
    us: [
      step("Wh/mi", 0, true, 2.2369362920544025, 0),
    ],
  },
  "voltage": {
    symbol: "V",
    si: [
      step("µV", 0, false, 1e-06, 0),
      step("mV", 0.001, false, 0.001, 0),
      step("V", 1, true, 1, 0),
      step("kV", 10000, false, 1000, 0),
    ],
    us: [
      step("µV", 0, false, 1e-06, 0),
      step("mV", 0.001, false, 0.001, 0),
      step("V", 1, true, 1, 0),
      step("kV", 10000, false, 1000, 0),
    ],
  },
  "current": {
    symbol: "A",
    si: [
      step("µA", 0, false, 1e-06, 0),
      step("mA", 0.001, false, 0.001, 0),
      step("A", 1, true, 1, 0),
      step("kA", 10000, false, 1000, 0),
    ],
    us: [
      step("µA", 0, false, 1e-06, 0),
      step("mA", 0.001, false, 0.001, 0),
      step("A", 1, true, 1, 0),
      step("kA", 10000, false, 1000, 0),
    ],
  },
  "charge": {
    symbol: "C",
    si: [
      step("mAh", 0, false, 3.6, 0),
      step("Ah", 3600, true, 3600, 0),
    ],
    us: [
      step("mAh", 0, false, 3.6, 0),
      step("Ah", 3600, true, 3600, 0),
    ],
  },
  "C-rate": {
    symbol: "C",
    si: [
      step("C", 0, true, 1, 0),
    ],
    us: [
      step("C", 0, true, 1, 0),
    ],
  },
  "resistance": {
    symbol: "Ω",
    si: [
      step("µΩ", 0, false, 1e-06, 0),
      step("mΩ", 0.0001, true, 0.001, 0),
      step("Ω", 1, false, 1, 0),
      step("kΩ", 1000, false, 1000, 0),
      step("MΩ", 1e+06, false, 1e+06, 0),
    ],
    us: [
      step("µΩ", 0, false, 1e-06, 0),
      step("mΩ", 0.0001, true, 0.001, 0),
      step("Ω", 1, false, 1, 0),
      step("kΩ", 1000, false, 1000, 0),
      step("MΩ", 1e+06, false, 1e+06, 0),
    ],
  },
  "capacitance": {
    symbol: "F",
    si: [
      step("pF", 0, false, 1e-12, 0),
      step("nF", 1e-09, false, 1e-09, 0),
      step("µF", 1e-06, true, 1e-06, 0),
      step("mF", 0.001, false, 0.001, 0),
      step("F", 1, false, 1, 0),
    ],
    us: [
      step("pF", 0, false, 1e-12, 0),
      step("nF", 1e-09, false, 1e-09, 0),
      step("µF", 1e-06, true, 1e-06, 0),
      step("mF", 0.001, false, 0.001, 0),
      step("F", 1, false, 1, 0),
    ],
  },
  "inductance": {
    symbol: "H",
    si: [
      step("nH", 0, false, 1e-09, 0),
      step("µH", 1e-06, true, 1e-06, 0),
      step("mH", 0.001, false, 0.001, 0),
      step("H", 1, false, 1, 0),
    ],
    us: [
      step("nH", 0, false, 1e-09, 0),
      step("µH", 1e-06, true, 1e-06, 0),
      step("mH", 0.001, false, 0.001, 0),
      step("H", 1, false, 1, 0),
    ],
  },
  "let-through I²t": {
    symbol: "A²s",
    si: [
      step("A²s", 0, true, 1, 0),
      step("kA²s", 1e+07, false, 1e+06, 0),
    ],
    us: [
      step("A²s", 0, true, 1, 0),
      step("kA²s", 1e+07, false, 1e+06, 0),
    ],
  },
  "specific energy": {
    symbol: "J/kg",
    si: [
      step("Wh/kg", 0, true, 3600, 0),
    ],
    us: [
      step("Wh/kg", 0, true, 3600, 0),
    ],
  },
  "entropic coefficient": {
    symbol: "V/K",
    si: [
      step("mV/K", 0, true, 0.001, 0),
    ],
    us: [
      step("mV/K", 0, true, 0.001, 0),
    ],
  },
  "temperature": {
    symbol: "K",
    si: [
      step("°C", 0, true, 1, 273.15),
    ],
    us: [
      step("°F", 0, true, 0.5555555555555556, 255.37222222222223),
    ],
  },
  "temperature difference": {
    symbol: "K",
    si: [
      step("K", 0, true, 1, 0),
    ],
    us: [
      step("°F", 0, true, 0.5555555555555556, 0),
    ],
  },
  "heat capacity": {
    symbol: "J/K",
    si: [
      step("J/K", 0, true, 1, 0),
      step("kJ/K", 10000, false, 1000, 0),
    ],
    us: [
      step("J/K", 0, true, 1, 0),
      step("kJ/K", 10000, false, 1000, 0),
    ],
  },
  "specific heat": {
    symbol: "J/(kg·K)",
    si: [
      step("J/(kg·K)", 0, true, 1, 0),
    ],
    us: [
      step("J/(kg·K)", 0, true, 1, 0),
    ],
  },
  "thermal conductance": {
    symbol: "W/K",
    si: [
      step("W/K", 0, true, 1, 0),
    ],
    us: [
      step("W/K", 0, true, 1, 0),
    ],
  },
  "heat transfer coefficient": {
    symbol: "W/(m²·K)",
    si: [
      step("W/(m²·K)", 0, true, 1, 0),
    ],
    us: [
      step("W/(m²·K)", 0, true, 1, 0),
    ],
  },
  "thermal conductivity": {
    symbol: "W/(m·K)",
    si: [
      step("W/(m·K)", 0, true, 1, 0),
    ],
    us: [
      step("W/(m·K)", 0, true, 1, 0),
    ],
  },
  "ratio": {
    symbol: "1",
    si: [
      step("%", 0, true, 0.01, 0),
    ],
    us: [
      step("%", 0, true, 0.01, 0),
    ],
  },
};
