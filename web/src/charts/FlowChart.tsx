import { useMemo, useRef } from "preact/hooks";
import { type Band, type FlowLinkIn, type FlowNodeIn, plan } from "./flow";
import { planDown } from "./flowDown";
import { useWidth } from "./size";
import "./charts.css";

interface Props {
  title: string;
  nodes: readonly FlowNodeIn[];
  links: readonly FlowLinkIn[];
  /** energy in words */
  words(energy: number): string;
  /** nodes whose conductors carry high voltage */
  high: readonly string[];
}

/** px below which the words of a trunk from left to right would run into each other; it then runs down */
const LEVEL_LEAST = 1200;
/** px below which a trunk that runs down scrolls */
const LEAST = 520;

/** FlowChart draws the energy from the wall to the wheel as bands as thick as the energy; the numbers stand in the table beside it. */
export function FlowChart({ title, nodes, links, words, high }: Props) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const p = useMemo(
    () =>
      width !== 0 && width < LEVEL_LEAST
        ? planDown(nodes, links, { width: Math.max(width, LEAST), trunk: Math.min(180, width / 4) })
        : plan(nodes, links, { width: width || LEVEL_LEAST, trunk: 120 }),
    [nodes, links, width],
  );
  return (
    // biome-ignore lint/a11y/useSemanticElements: a drawing that scrolls is no set of form fields
    <div
      class="chart flow"
      ref={box}
      role="group"
      aria-label={title}
      tabIndex={width < LEAST ? 0 : undefined}
    >
      <svg
        data-picture=""
        width={p.width}
        height={p.height}
        viewBox={`0 0 ${p.width} ${p.height}`}
        data-foot={30}
        role="img"
      >
        <title>{title}</title>
        <defs>
          <pattern id="flow-back" width="7" height="7" patternUnits="userSpaceOnUse">
            <path class="hatch" d="M0 7L7 0" />
          </pattern>
          <pattern id="flow-sink" width="4" height="4" patternUnits="userSpaceOnUse">
            <circle class="dot" cx="1" cy="1" r="0.7" />
          </pattern>
        </defs>
        {p.bands.map((b) => (
          <path key={`${b.from}>${b.to}${b.kind}`} class={`band ${b.kind}`} d={b.d} />
        ))}
        {p.posts.map((q) => (
          <g key={q.id}>
            <rect
              class={high.includes(q.id) ? "post high" : "post"}
              x={q.x}
              y={q.top}
              width={q.across ?? 3}
              height={Math.max(1, q.bottom - q.top)}
            />
            <text class="post-name" x={q.words?.x ?? q.x} y={q.words?.y ?? 18}>
              {q.name}
            </text>
            <text class="post-figure" x={q.words?.x ?? q.x} y={(q.words?.y ?? 18) + 16}>
              {words(q.energy)}
            </text>
          </g>
        ))}
        {p.bands
          .filter((b) => b.kind !== "forward")
          .map((b) => (
            <BandWords key={`${b.from}>${b.to}${b.kind}`} band={b} words={words} />
          ))}
        <text class="picture-only" x={8} y={p.height + 16}>
          {title}; plain: on its way, hatched: given back by braking, dotted: lost or used
        </text>
      </svg>
      <ul class="key" aria-label="key of the drawing">
        <li>
          <svg class="mark-key" width="26" height="12" aria-hidden="true">
            <rect class="band forward" width="26" height="12" />
          </svg>{" "}
          on its way to the wheels
        </li>
        <li>
          <svg class="mark-key" width="26" height="12" aria-hidden="true">
            <rect class="band returned" width="26" height="12" />
          </svg>{" "}
          given back by braking
        </li>
        <li>
          <svg class="mark-key" width="26" height="12" aria-hidden="true">
            <rect class="band sink" width="26" height="12" />
          </svg>{" "}
          lost or used
        </li>
        {high.length > 0 && (
          <li>
            <svg class="mark-key" width="8" height="12" aria-hidden="true">
              <rect class="post high" x="2" width="3" height="12" />
            </svg>{" "}
            carries high voltage
          </li>
        )}
      </ul>
    </div>
  );
}

function BandWords({ band, words }: { band: Band; words(e: number): string }) {
  if (band.kind === "returned") {
    return (
      <text class="band-words" x={band.at.x} y={band.at.y} text-anchor={band.oneLine ? "end" : "middle"}>
        {band.oneLine ? "↑" : "←"} {words(band.energy)}
      </text>
    );
  }
  if (band.oneLine) {
    return (
      <text class="band-words" x={band.at.x} y={band.at.y}>
        {band.name} <tspan class="band-figure">{words(band.energy)}</tspan>
      </text>
    );
  }
  return (
    <text class="band-words" x={band.at.x} y={band.at.y} text-anchor={band.anchor}>
      <tspan x={band.at.x}>{band.name}</tspan>
      <tspan x={band.at.x} dy="1.2em">
        {words(band.energy)}
      </tspan>
    </text>
  );
}
