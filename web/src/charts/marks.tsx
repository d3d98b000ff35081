// Marks tell kinds apart by shape, so that no colour is needed to read a chart.

export const MARKS = ["circle", "square", "triangle", "diamond", "hexagon", "cross"] as const;

/** markPath returns the outline of mark k of half width r around the origin. */
export function markPath(k: number, r: number): string {
  switch (MARKS[k % MARKS.length]) {
    case "square":
      return `M${-r * 0.88} ${-r * 0.88}h${r * 1.76}v${r * 1.76}h${-r * 1.76}Z`;
    case "triangle":
      return `M0 ${-r * 1.15}L${r * 1.1} ${r * 0.8}H${-r * 1.1}Z`;
    case "diamond":
      return `M0 ${-r * 1.25}L${r * 1.1} 0L0 ${r * 1.25}L${-r * 1.1} 0Z`;
    case "hexagon":
      return `M${-r} ${-r * 0.55}L0 ${-r * 1.1}L${r} ${-r * 0.55}V${r * 0.55}L0 ${r * 1.1}L${-r} ${r * 0.55}Z`;
    case "cross":
      return `M${-r} ${-r * 0.35}H${-r * 0.35}V${-r}H${r * 0.35}V${-r * 0.35}H${r}V${r * 0.35}H${r * 0.35}V${r}H${-r * 0.35}V${r * 0.35}H${-r}Z`;
    default:
      return `M${-r} 0a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
  }
}

interface Props {
  kind: number;
  strong: boolean;
  r?: number;
}

/** MarkKey is a mark as it stands in a legend or a table cell. */
export function MarkKey({ kind, strong, r = 5 }: Props) {
  const w = 2 * r + 6;
  return (
    <svg class="mark-key" width={w} height={w} viewBox={`${-w / 2} ${-w / 2} ${w} ${w}`} aria-hidden="true">
      <path class={strong ? "mark strong" : "mark"} d={markPath(kind, r)} />
    </svg>
  );
}
