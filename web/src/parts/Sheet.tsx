import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

interface SheetProps {
  title: string;
  /** Beside the title, smaller: what is shown, of which option. */
  note?: ComponentChildren;
  /** At the right end of the title: buttons, CSV links. */
  tools?: ComponentChildren;
  /** Full width of the grid it stands in. */
  wide?: boolean;
  children: ComponentChildren;
}

/** A part of a page under a title strip. */
export function Sheet({ title, note, tools, wide, children }: SheetProps) {
  const id = useId();
  return (
    <section class={wide ? "sheet sheet-wide" : "sheet"} aria-labelledby={id}>
      <div class="sheet-head">
        <h2 id={id}>{title}</h2>
        {note ? <p class="sheet-note">{note}</p> : null}
        {tools ? <div class="sheet-tools">{tools}</div> : null}
      </div>
      {children}
    </section>
  );
}

/** A page: its heading and what stands under it. */
export function Page({
  title,
  lead,
  children,
}: {
  title: string;
  lead?: ComponentChildren;
  children: ComponentChildren;
}) {
  return (
    <div class="page">
      <div class="page-head">
        <h1>{title}</h1>
        {lead ? <p class="page-lead">{lead}</p> : null}
      </div>
      {children}
    </div>
  );
}
