export interface LegendItem {
  name: string;
  /** A class that says how its line or mark looks: "ink", "accent", "faint", "hv", "dash", "dot", "bad". */
  look: string;
}

/** What the lines and marks of a picture mean. */
export function Legend({ items, label = "Key" }: { items: readonly LegendItem[]; label?: string }) {
  return (
    <ul class="legend" aria-label={label}>
      {items.map((i) => (
        <li key={i.name}>
          <span class={`legend-mark legend-${i.look}`} aria-hidden="true" />
          {i.name}
        </li>
      ))}
    </ul>
  );
}
