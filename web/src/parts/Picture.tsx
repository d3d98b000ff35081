// A drawing of the server, inline, in the colours of this page.

import { useEffect, useRef, useState } from "preact/hooks";
import { aborted, address, type Fault, faultOf, getText } from "../api/client";
import { units } from "../state/prefs";
import { headline, revision } from "../state/store";
import { Busy, FaultNote } from "./states";
import "./picture.css";

interface Props {
  /** "side", "top", "cell-ID": a picture of /api/pictures. */
  name: string;
  query?: Record<string, string | undefined>;
  /** What it shows, for those who do not see it. */
  label: string;
}

/** The address of a picture in the units that are preferred. */
export function pictureAddress(name: string, query: Record<string, string | undefined> = {}): string {
  return address(`/api/pictures/${name}.svg`, { ...query, system: units.value });
}

/** The drawing without the style it brings as a file of its own: this page has the rules, and allows no others. */
function drawingOf(text: string, label: string): SVGSVGElement | null {
  const plain = text.replace(/<style>[^<]*<\/style>/g, "");
  const svg = new DOMParser().parseFromString(plain, "image/svg+xml").documentElement;
  if (!(svg instanceof SVGSVGElement)) return null;
  svg.setAttribute("class", "pk-sheet");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  return svg;
}

/** How long a drawing that is there already waits for its new form. */
const laterMs = 120;

export function Picture({ name, query, label }: Props) {
  const at = useRef<HTMLDivElement>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [there, setThere] = useState(false);
  const path = pictureAddress(name, query);
  // With the headline, not with the change before it: it names the option that is drawn.
  const now = `${headline.value?.revision ?? revision.value} ${headline.value?.option ?? ""}`;
  useEffect(() => {
    const stop = new AbortController();
    const draw = () =>
      getText(path, stop.signal).then(
        (text) => {
          const svg = drawingOf(text, label);
          if (svg && at.current) at.current.replaceChildren(svg);
          setThere(svg !== null);
          setFault(null);
        },
        (e) => {
          // Without a server the banner says so, and what was drawn stays.
          const fault = faultOf(e);
          if (!aborted(e) && fault.kind !== "unreachable") setFault(fault);
        },
      );
    // The figures of a change come first.
    const late = setTimeout(() => void draw(), there ? laterMs : 0);
    return () => {
      clearTimeout(late);
      stop.abort();
    };
  }, [path, now, label]);
  return (
    <div class="picture">
      {fault ? <FaultNote fault={fault} /> : there ? null : <Busy what="drawing" />}
      <div ref={at} class="picture-sheet" />
    </div>
  );
}
