import { type ReactNode, useState } from "react";
import type { BoardDetail } from "../../app/api/boards.js";
import type { LogEntry, LogLine } from "../../app/api/entry.js";
import { Dialog } from "../ui/dialog.jsx";
import { SymptomChoice } from "./symptom-choice.jsx";

/** What the machine does now: symptoms that are new go into the log. */
export function SymptomDialog({
  symptoms,
  log,
  onAdd,
  onClose,
}: {
  readonly symptoms: BoardDetail["symptoms"];
  readonly log: readonly LogLine[];
  readonly onAdd: (entry: LogEntry, says: string) => void;
  readonly onClose: () => void;
}): ReactNode {
  const known = new Set(
    log.flatMap(({ entry, struck }) => (struck || entry.kind !== "symptom" ? [] : [entry.what])),
  );
  const [chosen, setChosen] = useState<ReadonlyMap<string, string>>(new Map());
  const add = (): void => {
    for (const id of chosen.values()) {
      const wording = symptoms.find((symptom) => symptom.id === id)?.wording ?? id;
      onAdd({ kind: "symptom", what: id }, `Symptom: ${wording}`);
    }
    onClose();
  };
  return (
    <Dialog title="What does it do now?" onClose={onClose}>
      {known.size > 0 && (
        <p className="quiet">
          In the log so far:{" "}
          {symptoms
            .filter(({ id }) => known.has(id))
            .map(({ wording }) => wording)
            .join(" ")}
        </p>
      )}
      <SymptomChoice symptoms={symptoms} chosen={chosen} onChange={setChosen} />
      <div className="dialog-foot">
        <button type="button" className="plain-button" onClick={onClose}>
          Not now
        </button>
        <button type="button" className="main-button" disabled={chosen.size === 0} onClick={add}>
          Put {chosen.size === 1 ? "it" : "them"} into the log
        </button>
      </div>
    </Dialog>
  );
}
