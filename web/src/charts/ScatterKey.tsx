import { MarkKey, markPath } from "./marks";

interface Props {
  kinds: readonly string[];
  strongWords: string;
  lineWords: string;
  chosen: boolean;
}

/** ScatterKey says what the marks and lines mean. */
export function ScatterKey(p: Props) {
  return (
    <ul class="key" aria-label="key of the chart">
      {p.kinds.map((k, i) => (
        <li key={k}>
          <MarkKey kind={i} strong={false} /> {k}
        </li>
      ))}
      <li>
        <MarkKey kind={0} strong /> {p.strongWords}
      </li>
      <li>
        <svg class="mark-key" width="28" height="12" aria-hidden="true">
          <path class="best" d="M1 11H10V6H19V2H27" />
        </svg>{" "}
        {p.lineWords}
      </li>
      {p.chosen && (
        <li>
          <svg class="mark-key" width="30" height="16" viewBox="-15 -8 30 16" aria-hidden="true">
            <path class="chosen" d="M-14 0H-8M8 0H14" />
            <path class="mark" d={markPath(0, 4)} />
          </svg>{" "}
          chosen
        </li>
      )}
    </ul>
  );
}
