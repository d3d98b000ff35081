// What the server says, by hand until it is generated from the Go structs.
// Numbers are SI; the key ends in the unit. Each unit is a type of its own, so
// that a mass cannot be shown as a length.

type Si<U extends string> = number & { readonly __unit: U };
export type Kg = Si<"kg">;
export type Metre = Si<"m">;
export type CubicMetre = Si<"m³">;
export type Second = Si<"s">;
export type MetrePerSecond = Si<"m/s">;
export type Joule = Si<"J">;
export type JoulePerMetre = Si<"J/m">;
export type JoulePerKg = Si<"J/kg">;
export type Volt = Si<"V">;
export type Ampere = Si<"A">;
export type AmpereSecond = Si<"A·s">;
export type Ohm = Si<"Ω">;
export type Kelvin = Si<"K">;
export type Radian = Si<"rad">;

export type Vec = [Metre, Metre, Metre];

export interface Pos {
  file?: string;
  line?: number;
  col?: number;
}
export interface Figure {
  si: number;
  symbol: string;
  noun: string;
}
export interface Problem {
  pos: Pos;
  path: string;
  message: string;
  hint?: string;
}
export type Severity = "note" | "warning" | "failure" | "safety";
export interface Finding {
  rule: string;
  budget: string;
  subject: string;
  value: Figure;
  limit: Figure;
  margin: number;
  severity: Severity;
  remedy?: string;
  source: string;
  over_spread?: "always" | "partly" | "never";
}
export interface Input {
  symbol: string;
  name: string;
  value: Figure;
  source?: string;
  pos?: Pos;
}
export interface Working {
  name: string;
  formula: string;
  inputs: Input[];
  result: Figure;
  source: string;
}
export interface Assumption {
  subject: string;
  value: Figure;
  source: string;
}
export interface Source {
  key: string;
  title: string;
  status: string;
  note?: string;
}

export interface Conflict {
  path: string;
  base: string | null;
  theirs: string | null;
  yours: string | null;
}
export type ErrorKind =
  | "key"
  | "origin"
  | "request"
  | "problems"
  | "conflict"
  | "broken"
  | "noproject"
  | "option"
  | "notfound"
  | "exists"
  | "failed"
  | "large";
export interface ApiError {
  kind: ErrorKind;
  message: string;
  hint?: string;
  problems?: Problem[];
  more?: number;
  conflicts?: Conflict[];
  revision?: number;
}

export interface Budget {
  name: "mass" | "space" | "voltage" | "money";
  used: Figure;
  limit: Figure;
  left: Figure;
}
export interface Headline {
  revision: number;
  option: string;
  chosen: boolean;
  verdict: string;
  budgets: Budget[];
  range_m: Metre;
  range_end_of_life_m: Metre;
  schedule: string;
  schedule_capped: boolean;
  worst_margin: number;
  worst_margin_rule: string;
  failures: number;
  warnings: number;
  axle_front_kg: Kg;
  axle_rear_kg: Kg;
  mass_kg: Kg;
  micros: number;
}
export interface SearchState {
  revision: number;
  running: boolean;
  done: number;
  total: number;
  error?: string;
  millis: number;
  candidates: number;
  options_that_fit: number;
}
export interface Broken {
  problems: Problem[];
  more: number;
}
export interface State {
  start: string;
  revision: number;
  present: boolean;
  folder: string;
  project: string;
  invented_data: boolean;
  currency: string;
  schedule: string;
  rank_by: string;
  chosen: string;
  undo: number;
  redo: number;
  broken?: Broken;
  failed?: string;
  headline: Headline | null;
  search: SearchState;
  assumptions: number;
  clients: number;
}
export interface Change {
  revision: number;
  by: "edit" | "undo" | "redo" | "outside" | "new";
  by_client: string;
  parts: string[];
  paths: string[];
  undo: number;
  redo: number;
  project: string;
  chosen: string;
  rank_by: string;
  schedule: string;
}

export type Value = string | Value[] | { [key: string]: Value };
export type Op =
  | { op: "set"; path: string; text: string }
  | { op: "insert"; path: string; value: Value }
  | { op: "delete"; path: string };
export interface EditRequest {
  base: number;
  client?: string;
  ops: Op[];
  force?: boolean;
}
export interface EditReply {
  revision: number;
  merged: boolean;
  undo: number;
  redo: number;
}
export interface HistoryState {
  name: string;
  when_unix_s: number;
}
export interface History {
  undo: number;
  redo: number;
  states: HistoryState[];
}

export interface Field {
  path: string;
  text: string;
  given: boolean;
  pos?: Pos;
  noun: string;
  si?: number;
  symbol?: string;
  spread_si?: number;
  required: boolean;
  range?: string;
  one_of?: string[];
  doc: string;
  spellings?: string[];
}
export interface ItemField {
  key: string;
  noun: string;
  required: boolean;
  range?: string;
  one_of?: string[];
  doc: string;
  spellings?: string[];
}
export interface ListForm {
  path: string;
  count: number;
  item: ItemField[];
}
export interface FileReply {
  revision: number;
  text: string;
  fields: Field[];
  lists: ListForm[];
}

export interface StateLine {
  name: string;
  mass_kg: Kg;
  axle_front_kg: Kg;
  axle_rear_kg: Kg;
  wheel_front_left_kg: Kg;
  wheel_front_right_kg: Kg;
  wheel_rear_left_kg: Kg;
  wheel_rear_right_kg: Kg;
  cg_m: Vec;
}
export interface LedgerRow {
  path: string;
  name: string;
  mass_kg: Kg;
  mass_text: string;
  spread_kg?: Kg;
  at_m: Vec;
  at_text: [string, string, string];
  pos?: Pos;
}
export interface Outline {
  front_m: Metre;
  rear_m: Metre;
  width_m: Metre;
  height_m: Metre;
}
export interface Ratings {
  gross_kg: Kg;
  axle_front_kg: Kg;
  axle_rear_kg: Kg;
  tyre_front_kg: Kg;
  tyre_rear_kg: Kg;
}
export interface Donor {
  revision: number;
  option: string;
  wheelbase_m: Metre;
  track_front_m: Metre;
  track_rear_m: Metre;
  tyre_radius_m: Metre;
  cg_height_m: Metre;
  outline: Outline | null;
  removed: LedgerRow[];
  added: LedgerRow[];
  pack: LedgerRow[];
  load_cases: { name: string; path: string; items: LedgerRow[] }[];
  states: StateLine[];
  ratings: Ratings;
  findings: { state: string; findings: Finding[] }[];
  stability: Input[];
  room_kg: Kg | null;
}

export interface ModuleLine {
  count: number;
  series: number;
  parallel: number;
  slices: number;
  length_m: Metre;
  width_m: Metre;
  height_m: Metre;
  mass_kg: Kg;
  handling_voltage_v: Volt;
}
export interface PlaceLine {
  module: number;
  x_m: Metre;
  y_m: Metre;
  z_m: Metre;
  size_x_m: Metre;
  size_y_m: Metre;
  size_z_m: Metre;
  orientation: string;
  terminals: string;
  centre_vehicle_m: Vec;
}
export interface BoxView {
  path: string;
  at_m: Vec;
  size_m: Vec;
  corners_m: Vec[];
}
export interface PlaceView extends PlaceLine {
  corners_m: Vec[];
}
export interface Room {
  module: number;
  placed: number;
  most: number;
  bound: number;
  gap: number;
}
export interface BayView {
  path: string;
  name: string;
  at_m: Vec;
  axes: [Vec, Vec, Vec];
  yaw_rad: Radian;
  pitch_rad: Radian;
  boxes: BoxView[];
  keep_outs: BoxView[];
  corner_m: Vec;
  size_m: Vec;
  least_m: Vec;
  greatest_m: Vec;
  wall_m: Metre;
  clearance_m: Metre;
  gap_m: Metre;
  connector_m: Metre;
  mass_limit_kg: Kg;
  box_mass_kg: Kg;
  mass_kg: Kg;
  opens: string;
  volume_m3: CubicMetre;
  used_m3: CubicMetre;
  places: PlaceView[];
  room: Room[];
}
export interface Bays {
  revision: number;
  option: string;
  wheelbase_m: Metre;
  track_front_m: Metre;
  track_rear_m: Metre;
  tyre_radius_m: Metre;
  outline: Outline | null;
  modules: ModuleLine[];
  bays: BayView[];
}

export interface Fact {
  field: string;
  source: string;
  source_title: string;
  status: string;
}
export interface HealthLine {
  capacity_share: number;
  resistance_growth: number;
}
export interface CellView {
  id: string;
  title: string;
  chemistry: string;
  format: string;
  capacity_as: AmpereSecond;
  mass_kg: Kg;
  size_m: Vec;
  voltage_max_v: Volt;
  voltage_nominal_v: Volt;
  voltage_min_v: Volt;
  generic_curve: boolean;
  curve_source: string;
  facts: Fact[];
}
export interface ModuleView {
  id: string;
  title: string;
  openable: boolean;
  series: number;
  parallel: number;
  slices: number;
  slice_series: number;
  slice_parallel: number;
  size_m: Vec;
  mass_kg: Kg;
  resistance_ohm: Ohm;
  facts: Fact[];
}
export interface ResistanceCurve {
  temperature_k: Kelvin;
  life: "as bought" | "end of life";
  resistance_ohm: number[];
}
export interface CurveView {
  charge: number[];
  ocv_v: number[];
  resistance: ResistanceCurve[];
  source: string;
  measured_from_k?: Kelvin;
  measured_to_k?: Kelvin;
}
export interface SourceView {
  path: string;
  name: string;
  kind: string;
  part: string;
  title: string;
  count: number;
  spare: number;
  price: number | null;
  health: HealthLine;
  health_end: HealthLine;
  not_searched?: string;
  candidates?: number;
  cell: CellView;
  module?: ModuleView;
  hardware?: string;
  energy_piece_j: Joule;
  specific_energy_j_per_kg: JoulePerKg;
  cells_in_piece: number;
  price_per_kwh: number | null;
  mass_piece_kg: Kg;
  energy_lot_j: Joule;
  curves: CurveView | null;
}
export interface Sources {
  revision: number;
  currency: string;
  sources: SourceView[];
}
export interface PartView {
  kind: string;
  id: string;
  title: string;
  own: boolean;
  mass_kg?: Kg;
  figures: { name: string; value: Figure }[];
  facts: Fact[];
}
export interface Parts {
  parts: PartView[];
}

export interface Row {
  id: string;
  topology: string;
  cuts_that_fit?: number;
  range_m: Metre;
  range_end_of_life_m: Metre;
  usable_energy_j: Joule;
  mass_kg: Kg;
  price: number;
  voltage_full_v: Volt;
  voltage_lowest_v: Volt;
  worst_margin: number;
  worst_margin_rule: string;
  modules_by_bay: number[];
  pareto: boolean;
}
export interface RelaxRow {
  rule: string;
  subject: string;
  value: Figure;
  limit: Figure;
  by: Figure;
  share: number;
}
export interface GrowthRow {
  bay: string;
  axis: "length" | "width" | "height";
  by_m: Metre;
}
export interface MissRow {
  limits: RelaxRow[];
  bay_growth?: GrowthRow;
  option: Row;
}
export interface FallRow {
  rule: string;
  subject: string;
  alone: number;
  with_others: number;
}
export interface SourceCount {
  name: string;
  candidates: number;
  not_searched?: string;
}
export interface Report {
  project: string;
  invented_data: boolean;
  schedule: string;
  rank_by: string;
  currency: string;
  candidates: number;
  sources: SourceCount[];
  options_that_fit: number;
  packs_that_fit: number;
  space_not_proven: number;
  ranked: Row[];
  pareto: Row[];
  falls: FallRow[];
  nearest_misses: MissRow[];
  joint_miss?: MissRow;
  complete_range_runs: number;
  runs_spared_by_bound: number;
}
export interface Options {
  revision: number;
  search: SearchState;
  report: Report | null;
}

export interface CellLine {
  id: string;
  title: string;
  chemistry: string;
  capacity_as: AmpereSecond;
  generic_curve: boolean;
  curve_source: string;
  health_as_bought: HealthLine;
  health_end_of_life: HealthLine;
  pulse_resistance_10s_ohm: Ohm;
}
export interface BayLine {
  name: string;
  modules: number[];
  mass_kg: Kg;
  mass_limit_kg?: Kg;
  places: PlaceLine[];
}
export interface VoltageWindow {
  full_v: Volt;
  nominal_v: Volt;
  floor_at_rest_v: Volt;
  lowest_v: Volt;
  discharge_end_v: Volt;
}
export interface Performance {
  range_m: Metre;
  schedule: string;
  ended_by: string;
  usable_energy_j: Joule;
  wheels_j_per_m: JoulePerMetre;
  terminals_j_per_m: JoulePerMetre;
  wall_j_per_m: JoulePerMetre;
  voltage_min_v: Volt;
  voltage_max_v: Volt;
  current_peak_10s_a: Ampere;
  current_rms_a: Ampere;
  current_charge_peak_10s_a: Ampere;
  schedule_capped: boolean;
  fidelity: string;
}
export interface Assessment {
  option: string;
  project: string;
  invented_data: boolean;
  verdict: string;
  source: string;
  form: string;
  topology: string;
  cell: CellLine;
  modules: ModuleLine[];
  bays: BayLine[];
  window: VoltageWindow;
  budgets: Budget[];
  as_bought: Performance;
  end_of_life: Performance;
  vehicle: StateLine[];
  stability: Input[];
  findings: Finding[];
  workings: Working[];
  assumptions: Assumption[];
  interconnect_resistance_ohm: Ohm;
  cautions: string[];
}
export interface AssessmentReply {
  revision: number;
  assessment: Assessment;
}
export interface CompareRow {
  group: string;
  name: string;
  a: Figure | null;
  b: Figure | null;
  difference: Figure | null;
  a_text?: string;
  b_text?: string;
}
export interface Compare {
  revision: number;
  a: string;
  b: string;
  same: number;
  rows: CompareRow[];
}
export interface RelaxationRequest {
  option: string;
  limits: { rule: string; to_si: number }[];
  growth?: GrowthRow;
}
export interface Relaxation {
  revision: number;
  changes: { name: string; from: Figure | null; to: Figure }[];
  ops: Op[];
  report: Report;
  fits_more: number;
  new: Row[];
  millis: number;
}

export interface Column {
  name: string;
  key: string;
  symbol: string;
  noun: string;
  values?: number[];
  min?: number[];
  max?: number[];
}
export interface FlowNode {
  id: string;
  name: string;
  kind: "supply" | "stage" | "loss" | "use";
}
export interface FlowLink {
  from: string;
  to: string;
  energy_j: Joule;
  returned: boolean;
}
export interface Flow {
  nodes: FlowNode[];
  links: FlowLink[];
  residual: number;
}
export interface DriveRun {
  option: string;
  life: "as bought" | "end of life";
  schedule: string;
  title: string;
  notes: string[];
  performance: Performance;
  duration_s: Second;
  distance_m: Metre;
  cycles: number;
  soc_end: number;
  traction_j: Joule;
  wall_j: Joule;
  held: { name: string; count: number }[];
  capped_share: number;
  findings: Finding[];
}
export interface Drive {
  revision: number;
  run: DriveRun;
  rows: number;
  buckets: number;
  columns: Column[];
  flow: Flow;
}
export interface Ranges {
  revision: number;
  runs: DriveRun[];
}
export interface ScheduleLine {
  id: string;
  title: string;
  source: string;
  source_title: string;
  distance_m: Metre;
  duration_s: Second;
  mean_m_per_s: MetrePerSecond;
  max_m_per_s: MetrePerSecond;
  stops: number;
  climb_m: Metre;
  file: boolean;
  error?: string;
}
export interface Schedules {
  schedules: ScheduleLine[];
}
export interface Profile {
  schedule: ScheduleLine;
  notes: string[];
  columns: Column[];
}
export interface AssumptionLine {
  subject: string;
  value: Figure;
  source: string;
  source_title: string;
}
export interface AssumptionsReply {
  revision: number;
  assumptions: AssumptionLine[];
}
export interface References {
  sources: Source[];
}
