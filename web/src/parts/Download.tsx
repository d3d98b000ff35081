// Ways to take something away. A table comes from the server as CSV; a picture
// as SVG, or PNG drawn from it.

import { getText } from "../api/client";
import { notice } from "../state/store";

/** A link to a table as CSV. query is appended, "?option=…". */
export function CsvLink({
  table,
  query = "",
  label = "CSV",
}: {
  table: string;
  query?: string;
  label?: string;
}) {
  // What is read aloud begins with what is seen (WCAG 2.2, 2.5.3).
  const name = label.toLowerCase().includes("csv") && label !== "CSV" ? label : `${label}, ${table}`;
  return (
    <a class="take" href={`/api/csv/${table}${query}`} download aria-label={name}>
      {label}
    </a>
  );
}

export function save(blob: Blob, name: string) {
  const a = document.createElement("a");
  a.href = URL.createObjectURL(blob);
  a.download = name;
  a.click();
  setTimeout(() => URL.revokeObjectURL(a.href), 1000);
}

/** Greatest side of a PNG in pixels. */
const pngSide = 2400;

async function pngOf(svg: string): Promise<Blob> {
  const image = new Image();
  const url = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  try {
    image.src = url;
    await image.decode();
    const k = pngSide / Math.max(image.width, image.height, 1);
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.width * k);
    canvas.height = Math.round(image.height * k);
    canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise((done, fail) =>
      canvas.toBlob(
        (b) => (b ? done(b) : fail(new Error("the picture cannot be written as PNG"))),
        "image/png",
      ),
    );
  } finally {
    URL.revokeObjectURL(url);
  }
}

interface PictureProps {
  /** Address of the SVG, or what makes its text. */
  svg: string | (() => string);
  /** File name without ending. */
  name: string;
}

/** Links that save a picture as SVG and as PNG. */
export function PictureLinks({ svg, name }: PictureProps) {
  const take = async (kind: "svg" | "png") => {
    try {
      const text = typeof svg === "string" ? await getText(svg) : svg();
      const blob = kind === "svg" ? new Blob([text], { type: "image/svg+xml" }) : await pngOf(text);
      save(blob, `${name}.${kind}`);
    } catch (e) {
      notice.value = e instanceof Error ? e.message : String(e);
    }
  };
  return (
    <>
      <button type="button" class="take" aria-label={`${name} as SVG`} onClick={() => void take("svg")}>
        SVG
      </button>
      <button type="button" class="take" aria-label={`${name} as PNG`} onClick={() => void take("png")}>
        PNG
      </button>
    </>
  );
}
