// What the 3D view is handed: corners in the vehicle frame in metres, texts, colours.
import type { Point } from "./shapes";

export interface SceneBox {
  corners: Point[];
}
export interface SceneModule extends SceneBox {
  terminals: string; // side of the bay
}
export interface SceneBay {
  path: string;
  name: string;
  boxes: SceneBox[];
  keepOuts: SceneBox[];
  modules: SceneModule[];
}
export interface SceneLabel {
  at: Point; // vehicle frame, m
  text: string;
  kind: "load" | "bay";
}
export interface SceneData {
  wheelbase: number;
  trackFront: number;
  trackRear: number;
  tyreRadius: number;
  outline: { front: number; rear: number; width: number; height: number } | null;
  bays: SceneBay[];
  labels: SceneLabel[];
}
export interface SceneColours {
  sheet: string;
  ink: string;
  faint: string;
  accent: string;
  hv: string;
}
