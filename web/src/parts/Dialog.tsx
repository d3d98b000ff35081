import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";

interface DialogProps {
  title: string;
  /** Escape, the close button, or a click beside it. */
  onClose: () => void;
  /** Wide for tables. */
  wide?: boolean;
  children: ComponentChildren;
}

/** A sheet laid over the page; the rest waits until it is put away. */
export function Dialog({ title, onClose, wide, children }: DialogProps) {
  const ref = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const before = document.activeElement;
    ref.current?.showModal();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  return (
    // biome-ignore lint/a11y/useKeyWithClickEvents: Escape closes a dialog by itself
    <dialog
      ref={ref}
      class={wide ? "dialog dialog-wide" : "dialog"}
      aria-labelledby={id}
      onCancel={(e) => {
        e.preventDefault();
        onClose();
      }}
      onClick={(e) => {
        if (e.target === ref.current) onClose();
      }}
    >
      <div class="dialog-sheet">
        <div class="dialog-head">
          <h2 id={id}>{title}</h2>
          <button type="button" class="button button-plain" onClick={onClose}>
            Close
          </button>
        </div>
        <div class="dialog-body">{children}</div>
      </div>
    </dialog>
  );
}
