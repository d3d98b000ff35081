// The 3D view on the page: loads the drawing code when it is first wanted, hands it
// what the server said, and says the same in words.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Bays } from "../api/types";
import { save } from "../parts/Download";
import type { SceneColours, SceneData } from "../scene/data";
import type { Eye, VehicleScene } from "../scene/scene";
import { dark, units } from "../state/prefs";
import { headline, state } from "../state/store";
import { mass } from "../units/show";
import type { Bay } from "./baysGeometry";
import { selected, shownBay } from "./baysState";

function coloursNow(): SceneColours {
  const style = getComputedStyle(document.documentElement);
  const of = (name: string) => style.getPropertyValue(name).trim();
  return {
    sheet: of("--sheet"),
    ink: of("--ink"),
    faint: of("--ink-3"),
    accent: of("--accent"),
    hv: of("--hv"),
  };
}

function dataOf(d: Bays, bays: Bay[]): SceneData {
  const h = headline.value;
  const o = d.outline;
  const side = Math.max(d.track_front_m, d.track_rear_m) / 2 + 0.2;
  const loads = h
    ? [
        { at: [0, side, -0.05], text: `front axle ${mass(h.axle_front_kg)}`, kind: "load" as const },
        {
          at: [d.wheelbase_m, side, -0.05],
          text: `rear axle ${mass(h.axle_rear_kg)}`,
          kind: "load" as const,
        },
      ]
    : [];
  return {
    wheelbase: d.wheelbase_m,
    trackFront: d.track_front_m,
    trackRear: d.track_rear_m,
    tyreRadius: d.tyre_radius_m,
    outline: o ? { front: o.front_m, rear: o.rear_m, width: o.width_m, height: o.height_m } : null,
    bays: bays.map((b) => ({
      path: b.path,
      name: b.name,
      boxes: b.boxes.map((x) => ({ corners: [...x.corners_m] })),
      keepOuts: b.keep_outs.map((x) => ({ corners: [...x.corners_m] })),
      modules: b.places.map((p) => ({ corners: [...p.corners_m], terminals: p.terminals })),
    })),
    labels: [...loads, ...bays.filter((b) => b.path === selected.value).map(nameOf)],
  };
}

/** The name of the selected bay, over the middle of its top. */
function nameOf(b: Bay) {
  const all = b.boxes.flatMap((x) => x.corners_m);
  const middle = [0, 1].map((i) => all.reduce((s, c) => s + (c[i] ?? 0), 0) / all.length);
  return {
    at: [...middle, Math.max(...all.map((c) => c[2] ?? 0)) + 0.12],
    text: b.name,
    kind: "bay" as const,
  };
}

const EYES: { eye: Eye; words: string }[] = [
  { eye: "corner", words: "Corner" },
  { eye: "left", words: "Left" },
  { eye: "above", words: "Above" },
  { eye: "front", words: "Front" },
];

function useScene(host: { current: HTMLDivElement | null }) {
  const [scene, setScene] = useState<VehicleScene | null>(null);
  const [fault, setFault] = useState("");
  useEffect(() => {
    let made: VehicleScene | null = null;
    let gone = false;
    const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
    import("../scene/scene")
      .then(({ VehicleScene }) => {
        if (gone || !host.current) return;
        const picked = (path: string) => {
          selected.value = path;
        };
        made = new VehicleScene(host.current, coloursNow(), { still, picked });
        setScene(made);
      })
      .catch(() => {
        if (!gone) setFault("This browser shows no 3D picture; the three views hold the same.");
      });
    return () => {
      gone = true;
      made?.dispose();
    };
  }, [host]);
  return { scene, fault };
}

function spoken(d: Bays): string {
  const standing = d.bays.map((b) => `${b.name} with ${b.places.length} modules`).join(", ");
  return `The vehicle in three dimensions: ${standing}. Arrow keys turn it, plus and minus come nearer and go away, Home puts it back.`;
}

export function BaysScene({ d }: { d: Bays }) {
  const host = useRef<HTMLDivElement>(null);
  const { scene, fault } = useScene(host);
  const bays = d.bays.map((b) => shownBay(b, d.revision));
  const loads = headline.value;
  const system = units.value;
  useEffect(
    () => scene?.show(dataOf(d, bays)),
    [scene, d, loads, system, selected.value, JSON.stringify(bays.map((b) => b.boxes))],
  );
  useEffect(() => scene?.select(selected.value), [scene, selected.value]);
  useEffect(() => scene?.recolour(coloursNow()), [scene, dark.value]);
  useEffect(() => {
    const paper = window.matchMedia("print");
    const redraw = () => scene?.print(coloursNow());
    paper.addEventListener("change", redraw);
    return () => paper.removeEventListener("change", redraw);
  }, [scene]);
  const name = (state.value?.project ?? "vehicle").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-");
  const words = [
    state.value?.project,
    d.option,
    state.value?.invented_data ? "invented demonstration data" : "",
  ];
  const png = async () => {
    if (scene) save(await scene.png(words.filter(Boolean).join(" · ")), `${name}-3d.png`);
  };
  return (
    <div class="bays-3d">
      <div class="bays-tools">
        <fieldset class="bays-eyes">
          <legend class="only-read">Look at it from</legend>
          {EYES.map((e) => (
            <button
              key={e.eye}
              type="button"
              class="button button-plain"
              disabled={!scene}
              onClick={() => scene?.look(e.eye)}
            >
              {e.words}
            </button>
          ))}
        </fieldset>
        <span class="bays-take">
          <button
            type="button"
            class="button button-plain"
            disabled={!scene}
            onClick={() => void png()}
            aria-label="3D view as PNG"
          >
            PNG
          </button>
          <a class="take" href="/api/scene.glb" download={`${name}.glb`} aria-label="3D model as GLB">
            GLB
          </a>
        </span>
      </div>
      <div
        ref={host}
        class="bays-canvas"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it is turned by keys
        tabIndex={0}
        role="application"
        aria-label={spoken(d)}
        onKeyDown={(e) => {
          if (!e.ctrlKey && !e.metaKey && !e.altKey && scene?.key(e.key)) e.preventDefault();
        }}
      >
        {fault ? <p class="state">{fault}</p> : null}
      </div>
      <p class="small">
        {loads ? "Axle loads are those of the heaviest load case. " : ""}
        The orange side of a module is that of its terminals.
      </p>
    </div>
  );
}
