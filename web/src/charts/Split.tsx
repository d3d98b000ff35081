interface Props {
  /** shares of the whole width, 0 … 1; drawn from dense to light ink */
  shares: readonly number[];
}

/** Split is a plain bar in a table cell; the numbers stand beside it. */
export function Split({ shares }: Props) {
  let x = 0;
  const parts = shares.map((s) => {
    const at = x;
    x += Math.max(0, s);
    return { at, width: Math.max(0, s) };
  });
  return (
    <svg class="split" aria-hidden="true" height="14">
      {parts.map((p, i) => (
        <rect
          key={i === 0 ? "dense" : `light-${i}`}
          class={i === 0 ? "dense" : "light"}
          x={`${100 * p.at}%`}
          width={`${100 * p.width}%`}
          y={1}
          height={12}
        />
      ))}
      <line class="rule" x1={0.5} x2={0.5} y1={0} y2={14} />
    </svg>
  );
}
