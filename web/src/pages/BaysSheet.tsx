// The sheet of the three views, with the dimensions of the selected bay.

import { useRef } from "preact/hooks";
import type { Bays } from "../api/types";
import { useWidth } from "../charts/size";
import { BaysDimensions } from "./BaysDimensions";
import { BaysView } from "./BaysView";
import type { Look } from "./baysGeometry";
import { useHands } from "./baysHands";
import { layout, type Shown } from "./baysLayout";
import { selected, shownBay } from "./baysState";

export function BaysSheet({ d, shown }: { d: Bays; shown: Shown }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box as never);
  const { views, height } = layout(d, shown, Math.max(width, 320));
  const hands = useHands(d, views);
  const bays = d.bays.map((b) => shownBay(b, d.revision));
  const chosen = bays.find((b) => b.path === selected.value);
  const label: Record<Look, string> = { side: "from the left", top: "from above", front: "from the front" };
  return (
    <div class="bays-sheet" ref={box}>
      {width === 0 ? null : (
        // biome-ignore lint/a11y/useSemanticElements: a fieldset holds no drawing
        <svg
          data-picture
          viewBox={`0 0 ${width} ${height.toFixed(0)}`}
          width={width}
          height={height.toFixed(0)}
          role="group"
          aria-label="Views of the vehicle with its bays"
          onPointerMove={hands.onMove}
          onPointerUp={hands.onUp}
          onPointerCancel={hands.onCancel}
          onKeyDown={hands.onKeyDown}
        >
          <defs>
            <pattern
              id="bays-hatch"
              width="5"
              height="5"
              patternUnits="userSpaceOnUse"
              patternTransform="rotate(45)"
            >
              <path class="hatch-line" d="M0 0V5" />
            </pattern>
          </defs>
          {views.map((f) => (
            <g key={f.look}>
              <BaysView f={f} d={d} bays={bays} on={hands.on} />
              {chosen ? (
                <BaysDimensions
                  f={f}
                  bay={chosen}
                  wide={width}
                  high={height}
                  {...(f.dimX === undefined ? {} : { x: f.dimX })}
                  {...(f.dimY === undefined ? {} : { y: f.dimY })}
                />
              ) : null}
              <text class="caption" x={f.captionX} y={f.captionY}>
                {label[f.look]}
              </text>
            </g>
          ))}
        </svg>
      )}
    </div>
  );
}
