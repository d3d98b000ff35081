import { useState } from "preact/hooks";
import type { Fault } from "../api/client";
import type { Op } from "../api/types";
import { ProblemLine } from "../parts/states";
import { edit, problemAt } from "../state/store";

interface Props {
  option: string;
  chosen: string;
}

/** OptionsChoose fixes an option in the file, or sets it free again. */
export function OptionsChoose({ option, chosen }: Props) {
  const [fault, setFault] = useState<Fault | null>(null);
  const [sending, setSending] = useState(false);
  const send = async (op: Op) => {
    setSending(true);
    setFault(await edit([op]));
    setSending(false);
  };
  const path = "choose.option";
  return (
    <span class="choose">
      {option === chosen ? (
        <>
          <strong class="chosen-word">Chosen</strong>{" "}
          <button
            type="button"
            class="button"
            disabled={sending}
            onClick={() => void send({ op: "delete", path })}
          >
            Leave it open again
          </button>
        </>
      ) : (
        <button
          type="button"
          class="button button-strong"
          disabled={sending}
          onClick={() => void send({ op: "set", path, text: option })}
        >
          Choose this option
        </button>
      )}
      <ProblemLine problem={fault && problemAt(fault, path)} />
    </span>
  );
}
