import type { ReactNode } from "react";
import type { MemoryMeans } from "../../app/api/memory.js";
import type { PictureFault } from "../../core/memory/picture/picture-fault.js";

type Listed = NonNullable<MemoryMeans["picture"]>["faults"][number];

const groupWords: Readonly<Record<string, string>> = {
  chip: "One chip",
  "row or column": "A row or column of a chip",
  address: "An address line",
  data: "Data lines",
  "write and refresh": "Writing and refresh",
};

/** Choice of a fault: first what kind, then which, and the number of a row or column. */
export function FaultChoice({
  faults,
  fault,
  onChoose,
}: {
  readonly faults: readonly Listed[];
  readonly fault: PictureFault;
  readonly onChoose: (fault: PictureFault) => void;
}): ReactNode {
  const groups = [...new Set(faults.map(({ group }) => group))];
  const listed = faults.find((one) => nameOf(one.fault) === nameOf(fault));
  const group = listed?.group ?? "";
  const own = faults.filter((one) => one.group === group);
  const chooseFirst = (name: string): void => {
    const first = faults.find((one) => one.group === name);
    if (first !== undefined) onChoose(first.fault);
  };
  const chooseTitle = (title: string): void => {
    const next = faults.find((one) => one.title === title);
    if (next !== undefined) onChoose(next.fault);
  };
  return (
    <div className="fault-choice">
      <label className="field">
        Kind of fault
        <select value={group} onChange={(event) => chooseFirst(event.target.value)}>
          {listed === undefined && <option value="">as explained above</option>}
          {groups.map((name) => (
            <option key={name} value={name}>
              {groupWords[name] ?? name}
            </option>
          ))}
        </select>
      </label>
      {listed !== undefined && (
        <label className="field">
          Which one
          <select value={listed.title} onChange={(event) => chooseTitle(event.target.value)}>
            {own.map(({ title }) => (
              <option key={title} value={title}>
                {title}
              </option>
            ))}
          </select>
        </label>
      )}
      {listed?.numbers !== undefined && fault.kind === "cells" && (
        <label className="field field-short">
          Number of the {fault.axis}, 0 to {listed.numbers - 1}
          <input
            type="number"
            min={0}
            max={listed.numbers - 1}
            value={fault.number}
            onChange={(event) => {
              const number = Math.min(
                Math.max(0, Math.trunc(Number(event.target.value))),
                (listed.numbers ?? 1) - 1,
              );
              onChoose({ ...fault, number });
            }}
          />
        </label>
      )}
      {listed !== undefined && (
        <p className="quiet">
          Parts to look at: {listed.parts.length === 0 ? "none by name" : listed.parts.join(", ")}.
        </p>
      )}
    </div>
  );
}

/** The same for all rows, or all columns, of a chip. */
function nameOf(fault: PictureFault): string {
  return JSON.stringify(fault.kind === "cells" ? { ...fault, number: 0 } : fault);
}
