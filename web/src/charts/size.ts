import type { RefObject } from "preact";
import { useEffect, useState } from "preact/hooks";

/** useWidth returns the width of the element in px and follows it; 0 until it is laid out. */
export function useWidth(ref: RefObject<HTMLElement | null>): number {
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const el = ref.current;
    if (!el) return;
    const look = () => setWidth(Math.floor(el.clientWidth));
    look();
    const watch = new ResizeObserver(look);
    watch.observe(el);
    return () => watch.disconnect();
  }, [ref]);
  return width;
}
