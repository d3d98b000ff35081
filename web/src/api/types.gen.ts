// Generated from Go by `make golden`; do not edit. docs/reference/api.md says where each is used.

type Si<U extends string> = number & { readonly __unit: U };
export type Ampere = Si<"A">;
export type AmpereSecond = Si<"C">;
export type CubicMetre = Si<"m³">;
export type CubicMetrePerSecond = Si<"m³/s">;
export type Joule = Si<"J">;
export type JoulePerKg = Si<"J/kg">;
export type JoulePerMetre = Si<"J/m">;
export type Kelvin = Si<"K">;
export type KelvinBetween = Si<"K between two">;
export type Kg = Si<"kg">;
export type Metre = Si<"m">;
export type MetrePerSecond = Si<"m/s">;
export type Ohm = Si<"Ω">;
export type Pascal = Si<"Pa">;
export type Radian = Si<"rad">;
export type Second = Si<"s">;
export type SquareMetre = Si<"m²">;
export type Volt = Si<"V">;
export type Watt = Si<"W">;

export type Vec = [Metre, Metre, Metre];

export type Value = string | Value[] | { [key: string]: Value };
export type Op =
  | { op: "set"; path: string; text: string }
  | { op: "insert"; path: string; value: Value }
  | { op: "delete"; path: string };

export interface Acknowledgement {
  rule: string;
  subject?: string;
  by: string;
  reason: string;
  date?: string;
  pos?: Pos;
}

export interface Answer {
  path: string;
  body: Value;
}

export interface ApiError {
  kind: "key" | "origin" | "request" | "problems" | "conflict" | "broken" | "noproject" | "option" | "notfound" | "exists" | "failed" | "large";
  message: string;
  hint?: string;
  problems?: Problem[];
  more?: number;
  conflicts?: Conflict[];
  revision?: number;
}

export interface Assessed {
  revision: number;
  option: string;
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
  assessment: Assessment | null;
}

export interface Assumption {
  subject: string;
  value: Figure;
  source: string;
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

export interface BayLine {
  name: string;
  modules: number[];
  mass_kg: Kg;
  mass_limit_kg?: Kg;
  places: PlaceLine[];
}

export interface BayView {
  path: string;
  name: string;
  at_m: Vec;
  axes: [[number, number, number], [number, number, number], [number, number, number]];
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

export interface BillRow {
  cells: string[];
}

export interface BookChapter {
  id: string;
  title: string;
  deep: boolean;
  parts_count: number;
}

export interface BookReply {
  revision: number;
  option: string;
  date: string;
  project_hash: string;
  cleared: boolean;
  open: Finding[];
  missing: Gap[];
  chapters: BookChapter[];
  bill: BillRow[];
}

export interface BoxView {
  path: string;
  at_m: Vec;
  size_m: Vec;
  corners_m: Vec[];
}

export interface Broken {
  problems: Problem[];
  more: number;
}

export interface Budget {
  name: "mass" | "space" | "voltage" | "money";
  used: Figure;
  limit: Figure;
  left: Figure;
}

export interface Cable {
  id: string;
  from: string;
  to: string;
  label: string;
  part: string;
  section_m2: SquareMetre;
  length_m: Metre;
  estimated: boolean;
  current_a: Ampere;
  ampacity_a: Ampere;
  resistance_ohm: Ohm;
  insulation_class: string;
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
  headline?: Headline;
  answers?: Answer[];
}

export interface ChargeReply {
  revision: number;
  run: ChargeReport;
  rows: number;
  columns: Column[];
}

export interface ChargeReport {
  option: string;
  life: string;
  supply: string;
  charger: string;
  heat: boolean;
  start_share: number;
  end_share: number;
  cells_empty_share: number;
  cells_full_share: number;
  ran: boolean;
  ended_by: string;
  limited_by: string;
  group: number;
  duration_s: Second;
  constant_s: Second;
  limited_s: Second;
  wall_j: Joule;
  pack_j: Joule;
  loads_j: Joule;
  stored_j: Joule;
  efficiency_share: number;
  wall_power_max_w: Watt;
  current_max_a: Ampere;
  voltage_end_v: Volt;
  hottest_k: Kelvin;
  price: number;
  currency: string;
  spans: ChargeSpan[];
  events: GroupEvent[];
  findings: Finding[];
  workings: Working[];
}

export interface ChargeSpan {
  from_share: number;
  to_share: number;
  passed: boolean;
  duration_s: Second;
  wall_j: Joule;
  cost: Figure;
}

export interface Chart {
  curves: ChartCurve[];
  points: DutyPoint[];
  fault_lowest_a: Ampere;
  fault_highest_a: Ampere;
  contactor_break_a: Ampere;
}

export interface ChartCurve {
  kind: string;
  name: string;
  current_a: number[];
  time_s: number[];
}

export interface CheckReply {
  ok: boolean;
}

export interface Choice {
  subject: string;
  part: string;
  title: string;
  count: number;
  chosen_by: string;
  none: string;
  workings: Working[];
  findings: Finding[];
}

export interface CircuitReply {
  revision: number;
  circuit: CircuitReport | null;
}

export interface CircuitReport {
  option: string;
  project: string;
  invented_data: boolean;
  topology: string;
  verdict: string;
  safety_open: number;
  faults: FaultSpan[];
  items: Choice[];
  cables: Cable[];
  net: Net;
  chart: Chart;
  findings: Finding[];
  assumptions: Assumption[];
  cautions: string[];
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

export interface Compare {
  revision: number;
  a: string;
  b: string;
  same: number;
  rows: CompareRow[];
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

export interface Conflict {
  path: string;
  base: string | null;
  theirs: string | null;
  yours: string | null;
}

export interface CoolantBranch {
  bay: string;
  flow_m3_per_s: number[];
}

export interface CoolantPath {
  fluid: string;
  pump: string;
  radiator: boolean;
  chiller: boolean;
  heater: boolean;
  stages: CoolantStage[];
  time_s: number[];
  coolant_in_k: number[];
  flow_m3_per_s: number[];
  pump_head_pa: number[];
  heater_w: number[];
  chilled_w: number[];
}

export interface CoolantStage {
  branches: CoolantBranch[];
  behind_k: number[];
}

export interface CurveView {
  charge: number[];
  ocv_v: number[];
  resistance: ResistanceCurve[];
  source: string;
  measured_from_k?: Kelvin;
  measured_to_k?: Kelvin;
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
  load_cases: LoadCase[];
  states: StateLine[];
  ratings: Ratings;
  findings: StateFindings[];
  stability: Input[];
  room_kg: Kg | null;
}

export interface Drawn {
  input: string;
  text: string;
  value: Figure;
  spread_si: number;
  spread_kind: "deviation" | "band";
  cut_share: number;
  measured_count?: number;
}

export interface Drive {
  revision: number;
  run: DriveReport;
  rows: number;
  buckets: number;
  columns: Column[];
  flow: Flow;
}

export interface DriveReport {
  option: string;
  life: "as bought" | "end of life";
  schedule: string;
  schedule_title: string;
  schedule_notes: string[];
  error?: string;
  performance: Performance | null;
  duration_s: Second;
  distance_m: Metre;
  cycles: number;
  charge_end_share: number;
  traction_j: Joule;
  braking_j: Joule;
  recovered_j: Joule;
  wheels_j: Joule;
  motor_j: Joule;
  terminals_j: Joule;
  chemical_j: Joule;
  wall_j: Joule;
  held_back: HeldBack[];
  capped_share_of_time: number;
  findings: Finding[];
}

export interface DutyPoint {
  name: string;
  current_a: Ampere;
  time_s: Second;
}

export interface EditReply {
  revision: number;
  merged: boolean;
  undo: number;
  redo: number;
}

export interface EditRequest {
  base: number;
  client?: string;
  force?: boolean;
  ops: Op[];
}

export interface ErrorReply {
  error: ApiError;
}

export interface Estimate {
  value: Figure;
  standard_error_si: number;
}

export interface Fact {
  field: string;
  source: string;
  source_title: string;
  status: string;
}

export interface Failed {
  revision: number;
  message: string;
}

export interface FallRow {
  rule: string;
  subject: string;
  alone: number;
  with_others: number;
}

export interface FaultSpan {
  place: string;
  highest_a: Ampere;
  lowest_a: Ampere;
  highest_through_fuse_a: Ampere;
  time_constant_s: Second;
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

export interface Figure {
  si: number;
  symbol: string;
  noun: string;
}

export interface FileReply {
  revision: number;
  text: string;
  fields: Field[];
  lists: ListForm[];
}

export interface Finding {
  rule: string;
  budget: string;
  subject: string;
  value: Figure;
  limit: Figure;
  margin: number;
  severity: "note" | "warning" | "failure" | "safety";
  remedy?: string;
  source: string;
  over_spread?: "always" | "partly" | "never";
  acknowledged?: Acknowledgement;
}

export interface Flow {
  nodes: FlowNode[];
  links: FlowLink[];
  residual: number;
}

export interface FlowLink {
  from: string;
  to: string;
  energy_j: Joule;
  returned: boolean;
}

export interface FlowNode {
  id: string;
  name: string;
  kind: "supply" | "stage" | "loss" | "use";
}

export interface Gap {
  part: string;
  why: string;
}

export interface GroupBay {
  name: string;
  size_m: Vec;
  modules: GroupModule[];
}

export interface GroupEvent {
  limiter: string;
  charging: boolean;
  group: number;
  from_s: Second;
  to_s: Second;
  wanted_w: Watt;
  given_w: Watt;
}

export interface GroupLimit {
  limiter: string;
  charging: boolean;
  group: number;
  name: string;
  time_s: Second;
  times: number;
  first_s: Second;
}

export interface GroupMap {
  why?: string;
  bays: GroupBay[];
}

export interface GroupModule {
  at_m: Vec;
  size_m: Vec;
  along: string;
  terminals: string;
  string: number;
  groups: GroupSlab[];
}

export interface GroupReport {
  run: DriveReport;
  temperatures_held: boolean;
  temperatures_held_because: string;
  groups_drawn: boolean;
  groups_alike_because: string;
  cell_map_file: string;
  groups: number;
  group_that_empties_first: number;
  group_that_empties_first_name: string;
  weakest_group: number;
  weakest_group_name: string;
  weakest_group_v: Volt;
  strongest_group: number;
  strongest_group_name: string;
  strongest_group_v: Volt;
  hottest_group: number;
  hottest_group_name: string;
  hottest_k: Kelvin;
  coldest_group: number;
  coldest_group_name: string;
  coldest_k: Kelvin;
  cell_heat_j: Joule;
  left_in_other_groups_j: Joule;
  distance_every_cell_alike_m: Metre;
  limits: GroupLimit[];
  events: GroupEvent[];
  event_count: number;
}

export interface GroupSlab {
  group: number;
  at_m: Vec;
  size_m: Vec;
  plus_near: boolean;
}

export interface GroupViews {
  groups: number;
  time_s: number[];
  voltage_v?: number[];
  temperature_k?: number[];
}

export interface GroupsReply {
  revision: number;
  report: GroupReport;
  rows: number;
  buckets: number;
  columns: Column[];
  map: GroupMap;
  views: GroupViews;
}

export interface GrowthRow {
  bay: string;
  axis: "length" | "width" | "height";
  by_m: Metre;
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
  safety: number;
  mass_kg: Kg;
  axle_front_kg: Kg;
  axle_rear_kg: Kg;
  micros: number;
}

export interface HealthLine {
  capacity_share: number;
  resistance_growth: number;
}

export interface HeatExtreme {
  temperature_k: Kelvin;
  group: number;
  name: string;
  at_s: Second;
}

export interface HeatReply {
  revision: number;
  run: HeatReport;
  columns: Column[];
  map: GroupMap;
  views: GroupViews;
  coolant: CoolantPath | null;
}

export interface HeatReport {
  option: string;
  life: string;
  duty: string;
  cooling: string;
  fidelity: string;
  air_k: Kelvin;
  start_k: Kelvin;
  duration_s: Second;
  ended_by: string;
  hottest: HeatExtreme;
  coldest: HeatExtreme;
  spread_max_k: KelvinBetween;
  spread_max_at_s: Second;
  derated: boolean;
  derated_from_s: Second;
  derated_by: string;
  derated_group: number;
  power_w: Watt;
  grade_held_share: number;
  asked_j: Joule;
  given_j: Joule;
  cell_heat_j: Joule;
  to_surroundings_j: Joule;
  coolant_flow_m3_per_s: CubicMetrePerSecond;
  pump_head_pa: Pascal;
  heater_j: Joule;
  cooling_load_j: Joule;
  preheat_s: Second;
  cells_charge_end_share: number;
  energy_open_share: number;
  trace?: HeatTrace;
  findings: Finding[];
  workings: Working[];
  cooling_assumptions: Assumption[];
}

export interface HeatTrace {
  time_s: number[];
  hottest_k: number[];
  coldest_k: number[];
  mean_k: number[];
  coolant_in_k: number[];
  coolant_out_k: number[];
  coolant_flow_m3_per_s: number[];
  pump_head_pa: number[];
  asked_w: number[];
  given_w: number[];
  cooling_load_w: number[];
  cells_charge_share: number[];
}

export interface HeldBack {
  by: string;
  name: string;
  step_count: number;
}

export interface History {
  undo: number;
  redo: number;
  states: HistoryState[];
}

export interface HistoryState {
  name: string;
  when_unix_s: number;
}

export interface Input {
  symbol: string;
  name: string;
  value: Figure;
  source?: string;
  pos?: Pos;
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

export interface ListForm {
  path: string;
  count: number;
  item: ItemField[];
}

export interface LoadCase {
  name: string;
  path: string;
  items: LedgerRow[];
}

export interface MissRow {
  limits: RelaxRow[];
  bay_growth?: GrowthRow;
  option: Row;
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

export interface NamedFigure {
  name: string;
  value: Figure;
}

export interface Net {
  parts: NetPart[];
  nets: NetNode[];
}

export interface NetNode {
  id: string;
  pins: string[];
  class: string;
  cable?: string;
}

export interface NetPart {
  id: string;
  kind: string;
  label: string;
  rating: string;
  string?: number;
  place?: string;
  pins: string[];
}

export interface NewRequest {
  client?: string;
  title: string;
  ops: Op[];
}

export interface Options {
  revision: number;
  search: SearchState;
  report: Report | null;
}

export interface Outline {
  front_m: Metre;
  rear_m: Metre;
  width_m: Metre;
  height_m: Metre;
}

export interface PaceCase {
  cells_charge: number;
  cells_k: Kelvin;
  sprints: PaceSprint[];
  top_speed_m_per_s: MetrePerSecond;
  top_speed_limited_by: string;
  top_speed_ten_minutes_m_per_s: MetrePerSecond;
  top_speed_ten_minutes_limited_by: string;
  hill_start_grade: number;
  hill_start_limited_by: string;
  climbs: PaceClimb[];
  grade: number;
  speed_held_on_grade_m_per_s: MetrePerSecond;
  speed_held_on_grade_limited_by: string;
  grip_grade: number;
  parking_grade_facing_up: number;
  parking_grade_facing_down: number;
}

export interface PaceClimb {
  speed_m_per_s: MetrePerSecond;
  steepest_grade: number;
  steepest_limited_by: string;
  near_steepest_held_s: Second;
  near_steepest_ended_by: string;
  ten_minutes_grade: number;
  ten_minutes_limited_by: string;
}

export interface PaceReply {
  revision: number;
  option: string;
  life: string;
  fidelity: string;
  test_mass_kg: Kg;
  cases: PaceCase[];
  findings: Finding[];
}

export interface PaceSprint {
  to_m_per_s: MetrePerSecond;
  reached: boolean;
  time_s: Second;
  distance_m: Metre;
  limited_by: string;
}

export interface PackReport {
  fidelity: string;
  supply: string;
  left_out: string[];
  at_stated_values: Figure[];
  not_filled_share: number;
  spread: SpreadResult | null;
}

export interface PartView {
  kind: string;
  id: string;
  title: string;
  own: boolean;
  mass_kg?: Kg;
  figures: NamedFigure[];
  facts: Fact[];
}

export interface Parts {
  parts: PartView[];
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

export interface PlaceView {
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
  corners_m: Vec[];
}

export interface Pos {
  file?: string;
  line?: number;
  col?: number;
}

export interface Problem {
  pos: Pos;
  path: string;
  message: string;
  hint?: string;
}

export interface Profile {
  schedule: ScheduleLine;
  notes: string[];
  columns: Column[];
}

export interface Progress {
  revision: number;
  done: number;
  total: number;
  preview: boolean;
}

export interface QuantityView {
  noun: string;
  symbol: string;
  spellings: UnitRow[];
  si: UnitStep[];
  us: UnitStep[];
}

export interface RangeReport {
  option: string;
  life: string;
  schedule: string;
  fidelity: string;
  at_stated_values: Figure[];
  spread: SpreadResult | null;
  pack?: PackReport;
  target?: SpreadTarget;
  stated_spreads_not_drawn: SpreadUnused[];
  findings: Finding[];
}

export interface Ranges {
  revision: number;
  runs: DriveReport[];
}

export interface Ratings {
  gross_kg: Kg;
  axle_front_kg: Kg;
  axle_rear_kg: Kg;
  tyre_front_kg: Kg;
  tyre_rear_kg: Kg;
}

export interface References {
  sources: Source[];
}

export interface RelaxChange {
  name: string;
  from: Figure | null;
  to: Figure;
}

export interface RelaxGrowth {
  bay: string;
  axis: "length" | "width" | "height";
  by_m: Metre;
}

export interface RelaxLimit {
  rule: string;
  to_si: number;
}

export interface RelaxRow {
  rule: string;
  subject: string;
  value: Figure;
  limit: Figure;
  by: Figure;
  share: number;
}

export interface Relaxation {
  revision: number;
  changes: RelaxChange[];
  ops: Op[];
  report: Report | null;
  fits_more: number;
  new: Row[];
  millis: number;
}

export interface RelaxationRequest {
  option: string;
  limits: RelaxLimit[];
  growth?: RelaxGrowth;
  top?: number;
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

export interface ResistanceCurve {
  temperature_k: Kelvin;
  life: "as bought" | "end of life";
  resistance_ohm: number[];
}

export interface Room {
  module: number;
  placed: number;
  most: number;
  bound: number;
  gap: number;
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

export interface Source {
  key: string;
  title: string;
  status: string;
  note?: string;
}

export interface SourceCount {
  name: string;
  candidates: number;
  not_searched?: string;
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
  candidates: number;
  cell: CellView;
  module?: ModuleView;
  hardware?: string;
  cells_in_piece: number;
  energy_piece_j: Joule;
  specific_energy_j_per_kg: JoulePerKg;
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

export interface SpreadOutcome {
  figure: string;
  p10: Estimate;
  p50: Estimate;
  p90: Estimate;
  mean: Estimate;
  standard_deviation: Estimate;
  shares: SpreadShare[];
  convergence: SpreadStep[];
}

export interface SpreadReply {
  revision: number;
  report: RangeReport | null;
  samples_asked: number;
  samples_full: number;
}

export interface SpreadResult {
  samples_count: number;
  scrambles_count: number;
  runs_count: number;
  seed: number;
  inputs: Drawn[];
  figures: SpreadOutcome[];
}

export interface SpreadShare {
  input: string;
  first_order_share: number;
  total_share: number;
  error_of_first_order_share: number;
  error_of_total_share: number;
}

export interface SpreadStep {
  samples_count: number;
  p10: Figure;
  p50: Figure;
  p90: Figure;
  first_order_share: number[];
  total_share: number[];
}

export interface SpreadTarget {
  wanted_m: Metre;
  reached_share: number;
  over_spread: "always" | "partly" | "never";
}

export interface SpreadUnused {
  input: string;
  text: string;
  pos: Pos;
  why: string;
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

export interface StateFindings {
  state: string;
  findings: Finding[];
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

export interface StepRequest {
  base: number;
  client?: string;
}

export interface UnitRow {
  spelling: string;
  factor: number;
  offset: number;
  system: string;
  alias: boolean;
  source: string;
}

export interface UnitStep {
  spelling: string;
  factor: number;
  offset: number;
  from: number;
  home: boolean;
}

export interface UnitTable {
  quantities: QuantityView[];
}

export interface VoltageWindow {
  full_v: Volt;
  nominal_v: Volt;
  floor_at_rest_v: Volt;
  lowest_v: Volt;
  discharge_end_v: Volt;
}

export interface Working {
  name: string;
  formula: string;
  inputs: Input[];
  result: Figure;
  source: string;
}

/** What each event of /api/events carries. */
export interface Events {
  assessed: Assessed;
  broken: Broken;
  bye: Record<string, never>;
  change: Change;
  failed: Failed;
  headline: Headline;
  mended: Record<string, never>;
  options: SearchState;
  progress: Progress;
  state: State;
}
